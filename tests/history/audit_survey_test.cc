// The audit asks the survey again the way the recorded rules did: which end of the machine leads is
// the rules' to say.
#include "services/history/audit_survey.h"

#include <gmock/gmock.h>

#include "services/yard/computations.h"
#include "small_yard.h"

namespace chockwise::history {
namespace {

using testing::HasSubstr;

void Swap(std::string& file, const std::string& text, const std::string& by) {
  const size_t at = file.find(text);
  ASSERT_NE(at, std::string::npos) << text;
  file.replace(at, text.size(), by);
}

/// The door stands 3 m before a crest and leaves the telehandler 6 in on the level. Its tail of 4
/// ft 1 in rises by 3 in under it where that trails, its nose of 6 ft 9 in by 8 in.
Book YardWithACrest() {
  auto files = SmallYard();
  Swap(files["map.geojson"], "[[-40.0, 20.0, 12.0], [-40.0, 20.0005, 12.0]]",
       "[[-40.0, 20.0, 16.8], [-40.0, 20.000227, 16.8], [-40.0, 20.0005, 12.0]]");
  Swap(files["machines.csv"], "chocks\n", "chocks,steering\n");
  Swap(files["machines.csv"], "forks,2", "forks,2,all-wheel");
  Swap(files["machines.csv"], "apron,,0", "apron,,0,front-axle");
  Swap(files["measurements.csv"], "door-1 clear-height,12 ft 0 in",
       "door-1 clear-height,8 ft 11 in");
  for (const char* reading :
       {"door-1 sill-height,0 in,,", "TH-07 carried-length,20 ft 4 in,,forks",
        "TH-07 front-overhang,6 ft 9 in,,forks", "TH-07 wheelbase,9 ft 6 in,,forks",
        "TH-07 wheel-radius,24 in,,forks", "TH-07 belly-clearance,16 in,,forks"})
    files["measurements.csv"] += std::string(reading) + ",lee,2026-11-02\n";
  auto yard = yard::ReadYard({.map_geojson = files["map.geojson"],
                              .machines_csv = files["machines.csv"],
                              .people_csv = files["people.csv"],
                              .measurements_csv = files["measurements.csv"],
                              .rules_txtpb = files["rules.txtpb"]},
                             files["base_rules.txtpb"], yard::KnownComputations());
  if (!yard) throw std::runtime_error(yard.error().front().Text());
  Book book;
  book.in_force.yard = std::move(*yard);
  return book;
}

/// What the audit finds wrong with a way out of the bay; empty where nothing is.
std::string FaultOf(const char* computation, const char* travel) {
  static const Book book = YardWithACrest();
  AuditedMove move;
  move.asked.set_machine("TH-07");
  move.asked.set_from_place("bay-1");
  move.asked.set_to_place("apron");
  move.asked.add_lanes("lane-1");
  constexpr int64_t kDayUs = 86'400'000'000;
  const Moment moment{.book = book, .move = move, .now_us = 1'793'577'600'000'000 + 5 * kDayUs};
  v1::Computed computed;
  computed.set_computation(computation);
  (*computed.mutable_parameters())["max_age"] = "365 days";
  (*computed.mutable_parameters())["travel"] = travel;
  const auto verdict = JudgeSurvey(moment, computed);
  if (!verdict) return "the audit does not know it";
  return verdict->fault ? verdict->fault->text : "";
}

TEST(JudgeSurvey, RidesNoseFirstOrRearFirstAsTheRulesSay) {
  EXPECT_EQ(FaultOf("goes-under", "forwards"), "");
  EXPECT_THAT(FaultOf("goes-under", "reversing"), HasSubstr("STOP door-1: "));
}

TEST(JudgeSurvey, NeverTakesATravelThatTheRulesDoNotSay) {
  for (const char* computation : {"goes-under", "clears-ground", "wires-clear"}) {
    EXPECT_EQ(FaultOf(computation, "reversing").find("travel"), std::string::npos) << computation;
    EXPECT_THAT(FaultOf(computation, ""), HasSubstr("forwards or reversing")) << computation;
    EXPECT_THAT(FaultOf(computation, "sideways"), HasSubstr("forwards or reversing"))
        << computation;
  }
}

}  // namespace
}  // namespace chockwise::history
