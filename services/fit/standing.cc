#include "services/fit/standing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

/// Each verdict compares tangents and ratios of a few roundings, of numbers of about 1.
constexpr double kTangentError = 1e-14;

double Size(Grade grade) { return std::abs(grade.rise_over_run()); }

}  // namespace

Outcome<HoldOnGrade> JudgeHold(const Parked& parked) {
  InputCheck check;
  check.Between("grade", parked.grade, Span{Percent(-100), Percent(100)})
      .Positive("friction", parked.friction, UpTo{1.5})
      .Positive("weight", parked.weight, UpTo{Pounds(500'000)});
  CheckHoldingWheels(parked.wheels, check);
  if (parked.brake_holds) {
    check.Positive("grade that the brake holds", *parked.brake_holds, UpTo{Percent(100)});
  }
  if (check.failed()) return tl::unexpected(check.error());
  HoldOnGrade hold;
  const double tangent = Size(parked.grade);
  const Newtons weight = InNewtons(parked.weight.kilograms() * kGravity);
  hold.angle = Radians(std::atan(tangent));
  hold.grade = RiseOverRun(tangent);
  hold.slides_at = RiseOverRun(GripOf(parked.friction, parked.wheels));
  const Grade grip = hold.slides_at / kHoldReserve;
  hold.holds_to = std::min(grip, parked.brake_holds.value_or(grip));
  hold.margin = hold.holds_to - hold.grade;
  hold.pressing = weight / std::hypot(1.0, tangent);
  hold.pull = hold.pressing * tangent;
  hold.verdict = Judge(hold.margin.rise_over_run(), kTangentError);
  return hold;
}

namespace {

/// The least push over load that a wedged chock holds; 0 where it does not wedge.
double WedgeHolds(double contact, double friction) {
  if (contact > 2 * std::atan(friction)) return 0;
  const double sine = std::sin(contact), cosine = std::cos(contact);
  return (sine + friction * (1 - cosine)) / (cosine + friction * sine + 1);
}

/// A wheel that the grade lifts off bears nothing: no chock has so much to hold.
constexpr double kMostDemand = 1e9;

void Prove(ChockHold& chock) {
  const double error = kTangentError * (1 + chock.demand);
  const Verdict stays_below = Judge(chock.to_climb - chock.demand, error);
  if (stays_below != Verdict::kClear) {
    chock.verdict = stays_below;
    return;
  }
  const auto beats = [&](double holds, double demand) {
    return Judge(holds - demand, error) == Verdict::kClear;
  };
  if (beats(chock.holds / kHoldReserve, chock.demand)) chock.proof = ChockProof::kShape;
  if (chock.tried_on && beats(chock.tried_on->rise_over_run(), chock.grade.rise_over_run()))
    chock.proof = ChockProof::kTrial;
  if (chock.proof != ChockProof::kNone) chock.verdict = Verdict::kClear;
}

}  // namespace

Outcome<ChockHold> JudgeChock(const ChockedWheel& wheel) {
  InputCheck check;
  check.Positive("wheel diameter", wheel.diameter, UpTo{Feet(15)})
      .Positive("contact height of the chock", wheel.contact_height, UpTo{Feet(7)})
      .Positive("friction of the chock", wheel.chock_friction, UpTo{1.5})
      .Between("grade", wheel.grade, Span{Percent(-100), Percent(100)});
  CheckHoldingWheels(wheel.chocked, check);
  if (wheel.tried_on)
    check.Positive("grade that the chocks held it on", *wheel.tried_on, UpTo{Percent(100)});
  const double radius = wheel.diameter.metres() / 2;
  const double height = wheel.contact_height.metres();
  if (height >= radius) {
    check.Refuse({"contact height of the chock", "is not below the wheel's centre",
                  "where the chock touches the wheel, above the ground"});
  }
  if (check.failed()) return tl::unexpected(check.error());
  ChockHold chock;
  const double across = std::sqrt(height * (2 * radius - height));
  const double contact = std::atan2(across, radius - height);
  chock.grade = RiseOverRun(Size(wheel.grade));
  chock.contact = Radians(contact);
  chock.wedges_to = Radians(2 * std::atan(wheel.chock_friction));
  chock.to_climb = across / (radius - height);
  chock.holds = WedgeHolds(contact, wheel.chock_friction);
  const double share = ShareOnGrade(wheel.grade, wheel.chocked);
  chock.demand = std::min(kMostDemand, Size(wheel.grade) / std::max(share, 1 / kMostDemand));
  chock.tried_on = wheel.tried_on;
  Prove(chock);
  return chock;
}

Outcome<SideTip> JudgeSideTip(const SideLoad& side) {
  InputCheck check;
  check.Positive("track", side.track, UpTo{Feet(30)})
      .Positive("height of the centre of mass", side.centre_height, UpTo{Feet(40)})
      .Between("cross slope", side.cross_slope, Span{Percent(-100), Percent(100)})
      .Between("lateral g", side.lateral_g, Span{0.0, 1.0});
  if (check.failed()) return tl::unexpected(check.error());
  SideTip tip;
  const double stable = side.track / (2 * side.centre_height);
  tip.tips_at_g = stable;
  tip.tips_at = Radians(std::atan(stable));
  tip.demand = Radians(std::atan(Size(side.cross_slope)) + std::atan(side.lateral_g));
  if (tip.demand >= Degrees(89)) {
    return tl::unexpected(Unusable{"lateral g", "together with the slope is past 89 degrees",
                                   "a slope or turn that something stands on"});
  }
  const double demand = std::tan(tip.demand.radians());
  tip.margin = RiseOverRun(stable / kSideReserve - demand);
  tip.verdict = Judge(tip.margin.rise_over_run(), kTangentError * (1 + stable + demand));
  return tip;
}

std::string DriversLine(const HoldOnGrade& hold, UnitSystem system) {
  return fmt::format(
      "{}: grade {}, grip to {}", hold.verdict == Verdict::kClear ? "BRAKES HOLD" : "WILL ROLL",
      Text(hold.grade, system, Rounding::kUp), Text(hold.holds_to, system, Rounding::kDown));
}

std::string DriversLine(const ChockHold& chock, UnitSystem system) {
  if (chock.verdict == Verdict::kConflict) return "CHOCK TOO LOW: take a higher one";
  switch (chock.proof) {
    case ChockProof::kTrial:
      return fmt::format("CHOCKS HOLD: grade {}, tried to {}",
                         Text(chock.grade, system, Rounding::kUp),
                         Text(*chock.tried_on, system, Rounding::kDown));
    case ChockProof::kShape: {
      constexpr double kMostTold = 100;
      const double times = std::min(kMostTold, chock.holds / std::max(chock.demand, 1e-9));
      return fmt::format("CHOCKS HOLD {:.1f} times the push", std::floor(times * 10) / 10);
    }
    case ChockProof::kNone:
      return "CHOCKS NOT PROVED: they may slide. Try them on a slope, enter chock-grade";
  }
  return "";
}

std::string DriversLine(const SideTip& tip, UnitSystem system) {
  return fmt::format(
      "{}: leans as on {}, tips at {}", tip.verdict == Verdict::kClear ? "STANDS" : "MAY TIP",
      Text(tip.demand, system, Rounding::kUp), Text(tip.tips_at, system, Rounding::kDown));
}

}  // namespace chockwise::fit
