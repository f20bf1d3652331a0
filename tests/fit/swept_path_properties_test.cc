// What must hold of every swept path, whatever the machine and the lane.
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "services/fit/kinematics_chain.h"
#include "services/fit/swept_path.h"
#include "tests/fit/retaped.h"

namespace chockwise::fit {
namespace {

double Between(double low, double high) {
  return low + (high - low) * *rc::gen::inRange(0, 10'001) / 10'000.0;
}

BodyBox AnyBody(double length_m) {
  return {.ahead = InMetres(length_m + Between(0, 2)),
          .behind = InMetres(Between(0.2, 3)),
          .left = InMetres(Between(0.8, 1.6)),
          .right = InMetres(Between(0.8, 1.6))};
}

TurningMachine AnyMachine() {
  TurningMachine machine;
  machine.steering = *rc::gen::element(Steering::kFrontAxle, Steering::kRearAxle, Steering::kHinge,
                                       Steering::kMiddle);
  const double wheelbase_m = Between(2, 7);
  machine.most_steer = Degrees(Between(25, 45));
  machine.boxes = {AnyBody(wheelbase_m)};
  if (machine.steering == Steering::kMiddle) {
    machine.least_radius = InMetres(*rc::gen::element(0.0, 3.0));
  } else {
    machine.wheelbase = InMetres(wheelbase_m);
  }
  if (machine.steering == Steering::kHinge) {
    machine.hinge_to_rear = InMetres(Between(1, 4));
    machine.rear_boxes = {AnyBody(1)};
  }
  const int trailers = machine.steering == Steering::kRearAxle ? 0 : *rc::gen::inRange(0, 3);
  for (int i = 0; i < trailers; ++i) {
    const double length_m = Between(2, 12);
    machine.trailers.push_back({.hitch_ahead = InMetres(Between(-2, 0.8)),
                                .hitch_to_axle = InMetres(length_m),
                                .most_fold = Degrees(85),
                                .boxes = {AnyBody(length_m)}});
  }
  return machine;
}

SweptPathQuestion AnyQuestion() {
  SweptPathQuestion question;
  question.manoeuvre.machine = AnyMachine();
  question.manoeuvre.step = InMetres(0.1);
  Point at;
  double heading_rad = 0;
  question.manoeuvre.line = {at};
  for (int i = 0; i < 3; ++i) {
    at = at + Between(30, 60) * Unit(heading_rad);
    question.manoeuvre.line.push_back(at);
    heading_rad += Between(-1.2, 1.2);
  }
  for (int i = 0; i < 4; ++i) {
    const Point from{Between(-20, 150), Between(-80, 80)};
    SideObstacle obstacle{.id = "thing-" + std::to_string(i), .shape = {from}};
    if (i > 0) obstacle.shape.push_back(from + Point{Between(1, 8), Between(-3, 3)});
    if (i > 2) {
      obstacle.kind = SideObstacle::Kind::kGround;
      obstacle.shape.push_back(from + Point{Between(-3, 3), Between(4, 9)});
    }
    question.obstacles.push_back(obstacle);
  }
  return question;
}

SweptPathQuestion Moved(SweptPathQuestion question, const std::function<Point(Point)>& move) {
  for (Point& point : question.manoeuvre.line) point = move(point);
  for (SideObstacle& obstacle : question.obstacles) {
    for (Point& point : obstacle.shape) point = move(point);
  }
  return question;
}

/// Depths are found to 1 cm.
void MustAgree(const SweptPath& a, const SweptPath& b, double tolerance_m) {
  RC_ASSERT(a.driven.shortfall.has_value() == b.driven.shortfall.has_value());
  RC_ASSERT(a.margins.size() == b.margins.size());
  for (size_t i = 0; i < a.margins.size(); ++i) {
    const double one_m = a.margins[i].margin.metres();
    const double other_m = b.margins[i].margin.metres();
    const double most_m = tolerance_m + (std::min(one_m, other_m) < 0 ? 0.011 : 0);
    RC_ASSERT(std::abs(one_m - other_m) <= most_m);
  }
}

TEST(SweptPathProperties, ARigidMotionChangesNothing) {
  EXPECT_TRUE(rc::check([] {
    const SweptPathQuestion question = AnyQuestion();
    const Point turn = Unit(Between(-3, 3));
    const Point shift{Between(-500, 500), Between(-500, 500)};
    const SweptPathQuestion moved = Moved(question, [&](Point p) {
      return shift + p.x_m * turn + p.y_m * Point{-turn.y_m, turn.x_m};
    });
    MustAgree(*Sweep(question), *Sweep(moved), 1e-6);
  }));
}

TEST(SweptPathProperties, AMirrorChangesNothing) {
  EXPECT_TRUE(rc::check([] {
    const SweptPathQuestion question = AnyQuestion();
    SweptPathQuestion mirrored = Moved(question, [](Point p) { return Point{p.x_m, -p.y_m}; });
    const auto swap = [](std::vector<BodyBox>& boxes) {
      for (BodyBox& box : boxes) std::swap(box.left, box.right);
    };
    swap(mirrored.manoeuvre.machine.boxes);
    swap(mirrored.manoeuvre.machine.rear_boxes);
    for (Trailer& trailer : mirrored.manoeuvre.machine.trailers) swap(trailer.boxes);
    const SweptPath there = *Sweep(question);
    const SweptPath here = *Sweep(mirrored);
    MustAgree(there, here, 1e-6);
    if (there.most_off && here.most_off && there.most_off->off > InMetres(0.01))
      RC_ASSERT(there.most_off->side != here.most_off->side);
  }));
}

TEST(SweptPathProperties, TheUnitOfInputNeverChangesTheAnswer) {
  EXPECT_TRUE(rc::check([] {
    const SweptPathQuestion question = AnyQuestion();
    SweptPathQuestion other = question;
    TurningMachine& machine = other.manoeuvre.machine;
    Retape(machine.wheelbase, machine.hinge_to_rear, machine.most_steer, machine.least_radius);
    const auto retape = [](std::vector<BodyBox>& boxes) {
      for (BodyBox& box : boxes) Retape(box.ahead, box.behind, box.left, box.right);
    };
    retape(machine.boxes);
    retape(machine.rear_boxes);
    for (Trailer& trailer : machine.trailers) {
      Retape(trailer.hitch_ahead, trailer.hitch_to_axle, trailer.most_fold);
      retape(trailer.boxes);
    }
    Retape(other.manoeuvre.step, other.needed_margin);
    MustAgree(*Sweep(question), *Sweep(other), 1e-6);
  }));
}

TEST(SweptPathProperties, MoreMarginNeverClearsAConflict) {
  EXPECT_TRUE(rc::check([] {
    SweptPathQuestion question = AnyQuestion();
    const SweptPath before = *Sweep(question);
    question.needed_margin = InMetres(Between(0, 5));
    const SweptPath asked = *Sweep(question);
    question.needed_margin += InMetres(Between(0, 5));
    const SweptPath asked_more = *Sweep(question);
    for (size_t i = 0; i < before.margins.size(); ++i) {
      if (asked.margins[i].verdict == Verdict::kClear)
        RC_ASSERT(before.margins[i].verdict == Verdict::kClear);
      if (asked.margins[i].verdict == Verdict::kConflict)
        RC_ASSERT(asked_more.margins[i].verdict == Verdict::kConflict);
      if (asked_more.margins[i].verdict == Verdict::kClear)
        RC_ASSERT(asked.margins[i].verdict == Verdict::kClear);
    }
  }));
}

TEST(SweptPathProperties, ASmallerObstacleIsNeverNearer) {
  EXPECT_TRUE(rc::check([] {
    const SweptPathQuestion question = AnyQuestion();
    SweptPathQuestion smaller = question;
    for (SideObstacle& obstacle : smaller.obstacles) {
      const Point middle = obstacle.shape.front();
      for (Point& point : obstacle.shape) point = middle + 0.6 * (point - middle);
    }
    // Convex rings and lines shrink into themselves toward one of their points.
    const SweptPath large = *Sweep(question);
    const SweptPath small = *Sweep(smaller);
    for (size_t i = 0; i < large.margins.size(); ++i) {
      const double large_m = large.margins[i].margin.metres();
      if (large_m < 0) continue;
      RC_ASSERT(small.margins[i].margin.metres() >= large_m - 1e-9);
      if (large.margins[i].verdict == Verdict::kClear)
        RC_ASSERT(small.margins[i].verdict == Verdict::kClear);
    }
  }));
}

// A machine that turns about its middle stands on the way back as it stood on the way there.
TEST(SweptPathProperties, TheWayBackCoversTheSameGround) {
  EXPECT_TRUE(rc::check([] {
    SweptPathQuestion there = AnyQuestion();
    there.manoeuvre.machine = {.steering = Steering::kMiddle,
                               .least_radius = InMetres(*rc::gen::element(0.0, 4.0)),
                               .boxes = {AnyBody(2)}};
    SweptPathQuestion back = there;
    back.manoeuvre.travel = Travel::kReversing;
    std::reverse(back.manoeuvre.line.begin(), back.manoeuvre.line.end());
    const SweptPath one = *Sweep(there);
    const SweptPath other = *Sweep(back);
    const double error_m = one.driven.units.empty() ? 0 : 2 * one.driven.units[0].error_m;
    MustAgree(
        one, other,
        1e-6 + error_m + 20 * (one.driven.units.empty() ? 0 : one.driven.units[0].error_per_m));
  }));
}

// Reversing run backwards in time is a forward motion: pulled along the front axle's way, every
// unit is where it was.
TEST(SweptPathProperties, ReversingIsAForwardMotionBackwards) {
  int compared = 0;
  EXPECT_TRUE(rc::check([&] {
    UnitChain chain;
    chain.wheelbase_m = Between(3, 7);
    for (int i = *rc::gen::inRange(0, 3); i >= 0; --i)
      chain.links.push_back({.hitch_ahead_m = Between(0.2, 1), .length_m = Between(4, 12)});
    Bending bending;
    bending.least_radius_m = Between(25, 40);
    bending.ramp_m = Between(15, 25);
    bending.ramps = static_cast<int>(chain.links.size());
    bending.step_m = 0.02;
    const auto guide = GuideAlong({{0, 0}, {90, 0}, {180, Between(-60, 60)}}, bending);
    if (!guide) return;
    const auto pushed = PushAlong(chain, *guide);
    std::vector<GuideStep> front;
    for (size_t i = guide->size(); i-- > 0;) {
      GuideStep step;
      step.at = pushed.units[0].frames[i].at + chain.wheelbase_m * pushed.units[0].frames[i].along;
      step.along = pushed.units[0].frames[i].along;
      front.push_back(step);
    }
    // Both started straight: what was off at the start has died out by then.
    const auto pulled = PullAlong(chain, front);
    for (size_t unit = 0; unit < pulled.units.size(); ++unit) {
      for (size_t i = 0; i < front.size(); ++i) {
        const AxleFrame& a = pulled.units[unit].frames[i];
        const AxleFrame& b = pushed.units[unit].frames[front.size() - 1 - i];
        RC_ASSERT(LengthM(a.at - b.at) < 0.01);
        RC_ASSERT(LengthM(a.along - b.along) < 0.005);
        ++compared;
      }
    }
  }));
  std::printf("reversing against forwards: %d poses\n", compared);
  EXPECT_GT(compared, 100'000);
}

}  // namespace
}  // namespace chockwise::fit
