#include "services/fit/rates.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <cmath>
#include <numbers>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kMostCases = 1e12, kMostEvents = 1e9;
constexpr double kLeastConfidence = 0.5, kMostConfidence = 0.9999;

/// Told in whole percent, or whole events per thousand, outward.
std::string Outward(const Interval& share, double scale) {
  return fmt::format("{:.0f} to {:.0f}", std::floor(share.low * scale),
                     std::ceil(share.high * scale));
}

}  // namespace

Outcome<Interval> ShareInterval(const Proportion& seen) {
  const double times = static_cast<double>(seen.times), of = static_cast<double>(seen.of);
  InputCheck check;
  check.Positive("of", of, UpTo{kMostCases})
      .NotNegative("times", times, UpTo{of})
      .Between("confidence", seen.confidence, Span{kLeastConfidence, kMostConfidence});
  if (check.failed()) return tl::unexpected(check.error());
  const double z = std::numbers::sqrt2 * boost::math::erfc_inv(1 - seen.confidence);
  const double share = times / of, z2_of = z * z / of;
  const double middle = (share + z2_of / 2) / (1 + z2_of);
  const double half = std::sqrt(share * (1 - share) * z2_of + z2_of * z2_of / 4) / (1 + z2_of);
  // At either end the two terms are equal, and their difference is not quite 0 in binary.
  return Interval{.low = seen.times == 0 ? 0.0 : std::max(0.0, middle - half),
                  .high = seen.times == seen.of ? 1.0 : std::min(1.0, middle + half)};
}

Outcome<Interval> CountInterval(const Events& seen) {
  const double events = static_cast<double>(seen.events);
  InputCheck check;
  check.NotNegative("events", events, UpTo{kMostEvents})
      .Between("confidence", seen.confidence, Span{kLeastConfidence, kMostConfidence});
  if (check.failed()) return tl::unexpected(check.error());
  const double tail = (1 - seen.confidence) / 2;
  return Interval{.low = seen.events == 0 ? 0.0 : boost::math::gamma_p_inv(events, tail),
                  .high = boost::math::gamma_q_inv(events + 1, tail)};
}

std::string ShareText(int64_t times, int64_t of) {
  std::string text = fmt::format("{} of {}", times, of);
  const auto share = ShareInterval({.times = times, .of = of});
  if (!share || times < kFewestForARate) return text;
  return fmt::format("{}: {:.0f} % ({} %)", text,
                     100 * static_cast<double>(times) / static_cast<double>(of),
                     Outward(*share, 100));
}

std::string RateText(int64_t events, int64_t moves) {
  std::string text = fmt::format("{} in {} moves", events, moves);
  const auto count = CountInterval({.events = events});
  if (!count || moves <= 0 || events < kFewestForARate) return text;
  const double per_thousand = 1000 / static_cast<double>(moves);
  return fmt::format("{}: {:.0f} per 1,000 ({})", text, static_cast<double>(events) * per_thousand,
                     Outward(*count, per_thousand));
}

}  // namespace chockwise::fit
