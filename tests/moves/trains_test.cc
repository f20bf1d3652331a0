// What hangs behind a machine moves with it: it is inspected, tagged, measured and counted like the
// machine, it stands where that stands, and it takes no room and no move of its own.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "services/moves/computations.h"
#include "tests/moves/facts.h"
#include "tests/moves/open_states.h"
#include "tests/moves/taped.h"

namespace chockwise::moves {
namespace {

using ::testing::HasSubstr;

/// TH-1 tows DL-1, a dolly with `chocks` under it, as high as `height` says.
std::function<void(Files&)> Hitched(const std::string& height = "8 ft 0 in", int chocks = 0) {
  return [=](Files& files) {
    files.machines_csv = Replaced(files.machines_csv, "chocks\n", "chocks,tows\n");
    for (const char* row : {"service-truck,bay,,2", "service-truck,north,,0", "carrier,pad,,0",
                            "wheel-loader,north,bucket,0"})
      files.machines_csv = Replaced(files.machines_csv, row, std::string(row) + ",");
    files.machines_csv =
        Replaced(files.machines_csv, "telehandler,bay,forks,0", "telehandler,bay,forks,0,DL-1");
    files.machines_csv += fmt::format("DL-1,Dolly,trailer,bay,,{},\n", chocks);
    AddReadings(files, {("DL-1 carried-height," + height + ",,").c_str(),
                        "DL-1 carried-width,8 ft 0 in,,", "DL-1 carried-length,12 ft 0 in,,",
                        "DL-1 mass,5200 lb,,", "DL-1 belly-clearance,14 in,,"});
  };
}

/// DL-1 stands beside it.
void Unhitch(Files& files) {
  files.machines_csv = Replaced(files.machines_csv, "bay,forks,0,DL-1", "bay,forks,0,");
}

/// ST-1 in the bay tows TH-1.
void HitchBehindTruck(Files& files) {
  Hitched()(files);
  Unhitch(files);
  files.machines_csv =
      Replaced(files.machines_csv, "service-truck,bay,,2,", "service-truck,bay,,2,TH-1");
}

std::function<void(Files&)> HitchedBut(const std::string& part, const std::string& by) {
  return [=](Files& files) {
    Hitched()(files);
    files.measurements_csv = Replaced(files.measurements_csv, part, by);
  };
}

void Inspect(Story& story, const char* machine, const char* defect) {
  v1::RecordInspectionRequest inspection;
  inspection.set_name(MachineName("small", machine));
  inspection.set_defect(defect);
  story.Must("tess", inspection);
}

void TagDolly(Story& story) {
  v1::HangTagRequest tag;
  tag.set_name(MachineName("small", "DL-1"));
  tag.set_text("under it");
  story.Must("tess", tag);
}

// The door is 14 ft 0 in; 3 in of bounce and 6 in are asked for.
INSTANTIATE_TEST_SUITE_P(
    Train, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"goes_through_with_its_highest_unit", "door-margins", kClear, "to spare", Hitched()},
        {"its_dolly_too_high", "door-margins", kNotClear, "does not fit door-1",
         Hitched("13 ft 10 in")},
        {"its_dolly_tight", "door-margins", kNotClear, "tight at door-1", Hitched("13 ft 4 in")},
        {"its_dolly_untaped", "door-margins", kNotClear, "DL-1 carried-height is unknown",
         HitchedBut("DL-1 carried-height,8 ft 0 in,,,lee,2026-11-01T08:00:00Z\n", "")},
        {"its_dolly_taped_too_long_ago", "door-margins", kStale, "DL-1 carried-width was measured",
         HitchedBut("DL-1 carried-width,8 ft 0 in,,,lee,2026-11-01T08:00:00Z",
                    "DL-1 carried-width,8 ft 0 in,,,lee,2025-10-01T08:00:00Z")},
        {"all_of_it_weighed", "mass-known", kClear, "DL-1 mass 5200 lb", Hitched()},
        {"its_dolly_unweighed", "mass-known", kNotClear, "DL-1 mass is unknown",
         HitchedBut("DL-1 mass,5200 lb,,,lee,2026-11-01T08:00:00Z\n", "")},
        {"on_a_deck", "mass-within-capacity", kNotClear,
         "TH-1 tows DL-1, and what a train weighs on a deck is not known here", Hitched(),
         [](Story&) {}, "load-onto-carrier"},
        {"all_inspected", "inspected-this-shift", kClear, "", Hitched()},
        {"its_dolly_defective", "inspected-this-shift", kNotAsked, "DL-1 has no inspection",
         Hitched(), [](Story& story) { Inspect(story, "DL-1", "eye worn"); }},
        {"its_dolly_tagged", "no-tags", kNotClear, "tag 1 on DL-1 by tess", Hitched(), TagDolly},
        {"a_dolly_was_hitched_to_it", "ground-free", kNotClear,
         "what TH-1 tows has changed since the move was asked for (then nothing, now DL-1): "
         "withdraw it and ask anew",
         [](Files&) {}, Reload(Hitched())},
        {"its_dolly_was_unhitched", "ground-free", kNotClear,
         "what TH-1 tows has changed since the move was asked for (then DL-1, now nothing)",
         Hitched(), Reload(Unhitch)},
        {"it_was_hung_behind_a_truck", "ground-free", kNotClear,
         "TH-1 hangs behind ST-1 since the move was asked for: withdraw it and ask anew",
         [](Files&) {}, Reload(HitchBehindTruck)},
        {"another_file_with_the_same_dolly", "ground-free", kClear, "", Hitched(),
         Reload(Measured("DL-1 mass,5200 lb", "DL-1 mass,5300 lb"))},
    }),
    FactName);

