#include "services/fit/stopping_standards.h"

#include <cmath>

#include "services/fit/input_check.h"
#include "services/fit/stopping.h"

namespace chockwise::fit {
namespace {

struct SightFormula {
  double rolled_per_second;
  double level_factor;
  double level_deceleration;
  double grade_factor;
  double own_deceleration_over_g;
  double fastest;
};
constexpr SightFormula kFeet = {1.47, 1.075, 11.2, 30, 11.2 / 32.2, 100};
constexpr SightFormula kMetres = {0.278, 0.039, 3.4, 254, 3.4 / 9.81, 160};

Outcome<double> SightDistance(const SightDesign& design, const SightFormula& formula) {
  const double slowing = design.deceleration_over_g == 0 ? formula.own_deceleration_over_g
                                                         : design.deceleration_over_g;
  InputCheck check;
  check.Positive("design speed", design.speed, UpTo{formula.fastest})
      .Between("grade", design.grade, Span{-0.5, 0.5})
      .Between("response time, s", design.response_s, Span{0.0, 10.0})
      .Positive("deceleration over g", slowing, UpTo{1.5});
  if (!(slowing + design.grade > kLeastHold)) {
    check.Refuse({.input = "grade",
                  .problem = "beats the design deceleration",
                  .right = "deceleration and grade together above 0.03"});
  }
  if (check.failed()) return tl::unexpected(check.error());
  const double speed = design.speed;
  const double rolled = formula.rolled_per_second * speed * design.response_s;
  if (design.grade == 0 && design.deceleration_over_g == 0) {
    return rolled + formula.level_factor * speed * speed / formula.level_deceleration;
  }
  return rolled + speed * speed / (formula.grade_factor * (slowing + design.grade));
}

constexpr std::array kPrintedTo36000 = {34, 38, 43, 48, 53, 59, 64, 70, 76, 83, 89};
constexpr std::array kPrintedTo250000 = {56, 62, 69, 77, 84, 92, 100, 108, 116, 125, 133};

double ResponseSeconds(MineClass gross) {
  switch (gross) {
    case MineClass::kTo36000:
      return 0.5;
    case MineClass::kTo70000:
      return 1;
    case MineClass::kTo140000:
      return 1.5;
    case MineClass::kTo250000:
      return 2;
    case MineClass::kTo400000:
      return 2.25;
    case MineClass::kOver400000:
      return 2.5;
  }
  return 2.5;
}

}  // namespace

Outcome<double> AashtoSightDistanceFeet(const SightDesign& design) {
  return SightDistance(design, kFeet);
}

Outcome<double> AashtoSightDistanceMetres(const SightDesign& design) {
  return SightDistance(design, kMetres);
}

double RoundUpToFive(double distance) { return 5 * std::ceil(distance / 5 - 1e-9); }

Outcome<MineClass> MineClassOf(Kilograms gross) {
  InputCheck check;
  check.Positive("gross vehicle weight", gross, UpTo{Pounds(2'000'000)});
  if (check.failed()) return tl::unexpected(check.error());
  constexpr std::array kUpper = {36'000, 70'000, 140'000, 250'000, 400'000};
  for (size_t at = 0; at < kUpper.size(); ++at) {
    if (AtLeast(Pounds(kUpper[at]), gross)) return kMineClasses[at];
  }
  return MineClass::kOver400000;
}

Outcome<int> MineStoppingFeet(MineClass gross, int mph) {
  InputCheck check;
  check.Between("speed, mph", mph, Span{10, 20});
  if (check.failed()) return tl::unexpected(check.error());
  const auto column = static_cast<size_t>(mph - 10);
  if (gross == MineClass::kTo36000) return kPrintedTo36000[column];
  if (gross == MineClass::kTo250000) return kPrintedTo250000[column];
  const double speed = 1.47 * mph;
  const double feet = speed * (1 + ResponseSeconds(gross)) + speed * speed / (2 * 9.66);
  return static_cast<int>(std::floor(feet));
}

Outcome<double> MineSecondsPer100Feet(int mph) {
  InputCheck check;
  check.Between("speed, mph", mph, Span{10, 20});
  if (check.failed()) return tl::unexpected(check.error());
  return std::round(10 * 100 / (22.0 / 15 * mph)) / 10;
}

}  // namespace chockwise::fit
