#include "services/fit/standing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kTangentError = 1e-14;

double Size(Grade grade) { return std::abs(grade.rise_over_run()); }

}  // namespace

Outcome<HoldOnGrade> JudgeHold(const Parked& parked) {
  InputCheck check;
  check.Between("grade", parked.grade, Span{Percent(-100), Percent(100)})
      .Positive("friction", parked.friction, UpTo{1.5})
      .Positive("braked share", parked.braked_share, UpTo{1.0})
      .Positive("weight", parked.weight, UpTo{Pounds(500'000)});
  if (parked.brake_holds) {
    check.Positive("grade that the brake holds", *parked.brake_holds, UpTo{Percent(100)});
  }
  if (check.failed()) return tl::unexpected(check.error());
  HoldOnGrade hold;
  const double tangent = Size(parked.grade);
  const double grip = parked.friction * parked.braked_share;
  const Newtons weight = InNewtons(parked.weight.kilograms() * kGravity);
  hold.angle = Radians(std::atan(tangent));
  hold.grade = RiseOverRun(tangent);
  hold.holds_to = std::min(RiseOverRun(grip), parked.brake_holds.value_or(RiseOverRun(grip)));
  hold.margin = hold.holds_to - hold.grade;
  hold.pressing = weight / std::hypot(1.0, tangent);
  hold.pull = hold.pressing * tangent;
  hold.verdict = Judge(hold.margin.rise_over_run(), kTangentError);
  return hold;
}

Outcome<ChockHold> JudgeChock(const ChockedWheel& wheel) {
  InputCheck check;
  check.Positive("wheel diameter", wheel.diameter, UpTo{Feet(15)})
      .Positive("contact height of the chock", wheel.contact_height, UpTo{Feet(7)})
      .Positive("friction of the chock", wheel.chock_friction, UpTo{1.5})
      .Between("grade", wheel.grade, Span{Percent(-100), Percent(100)})
      .Positive("chocked share", wheel.chocked_share, UpTo{1.0});
  const double radius = wheel.diameter.metres() / 2;
  const double height = wheel.contact_height.metres();
  if (height >= radius) {
    check.Refuse({"contact height of the chock", "is not below the wheel's centre",
                  "where the chock touches the wheel, above the ground"});
  }
  if (check.failed()) return tl::unexpected(check.error());
  ChockHold chock;
  const double across = std::sqrt(height * (2 * radius - height));
  chock.contact = Radians(std::atan2(across, radius - height));
  chock.to_climb = across / (radius - height);
  chock.to_slide = wheel.chock_friction;
  chock.demand = Size(wheel.grade) / wheel.chocked_share;
  chock.margin = std::min(chock.to_climb, chock.to_slide) - chock.demand;
  chock.verdict = Judge(chock.margin, kTangentError * (1 + chock.demand));
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

std::string DriversLine(const ChockHold& chock, UnitSystem) {
  if (chock.verdict == Verdict::kClear) {
    return fmt::format("CHOCK HOLDS: {:.0f} % of what it takes",
                       std::ceil(100 * chock.demand / std::min(chock.to_climb, chock.to_slide)));
  }
  return chock.to_slide < chock.to_climb ? "CHOCK SLIDES: dry the ground or chock more wheels"
                                         : "CHOCK TOO LOW: take a higher one";
}

std::string DriversLine(const SideTip& tip, UnitSystem system) {
  return fmt::format(
      "{}: leans as on {}, tips at {}", tip.verdict == Verdict::kClear ? "STANDS" : "MAY TIP",
      Text(tip.demand, system, Rounding::kUp), Text(tip.tips_at, system, Rounding::kDown));
}

}  // namespace chockwise::fit
