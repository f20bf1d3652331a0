#include "services/survey/landmarks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace chockwise::survey {
namespace {

using fit::Metres;

/// A length as it is paced: to the nearest foot or half metre.
Metres Paced(Metres length, fit::UnitSystem units) {
  if (units == fit::UnitSystem::kUs) return fit::Feet(std::round(length.feet()));
  return fit::InMetres(std::round(2 * length.metres()) / 2);
}

std::string Shown(Metres length, fit::UnitSystem units) {
  // Half a millimetre more, or 0.5 m that came out a rounding short would be told as 0.49 m.
  return Text(length + fit::Millimetres(0.5), units, fit::Rounding::kDown);
}

/// "12 ft past door-1", "beside door-1", "3 ft before door-1".
std::string PastText(const Landmark& landmark, Metres past, fit::UnitSystem units) {
  const Metres paced = Paced(past, units);
  if (paced == Metres()) return "beside " + landmark.id;
  return paced > Metres() ? fmt::format("{} past {}", Shown(paced, units), landmark.id)
                          : fmt::format("{} before {}", Shown(-paced, units), landmark.id);
}

/// Where the way is at a length along it, on one of its lanes.
fit::Pose PoseOn(const Way& way, const LaneOnWay& lane, Metres along) {
  size_t i = 1;
  while (i + 1 < way.middle.size() && (way.along[i] < along || way.along[i] <= lane.from)) ++i;
  const fit::Point step = way.middle[i] - way.middle[i - 1];
  const double share =
      std::clamp((along - way.along[i - 1]) / (way.along[i] - way.along[i - 1]), 0.0, 1.0);
  return {.at = way.middle[i - 1] + share * step, .heading_rad = std::atan2(step.y_m, step.x_m)};
}

}  // namespace

std::vector<Landmark> LandmarksOf(const yard::Yard& yard, const Trip& trip, const Way& way) {
  std::vector<Landmark> landmarks;
  yard::PlaceId at = trip.from;
  for (const LaneOnWay& lane_on_way : way.lanes) {
    const yard::Lane& lane = yard.lanes.at(yard::LaneId(lane_on_way.id));
    const bool backwards = lane.from != at;
    const auto add = [&](const std::string& id, Metres along) {
      landmarks.push_back({.id = id,
                           .lane = lane_on_way.id,
                           .along = along,
                           .pose = PoseOn(way, lane_on_way, along)});
    };
    add(at.value(), lane_on_way.from);
    for (const DoorOnWay& door : way.doors) {
      if (yard.doors.at(yard::DoorId(door.id)).lane == lane.id) add(door.id, door.along);
    }
    for (const auto& [id, hold] : yard.hold_points) {
      if (hold.lane != lane.id) continue;
      // Slopes stretch lane and hold point alike.
      const double share = std::clamp(hold.along / lane.length, 0.0, 1.0);
      add(id.value(),
          lane_on_way.from + (backwards ? 1 - share : share) * (lane_on_way.to - lane_on_way.from));
    }
    at = backwards ? lane.from : lane.to;
    add(at.value(), lane_on_way.to);
  }
  std::ranges::stable_sort(landmarks, {}, &Landmark::along);
  return landmarks;
}

std::string WhereOnFoot(const std::vector<Landmark>& landmarks, fit::Point at,
                        fit::UnitSystem units) {
  const auto off = [&](const Landmark& landmark) {
    const fit::Point along = fit::Unit(landmark.pose.heading_rad), to = at - landmark.pose.at;
    return fit::Point{Dot(along, to), Cross(along, to)};
  };
  // Of two lanes at one place the one along which less is paced.
  const auto paces_m = [&](const Landmark& landmark) {
    const fit::Point to = off(landmark);
    return LengthM(to) + 1e-3 * std::abs(to.x_m);
  };
  const Landmark& nearest = *std::ranges::min_element(landmarks, {}, paces_m);
  const fit::Point to = off(nearest);
  const std::string past = PastText(nearest, fit::InMetres(to.x_m), units);
  const Metres beside = Paced(fit::InMetres(std::abs(to.y_m)), units);
  if (beside == Metres()) return fmt::format("{}, in line with {}", past, nearest.lane);
  return fmt::format("{}, {} {} of {}", past, Shown(beside, units), to.y_m > 0 ? "left" : "right",
                     nearest.lane);
}

std::string WhereAlong(const std::vector<Landmark>& landmarks, Metres along,
                       fit::UnitSystem units) {
  const auto off_m = [&](const Landmark& one) { return std::abs((one.along - along).metres()); };
  const Landmark& nearest = *std::ranges::min_element(landmarks, {}, off_m);
  return PastText(nearest, along - nearest.along, units);
}

}  // namespace chockwise::survey
