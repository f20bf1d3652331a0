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
  const FitRegister all = RegisterOf(At(yard), Quiet);
  // door-4: 4.27 m by 3.96 m, sill 15 mm. EX-301: 10 ft 4 in high, 11 ft 2 in wide, belly 17 in,
  // wheelbase 12 ft 1 in; tracks bounce 1 in.
  const FitRow* row = RowOf(all, "EX-301", "bucket", "door-4");
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->fits, Fits::kTight);
  // Its centre of mass is 19 ft 6 in behind the front, 5 ft 3 in before the track's rear end, and
  // 12 ft 8 in hang over ahead.
  const double base = 1.6002, lean = 124 * 0.0254 * 0.015 / base;
  EXPECT_NEAR(row->above->metres(),
              4.27 - 124 * 0.0254 - 0.0254 - 0.015 * (1 + (0.3 + lean) / base), 1e-9);
  EXPECT_NEAR(row->each_side->metres(), (3.96 - 134 * 0.0254) / 2, 1e-9);
  EXPECT_NEAR(row->below->metres(), 17 * 0.0254 - 0.015 * (152 * 0.0254 + lean) / base, 1e-9);
  EXPECT_EQ(RowOf(all, "WL-402", "bucket", "door-1")->fits, Fits::kNo) << "12 ft 11 in under 12 ft";
  EXPECT_EQ(RowOf(all, "ST-101", "", "door-2")->fits, Fits::kGo);
  EXPECT_EQ(all.go + all.tight + all.no + all.unknown, static_cast<int>(all.rows.size()));
}

TEST(FitRegister, EveryAttachmentHasItsRowsAndUnknownSaysWhy) {
  const FitRegister all = RegisterOf(At(DemoYard()), Quiet);
  const FitRow* forks = RowOf(all, "WL-402", "forks", "door-3");
  ASSERT_NE(forks, nullptr);
  EXPECT_EQ(forks->fits, Fits::kUnknown);
  EXPECT_THAT(forks->why, HasSubstr("carried-width of WL-402"));
  EXPECT_FALSE(forks->above);
  const FitRow* old = RowOf(all, "EX-302", "bucket", "door-3");
  ASSERT_NE(old, nullptr);
  EXPECT_THAT(old->why, HasSubstr("is too old"));
}

/// Law 2: each reading that a row stands on, missing, 13 months old and still to come.
TEST(FitRegister, ARowWithoutOneOfItsReadingsIsUnknown) {
  for (const char* what :
       {"ST-101 carried-height", "ST-101 carried-width", "ST-101 belly-clearance",
        "ST-101 wheelbase", "ST-101 front-overhang", "CA-901 trailer-belly-clearance",
        "door-2 clear-height", "door-2 clear-width", "door-2 sill-height"}) {
    const std::string name = what, machine = name.starts_with("CA") ? "CA-901" : "ST-101";
    for (const char* instead : {"", "2025-10-20T08:00:00Z", "2026-11-25T08:00:00Z"}) {
      const yard::Yard yard = DemoYard([&](std::string& text) {
        text =
            *instead == '\0'
                ? std::regex_replace(text, std::regex("\n" + name + ",[^\n]*"), "")
                : std::regex_replace(text, std::regex("(\n" + name + ",[^\n]*,)20[0-9-]+T[0-9:]+Z"),
                                     std::string("$01") + instead);
      });
      const FitRegister all = RegisterOf(At(yard), Quiet);
      const FitRow* row = RowOf(all, machine, "", "door-2");
      ASSERT_NE(row, nullptr);
      EXPECT_EQ(row->fits, Fits::kUnknown) << what << " " << instead;
      const size_t space = name.find(' ');
      EXPECT_THAT(row->why, HasSubstr(name.substr(space + 1) + " of " + name.substr(0, space)));
    }
  }
}

/// The closed forms never promise more than the full ride over the same sill on level ground.
TEST(FitRegister, NeverPromisesMoreThanTheRide) {
  const yard::Yard yard = DemoYard();
  const FitRegister all = RegisterOf(At(yard), Quiet);
  int compared = 0;
  for (const FitRow& row : all.rows) {
    const yard::Machine& machine = *yard.FindMachine(row.machine);
    if (row.fits == Fits::kUnknown || machine.attachment != row.attachment) continue;
    Readings readings(yard, At(yard).when);
    const auto riding = Riding(readings, machine);
    ASSERT_TRUE(riding) << riding.error().Text();
    const auto height = readings.Of<fit::Metres>(row.door, "clear-height");
    const auto sill = readings.Of<fit::Metres>(row.door, "sill-height");
    const fit::Metres from = fit::InMetres(50), to = fit::InMetres(50.3);
    const fit::LaneProfile lane{
        .ground = {{fit::Metres(), fit::Metres()}, {fit::InMetres(100), fit::Metres()}},
        .sills = {{.id = "sill", .from = from, .to = to, .height = *sill}},
        .overheads = {{.id = "door", .from = from, .to = to, .clear_height = *height}}};
    const fit::Metres bounce =
        machine.steering == yard::Steering::kTracks ? fit::kBounceOnTracks : fit::kBounceOnTyres;
    const auto ride =
        fit::RideOver({.machine = *riding, .profile = lane, .allow = {.bounce = bounce}});
    ASSERT_TRUE(ride) << ride.error().input << " " << ride.error().problem;
    const fit::TightSpot& above = ride->overheads.front();
    EXPECT_LE(*row.above, above.margin + above.error) << row.machine << " " << row.door;
    EXPECT_LE(*row.below, ride->below.gap + ride->below.error) << row.machine << " " << row.door;
    ++compared;
  }
  EXPECT_GE(compared, 60);
  RecordProperty("compared", compared);
}

/// 200 machines with 3 attachments each at 40 doors, on a yard that grew from the scenario's.
TEST(FitRegister, ALargeYardIsToldRowByRow) {
  const yard::Yard yard = testing::Crowded(DemoYard(), {.machines = 200, .doors = 40});
  size_t told = 0;
  const FitRegister all = RegisterOf(At(yard), [&](Progress at) {
    ++told;
    EXPECT_LE(at.done, at.of);
  });
  EXPECT_EQ(all.rows.size(), 24'000u);
  EXPECT_EQ(all.unknown, 0);
  EXPECT_EQ(told, 600u);
}

}  // namespace
}  // namespace chockwise::survey
