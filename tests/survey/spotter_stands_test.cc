// The driver's sight and the spotter's place on the yard of the scenario: every stand that is given
// is looked at again with lines and distances of our own.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <regex>

#include "services/survey/drawing.h"
#include "services/survey/seeing.h"
#include "services/survey/spotters_ground.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using ::testing::StartsWith;

struct Row {
  const char *machine, *from, *to;
  fit::Travel travel = fit::Travel::kForwards;
};
void PrintTo(const Row& row, std::ostream* out) {
  *out << row.machine << " " << row.from << " -> " << row.to
       << (row.travel == fit::Travel::kReversing ? " reversing" : "");
}

/// Through doors, along them, past the wall between them, and across the yard.
const Row kRows[] = {
    {"TH-201", "s1-bay-1", "truck-row"},
    {"TH-201", "s1-bay-3", "truck-row", fit::Travel::kReversing},
    {"TH-201", "s2-bay-1", "yard-cross"},
    {"EX-301", "s2-bay-1", "ready-line"},
    {"EX-301", "s2-bay-2", "ready-line"},
    {"ST-101", "s1-bay-1", "truck-row"},
    {"ST-101", "s1-bay-1", "s1-apron"},
    {"ST-101", "s1-bay-1", "s1-apron", fit::Travel::kReversing},
    {"ST-101", "s1-bay-2", "street-gate"},
    {"ST-101", "s2-bay-3", "wash-pad"},
    {"ST-101", "s1-apron", "yard-cross"},
    {"ST-101", "yard-cross", "ready-line"},
    {"ST-104", "s1-bay-3", "s1-apron", fit::Travel::kReversing},
    {"WL-401", "s2-bay-2", "ready-line"},
};

bool Crosses(const fit::Ring& ring, fit::Point a, fit::Point b) {
  for (size_t i = 0; i < ring.size(); ++i) {
    const fit::Point c = ring[i], d = ring[(i + 1) % ring.size()];
    if (Cross(b - a, c - a) * Cross(b - a, d - a) <= 0 &&
        Cross(d - c, a - c) * Cross(d - c, b - c) <= 0)
      return true;
  }
  return false;
}

std::vector<fit::Point> EyesOf(const SeenWay& seen, const fit::Pose& pose) {
  std::vector<fit::Point> eyes;
  for (const fit::BlindZone& zone : seen.sight.zones)
    eyes.push_back(fit::FromPose(pose, zone.eye.x_m, zone.eye.y_m));
  return eyes;
}

class SpotterStands : public ::testing::TestWithParam<Row> {
 protected:
  void SetUp() override {
    const Row& row = GetParam();
    auto seen = SeeOf(At(yard_), TripOf(row.machine, row.from, row.to), {.travel = row.travel});
    ASSERT_TRUE(seen) << seen.error().Text();
    ASSERT_FALSE(seen->places.stands.empty()) << seen->line;
    seen_ = std::move(*seen);
  }

  const yard::Yard yard_ = DemoYard();
  const yard::Plane plane_ = PlaneOf(yard_);
  SeenWay seen_;
};

// From every pose that a stand serves no line to it passes a wall of the map, a parked row, or a
// door's wall; and it is not in the machine's own blind ground.
TEST_P(SpotterStands, WhereNoLineOfSightPassesAWall) {
  std::vector<fit::Ring> walls;
  for (const auto& [id, obstacle] : yard_.obstacles)
    walls.push_back(RingOf(plane_, obstacle.rings.front()));
  for (const GroundOnWay& obstacle : seen_.driven.way.obstacles) walls.push_back(obstacle.ring);
  for (const fit::SpotterStand& stand : seen_.places.stands) {
    for (size_t pose = stand.from_pose; pose <= stand.to_pose; ++pose) {
      const fit::Point along = fit::Unit(seen_.poses[pose].heading_rad);
      const fit::Point off = stand.at - seen_.poses[pose].at;
      for (const fit::BlindZone& zone : seen_.sight.zones)
        ASSERT_FALSE(fit::Hides(zone, {Dot(off, along), Cross(along, off)})) << pose;
      for (const fit::Point eye : EyesOf(seen_, seen_.poses[pose])) {
        for (const fit::Ring& wall : walls) ASSERT_FALSE(Crosses(wall, eye, stand.at)) << pose;
      }
    }
  }
}

