// The register of what fits: against the tapes, against the full ride, and in time.
#include "services/survey/fit_register.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <regex>
#include <string>

#include "services/survey/machines.h"
#include "tests/support/grown_yards.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;

void Quiet(Progress) {}

const FitRow* RowOf(const FitRegister& all, const std::string& machine, const std::string& with,
                    const std::string& door) {
  const auto row = std::ranges::find_if(all.rows, [&](const FitRow& r) {
    return r.machine == machine && r.attachment == with && r.door == door;
  });
  return row == all.rows.end() ? nullptr : &*row;
}

TEST(FitRegister, TellsWhatTheTapesLeave) {
  const yard::Yard yard = DemoYard();
  const FitRegister all = RegisterOf(At(yard), Quiet, {.needed_each_side = fit::Inches(12)});
  EXPECT_EQ(all.as_of, kNoon);
  // door-4: 4.27 m by 3.96 m, sill 15 mm. EX-301: 10 ft 4 in high, 11 ft 2 in wide, belly 17 in,
  // wheelbase 12 ft 1 in; tracks bounce 1 in.
  const FitRow* row = RowOf(all, "EX-301", "bucket", "door-4");
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->fits, Fits::kTight);
  EXPECT_THAT(row->why, HasSubstr("door-4"));
  // Less than the tapes leave on level ground with the sill under the track; and over it just what
  // the ride leaves, the worse way about and less its error.
  fit::Metres ridden_above = fit::InMetres(100);
  for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing}) {
    const auto ridden = RideOf(At(yard), TripOf("EX-301", "s2-bay-2", "yard-cross"), travel);
    ASSERT_TRUE(ridden) << ridden.error().Text();
    const fit::TightSpot& spot = ridden->ride.overheads.front();
    ridden_above = std::min(ridden_above, spot.margin - spot.error);
  }
  EXPECT_NEAR(row->above->metres(), ridden_above.metres(), 1e-3);
  EXPECT_LT(row->above->metres(), 4.27 - 124 * 0.0254 - 0.0254 - 0.015);
  const double tape_m = 0.5 * 0.0254;  // half of it of either width, on each side
  EXPECT_NEAR(row->each_side->metres(), (3.96 - 134 * 0.0254) / 2 - tape_m, 1e-3);
  EXPECT_LE(row->each_side->metres(), (3.96 - 134 * 0.0254) / 2);
  EXPECT_LT(row->below->metres(), 17 * 0.0254 - 0.015);
  EXPECT_GT(row->below->metres(), 17 * 0.0254 / 2);
  EXPECT_EQ(RowOf(all, "WL-402", "bucket", "door-1")->fits, Fits::kNo) << "12 ft 11 in under 12 ft";
  EXPECT_EQ(all.go + all.tight + all.no + all.unknown, static_cast<int>(all.rows.size()));
  EXPECT_GT(all.go, 0);
}

/// The yard's gates ask 6 in, which door-4 leaves beside EX-301.
TEST(FitRegister, AsksWhatTheGatesOfTheYardAsk) {
  const yard::Yard yard = DemoYard();
  const FitRegister all = RegisterOf(At(yard), Quiet);
  EXPECT_NEAR(all.needs.each_side.inches(), 6, 1e-9);
  EXPECT_THAT(all.needs.side_told.by, ::testing::StartsWith("gate "));
  EXPECT_EQ(RowOf(all, "EX-301", "bucket", "door-4")->fits, Fits::kGo);
}

/// What stands behind a row is kept: who measured it and when, and the oldest of it.
TEST(FitRegister, KeepsTheReadingsBehindEveryRow) {
  const FitRegister all = RegisterOf(At(DemoYard()), Quiet);
  const FitRow* row = RowOf(all, "ST-101", "", "door-2");
  ASSERT_TRUE(row->oldest);
  const auto machine = std::ranges::find(all.machines, "ST-101", &ReadingsBehind::of);
  const auto door = std::ranges::find(all.doors, "door-2", &ReadingsBehind::of);
  ASSERT_NE(machine, all.machines.end());
  ASSERT_NE(door, all.doors.end());
  const auto oldest = [](const ReadingsBehind& behind) {
    EXPECT_FALSE(behind.inputs.empty());
    fit::Instant least = kNoon;
    for (const fit::Input& input : behind.inputs) {
      EXPECT_FALSE(input.by.empty()) << input.name;
      if (input.when) least = std::min(least, *input.when);
    }
    return least;
  };
  EXPECT_EQ(*row->oldest, std::min(oldest(*machine), oldest(*door)));
  const auto names = [](const fit::Input& input) { return input.name; };
  EXPECT_TRUE(std::ranges::find(machine->inputs, "carried-height of ST-101", names) !=
              machine->inputs.end());
  EXPECT_TRUE(std::ranges::find(door->inputs, "sill-height of door-2", names) !=
              door->inputs.end());
}

