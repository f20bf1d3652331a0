// Over and under: the ride along a whole route, and what the ground carries.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>

#include "services/survey/answers.h"
#include "services/survey/machines.h"
#include "services/survey/reading_errors.h"
#include "services/survey/ridden.h"
#include "services/survey/survey.h"
#include "services/survey/train.h"

namespace chockwise::survey {
namespace {

struct Ridden {
  RiddenWay way;
  Readings readings;
};

Outcome<Ridden> RideWithReadings(const Asked& asked, const Trip& trip, fit::Travel travel) {
  const auto laid = RouteOf(asked, trip);
  if (!laid) return tl::unexpected(laid.error());
  Readings readings(asked.yard, asked.when);
  auto ridden = LayOutRide(readings, *laid, trip, travel);
  if (!ridden) return tl::unexpected(ridden.error());
  auto ride = fit::RideOver(QuestionOf(*ridden));
  if (!ride) return tl::unexpected(NoAnswerOf(ride.error(), trip.machine.value()));
  ridden->ride = std::move(*ride);
  return Ridden{.way = std::move(*ridden), .readings = std::move(readings)};
}

constexpr std::array<std::string_view, 2> kUnderAssumptions = {
    "stiff units, springs and tyres within the bounce; ground straight between profile points and "
    "on beyond its ends, level across",
    "only what the map hangs over the lanes; wires are no part of this, the wires gate and fit "
    "wires judge them"};

}  // namespace

fit::RideQuestion QuestionOf(const RiddenWay& ridden) {
  return {.machine = ridden.machine,
          .profile = ridden.way.profile,
          .allow = ridden.allow,
          .facing = ridden.travel == fit::Travel::kReversing ? fit::Facing::kAgainst
                                                             : fit::Facing::kAlong};
}

Outcome<RiddenWay> LayOutRide(Readings& readings, const Laid& laid, const Trip& trip,
                              fit::Travel travel) {
  auto way = LayOut(readings, {.route = laid.route, .from = trip.from});
  if (!way) return tl::unexpected(way.error());
  auto machine = Riding(readings, *laid.machine);
  if (!machine) return tl::unexpected(machine.error());
  const auto bounce = BounceOf(*laid.machine);
  if (!bounce) return tl::unexpected(bounce.error());
  return RiddenWay{
      .way = std::move(*way),
      .machine = std::move(*machine),
      .allow = {.bounce = *bounce, .profile_error = kProfileError, .reading_error = kHeightError},
      .travel = travel,
      .ride = {},
      .inputs = readings.inputs()};
}

std::vector<fit::Input> DefaultsOf(const RiddenWay& ridden, fit::UnitSystem units) {
  return {AsAsked("travel", ridden.travel == fit::Travel::kReversing ? "reversing" : "forwards"),
          Default("error of the ground between neighbouring points of the map",
                  Exactly(ridden.allow.profile_error, units)),
          HeightErrorInput(units)};
}

Outcome<RiddenWay> RideOf(const Asked& asked, const Trip& trip, fit::Travel travel) {
  auto ridden = RideWithReadings(asked, trip, travel);
  if (!ridden) return tl::unexpected(ridden.error());
  return std::move(ridden->way);
}

Outcome<fit::Answer> GoesUnder(const Asked& asked, const Trip& trip, fit::Travel travel) {
  const auto ridden = RideWithReadings(asked, trip, travel);
  if (!ridden) return tl::unexpected(ridden.error());
  const fit::Ride& ride = ridden->way.ride;
  Said said{.verdict = fit::Verdict::kClear, .line = "NOTHING OVERHEAD on the map of the way"};
  for (const fit::TightSpot& spot : ride.overheads)
    said.verdict = fit::Worse(said.verdict, spot.verdict);
  if (ride.least_overhead) {
    const fit::TightSpot& least = ride.overheads[*ride.least_overhead];
    const char* verb = said.verdict == fit::Verdict::kClear ? "GO UNDER" : "STOP";
    said.line = fmt::format("{} {}: {}", verb, least.at, SpareOrShort(least.sure(), asked.units));
    said.spare = fit::SpareOf(least.margin, least.error);
  }
  fit::Answer answer =
      AnswerFrom(ridden->readings, std::move(said), fit::kRideSources, kUnderAssumptions);
  std::ranges::move(DefaultsOf(ridden->way, asked.units), std::back_inserter(answer.inputs));
  answer.inputs.push_back(Default("bounce", Exactly(ridden->way.allow.bounce, asked.units)));
  return answer;
}

Outcome<fit::Answer> ClearsGround(const Asked& asked, const Trip& trip, fit::Travel travel) {
  const auto ridden = RideWithReadings(asked, trip, travel);
  if (!ridden) return tl::unexpected(ridden.error());
  const fit::TightSpot& below = ridden->way.ride.below;
  const std::string where = below.at.empty() ? AlongText(below.along, asked.units) : below.at;
  const bool clear = below.verdict == fit::Verdict::kClear;
  fit::Answer answer = AnswerFrom(
      ridden->readings,
      {.verdict = below.verdict,
       .line = fmt::format("{} {}: {}{}", clear ? "CLEARS" : "WILL GROUND at", where,
                           SpareOrShort(below.sure(), asked.units), clear ? "" : ", do not enter"),
       .spare = fit::SpareOf(below.margin, below.error)},
      fit::kRideSources, fit::kRideAssumptions);
  std::ranges::move(DefaultsOf(ridden->way, asked.units), std::back_inserter(answer.inputs));
  answer.inputs.push_back(
      Default("clearance asked for", Exactly(ridden->way.allow.needed_clearance, asked.units)));
  return answer;
}

namespace {

/// A machine at the rating is within it; a millionth of a kilogram is binary noise.
Part OnGround(fit::Kilograms margin, const std::string& weakest, fit::UnitSystem units) {
  const bool carries = margin.kilograms() > -1e-6;
  const std::string by = carries ? Text(margin, units, fit::Rounding::kDown) + " to spare"
                                 : Text(-margin, units, fit::Rounding::kUp) + " too heavy";
  return {.verdict = carries ? fit::Verdict::kClear : fit::Verdict::kConflict,
          .line = fmt::format("{} {}: {}", carries ? "GROUND CARRIES on" : "STAY OFF", weakest, by),
          .spare = fit::SpareOf(margin)};
}

}  // namespace

Outcome<fit::Answer> GroundCarries(const Asked& asked, const Trip& trip) {
  const auto laid = RouteOf(asked, trip);
  if (!laid) return tl::unexpected(laid.error());
  Readings readings(asked.yard, asked.when);
  const auto mass = TrainMass(readings, *laid->machine);
  if (!mass) return tl::unexpected(mass.error());
  std::optional<fit::Kilograms> least;
  std::string weakest;
  for (const yard::LaneId& lane : laid->route.lanes) {
    const auto rated = readings.Of<fit::Kilograms>(lane.value(), "rated-mass");
    if (!rated) return tl::unexpected(rated.error());
    if (least && *least <= *rated) continue;
    least = *rated;
    weakest = lane.value();
  }
  if (!least) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                                   .input = "route",
                                   .problem = "has no lane: it starts where it ends",
                                   .right = "name another place to go to"});
  }
  const auto part = AtBothEnds([&](Lean lean) -> Outcome<Part> {
    return OnGround(*least - IfMoreIsWorse(*mass, lean), weakest, asked.units);
  });
  if (!part) return tl::unexpected(part.error());
  constexpr std::array<std::string_view, 1> kSources = {
      "29 CFR 1910.22(b): the ground bears the most that is put on it (from memory)"};
  constexpr std::array<std::string_view, 1> kAssumptions = {
      "a rating is for one machine of that mass, all that it tows counted in, standing or passing; "
      "not for its outriggers"};
  fit::Answer answer =
      AnswerFrom(readings, {.verdict = part->verdict, .line = part->line, .spare = part->spare},
                 kSources, kAssumptions);
  answer.inputs.push_back(ScaleErrorInput());
  return answer;
}

}  // namespace chockwise::survey