// Where a line passes the line of a door's wall within 10 ft of a jamb, it passes between the
// jambs: who stands outside is seen through the door alone.
TEST_P(SpotterStands, SeenThroughTheDoorOrNotAtAll) {
  for (const fit::SpotterStand& stand : seen_.places.stands) {
    for (size_t pose = stand.from_pose; pose <= stand.to_pose; ++pose) {
      for (const fit::Point eye : EyesOf(seen_, seen_.poses[pose])) {
        for (const DoorOnWay& door : seen_.driven.way.doors) {
          const fit::Point across = door.right - door.left;
          const double opening_m = LengthM(across);
          const double from = Cross(across, eye - door.left) / opening_m;
          const double to = Cross(across, stand.at - door.left) / opening_m;
          if (from * to >= 0) continue;
          const fit::Point passes = eye + (from / (from - to)) * (stand.at - eye);
          const double at_m = Dot(across, passes - door.left) / opening_m;
          const bool beside = at_m < 0 || at_m > opening_m;
          const bool near = at_m > -3.048 && at_m < opening_m + 3.048;
          ASSERT_FALSE(beside && near) << pose << ": " << at_m << " m from the left jamb";
        }
      }
    }
  }
}

// On ground of people: a foot and a half of room off every lane, place and area that machines or
// the law have, and off the swept ground by the standoff.
TEST_P(SpotterStands, OnNoLanePlaceRowExitOrFireWay) {
  const double room_m = 0.499;
  for (const fit::SpotterStand& stand : seen_.places.stands) {
    EXPECT_GE(stand.off_path, seen_.standoff.distance + fit::InMetres(room_m));
    for (const auto& [id, lane] : yard_.lanes) {
      fit::Line line;
      for (const yard::Position& position : lane.line) line.push_back(OnPlane(plane_, position));
      const yard::Measurement* width = yard_.measurements.Latest(id.value(), "width", "");
      ASSERT_NE(width, nullptr);
      const double half_m = std::get<fit::Metres>(width->value).metres() / 2;
      const fit::Region ground = *fit::Region::Around(line, fit::InMetres(half_m));
      EXPECT_GE(ground.DistanceTo(stand.at)->metres(), room_m) << id.value();
    }
    for (const auto& [id, place] : yard_.places) {
      const double off_m = LengthM(stand.at - OnPlane(plane_, place.position));
      EXPECT_GE(off_m, kAroundPlace.metres() + room_m) << id.value();
    }
    for (const auto& [id, area] : yard_.areas) {
      if (!yard::MustStayFree(area.duty) && area.duty != yard::Duty::kParking) continue;
      const auto ground = fit::Region::From({.outer = RingOf(plane_, area.rings.front())});
      EXPECT_GE(ground->DistanceTo(stand.at)->metres(), room_m) << id.value();
    }
  }
}

// The places follow each other, the machine holding where the one ends and the next begins.
TEST_P(SpotterStands, TheyServeTheWholeWayInOrder) {
  size_t next = 0;
  for (const fit::SpotterStand& stand : seen_.places.stands) {
    EXPECT_EQ(stand.from_pose, next);
    next = stand.to_pose;
  }
  if (!seen_.places.unseen_pose) {
    EXPECT_EQ(next + 1, seen_.poses.size());
  }
  EXPECT_EQ(seen_.stand_at.size(), seen_.places.stands.size());
}

INSTANTIATE_TEST_SUITE_P(OnTheDemoYard, SpotterStands, ::testing::ValuesIn(kRows));

TEST(SpotterIsSeen, IsToldWhereToStandInASentenceOfFiveSeconds) {
  const yard::Yard yard = DemoYard();
  const auto answer = SpotterIsSeen(At(yard), TripOf("ST-101", "s1-bay-1", "s1-apron"), {});
  EXPECT_EQ(VerdictOf(answer), fit::Verdict::kClear);
  // Landmark, distance, side and lane; at three words a second fifteen.
  const std::regex told(
      "STAND \\d+ ft (past|before) (door-1|s1-bay-1|s1-apron), \\d+ ft (left|right) of bay-1-way: "
      "seen all the way");
  EXPECT_TRUE(std::regex_match(LineOf(answer), told)) << LineOf(answer);
  EXPECT_EQ(answer->parts.size(), 1u);
  const auto has = [&](const char* name) {
    return std::ranges::any_of(answer->answer.inputs,
                               [&](const fit::Input& input) { return input.name == name; });
  };
  for (const char* name : {"spotter off the path", "spotter from the driver at most",
                           "driver looks at first", "walls beside doors, undrawn"})
    EXPECT_TRUE(has(name)) << name;
}