TEST(FitRegister, EveryAttachmentHasItsRowsAndUnknownSaysWhy) {
  const FitRegister all = RegisterOf(At(DemoYard()), Quiet);
  const FitRow* forks = RowOf(all, "WL-402", "forks", "door-3");
  ASSERT_NE(forks, nullptr);
  EXPECT_EQ(forks->fits, Fits::kUnknown);
  EXPECT_THAT(forks->why, HasSubstr("carried-length of WL-402 with forks is unknown"));
  EXPECT_FALSE(forks->above);
  const FitRow* old = RowOf(all, "EX-302", "bucket", "door-3");
  ASSERT_NE(old, nullptr);
  EXPECT_THAT(old->why, HasSubstr("was measured on 2025-10-20"));
}

/// Law 2: each reading that a row stands on, missing, 13 months old and still to come.
TEST(FitRegister, ARowWithoutOneOfItsReadingsIsUnknown) {
  for (const char* what :
       {"ST-101 carried-height", "ST-101 carried-width", "ST-101 belly-clearance",
        "ST-101 wheelbase", "ST-101 front-overhang", "ST-101 wheel-radius", "ST-101 turning-radius",
        "CA-901 trailer-belly-clearance", "door-2 clear-height", "door-2 clear-width",
        "door-2 sill-height"}) {
    const std::string name = what, machine = name.starts_with("CA") ? "CA-901" : "ST-101";
    for (const char* instead : {"", "2025-10-20T08:00:00Z", "2026-11-25T08:00:00Z"}) {
      yard::Yard yard = DemoYard([&](std::string& text) {
        text =
            *instead == '\0'
                ? std::regex_replace(text, std::regex("\n" + name + ",[^\n]*"), "")
                : std::regex_replace(text, std::regex("(\n" + name + ",[^\n]*,)20[0-9-]+T[0-9:]+Z"),
                                     std::string("$01") + instead);
      });
      std::erase_if(yard.machines,
                    [&](const auto& other) { return other.first.value() != machine; });
      const FitRegister all = RegisterOf(At(yard), Quiet);
      const FitRow* row = RowOf(all, machine, "", "door-2");
      ASSERT_NE(row, nullptr);
      EXPECT_EQ(row->fits, Fits::kUnknown) << what << " " << instead;
      const size_t space = name.find(' ');
      EXPECT_THAT(row->why, HasSubstr(name.substr(space + 1) + " of " + name.substr(0, space)));
    }
  }
}

fit::Verdict VerdictOf(const FitRegister& all, const char* machine, const char* door) {
  const FitRow* row = RowOf(all, machine, "", door);
  EXPECT_NE(row, nullptr);
  return row != nullptr && row->fits == Fits::kGo ? fit::Verdict::kClear : fit::Verdict::kConflict;
}

// Closer than its error is not clear: 3/4 of an inch over ST-101 are less than what the sill and
// the profile's error of 1/4 in take.
TEST(FitRegister, TheErrorIsTakenOff) {
  const yard::Yard yard =
      With("door-1 clear-height,12 ft 0 in", "door-1 clear-height,10 ft 1.6 in");
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  EXPECT_NE(GoesUnder(At(yard), trip, fit::Travel::kForwards)->verdict, fit::Verdict::kClear);
  const FitRegister all = RegisterOf(At(yard), Quiet);
  EXPECT_EQ(VerdictOf(all, "ST-101", "door-1"), fit::Verdict::kConflict);
  EXPECT_THAT(RowOf(all, "ST-101", "", "door-1")->why, HasSubstr("door-1, overhead"));
}

