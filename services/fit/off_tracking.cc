#include "services/fit/off_tracking.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr Metres kLargestRadius = InMetres(10'000);
constexpr Metres kLongest = InMetres(100);

double Square(double x) { return x * x; }

InputCheck CheckOf(const CircleTurn& turn) {
  InputCheck check;
  check.Positive("turning radius", turn.front_axle_radius, UpTo{kLargestRadius});
  if (turn.lengths.empty() || turn.lengths.size() > 11)
    check.Refuse({"wheelbase", fmt::format("{} lengths are given", turn.lengths.size()),
                  "1 to 11: the wheelbase and each trailer's"});
  for (size_t i = 0; i < turn.lengths.size(); ++i) {
    check.Positive(i == 0 ? "wheelbase" : fmt::format("trailer {} hitch to axle", i),
                   turn.lengths[i], UpTo{kLongest});
  }
  if (turn.hitch_off.size() >= std::max<size_t>(turn.lengths.size(), 1))
    check.Refuse({"hitch offset", fmt::format("{} are given", turn.hitch_off.size()),
                  "one a trailer at most"});
  for (const Metres off : turn.hitch_off)
    check.Between("hitch offset", off, Span{-kLongest, kLongest});
  check.Positive("folding limit", turn.most_fold, UpTo{Degrees(90)});
  return check;
}

}  // namespace

Outcome<SteadyTurn> SteadyTurnOf(const CircleTurn& turn) {
  const InputCheck check = CheckOf(turn);
  if (check.failed()) return tl::unexpected(check.error());
  const double front_m = turn.front_axle_radius.metres();
  SteadyTurn steady{.state = SteadyState::kNone,
                    .rear_axle_radius = {},
                    .off_tracking = turn.front_axle_radius,
                    .largest_fold = Degrees(90)};
  double square = Square(front_m);  // of the axle's radius so far
  double shed = 0;                  // front squared less that
  double fold_rad = 0;
  for (size_t i = 0; i < turn.lengths.size(); ++i) {
    const double off_m = i > 0 && i <= turn.hitch_off.size() ? turn.hitch_off[i - 1].metres() : 0.0;
    const double length_m = turn.lengths[i].metres();
    const double hitch_square = square + Square(off_m);
    const double hitch_m = std::sqrt(hitch_square);
    if (hitch_m < length_m) return steady;
    shed += Square(length_m) - Square(off_m);
    square = i == 0 ? (front_m - length_m) * (front_m + length_m)
                    : std::max(hitch_square - Square(length_m), 0.0);
    // Between the units: the angle at the hitch less what the hitch's own offset turns.
    if (i > 0) {
      const double off_rad = std::asin(std::clamp(off_m / hitch_m, -1.0, 1.0));
      fold_rad = std::max(fold_rad, std::abs(std::asin(length_m / hitch_m) - off_rad));
    }
  }
  const double rear_m = std::sqrt(square);
  steady.rear_axle_radius = InMetres(rear_m);
  steady.off_tracking = InMetres(shed / (front_m + rear_m));
  steady.largest_fold = Radians(fold_rad);
  steady.state =
      steady.largest_fold > turn.most_fold ? SteadyState::kFoldsTooFar : SteadyState::kSteady;
  return steady;
}

Outcome<std::optional<Metres>> MaximumOffTrack(const J695Turn& turn) {
  InputCheck check;
  check.Positive("turning radius", turn.outer_wheel_radius, UpTo{kLargestRadius})
      .Positive("tractor wheelbase", turn.tractor_wheelbase, UpTo{kLongest})
      .NotNegative("half front track", turn.half_front_track, UpTo{kLongest})
      .NotNegative("kingpin offset", turn.kingpin_offset, UpTo{kLongest})
      .Positive("trailer wheelbase", turn.trailer_wheelbase, UpTo{kLongest});
  if (check.failed()) return tl::unexpected(check.error());
  const double radius_m = turn.outer_wheel_radius.metres();
  const double tractor_m = turn.tractor_wheelbase.metres();
  const double trailer_m = turn.trailer_wheelbase.metres();
  const double offset_m = turn.kingpin_offset.metres();
  const double outer_square = (radius_m - tractor_m) * (radius_m + tractor_m);
  if (outer_square < 0) return std::optional<Metres>();
  const double axle_m = std::sqrt(outer_square) - turn.half_front_track.metres();
  if (axle_m < 0) return std::optional<Metres>();
  const double rear_square = Square(axle_m) + (offset_m - trailer_m) * (offset_m + trailer_m);
  if (rear_square < 0) return std::optional<Metres>();
  const double front_m = std::hypot(tractor_m, axle_m);
  const double rear_m = std::sqrt(rear_square);
  const double shed = Square(tractor_m) + (trailer_m - offset_m) * (trailer_m + offset_m);
  return std::optional<Metres>(InMetres(shed / (front_m + rear_m)));
}

