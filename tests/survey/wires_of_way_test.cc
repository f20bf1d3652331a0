// The wires of a way: never a beam to go under, judged from every pose of the ride, against numbers
// worked out by hand and against the poses one by one.
#include "services/survey/wires_of_way.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "services/survey/wires.h"
#include "tests/survey/demo_yard.h"
#include "tests/survey/straight_lane.h"

namespace chockwise::survey {
namespace {

using fit::Travel;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::StartsWith;

const Trip& Round() {
  static const Trip round = TripOf("WL-402", "wash-pad", "ready-line");
  return round;
}

std::vector<JudgedWire> Judged(const yard::Yard& yard, const Trip& trip,
                               Travel travel = Travel::kForwards) {
  const auto wires = WiresOf(At(yard), trip, travel);
  if (!wires) throw std::runtime_error(wires.error().Text());
  return wires->judged;
}

double GapFeet(const yard::Yard& yard, const Trip& trip, Travel travel = Travel::kForwards) {
  return Judged(yard, trip, travel).at(0).clearance.gap.feet();
}

/// Down at 8 % for 40 m and up at 8 % again, with the wire over the lowest point.
void LaySag(yard::Yard& yard) {
  LayStraight(
      yard, "ring-way",
      {{.along_m = 0, .up_m = 11.8}, {.along_m = 40, .up_m = 8.6}, {.along_m = 90, .up_m = 12.6}});
  yard.overheads.at(yard::OverheadId("ring-wire")).along = fit::InMetres(40 * std::hypot(1, 0.08));
}

TEST(GoesUnder, AWireIsNoBeam) {
  const yard::Yard yard = With("ring-wire headroom,27 ft 6 in", "ring-wire headroom,20 ft");
  const auto under = GoesUnder(At(yard), Round(), Travel::kForwards);
  ASSERT_TRUE(under) << under.error().Text();
  EXPECT_EQ(under->line, "NOTHING OVERHEAD on the map of the way");
  EXPECT_THAT(under->assumptions, Contains(HasSubstr("fit wires")));
  const auto wires = WiresAreClear(At(yard), Round(), Travel::kForwards);
  ASSERT_TRUE(wires) << wires.error().Text();
  EXPECT_EQ(wires->verdict, fit::Verdict::kConflict) << wires->line;
  EXPECT_THAT(wires->line, StartsWith("KEEP OUT: "));
}

// 27 ft 6 in less 2 ft of sag, 3 in of bounce and 9 ft 10 in is 15 ft 5 in on the level. Midway
// between wheels 20 ft apart the roof over a break of 16 % rises by 0.16 * 20 ft / 4 = 0.8 ft
// (A*L/4; tests/published/low_clearance_test.cc), and wheels of 18 in on 8 % by 0.005 ft.
TEST(WiresOf, AMachineRisesInASag) {
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "ST-101", "wheelbase", fit::Feet(20));
  ChangeReading(yard, "ST-101", "front-overhang", fit::Feet(2));
  LaySag(yard);
  const Trip trip = TripOf("ST-101", "wash-pad", "ready-line");
  EXPECT_NEAR(GapFeet(yard, trip), 15 + 5.0 / 12 - 0.8 - 0.005, 0.03);
}

// 27 ft 6 in less 2 ft of sag, 10 ft 4 in, and 1 in of bounce on tracks.
TEST(WiresOf, TracksBounceLess) {
  yard::Yard yard = DemoYard();
  LayStraight(yard, "ring-way", {{.along_m = 0, .up_m = 11.8}, {.along_m = 90, .up_m = 11.8}});
  EXPECT_NEAR(GapFeet(yard, TripOf("EX-301", "wash-pad", "ready-line")), 15 + 1.0 / 12, 0.001);
}

/// Distance from a point to a piece of an outline.
double OffM(fit::Point point, fit::Point a, fit::Point b) {
  const fit::Point along = b - a;
  const double length2 = fit::Dot(along, along);
  const double share = length2 > 0 ? std::clamp(fit::Dot(point - a, along) / length2, 0.0, 1.0) : 0;
  return fit::LengthM(point - (a + share * along));
}

double GroundM(const fit::LaneProfile& profile, double along_m) {
  size_t i = 1;
  while (i + 1 < profile.ground.size() && profile.ground[i].along.metres() < along_m) ++i;
  const fit::ProfilePoint &a = profile.ground[i - 1], &b = profile.ground[i];
  return a.elevation.metres() +
         (b.elevation - a.elevation) / (b.along - a.along) * (along_m - a.along.metres());
}

/// The slow and obvious way: every 2 cm a pose, and the distance from the wire to its outline.
double NearestByPosesM(const yard::Yard& yard, const Trip& trip, Travel travel) {
  const JudgedWire wire = Judged(yard, trip, travel).at(0);
  const auto ridden = RideOf(At(yard), trip, travel);
  if (!ridden) throw std::runtime_error(ridden.error().Text());
  const auto height = yard.measurements.Latest(wire.id, "headroom", "");
  const double up_m = GroundM(ridden->way.profile, wire.along.metres()) +
                      std::get<fit::Metres>(height->value).metres() - kSagOfWire.metres() -
                      ridden->allow.bounce.metres();
  const fit::Point at{wire.along.metres(), up_m};
  double nearest_m = 1e9;
  for (double lead_m = at.x_m - 25; lead_m < at.x_m + 25; lead_m += 0.02) {
    const auto pose = fit::PoseAt(QuestionOf(*ridden), fit::InMetres(lead_m));
    if (!pose) continue;  // beyond the end of the lane by more than the machine
    for (const fit::UnitPose& unit : pose->units)
      for (size_t i = 1; i < unit.top.size(); ++i)
        nearest_m = std::min(nearest_m, OffM(at, unit.top[i - 1], unit.top[i]));
  }
  return nearest_m;
}

TEST(WiresOf, NeverPromisesMoreThanThePosesOneByOne) {
  yard::Yard sag = DemoYard();
  LaySag(sag);
  yard::Yard crest = DemoYard();
  ChangeReading(crest, "ST-101", "front-overhang", fit::Feet(7) + fit::Inches(10));
  LayStraight(crest, "ring-way",
              {{.along_m = 0, .up_m = 20},
               {.along_m = 40, .up_m = 20},
               {.along_m = 60, .up_m = 16.8},
               {.along_m = 90, .up_m = 20.4}});
  yard::Overhead& wire = crest.overheads.at(yard::OverheadId("ring-wire"));
  wire.along = fit::InMetres(37);
  yard::Yard slope = DemoYard();
  LayStraight(slope, "ring-way", {{.along_m = 0, .up_m = 11.8}, {.along_m = 90, .up_m = 26.2}});
  for (const yard::Yard* yard : {&sag, &crest, &slope}) {
    for (const char* machine : {"ST-101", "EX-301", "CA-901"}) {
      const Trip trip = TripOf(machine, "wash-pad", "ready-line");
      for (const Travel travel : {Travel::kForwards, Travel::kReversing}) {
        const double gap_m = Judged(*yard, trip, travel).at(0).clearance.gap.metres();
        const double true_m = NearestByPosesM(*yard, trip, travel);
        EXPECT_LE(gap_m, true_m + 1e-3) << machine;
        EXPECT_GE(gap_m, true_m - 0.05) << machine << ": more careful than it need be";
      }
    }
  }
  const Trip trip = TripOf("ST-101", "wash-pad", "ready-line");
  EXPECT_LT(GapFeet(crest, trip, Travel::kReversing), GapFeet(crest, trip) - 0.5)
      << "the long nose trails and rises";
}

/// The way into the wash pad ends where the ring way begins, and the wire hangs over that.
TEST(WiresOf, AWireNearTheWayCountsAsOverIt) {
  yard::Yard yard = DemoYard();
  const Trip trip = TripOf("WL-401", "s2-bay-3", "wash-pad");
  yard::Overhead& wire = yard.overheads.at(yard::OverheadId("ring-wire"));
  const auto far = WiresAreClear(At(yard), trip, Travel::kForwards);
  ASSERT_TRUE(far) << far.error().Text();
  EXPECT_EQ(far->line, "NO WIRE on the map over the way");
  EXPECT_THAT(far->assumptions, Contains(HasSubstr("on foot")));
  // 20 ft off the machine's side, which is 4 ft 9 in off the middle: 7.54 m. 29 CFR
  // 1926.1408(a)(2).
  wire.along = fit::InMetres(7);
  EXPECT_EQ(Judged(yard, trip).size(), 1u);
  wire.along = fit::InMetres(8.5);
  EXPECT_EQ(Judged(yard, trip).size(), 0u);
  // 50 ft where nobody knows how high the voltage is: 1926.1409.
  yard::LoseReadings(yard, [](const yard::Measurement& reading) {
    return reading.subject == "ring-wire" && reading.quantity == "voltage";
  });
  EXPECT_EQ(Judged(yard, trip).size(), 1u);
  wire.along = fit::InMetres(3);
  ChangeReading(yard, "ring-wire", "headroom", fit::Feet(24));
  const auto near = WiresAreClear(At(yard), trip, Travel::kForwards);
  ASSERT_TRUE(near) << near.error().Text();
  EXPECT_THAT(near->line, StartsWith("KEEP OUT: "));
}

TEST(WiresAreClear, ListsAllThatItsNumberStandsOn) {
  const auto answer = WiresAreClear(At(DemoYard()), Round(), Travel::kReversing);
  ASSERT_TRUE(answer) << answer.error().Text();
  for (const auto& [name, value] :
       {std::pair("travel", "reversing"), std::pair("bounce", "3 in"),
        std::pair("sag allowed for", "24 in"), std::pair("error of a wire's height", "3 in"),
        std::pair("error of the ground between neighbouring points of the map", "0.25 in")}) {
    const auto input = std::ranges::find(answer->inputs, name, &fit::Input::name);
    ASSERT_NE(input, answer->inputs.end()) << name;
    EXPECT_EQ(input->value, value) << name;
  }
}

}  // namespace
}  // namespace chockwise::survey