TEST(SpotterIsSeen, SeveralPlacesAreEachToldWithWhereTheMachineHolds) {
  const auto answer = SpotterIsSeen(At(DemoYard()), TripOf("TH-201", "s2-bay-1", "yard-cross"), {});
  EXPECT_EQ(VerdictOf(answer), fit::Verdict::kConflict);
  EXPECT_EQ(LineOf(answer), "2 PLACES: hold while the spotter walks");
  ASSERT_EQ(answer->parts.size(), 3u);
  EXPECT_THAT(answer->parts[1].line, StartsWith("1: STAND "));
  EXPECT_THAT(answer->parts[1].line, HasSubstr(" of heavy-1-way, until it is "));
  EXPECT_THAT(answer->parts[2].line, StartsWith("2: STAND "));
}

TEST(SpotterIsSeen, ASideThatNobodyTriedIsBlind) {
  const yard::Yard yard = DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("\nST-101 ground-seen-[^\n]*"), "");
  });
  const auto answer = SpotterIsSeen(At(yard), TripOf("ST-101", "s1-bay-1", "s1-apron"), {});
  EXPECT_EQ(VerdictOf(answer), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(answer), StartsWith("NO PLACE: spotter unseen beside s1-bay-1"));
}

// A wall drawn along the front of the yard's ground hides all of it from a way behind it.
TEST(SpotterIsSeen, AWallOfTheMapHidesWhoeverStandsBehindIt) {
  yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  const auto open = SeeOf(At(yard), trip, {});
  ASSERT_TRUE(open) << open.error().Text();
  ASSERT_EQ(open->places.verdict, fit::Verdict::kClear);
  // Along the whole south of the apron, between it and where the spotter stood.
  yard::Obstacle wall{.id = yard::ObstacleId("apron-wall")};
  wall.rings = {{{-40.0003, 20.00064},
                 {-39.999, 20.00064},
                 {-39.999, 20.000638},
                 {-40.0003, 20.000638},
                 {-40.0003, 20.00064}}};
  yard.obstacles.emplace(wall.id, wall);
  const auto walled = SeeOf(At(yard), trip, {});
  ASSERT_TRUE(walled) << walled.error().Text();
  EXPECT_NE(walled->places.verdict, fit::Verdict::kClear)
      << "and it was " << walled->line << " where it is open " << open->line;
}

TEST(SpotterIsSeen, NobodyStandsByForAWayThatStrikes) {
  const yard::Yard narrow = With("door-1 clear-width,12 ft 0 in", "door-1 clear-width,7 ft 0 in");
  const auto answer = SpotterIsSeen(At(narrow), TripOf("ST-101", "s1-bay-1", "s1-apron"), {});
  ASSERT_FALSE(answer) << answer->answer.line;
  EXPECT_THAT(answer.error().Text(), HasSubstr("cannot be driven: WILL STRIKE door-1"));
}

// The line is the spotter's; what is to spare beside the way is said to be the machine's.
TEST(SpotterIsSeen, TheDrawingSaysWhoseNumberIsWhose) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("EX-301", "s2-bay-2", "ready-line");
  const auto seen = SeeOf(At(yard), trip, {});
  ASSERT_TRUE(seen) << seen.error().Text();
  const std::string svg = PlanSvg(PlanOf(At(yard), trip, *seen));
  EXPECT_THAT(svg, HasSubstr(">" + seen->line + "<"));
  EXPECT_THAT(svg, HasSubstr(">machine: 10 in to spare<"));
  EXPECT_THAT(svg, Not(HasSubstr(">10 in to spare<")));
  EXPECT_THAT(svg, HasSubstr("machine's tightest spot"));
  EXPECT_THAT(svg, HasSubstr("wall taken to be there"));
}

Outcome<DriverSight> SightOf(const yard::Yard& yard, const char* machine) {
  Readings readings(yard, At(yard).when);
  return Sight(readings, *yard.FindMachine(machine), {});
}

