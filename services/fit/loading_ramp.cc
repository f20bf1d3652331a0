#include "services/fit/loading_ramp.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kRelativeError = 1e-14;
constexpr Kilograms kHeaviest = Pounds(500'000);
constexpr Newtons kStrongest = PoundsForce(500'000);

Newtons WeightOf(Kilograms mass) { return InNewtons(mass.kilograms() * kGravity); }

InputCheck CheckRamp(const Ramp& ramp) {
  constexpr Metres kLongest = Feet(100);
  InputCheck check;
  check.Positive("deck height", ramp.deck_height, UpTo{Feet(20)})
      .Positive("ramp length", ramp.ramp_length, UpTo{kLongest})
      .Positive("friction", ramp.friction, UpTo{1.5})
      .Between("slope under the carrier", ramp.ground, Span{Percent(-30), Percent(30)});
  if (ramp.deck_height >= ramp.ramp_length) {
    check.Refuse({"ramp length", "is not longer than the deck is high", "the length of the slope"});
  }
  if (ramp.ridden_clearance) {
    check.Between("ridden clearance", *ramp.ridden_clearance, Span{Feet(-10), Feet(10)});
    return check;
  }
  check.Positive("wheelbase", ramp.wheelbase, UpTo{kLongest})
      .Positive("belly clearance", ramp.belly_clearance, UpTo{Feet(10)})
      .NotNegative("nose overhang", ramp.nose_overhang, UpTo{kLongest})
      .NotNegative("tail overhang", ramp.tail_overhang, UpTo{kLongest});
  if (ramp.nose_overhang > Metres()) {
    check.Positive("nose clearance", ramp.nose_clearance, UpTo{Feet(10)});
  }
  if (ramp.tail_overhang > Metres()) {
    check.Positive("tail clearance", ramp.tail_clearance, UpTo{Feet(10)});
  }
  return check;
}

void SetMargins(const Ramp& ramp, double own_angle, RampClimb& climb) {
  if (ramp.ridden_clearance) {
    climb.top_margin = *ramp.ridden_clearance - kBellyReserve;
    return;
  }
  const double change = std::tan(own_angle);
  climb.top_margin = ramp.belly_clearance - ramp.wheelbase * (change / 4) - kBellyReserve;
  const auto at_toe = [&](Metres overhang, Metres clearance) {
    if (overhang == Metres()) return;
    const Metres margin = clearance - overhang * change - kBellyReserve;
    climb.toe_margin = std::min(climb.toe_margin.value_or(margin), margin);
  };
  at_toe(ramp.nose_overhang, ramp.nose_clearance);
  at_toe(ramp.tail_overhang, ramp.tail_clearance);
}

}  // namespace

Outcome<RampClimb> JudgeRamp(const Ramp& ramp) {
  InputCheck check = CheckRamp(ramp);
  if (check.failed()) return tl::unexpected(check.error());
  const double own = std::asin(ramp.deck_height / ramp.ramp_length);
  RampClimb climb;
  climb.angle = Radians(own + std::atan(ramp.ground.rise_over_run()));
  check.Between("angle of the ramp", climb.angle, Span{Degrees(-60), Degrees(60)});
  if (check.failed()) return tl::unexpected(check.error());
  climb.grade = RiseOverRun(std::tan(climb.angle.radians()));
  climb.grips_to = RiseOverRun(ramp.friction / kGripReserve);
  SetMargins(ramp, own, climb);

  const double sizes_m =
      (ramp.wheelbase + ramp.nose_overhang + ramp.tail_overhang + Feet(20)).metres();
  const Verdict grip = Judge((climb.grips_to - climb.grade).rise_over_run(), kRelativeError * 2);
  const Verdict top = Judge(climb.top_margin.metres(), kRelativeError * sizes_m);
  const Verdict toe = climb.toe_margin ? Judge(climb.toe_margin->metres(), kRelativeError * sizes_m)
                                       : Verdict::kClear;
  climb.verdict = Worse(grip, Worse(top, toe));
  if (grip != Verdict::kClear) {
    climb.worst = RampTrouble::kGrip;
  } else if (top != Verdict::kClear) {
    climb.worst = RampTrouble::kTop;
  } else if (toe != Verdict::kClear) {
    climb.worst = RampTrouble::kToe;
  }
  return climb;
}

Outcome<HeldAgainst> JudgeCarrierHold(const CarrierHold& carrier) {
  InputCheck check;
  check.Positive("friction", carrier.friction, UpTo{1.5})
      .Positive("weight of the carrier", carrier.weight, UpTo{kHeaviest})
      .Between("weight on braked wheels", carrier.braked_weight, Span{Kilograms(), carrier.weight})
      .NotNegative("push", carrier.push, UpTo{kStrongest})
      .Between("grade", carrier.grade, Span{Percent(-30), Percent(30)});
  if (check.failed()) return tl::unexpected(check.error());
  const double grade = carrier.grade.rise_over_run();
  HeldAgainst held;
  held.holds = WeightOf(carrier.braked_weight) * carrier.friction;
  held.pushes = carrier.push * std::hypot(1.0, grade) + WeightOf(carrier.weight) * grade;
  held.margin = held.holds - held.pushes;
  const double sizes =
      (held.holds + carrier.push + WeightOf(carrier.weight) * std::abs(grade)).newtons();
  held.verdict = Judge(held.margin.newtons(), kRelativeError * sizes);
  return held;
}

Outcome<TowPull> PullToTow(const Tow& tow) {
  InputCheck check;
  check.Positive("weight of the machine", tow.weight, UpTo{kHeaviest})
      .Between("grade", tow.grade, Span{Percent(-100), Percent(100)})
      .Between("rolling resistance", tow.rolling, Span{0.01, 1.0});
  if (tow.rated) check.Positive("rated pull", *tow.rated, UpTo{kStrongest});
  if (check.failed()) return tl::unexpected(check.error());
  const double grade = tow.grade.rise_over_run();
  const Newtons weight = WeightOf(tow.weight);
  TowPull pull;
  pull.pull = weight * (tow.rolling + std::max(0.0, grade));
  pull.hold_back = weight * std::max(0.0, -grade);
  if (tow.rated) {
    const Newtons most = std::max(pull.pull, pull.hold_back);
    pull.margin = *tow.rated - most;
    pull.verdict = Judge(pull.margin->newtons(), kRelativeError * (*tow.rated + most).newtons());
  }
  return pull;
}

std::string DriversLine(const RampClimb& climb, UnitSystem system) {
  const std::string grade = Text(climb.grade, system, Rounding::kUp);
  switch (climb.worst) {
    case RampTrouble::kNone:
      return fmt::format("GO UP: {}, grips to {}", grade,
                         Text(climb.grips_to, system, Rounding::kDown));
    case RampTrouble::kGrip:
      return fmt::format("TOO STEEP: {}, grips to {}. WINCH", grade,
                         Text(climb.grips_to, system, Rounding::kDown));
    case RampTrouble::kTop:
      return fmt::format("WILL GROUND at the ramp top: {} short",
                         Text(-climb.top_margin, system, Rounding::kUp));
    case RampTrouble::kToe:
      return fmt::format("WILL GROUND at the ramp toe: {} short",
                         Text(-*climb.toe_margin, system, Rounding::kUp));
  }
  return "";
}

std::string DriversLine(const HeldAgainst& held, UnitSystem system) {
  if (held.verdict == Verdict::kClear) {
    return fmt::format("CARRIER HOLDS: {} to spare", Text(held.margin, system, Rounding::kDown));
  }
  return fmt::format("CARRIER WILL SHIFT: {} short. CHOCK IT",
                     Text(-held.margin, system, Rounding::kUp));
}

std::string DriversLine(const TowPull& pull, UnitSystem system) {
  const std::string needs =
      pull.hold_back > pull.pull
          ? fmt::format("HOLD BACK {}", Text(pull.hold_back, system, Rounding::kUp))
          : fmt::format("PULL {}", Text(pull.pull, system, Rounding::kUp));
  if (!pull.margin) return needs + ": nobody knows the rating of the line";
  if (pull.verdict == Verdict::kClear) {
    return fmt::format("{}: {} to spare", needs, Text(*pull.margin, system, Rounding::kDown));
  }
  return fmt::format("{}: LINE TOO WEAK by {}", needs, Text(-*pull.margin, system, Rounding::kUp));
}

}  // namespace chockwise::fit
