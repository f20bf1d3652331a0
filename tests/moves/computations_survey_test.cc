// Computed gates that the survey answers, named by a yard's own rules: clear, not clear with the
// number behind it, unknown, too old; and no release without them. What the survey computes is
// tested in its own room.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "services/moves/computations.h"
#include "tests/moves/facts.h"

namespace chockwise::moves {
namespace {

/// What the rules tell a computation besides the age.
std::string MoreParameters(const std::string& computation) {
  if (computation == "horn-heard") return R"(parameters { key: "distance" value: "40 ft" })";
  const std::string travel = R"(parameters { key: "travel" value: "forwards" })";
  if (computation == "leaves-free") return travel;
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
  files.machines_csv = Replaced(files.machines_csv, "chocks\n", "chocks,steering\n");
  for (const char* row : {"service-truck,bay,,2", "service-truck,north,,0", "carrier,pad,,0"})
    files.machines_csv = Replaced(files.machines_csv, row, std::string(row) + ",front-axle");
  files.machines_csv = Replaced(files.machines_csv, "bay,forks,0", "bay,forks,0,all-wheel");
  files.machines_csv = Replaced(files.machines_csv, "north,bucket,0", "north,bucket,0,articulated");
  for (const char* row : {"wheelbase,9 ft 6 in", "front-overhang,6 ft 9 in", "wheel-radius,24 in",
                          "turning-radius,13 ft", "horn-level-2m,106 dB(A)"})
    files.measurements_csv += fmt::format("TH-1 {},,forks,lee,2026-11-01T08:00:00Z\n", row);
  for (const char* row :
       {"door-1 sill-height,1 in", "out-way rated-mass,60000 lb", "line-way rated-mass,60000 lb",
        "bay ambient-level,70 dB(A)", "apron ambient-level,70 dB(A)", "line ambient-level,70 dB(A)",
        "bay light-level,60 lx", "apron light-level,60 lx", "line light-level,60 lx"})
    files.measurements_csv += fmt::format("{},,,lee,2026-11-01T08:00:00Z\n", row);
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
        OfHop("goes_under", kClear, "GO UNDER door-1", Asked("goes-under")),
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
        OfHop("carries", kClear, "35,400 lb to spare", Asked("ground-carries")),
        OfHop("too_heavy", kNotClear, "STAY OFF out-way: 4,600 lb too heavy",
              Asked("ground-carries", "out-way rated-mass,60000 lb",
                    "out-way rated-mass,20000 lb")),
        OfHop("no_wire", kClear, "NO WIRE", Asked("wires-clear")),
        OfHop("heard", kClear, "Horn HEARD", Asked("horn-heard")),
        OfHop("drowned", kNotClear, "Horn NOT heard",
              Asked("horn-heard", "bay ambient-level,70 dB(A)", "bay ambient-level,95 dB(A)")),
        OfHop("light", kClear, "bay: ", Asked("light-enough")),
        OfHop("no_carrier", kNotClear, "no carrier is named", Asked("axles-legal")),
    }),
    FactName);

}  // namespace
}  // namespace chockwise::moves