TEST(Sight, TheGroundIsHiddenAsFarAsWasTaped) {
  // ST-101: eye 7 ft 2 in high, 5 ft 4 in behind the front, ground first seen 7 ft 6 in ahead of
  // it: 12 ft 10 in from the eye; a chest at 1.2 m (3.94 ft) comes into sight at D (E - o) / E.
  const auto sight = SightOf(DemoYard(), "ST-101");
  ASSERT_TRUE(sight) << sight.error().Text();
  ASSERT_EQ(sight->zones.size(), 1u);
  const auto border = fit::BorderAlong(sight->zones.front(), fit::Degrees(0));
  ASSERT_TRUE(border);
  const double eye = 86, seen = 154, chest = 1.2 / 0.0254;
  EXPECT_GE(border->inches(), seen * (eye - chest) / eye - 1e-6);
  EXPECT_LE(border->inches(), seen * (eye - chest) / eye + 8) << "an inch of error in both heights";
}

// ST-101 is 98 in wide and its ground is first seen 60 in to the left. From an eye d inside that
// side a chest at o is hidden to 60 (1 - o / E) - d o / E beyond it: similar triangles. Over the
// middle (d 49 in) that is 0.1 in, and from a cab on the left it is a foot.
TEST(Sight, WhereAcrossTheMachineTheEyeIsCounts) {
  const double eye = 86, chest = 1.2 / 0.0254;
  const auto hidden_in = [&](double inside) {
    return 60 * (1 - chest / eye) - inside * chest / eye;
  };
  const auto beyond_left_in = [&](const fit::BlindZone& zone) {
    const auto border = fit::BorderAlong(zone, fit::Degrees(90));
    return border->inches() + zone.eye.y_m / 0.0254 - 49;
  };
  const auto taped = SightOf(DemoYard(), "ST-101");
  ASSERT_TRUE(taped) << taped.error().Text();
  EXPECT_FALSE(taped->eye_off);
  EXPECT_NEAR(taped->zones.front().eye.y_m, 19 * 0.0254, 1e-9);
  EXPECT_GE(beyond_left_in(taped->zones.front()), hidden_in(49 - 19));
  EXPECT_GT(hidden_in(49 - 19), hidden_in(49) + 10);

  const yard::Yard untaped = DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("\nST-101 eye-left-of-middle[^\n]*"), "");
  });
  const auto sight = SightOf(untaped, "ST-101");
  ASSERT_TRUE(sight) << sight.error().Text();
  ASSERT_EQ(sight->zones.size(), 2u);
  ASSERT_TRUE(sight->eye_off);
  EXPECT_NEAR(sight->eye_off->inches(), 49 - 12, 1e-9);
  double most_in = -1e9;
  for (const fit::BlindZone& zone : sight->zones) most_in = std::max(most_in, beyond_left_in(zone));
  EXPECT_GE(most_in, hidden_in(12)) << "an eye a foot from the cab's left side";
}

// Whoever an eye anywhere across the machine does not see, one of the two outermost does not see.
TEST(Sight, TheOutermostEyesHideAllThatThoseBetweenDo) {
  const yard::Yard untaped = DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("\nST-101 eye-left-of-middle[^\n]*"), "");
  });
  const auto outermost = SightOf(untaped, "ST-101");
  ASSERT_TRUE(outermost);
  for (const char* inches : {"-37", "-30", "-19", "0", "8", "19", "36"}) {
    const yard::Yard yard = With("ST-101 eye-left-of-middle,1 ft 7 in",
                                 "ST-101 eye-left-of-middle," + std::string(inches) + " in");
    const auto one = SightOf(yard, "ST-101");
    ASSERT_TRUE(one) << one.error().Text();
    int hidden = 0;
    for (double x_m = -12; x_m < 12; x_m += 0.23) {
      for (double y_m = -12; y_m < 12; y_m += 0.23) {
        if (!fit::Hides(one->zones.front(), {x_m, y_m})) continue;
        ++hidden;
        EXPECT_TRUE(fit::Hides(outermost->zones.front(), {x_m, y_m}) ||
                    fit::Hides(outermost->zones.back(), {x_m, y_m}))
            << inches << " in: " << x_m << ", " << y_m;
      }
    }
    EXPECT_GT(hidden, 100);
  }
}

TEST(Sight, AnEyeOutsideTheMachineIsRefused) {
  const yard::Yard yard =
      With("ST-101 eye-left-of-middle,1 ft 7 in", "ST-101 eye-left-of-middle,4 ft 2 in");
  const auto sight = SightOf(yard, "ST-101");
  ASSERT_FALSE(sight);
  EXPECT_THAT(sight.error().Text(), StartsWith("eye-left-of-middle of ST-101 is 4 ft 2 in"));
}

}  // namespace
}  // namespace chockwise::survey