Story HitchedStory(const std::function<void(Files&)>& change = Hitched()) {
  Files files = ReadYardFolder("tests/moves/yard_small");
  change(files);
  return Story::SmallFrom(files);
}

const Asked kOut{.kind = "machine-through-door", .machine = "TH-1", .to = "line"};
const MachineId kDolly("DL-1");

TEST(Train, GoesAndStandsAsOne) {
  Story story = HitchedStory();
  const MoveNumber number = story.Ask(kOut);
  EXPECT_EQ(story.state().machines.at(kDolly).move, number);
  story.BringTo(number, v1::PHASE_HOLD_POINT);
  EXPECT_TRUE(story.state().machines.at(kDolly).place.empty());
  story.RunToTheEnd(number);
  EXPECT_EQ(story.state().machines.at(kDolly).place, PlaceId("line"));
  EXPECT_EQ(story.state().machines.at(kDolly).move, 0);
  story.CheckReplay();
}

TEST(Train, ItsUnitsAreAskedForByNoMoveOfTheirOwn) {
  Story story = HitchedStory();
  v1::RequestMoveRequest request;
  request.set_parent(YardName("small"));
  request.set_kind("machine-through-door");
  request.set_machine("DL-1");
  request.set_to_place("line");
  const Refusal refusal = story.MustRefuse("dana", request, RefusalKind::kInvalid);
  EXPECT_THAT(RefusalText(refusal) + refusal.violations.front().problem(),
              HasSubstr("DL-1 hangs behind TH-1"));
}

TEST(Train, ATagOnAnyUnitStopsAllOfIt) {
  Story story = HitchedStory();
  const MoveNumber number = story.Ask(kOut);
  story.Go(number);
  TagDolly(story);
  EXPECT_EQ(story.move(number).state, v1::MOVE_STATE_STOPPED);
}

// Law 9: no gate counts the chocks of a unit that is towed, so none may be under it.
TEST(Train, DoesNotRollOverWhatLiesUnderAUnit) {
  Story story = HitchedStory(Hitched("8 ft 0 in", 1));
  const MoveNumber number = story.Ask(kOut);
  const Outcome<Entries> released = story.TryRelease(number);
  ASSERT_FALSE(released);
  EXPECT_THAT(RefusalText(released.error()), HasSubstr("chocks put down at DL-1: 1"));
  v1::RecordPutDownRequest none;
  none.set_name(MachineName("small", "DL-1"));
  none.set_item("chocks");
  none.set_count(0);
  story.MustRefuse("eli", none, RefusalKind::kPrecondition);  // the first of two
  story.Must("sue", none);
  story.ClearAll(number);
  story.Release(number);
}

