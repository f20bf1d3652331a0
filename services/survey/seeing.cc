#include "services/survey/seeing.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "services/survey/answers.h"
#include "services/survey/stopping.h"
#include "services/survey/turning.h"

namespace chockwise::survey {
namespace {

using fit::Metres;
using fit::Region;

constexpr Metres kSpotterRoom = fit::InMetres(0.5);
/// The picture of the swept ground is this much too large at most.
constexpr Metres kSweptCoarseness = fit::InMetres(0.1);
/// Sight is asked at this many poses of the way; what it may move between two is in the answer.
constexpr size_t kPoses = 200;

/// An edge of the body over which the ground is first seen `seen` away from it: as high as the line
/// from the eye to that spot is where it leaves the machine.
Outcome<fit::SideSill> SillOf(Readings& readings, const std::string& id, const char* quantity,
                              fit::SideSill side, Metres eye_height) {
  const auto seen = readings.IfThere<Metres>(id, quantity);
  if (!seen) return tl::unexpected(seen.error());
  if (!*seen) return side;
  const double share = side.distance / (side.distance + **seen);
  side.height = eye_height * (1 - share);
  return side;
}

/// What may stand in the way of sight from below the eye to above it.
constexpr std::array<std::string_view, 7> kInTheWay = {
    "boom",           "mast",           "stack", "left-front-post", "right-front-post",
    "left-rear-post", "right-rear-post"};
/// How far a bearing from the seat may be off on each side: a protractor or a telephone's compass
/// held at the eye, and a head that leans. Common practice.
constexpr fit::Angle kBearingError = fit::Degrees(2);

/// Bearings run clockwise as seen from above, the machine's frame counter-clockwise.
fit::Mask MaskOf(fit::Angle bearing, fit::Angle width) {
  const fit::Angle half = width / 2 + kBearingError;
  fit::Mask mask{.from = -bearing - half, .to = half - bearing};
  if (mask.from < fit::Degrees(-360)) {
    mask.from += fit::Degrees(360);
    mask.to += fit::Degrees(360);
  }
  return mask;
}

/// Of two readings that belong together one alone says nothing. Law 2.
Outcome<std::vector<fit::Mask>> MasksOf(Readings& readings, const std::string& id) {
  std::vector<fit::Mask> masks;
  for (const std::string_view name : kInTheWay) {
    const std::string bearing_is = fmt::format("{}-bearing", name);
    const std::string width_is = fmt::format("{}-width", name);
    const auto has_bearing = readings.IfThere<fit::Angle>(id, bearing_is);
    if (!has_bearing) return tl::unexpected(has_bearing.error());
    const auto has_width = readings.IfThere<fit::Angle>(id, width_is);
    if (!has_width) return tl::unexpected(has_width.error());
    if (!*has_bearing && !*has_width) continue;
    if (!*has_bearing || !*has_width) {
      const auto missing = readings.Of<fit::Angle>(id, *has_bearing ? width_is : bearing_is);
      return tl::unexpected(missing.error());
    }
    masks.push_back(MaskOf(**has_bearing, **has_width));
  }
  return masks;
}

/// The eye in the box of its unit.
struct EyeBox {
  fit::Point eye;
  size_t unit = 0;
  Metres front, rear, side;  // from the eye to the ends and sides of the straight machine
};

Outcome<EyeBox> EyeIn(Readings& readings, const yard::Machine& machine) {
  const auto turning = Turning(readings, machine);
  if (!turning) return tl::unexpected(turning.error());
  const auto behind = readings.Of<Metres>(machine.id.value(), "eye-behind-front");
  if (!behind) return tl::unexpected(behind.error());
  const fit::BodyBox& first = turning->boxes.front();
  const Metres of_first = first.ahead + first.behind;
  const fit::BodyBox* second = turning->rear_boxes.empty() ? nullptr : &turning->rear_boxes.front();
  const Metres length = second == nullptr ? of_first : of_first + second->ahead + second->behind;
  if (*behind <= Metres() || *behind >= length) {
    return tl::unexpected(
        NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                 .input = "eye-behind-front of " + machine.id.value(),
                 .problem = fmt::format("is {}, not within the machine",
                                        Text(*behind, fit::UnitSystem::kUs, fit::Rounding::kDown)),
                 .right = "tape it again from the foremost point to the driver's eye"});
  }
  const bool on_second = *behind > of_first;
  const Metres ahead = on_second ? second->ahead + of_first - *behind : first.ahead - *behind;
  return EyeBox{.eye = {ahead.metres(), 0},
                .unit = on_second ? 1u : 0u,
                .front = *behind,
                .rear = length - *behind,
                .side = first.left};
}

std::vector<fit::Pose> PosesOf(const fit::UnitMotion& unit) {
  std::vector<fit::Pose> poses;
  const std::vector<fit::AxleFrame>& frames = unit.frames;
  const size_t stride = std::max<size_t>(1, frames.size() / kPoses);
  for (size_t i = 0; i < frames.size(); i += stride) poses.push_back(PoseOf(frames[i]));
  poses.push_back(PoseOf(frames.back()));
  return poses;
}

/// Flat ground within reach of the way, without what stands on it.
Region StandingGround(const Way& way, Metres reach) {
  const auto around = Region::Around(way.middle, reach);
  Region ground = around ? *around : Region();
  for (const GroundOnWay& obstacle : way.obstacles) {
    if (const auto taken = Region::From({.outer = obstacle.ring})) ground = ground.Without(*taken);
  }
  return ground;
}

Outcome<fit::Standoff> StandoffOn(Readings& readings, const yard::Machine& machine, const Way& way,
                                  const Spotting& spotting) {
  const auto length = readings.Of<Metres>(machine.id.value(), "carried-length");
  if (!length) return tl::unexpected(length.error());
  std::vector<std::string> lanes;
  for (const LaneOnWay& lane : way.lanes) lanes.push_back(lane.id);
  const auto downhill = DownhillOn(readings, lanes);
  if (!downhill) return tl::unexpected(downhill.error());
  // Wet, whatever the weather does meanwhile.
  auto motion = MotionOf(readings, machine, *downhill);
  if (!motion) return tl::unexpected(motion.error());
  motion->speed = spotting.speed;
  const auto standoff = fit::SpotterStandoff(*motion, *length);
  if (!standoff) return tl::unexpected(NoAnswerOf(standoff.error(), machine.id.value()));
  return *standoff;
}

struct SeenWithReadings {
  SeenWay way;
  Readings readings;
};

Outcome<SeenWithReadings> See(const Asked& asked, const Trip& trip, const Spotting& spotting) {
  const auto laid = RouteOf(asked, trip);
  if (!laid) return tl::unexpected(laid.error());
  auto driven = DriveOf(asked, trip, {.travel = spotting.travel});
  if (!driven) return tl::unexpected(driven.error());
  if (driven->swept.driven.shortfall || driven->swept.driven.units.empty()) {
    return tl::unexpected(
        NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                 .input = "way of " + trip.machine.value(),
                 .problem = "cannot be driven: " + fit::DriversLine(driven->swept, asked.units),
                 .right = "choose another way or another machine"});
  }
  Readings readings(asked.yard, asked.when);
  auto sight = Sight(readings, *laid->machine, spotting);
  if (!sight) return tl::unexpected(sight.error());
  const auto standoff = StandoffOn(readings, *laid->machine, driven->way, spotting);
  if (!standoff) return tl::unexpected(standoff.error());
  const auto swept = fit::SweptGround(driven->swept.driven, kSweptCoarseness);
  if (!swept) return tl::unexpected(NoAnswerOf(swept.error(), trip.machine.value()));
  auto poses = PosesOf(driven->swept.driven.units[sight->unit]);
  auto places = fit::PlacesForSpotter({.poses = poses,
                                       .zone = sight->zone,
                                       .swept = *swept,
                                       .standoff = standoff->distance,
                                       .ground = StandingGround(driven->way, spotting.reach),
                                       .room = kSpotterRoom});
  if (!places) return tl::unexpected(NoAnswerOf(places.error(), trip.machine.value()));
  SeenWay seen{.driven = std::move(*driven),
               .zone = std::move(sight->zone),
               .poses = std::move(poses),
               .standoff = *standoff,
               .places = std::move(*places),
               .inputs = readings.inputs()};
  return SeenWithReadings{.way = std::move(seen), .readings = std::move(readings)};
}

}  // namespace

