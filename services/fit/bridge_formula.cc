#include "services/fit/bridge_formula.h"

#include <array>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kNoiseFeet = 1e-6;
constexpr int kStep = 500;

/// The formula over 500 as a fraction, so that no rounding of a double decides a tie.
struct Fraction {
  int over;
  int under;
};
Fraction InSteps(const AxleSet& set) {
  const int under = set.axles - 1;
  return {set.span_ft * set.axles + (12 * set.axles + 36) * under, under};
}

BridgeLimit Rounded(const AxleSet& set) {
  const Fraction steps = InSteps(set);
  // ceil(x - 1/2) = ceil((2·over - under) / (2·under)); both are positive.
  const int nearest = (2 * steps.over - steps.under + 2 * steps.under - 1) / (2 * steps.under);
  return {.published_lb = kStep * nearest, .planned_lb = kStep * (steps.over / steps.under)};
}

/// First and last row that the table prints for a number of axles, and where the federal table
/// begins. The last rows of 2 and 3 axles are where as many single axles would carry no more.
struct Rows {
  int axles;
  int first;
  int federal_first;
  int last;
};
constexpr std::array<Rows, 7> kWashington = {{{2, 4, 4, 10},
                                              {3, 4, 8, 32},
                                              {4, 11, 12, 60},
                                              {5, 14, 16, 60},
                                              {6, 18, 20, 60},
                                              {7, 22, 24, 60},
                                              {8, 25, 28, 60}}};

}  // namespace

Outcome<BridgeLimit> BridgeFormula(const AxleSet& set) {
  InputCheck check;
  check.Between("span of the axles, ft", set.span_ft, Span{4, 200})
      .Between("number of axles", set.axles, Span{2, 20});
  if (check.failed()) return tl::unexpected(check.error());
  return Rounded(set);
}

int FormulaFeet(Metres span, BridgeRounding rounding) {
  const int whole = static_cast<int>(std::floor(span.feet() + kNoiseFeet));
  switch (rounding) {
    case BridgeRounding::kPlanned:
      return whole;
    case BridgeRounding::kPublished:
      return whole == 8 ? 8 : static_cast<int>(std::ceil(span.feet() - 0.5 - kNoiseFeet));
  }
  return whole;
}

std::optional<int> WashingtonLimitLb(const AxleSet& set) {
  for (const Rows& rows : kWashington) {
    if (rows.axles != set.axles) continue;
    if (set.span_ft < rows.first || set.span_ft > rows.last) return std::nullopt;
    if (set.span_ft <= 8) return kTandemCap.lb;
    const BridgeLimit limit = Rounded(set);
    return set.span_ft < rows.federal_first ? limit.planned_lb : limit.published_lb;
  }
  return std::nullopt;
}

}  // namespace chockwise::fit