Outcome<CornerSwing> CornerSwingOf(const CornerTurn& turn) {
  InputCheck check;
  check.NotNegative("rear axle radius", turn.rear_axle_radius, UpTo{kLargestRadius})
      .Positive("width", turn.width, UpTo{kLongest})
      .NotNegative("front overhang", turn.front_overhang, UpTo{kLongest})
      .NotNegative("rear overhang", turn.rear_overhang, UpTo{kLongest});
  if (check.failed()) return tl::unexpected(check.error());
  const Metres outer = turn.rear_axle_radius + turn.width / 2;
  const double outer_m = outer.metres();
  const double rear_m = turn.rear_overhang.metres();
  return CornerSwing{
      .inner_radius = turn.rear_axle_radius - turn.width / 2,
      .outer_front_radius = InMetres(std::hypot(outer_m, turn.front_overhang.metres())),
      .tail_swing = InMetres(Square(rear_m) / (std::hypot(outer_m, rear_m) + outer_m))};
}

Outcome<Angle> FoldAfter(const StraightPull& pull) {
  InputCheck check;
  check.Between("fold", pull.fold, Span{Angle(), Degrees(179)})
      .Positive("hitch to axle", pull.length, UpTo{kLongest})
      .NotNegative("pulled", pull.pulled, UpTo{kLargestRadius});
  if (check.failed()) return tl::unexpected(check.error());
  const double half = std::tan(pull.fold.radians() / 2) * std::exp(-(pull.pulled / pull.length));
  return Radians(2 * std::atan(half));
}

Outcome<std::optional<Angle>> FoldOnCircle(const CirclePull& pull) {
  InputCheck check;
  check.Positive("hitch radius", pull.hitch_radius, UpTo{kLargestRadius})
      .Positive("hitch to axle", pull.length, UpTo{kLongest})
      .NotNegative("pulled", pull.pulled, UpTo{kLargestRadius});
  if (check.failed()) return tl::unexpected(check.error());
  if (pull.hitch_radius <= pull.length) return std::optional<Angle>();
  const double ratio = pull.hitch_radius / pull.length;
  const double root = std::sqrt((ratio - 1) * (ratio + 1));
  // √(1/L² − 1/R²) = root / R; 1 − E by expm1, so that short pulls do not cancel.
  const double exponent = pull.pulled.metres() * root / pull.hitch_radius.metres();
  const double far = ratio + root;  // t₊; t₋ is its inverse
  const double half = -std::expm1(-exponent) / (far - std::exp(-exponent) / far);
  return std::optional<Angle>(Radians(2 * std::atan(half)));
}

Outcome<Metres> TractrixWay(const TractrixPoint& point) {
  InputCheck check;
  check.Positive("hitch to axle", point.length, UpTo{kLongest})
      .Positive("aside", point.aside, UpTo{point.length});
  if (check.failed()) return tl::unexpected(check.error());
  const double length_m = point.length.metres();
  const double aside_m = point.aside.metres();
  return InMetres(length_m * std::acosh(length_m / aside_m) -
                  std::sqrt((length_m - aside_m) * (length_m + aside_m)));
}

std::string DriversLine(const SteadyTurn& turn, UnitSystem system) {
  switch (turn.state) {
    case SteadyState::kSteady:
      return "CUTS IN " + Text(turn.off_tracking, system, Rounding::kUp);
    case SteadyState::kFoldsTooFar:
      return fmt::format("FOLDS TOO FAR: {}, do not hold this turn",
                         Text(turn.largest_fold, system, Rounding::kUp));
    case SteadyState::kNone:
      return "NO STEADY TURN: it folds up, keep the turn short or wider";
  }
  return "";
}

}  // namespace chockwise::fit
