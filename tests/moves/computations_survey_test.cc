// Computed gates that the survey answers, named by a yard's own rules: clear, not clear with the
// number behind it, unknown, too old; and no release without them. What the survey computes is
// tested in its own room.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "services/moves/computations.h"
#include "tests/moves/taped.h"

namespace chockwise::moves {
namespace {

/// What the rules tell a computation besides the age.
std::string MoreParameters(const std::string& computation) {
  if (computation == "fits-route") {
    return R"(parameters { key: "each_side" value: "6 in" }
              parameters { key: "most_grade" value: "12 %" })";
  }
  if (computation == "horn-heard") return R"(parameters { key: "distance" value: "40 ft" })";
  const std::string travel = R"(parameters { key: "travel" value: "forwards" })";
  if (computation == "leaves-free" || computation == "goes-under" ||
      computation == "clears-ground" || computation == "wires-clear")
    return travel;
  if (computation == "keeps-clear")
    return travel + R"( parameters { key: "each_side" value: "12 in" })";
  return "";
}

/// The yard's short hop asks one more gate, "surveyed", which names the computation; the
/// telehandler is measured as the survey wants it.
void AskFor(const std::string& computation, Files& files) {
  files.rules_txtpb = Replaced(files.rules_txtpb, R"("hop-ground", "hop-parked")",
                               R"("hop-ground", "surveyed", "hop-parked")");
  files.rules_txtpb += fmt::format(R"(gates {{
  id: "surveyed" title: "surveyed" question: "Is it so?" remedy: "Measure it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  computed {{ computation: "{}" parameters {{ key: "max_age" value: "365 days" }} {} }}
  sources: ["common practice"]
}}
)",
                                   computation, MoreParameters(computation));
  TapeForSurvey(files);
}

std::function<void(Files&)> Asked(std::string computation) {
  return [=](Files& files) { AskFor(computation, files); };
}
std::function<void(Files&)> Asked(std::string computation, std::string part, std::string by) {
  return [=](Files& files) {
    AskFor(computation, files);
    std::string& where = files.measurements_csv.find(part) == std::string::npos
                             ? files.rules_txtpb
                             : files.measurements_csv;
    where = Replaced(where, part, by);
  };
}

/// The door stands 3 m before a crest and leaves the telehandler 6 in on the level. Its tail of 4
/// ft 1 in rises by 3 in under it where that trails, its nose of 6 ft 9 in by 8 in.
std::function<void(Files&)> OverACrest(std::string travel) {
  return [=](Files& files) {
    AskFor("goes-under", files);
    files.rules_txtpb =
        Replaced(files.rules_txtpb, R"(value: "forwards")", fmt::format(R"(value: "{}")", travel));
    files.map_geojson = Replaced(files.map_geojson, "[-40.0, 20.0, 10.0], [-40.0, 20.0005, 10.2]",
                                 "[-40.0, 20.0, 13.26], [-40.0, 20.000327, 13.26], "
                                 "[-40.0, 20.0005, 10.2]");
    files.measurements_csv = Replaced(files.measurements_csv, "door-1 clear-height,14 ft 0 in",
                                      "door-1 clear-height,9 ft 2 in");
    files.measurements_csv =
        Replaced(files.measurements_csv, "door-1 sill-height,1 in", "door-1 sill-height,0 in");
  };
}

Fact OfHop(const char* name, v1::GateState state, const char* reason,
           std::function<void(Files&)> files) {
  return {.name = name,
          .gate = "surveyed",
          .state = state,
          .reason = reason,
          .files = std::move(files),
          .kind = "short-hop"};
}

INSTANTIATE_TEST_SUITE_P(
    Survey, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        OfHop("fits", kClear, "by out-way, line-way", Asked("fits-route")),
        OfHop("too_steep_a_way", kNotClear, "NO WAY: out-way",
              Asked("fits-route", "12 %", "0.1 %")),
        OfHop("no_grade_asked", kNotClear, "grade", Asked("fits-route", "12 %", "12 ft")),
        OfHop("way_not_rated", kNotClear, "rated-mass of out-way is unknown",
              Asked("fits-route", "out-way rated-mass,60000 lb,,,lee,2026-11-01T08:00:00Z\n", "")),
        OfHop("goes_under", kClear, "GO UNDER door-1", Asked("goes-under")),
        OfHop("noses_over_a_crest", kClear, "GO UNDER door-1", OverACrest("forwards")),
        OfHop("backs_over_a_crest", kNotClear, "STOP door-1: ", OverACrest("reversing")),
        OfHop("no_such_travel_under", kNotClear, "forwards or reversing", OverACrest("sideways")),
        OfHop("no_such_travel_over", kNotClear, "forwards or reversing",
              Asked("clears-ground", R"(value: "forwards")", R"(value: "sideways")")),
        OfHop("too_tall", kNotClear, "STOP door-1: ",
              Asked("goes-under", "TH-1 carried-height,8 ft 5 in",
                    "TH-1 carried-height,14 ft 5 in")),
        OfHop("wheelbase_unknown", kNotClear, "wheelbase of TH-1 with forks is unknown",
              Asked("goes-under", "TH-1 wheelbase,9 ft 6 in,,forks,lee,2026-11-01T08:00:00Z\n",
                    "")),
        OfHop("wheelbase_old", kStale, "measure it again",
              Asked("goes-under", "TH-1 wheelbase,9 ft 6 in,,forks,lee,2026-11-01",
                    "TH-1 wheelbase,9 ft 6 in,,forks,lee,2025-10-01")),
        OfHop("clears", kClear, "CLEARS", Asked("clears-ground")),
        OfHop("grounds", kNotClear, "WILL GROUND",
              Asked("clears-ground", "TH-1 belly-clearance,16 in", "TH-1 belly-clearance,1 in")),
        OfHop("beside", kClear, "GO THROUGH: ", Asked("keeps-clear")),
        OfHop("too_tight", kNotClear, "door-1",
              Asked("keeps-clear", R"(value: "12 in")", R"(value: "99 in")")),
        OfHop("turn_unknown", kNotClear, "turning-radius of TH-1 with forks is unknown",
              Asked("keeps-clear", "TH-1 turning-radius,13 ft,,forks,lee,2026-11-01T08:00:00Z\n",
                    "")),
        OfHop("no_such_travel", kNotClear, "forwards or reversing",
              Asked("keeps-clear", R"(value: "forwards")", R"(value: "sideways")")),
        OfHop("leaves_free", kClear, "", Asked("leaves-free")),
        OfHop("carries", kClear, "35,154 lb to spare", Asked("ground-carries")),
        OfHop("too_heavy", kNotClear, "STAY OFF out-way: 4,846 lb too heavy",
              Asked("ground-carries", "out-way rated-mass,60000 lb",
                    "out-way rated-mass,20000 lb")),
        OfHop("no_wire", kClear, "NO WIRE on the map", Asked("wires-clear")),
        OfHop("no_such_travel_by_wires", kNotClear, "forwards or reversing",
              Asked("wires-clear", R"(value: "forwards")", R"(value: "sideways")")),
        OfHop("heard", kClear, "Horn HEARD", Asked("horn-heard")),
        OfHop("drowned", kNotClear, "Horn NOT heard",
              Asked("horn-heard", "bay ambient-level,70 dB(A)", "bay ambient-level,95 dB(A)")),
        OfHop("light", kClear, "bay: ", Asked("light-enough")),
        OfHop("no_carrier", kNotClear, "no carrier is named", Asked("axles-legal")),
    }),
    FactName);

}  // namespace
}  // namespace chockwise::moves