Outcome<DriverSight> Sight(Readings& readings, const yard::Machine& machine,
                           const Spotting& spotting) {
  const std::string& id = machine.id.value();
  const auto height = readings.Of<Metres>(id, "eye-height");
  if (!height) return tl::unexpected(height.error());
  const auto box = EyeIn(readings, machine);
  if (!box) return tl::unexpected(box.error());
  fit::SideSills sides;
  struct Row {
    const char* quantity;
    Metres distance;
    fit::SideSill* side;
  };
  const Row rows[] = {{"ground-seen-front", box->front, &sides.front},
                      {"ground-seen-left", box->side, &sides.left},
                      {"ground-seen-rear", box->rear, &sides.rear},
                      {"ground-seen-right", box->side, &sides.right}};
  for (const Row& row : rows) {
    const auto sill = SillOf(readings, id, row.quantity,
                             {.distance = row.distance, .height = std::nullopt}, *height);
    if (!sill) return tl::unexpected(sill.error());
    *row.side = *sill;
  }
  auto masks = MasksOf(readings, id);
  if (!masks) return tl::unexpected(masks.error());
  auto zone = fit::BlindZoneOf({.seat = {.eye = box->eye,
                                         .eye_height = *height,
                                         .sills = fit::SillsOfSides(box->eye, sides),
                                         .masks = std::move(*masks)},
                                .object_height = kSignalHeight,
                                .reach = spotting.reach,
                                .reading_error = kSightError});
  if (!zone) return tl::unexpected(NoAnswerOf(zone.error(), id));
  return DriverSight{.zone = std::move(*zone), .unit = box->unit};
}

Outcome<SeenWay> SeeOf(const Asked& asked, const Trip& trip, const Spotting& spotting) {
  auto seen = See(asked, trip, spotting);
  if (!seen) return tl::unexpected(seen.error());
  return std::move(seen->way);
}

Outcome<fit::Answer> SpotterIsSeen(const Asked& asked, const Trip& trip, const Spotting& spotting) {
  const auto seen = See(asked, trip, spotting);
  if (!seen) return tl::unexpected(seen.error());
  fit::Answer answer = AnswerFrom(seen->readings,
                                  {.verdict = seen->way.places.verdict,
                                   .line = fit::DriversLine(seen->way.places, asked.units)},
                                  fit::kSpotterPlaceSources, fit::kSpotterPlaceAssumptions);
  for (const fit::Input& input : seen->way.driven.inputs) AddOnce(answer.inputs, input);
  answer.inputs.push_back(
      Default("creeping speed", Text(spotting.speed, asked.units, fit::Rounding::kUp)));
  answer.inputs.push_back(
      Default("kept between spotter and machine",
              Text(seen->way.standoff.distance, asked.units, fit::Rounding::kUp)));
  answer.inputs.push_back(
      Default("a length of the driver's view may be off", Exactly(kSightError, asked.units)));
  answer.inputs.push_back(
      Default("signals are read up to", Text(spotting.reach, asked.units, fit::Rounding::kDown)));
  return answer;
}

}  // namespace chockwise::survey
