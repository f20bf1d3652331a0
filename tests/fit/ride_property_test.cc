// What holds for every machine on every lane.

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <tuple>

#include "services/fit/ride.h"
#include "tests/fit/retaped.h"
#include "tests/fit/ride_machines.h"
#include "tests/fit/ride_scenes.h"

namespace chockwise::fit {
namespace {

/// A scene with its ride; scenes that are refused are drawn again.
struct Drawn {
  Scene scene;
  Ride ride;
};

Ride Again(const Scene& scene) {
  const auto ride = RideOver({scene.machine, scene.lane, kOnTyres, scene.facing});
  RC_ASSERT(ride.has_value());
  return *ride;
}

Drawn Draw() {
  Drawn drawn;
  drawn.scene = RandomScene(*rc::gen::inRange<uint64_t>(0, 1u << 30));
  const auto ride = RideOver({drawn.scene.machine, drawn.scene.lane, kOnTyres, drawn.scene.facing});
  RC_PRE(ride.has_value());
  drawn.ride = *ride;
  return drawn;
}

void ExpectSame(const TightSpot& a, const TightSpot& b, double shift_m = 0) {
  const double apart = std::abs(a.gap.metres() + shift_m - b.gap.metres());
  RC_ASSERT(apart <= (a.error + b.error).metres());
}

TEST(RideProperty, ALaneMovedAwayChangesNothing) {
  EXPECT_TRUE(rc::check([] {
    const Drawn drawn = Draw();
    Scene moved = drawn.scene;
    const Metres on = InMetres(*rc::gen::inRange(-5000, 5000));
    const Metres up = InMetres(*rc::gen::inRange(-500, 500) / 7.0);
    for (ProfilePoint& point : moved.lane.ground) {
      point.along += on;
      point.elevation += up;
    }
    for (LaneSill& sill : moved.lane.sills) {
      sill.from += on;
      sill.to += on;
    }
    for (Overhead& over : moved.lane.overheads) {
      over.from += on;
      over.to += on;
    }
    const Ride ride = Again(moved);
    ExpectSame(drawn.ride.below, ride.below);
    ExpectSame(drawn.ride.overheads[0], ride.overheads[0]);
  }));
}

// A lane and a machine seen from the other side: what faced along faces against, and the way back
// takes a machine through the poses of the way there.
TEST(RideProperty, SeenFromTheOtherSideNothingChanges) {
  EXPECT_TRUE(rc::check([] {
    const Drawn drawn = Draw();
    Scene mirrored = drawn.scene;
    LaneProfile& lane = mirrored.lane;
    std::reverse(lane.ground.begin(), lane.ground.end());
    for (ProfilePoint& point : lane.ground) point.along = -point.along;
    std::reverse(lane.sills.begin(), lane.sills.end());
    for (LaneSill& sill : lane.sills)
      std::tie(sill.from, sill.to) = std::pair(-sill.to, -sill.from);
    for (Overhead& over : lane.overheads)
      std::tie(over.from, over.to) = std::pair(-over.to, -over.from);
    mirrored.facing = drawn.scene.facing == Facing::kAlong ? Facing::kAgainst : Facing::kAlong;
    const Ride ride = Again(mirrored);
    RC_ASSERT(ride.verdict == drawn.ride.verdict);
    ExpectSame(drawn.ride.below, ride.below);
    for (size_t i = 0; i < ride.overheads.size(); ++i) {
      ExpectSame(drawn.ride.overheads[i], ride.overheads[i]);
    }
  }));
}

TEST(RideProperty, TheUnitOfInputNeverChangesTheAnswer) {
  EXPECT_TRUE(rc::check([] {
    const Drawn drawn = Draw();
    Scene other = drawn.scene;
    for (ProfilePoint& point : other.lane.ground) Retape(point.along, point.elevation);
    for (LaneSill& sill : other.lane.sills) Retape(sill.from, sill.to, sill.height);
    for (Overhead& over : other.lane.overheads) Retape(over.from, over.to, over.clear_height);
    for (RidingUnit& unit : other.machine.units) {
      for (AxleGroup& group : unit.groups)
        Retape(group.behind_front, group.wheel_radius, group.spacing);
      if (unit.tracks)
        Retape(unit.tracks->front_end, unit.tracks->rear_end, unit.tracks->centre_of_mass,
               unit.tracks->centre_of_mass_high);
      for (auto* coupling : {&unit.coupled_by, &unit.next_hangs_at}) {
        if (*coupling) Retape((*coupling)->behind_front, (*coupling)->height);
      }
      for (auto* outline : {&unit.top, &unit.bottom}) {
        for (OutlinePoint& point : *outline) Retape(point.behind_front, point.height);
      }
    }
    const Ride ride = Again(other);
    ExpectSame(drawn.ride.below, ride.below);
    ExpectSame(drawn.ride.overheads[0], ride.overheads[0]);
  }));
}

TEST(RideProperty, ARaisedOverheadIsClearWhereItWasAndRisesByThat) {
  EXPECT_TRUE(rc::check([] {
    const Drawn drawn = Draw();
    Scene raised = drawn.scene;
    const double by = *rc::gen::inRange(1, 2000) / 1000.0;
    for (Overhead& over : raised.lane.overheads) over.clear_height += InMetres(by);
    const Ride ride = Again(raised);
    for (size_t i = 0; i < ride.overheads.size(); ++i) {
      ExpectSame(drawn.ride.overheads[i], ride.overheads[i], by);
      if (drawn.ride.overheads[i].verdict == Verdict::kClear) {
        RC_ASSERT(ride.overheads[i].verdict == Verdict::kClear);
      }
    }
    ExpectSame(drawn.ride.below, ride.below);
  }));
}

TEST(RideProperty, MoreAllowanceNeverMakesItClear) {
  EXPECT_TRUE(rc::check([] {
    const Drawn drawn = Draw();
    RideAllowances more = kOnTyres;
    more.bounce += InMetres(0.1);
    more.needed_clearance += InMetres(0.1);
    more.profile_error = InMetres(0.01);
    const auto ride = RideOver({drawn.scene.machine, drawn.scene.lane, more, drawn.scene.facing});
    RC_ASSERT(ride.has_value());
    if (drawn.ride.verdict != Verdict::kClear) RC_ASSERT(ride->verdict != Verdict::kClear);
  }));
}

// Every height read with an error of its own, up to the stated one: the truth never leaves less
// than what the readings say surely remains.
TEST(RideProperty, WhatSurelyRemainsDoes) {
  EXPECT_TRUE(rc::check([] {
    const Drawn drawn = Draw();
    RideAllowances allow = kOnTyres;
    allow.reading_error = Inches(0.5);
    const auto read = RideOver({drawn.scene.machine, drawn.scene.lane, allow, drawn.scene.facing});
    RC_ASSERT(read.has_value());
    Scene truth = drawn.scene;
    const auto off = [](Metres& height) {
      height += Inches(0.5) * (*rc::gen::element(-1.0, -1.0, -0.3, 0.4, 1.0, 1.0));
    };
    for (Overhead& over : truth.lane.overheads) off(over.clear_height);
    for (LaneSill& sill : truth.lane.sills) off(sill.height);
    for (RidingUnit& unit : truth.machine.units) {
      for (auto* outline : {&unit.top, &unit.bottom})
        for (OutlinePoint& point : *outline) off(point.height);
    }
    const auto ride = RideOver({truth.machine, truth.lane, kOnTyres, truth.facing});
    RC_PRE(ride.has_value());
    RC_ASSERT(ride->below.margin + ride->below.error >= read->below.sure());
    for (size_t i = 0; i < ride->overheads.size(); ++i)
      RC_ASSERT(ride->overheads[i].margin + ride->overheads[i].error >= read->overheads[i].sure());
  }));
}

TEST(RideProperty, AStraightPieceDividedChangesNothing) {
  EXPECT_TRUE(rc::check([] {
    const Drawn drawn = Draw();
    Scene divided = drawn.scene;
    std::vector<ProfilePoint> ground = {divided.lane.ground[0]};
    for (size_t i = 1; i < divided.lane.ground.size(); ++i) {
      const ProfilePoint a = divided.lane.ground[i - 1];
      const ProfilePoint b = divided.lane.ground[i];
      ground.push_back({0.5 * (a.along + b.along), 0.5 * (a.elevation + b.elevation)});
      ground.push_back(b);
    }
    divided.lane.ground = ground;
    const Ride ride = Again(divided);
    ExpectSame(drawn.ride.below, ride.below);
    ExpectSame(drawn.ride.overheads[0], ride.overheads[0]);
  }));
}

// What the drawing shows at the tight spot is the gap that was told. A track that tips is drawn as
// it lies, so only wheels.
TEST(RideProperty, ThePoseAtTheTightSpotHasItsGap) {
  EXPECT_TRUE(rc::check([] {
    const Drawn drawn = Draw();
    RC_PRE(!drawn.scene.machine.units[0].tracks.has_value());
    const TightSpot& spot = drawn.ride.overheads[0];
    const auto pose =
        PoseAt({drawn.scene.machine, drawn.scene.lane, kOnTyres, drawn.scene.facing}, spot.lead_at);
    RC_ASSERT(pose.has_value());
    const auto& ground = drawn.scene.lane.ground;
    const double x = spot.along.metres();
    size_t i = 1;
    while (i + 1 < ground.size() && ground[i].along.metres() < x) ++i;
    const double grade =
        (ground[i].elevation - ground[i - 1].elevation) / (ground[i].along - ground[i - 1].along);
    const double beam = ground[i].elevation.metres() + grade * (x - ground[i].along.metres()) +
                        drawn.scene.lane.overheads[0].clear_height.metres();
    double highest = -1e9;
    for (const UnitPose& unit : pose->units) {
      for (size_t k = 0; k < unit.top.size(); ++k) {
        const Point a = unit.top[k];
        if (std::abs(a.x_m - x) < 1e-9) highest = std::max(highest, a.y_m);
        if (k == 0) continue;
        const Point b = unit.top[k - 1];
        if ((a.x_m - x) * (b.x_m - x) >= 0) continue;
        highest = std::max(highest, a.y_m + (b.y_m - a.y_m) * (x - a.x_m) / (b.x_m - a.x_m));
      }
    }
    RC_ASSERT(std::abs(beam - highest - spot.gap.metres()) < 1e-6);
  }));
}

}  // namespace
}  // namespace chockwise::fit