TEST(Train, StandsTogetherOrIsNotAskedFor) {
  Files apart = ReadYardFolder("tests/moves/yard_small");
  Files hitched = apart;
  Hitched()(hitched);
  Story story = HitchedStory([](Files&) {});
  const MoveNumber first = story.Ask(kOut);
  story.RunToTheEnd(first);
  // The file hitches the dolly in the bay, and the telehandler has left it.
  story.Must("lee", LoadOf(hitched, 2));
  v1::RequestMoveRequest request;
  request.set_parent(YardName("small"));
  request.set_kind("machine-through-door");
  request.set_machine("TH-1");
  request.set_to_place("bay");
  EXPECT_THAT(RefusalText(story.MustRefuse("dana", request, RefusalKind::kPrecondition)),
              HasSubstr("hangs DL-1 behind TH-1, and it does not stand at line"));
}

// Law 11: what is recorded to move is what hung there when the move was asked for.
TEST(Train, IsAskedForAnewWhereAReloadUnhitchedAUnit) {
  Story story = HitchedStory();
  const MoveNumber first = story.Ask(kOut);
  story.ClearAll(first);
  story.Release(first);
  Reload(Unhitch)(story);
  EXPECT_EQ(story.move(first).state, v1::MOVE_STATE_REQUESTED) << "the release was taken back";
  const Outcome<Entries> again = story.TryRelease(first);
  ASSERT_FALSE(again);
  EXPECT_THAT(RefusalText(again.error()), HasSubstr("(then DL-1, now nothing): withdraw it"));
  v1::WithdrawMoveRequest withdraw = On<v1::WithdrawMoveRequest>(story, first);
  withdraw.set_reason("the dolly stays");
  story.Must("dana", withdraw);
  EXPECT_EQ(story.state().machines.at(kDolly).move, 0);
  story.RunToTheEnd(story.Ask(kOut));
  EXPECT_EQ(story.state().machines.at(kDolly).place, PlaceId("bay")) << "it was left there";
  EXPECT_EQ(story.state().machines.at(MachineId("TH-1")).place, PlaceId("line"));
  story.CheckReplay();
}

TEST(Train, HeldAtTheLineDoesNotGoOnWithAUnitHitchedSince) {
  Story story = HitchedStory([](Files&) {});
  const MoveNumber number = story.Ask(kOut);
  story.BringTo(number, v1::PHASE_HOLD_POINT);
  Reload(Hitched("8 ft 0 in", 1))(story);
  const Outcome<Entries> released = story.TryRelease(number);
  ASSERT_FALSE(released);
  EXPECT_THAT(RefusalText(released.error()),
              HasSubstr("(then nothing, now DL-1): put the column tows of machines.csv back"));
}

TEST(Train, UnderWayIsStoppedByAReloadThatChangesItAndGoesOnOnceThatIsPutBack) {
  Story story = HitchedStory();
  const Files hitched = story.files();
  const MoveNumber number = story.Ask(kOut);
  story.Go(number);
  Reload(Unhitch)(story);
  EXPECT_EQ(story.move(number).state, v1::MOVE_STATE_STOPPED);
  const v1::MoveStopped& stopped = story.entries().back().move_stopped();
  EXPECT_EQ(stopped.cause(), v1::STOP_CAUSE_FACT_CHANGED);
  EXPECT_THAT(stopped.text(), HasSubstr("what TH-1 tows has changed"));
  story.Must("lee", On<v1::AllowRestartRequest>(story, number));
  EXPECT_FALSE(story.TryRelease(number));
  story.Must("lee", LoadOf(hitched, 3));
  story.RunToTheEnd(number);
  EXPECT_EQ(story.state().machines.at(kDolly).place, PlaceId("line"));
  story.CheckReplay();
}

TEST(Train, TakesTheRoomOfOne) {
  // On the line's three stand a truck, a truck with the dolly, and room for one more.
  Story story = HitchedStory([](Files& files) {
    Hitched()(files);
    const std::pair<const char*, const char*> changes[] = {
        {"telehandler,bay,forks,0,DL-1", "telehandler,bay,forks,0,"},
        {"service-truck,bay,,2,", "service-truck,line,,2,DL-1"},
        {"service-truck,north,,0,", "service-truck,line,,0,"},
        {"DL-1,Dolly,trailer,bay", "DL-1,Dolly,trailer,line"}};
    for (const auto& [row, by] : changes)
      files.machines_csv = Replaced(files.machines_csv, row, by);
  });
  const MoveNumber number = story.Ask(kOut);
  EXPECT_EQ(story.Gate(number, "ground-free").state, kClear);
}

}  // namespace
}  // namespace chockwise::moves