// A dip of 16 % right under the door: A x L / 4 less for what hangs over it, and the belly of a
// lowboy on the crests beside it.
TEST(FitRegister, TheLaneIsRidden) {
  yard::Yard yard = DemoYard();
  yard::Lane& lane = yard.lanes.at(yard::LaneId("bay-1-way"));
  const double door_m = yard.doors.at(yard::DoorId("door-1")).along.metres();
  const yard::Position start = lane.line.front();
  const auto at = [&](double along_m, double elevation_m) {
    return yard::Position{.longitude_deg = start.longitude_deg,
                          .latitude_deg = start.latitude_deg - along_m / 110'700.0,
                          .elevation_m = elevation_m};
  };
  lane.line = {start, at(door_m, 12.2 - 0.08 * door_m), at(2 * door_m, 12.2), lane.line.back()};
  ChangeReading(yard, "door-1", "clear-height", fit::Feet(11) + fit::Inches(11));
  const FitRegister level = RegisterOf(At(DemoYard()), Quiet), dipped = RegisterOf(At(yard), Quiet);
  const FitRow* before = RowOf(level, "ST-101", "", "door-1");
  const FitRow* after = RowOf(dipped, "ST-101", "", "door-1");
  // 13 ft 6 in of wheelbase and 16 %: 6.48 in, and an inch of the door itself; the sill and the
  // overhangs move with it.
  EXPECT_NEAR((*before->above - *after->above).inches(), 1 + 0.16 * 162 / 4, 1.5);
  EXPECT_EQ(VerdictOf(dipped, "CA-901", "door-1"), fit::Verdict::kConflict);
  EXPECT_LT(*RowOf(dipped, "CA-901", "", "door-1")->below,
            *RowOf(level, "CA-901", "", "door-1")->below);
}

TEST(FitRegister, TheWayThroughIsDriven) {
  const yard::Yard yard = DemoYard();
  const FitRegister all = RegisterOf(At(yard), Quiet);
  // As service trucks leave their bays: the lane bends behind the door, and the tail swings.
  const Trip out = TripOf("ST-102", "s1-bay-1", "s1-apron");
  EXPECT_NE(KeepsClear(At(yard), out, {.travel = fit::Travel::kReversing})->verdict,
            fit::Verdict::kClear);
  EXPECT_EQ(RowOf(all, "ST-102", "", "door-1")->fits, Fits::kNo);
  EXPECT_EQ(RowOf(all, "CA-901", "", "door-1")->fits, Fits::kNo);
  // What is asked for on each side is what is told to be missing.
  const FitRegister wide = RegisterOf(At(yard), Quiet, {.needed_each_side = fit::Feet(4)});
  EXPECT_LT(wide.go, all.go);
  EXPECT_EQ(wide.no, all.no);
}

/// No row promises more than the whole lane ridden either way about.
TEST(FitRegister, NeverPromisesMoreThanTheRide) {
  const yard::Yard yard = DemoYard();
  const FitRegister all = RegisterOf(At(yard), Quiet);
  int compared = 0;
  for (const FitRow& row : all.rows) {
    const yard::Machine& machine = *yard.FindMachine(row.machine);
    if (row.fits == Fits::kUnknown || machine.attachment != row.attachment) continue;
    const yard::Lane& lane = yard.lanes.at(yard.doors.at(yard::DoorId(row.door)).lane);
    const Trip trip{.machine = machine.id, .from = lane.from, .to = lane.to, .by = {lane.id}};
    for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing}) {
      const auto ridden = RideOf(At(yard), trip, travel);
      ASSERT_TRUE(ridden) << ridden.error().Text();
      for (const fit::TightSpot& spot : ridden->ride.overheads) {
        if (spot.at != row.door) continue;
        EXPECT_LE(*row.above, spot.margin) << row.machine << " " << row.door;
      }
      ++compared;
    }
  }
  EXPECT_GE(compared, 120);
}

/// Machines with 3 attachments each at 40 doors, on a yard that grew from the scenario's; in parts
/// or as a whole it is the same.
TEST(FitRegister, ALargeYardIsToldRowByRow) {
  const yard::Yard yard = testing::Crowded(DemoYard(), {.machines = 8, .doors = 40});
  size_t told = 0;
  const FitRegister all = RegisterOf(At(yard), [&](Progress at) {
    ++told;
    EXPECT_LE(at.done, at.of);
  });
  EXPECT_EQ(all.rows.size(), 960u);
  EXPECT_EQ(all.unknown, 0) << all.rows.front().why;
  EXPECT_EQ(told, 24u);
  const RegisterParts parts(At(yard), {});
  const RegisterParts::Part last = parts.PartOf(parts.parts() - 1);
  ASSERT_EQ(last.rows.size(), 40u);
  EXPECT_EQ(last.rows.back().machine, all.rows.back().machine);
  EXPECT_EQ(last.rows.back().above, all.rows.back().above);
}

}  // namespace
}  // namespace chockwise::survey
