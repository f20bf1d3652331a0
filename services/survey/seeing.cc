#include "services/survey/seeing.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string_view>

#include "services/survey/answers.h"
#include "services/survey/landmarks.h"
#include "services/survey/spotters_ground.h"
#include "services/survey/stopping.h"
#include "services/survey/train.h"

namespace chockwise::survey {
namespace {

using fit::Metres;
using fit::Region;

constexpr Metres kSpotterRoom = fit::InMetres(0.5);
/// The picture of the swept ground is this much too large at most.
constexpr Metres kSweptCoarseness = fit::InMetres(0.1);
/// Sight is asked at this many poses of the way; what it may move between two is in the answer.
constexpr size_t kPoses = 200;

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
  double ahead_m = 0;
  size_t unit = 0;
  Metres front, rear;  // from the eye to the ends of the straight machine
  Metres half_width;
  std::vector<Metres> left;  // of the middle line: where it is, or the outermost it may be
  bool tows = false;
};

NoAnswer OffMachine(const yard::Machine& machine, const char* quantity, Metres value,
                    const char* right) {
  return {.sort = NoAnswer::Sort::kUnusable,
          .input = fmt::format("{} of {}", quantity, machine.id.value()),
          .problem = fmt::format("is {}, not within the machine",
                                 Text(value, fit::UnitSystem::kUs, fit::Rounding::kDown)),
          .right = right};
}

Outcome<std::vector<Metres>> EyesAcross(Readings& readings, const yard::Machine& machine,
                                        Metres half_width) {
  const auto taped = readings.IfThere<Metres>(machine.id.value(), "eye-left-of-middle");
  if (!taped) return tl::unexpected(taped.error());
  if (!*taped) {
    const Metres most = std::max(Metres(), half_width - kEyeFromSide);
    if (most == Metres()) return std::vector{most};
    return std::vector{-most, most};
  }
  const Metres left = **taped;
  if (left <= -half_width || left >= half_width) {
    return tl::unexpected(
        OffMachine(machine, "eye-left-of-middle", left,
                   "tape it again from the machine's middle line to the driver's eye"));
  }
  return std::vector{left};
}

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
    return tl::unexpected(OffMachine(machine, "eye-behind-front", *behind,
                                     "tape it again from the foremost point to the driver's eye"));
  }
  auto left = EyesAcross(readings, machine, first.left);
  if (!left) return tl::unexpected(left.error());
  const bool on_second = *behind > of_first;
  const Metres ahead = on_second ? second->ahead + of_first - *behind : first.ahead - *behind;
  return EyeBox{.ahead_m = ahead.metres(),
                .unit = on_second ? 1u : 0u,
                .front = *behind,
                .rear = length - *behind,
                .half_width = first.left,
                .left = std::move(*left),
                .tows = !turning->trailers.empty()};
}

/// The directions, as the eye has them, in which what hangs behind is at any step of the way. A box
/// is seen between two of its corners; each may be off by what the drive may, told as an angle.
/// They are told from straight back, so that no train is cut there in two.
std::optional<fit::Mask> MaskOfTowed(const DrivenWay& driven, size_t eye_unit, fit::Point eye) {
  const fit::Driven& path = driven.swept.driven;
  const fit::UnitMotion& seat = path.units[eye_unit];
  double least_rad = std::numbers::pi, most_rad = -std::numbers::pi;
  const size_t first = path.units.size() - driven.machine.trailers.size();
  for (size_t unit = first; unit < path.units.size(); ++unit) {
    const fit::UnitMotion& towed = path.units[unit];
    const double error_m = towed.error_m + seat.error_m;
    for (size_t step = 0; step < towed.frames.size(); ++step) {
      const fit::Point at = Place(seat.frames[step], eye);
      const fit::Point back = -1 * seat.frames[step].along;
      for (const fit::BodyBox& box : towed.boxes) {
        for (const fit::Point corner : CornersAt(PoseOf(towed.frames[step]), box)) {
          const fit::Point to = corner - at;
          const double off_rad = std::atan2(Cross(back, to), Dot(back, to));
          const double error_rad = std::asin(std::min(1.0, error_m / LengthM(to)));
          least_rad = std::min(least_rad, off_rad - error_rad);
          most_rad = std::max(most_rad, off_rad + error_rad);
        }
      }
    }
  }
  if (least_rad > most_rad) return std::nullopt;
  const auto turned = [](double rad) {
    return fit::Radians(std::numbers::pi + std::clamp(rad, -std::numbers::pi, std::numbers::pi));
  };
  return fit::Mask{.from = turned(least_rad), .to = turned(most_rad)};
}

/// To where the ground is first seen from each side; unset where nobody has tried.
struct GroundSeen {
  std::optional<Metres> front, left, rear, right;
};

Outcome<GroundSeen> GroundSeenFrom(Readings& readings, const std::string& id) {
  GroundSeen seen;
  const std::pair<const char*, std::optional<Metres>*> sides[] = {
      {"ground-seen-front", &seen.front},
      {"ground-seen-left", &seen.left},
      {"ground-seen-rear", &seen.rear},
      {"ground-seen-right", &seen.right}};
  for (const auto& [quantity, into] : sides) {
    const auto reading = readings.IfThere<Metres>(id, quantity);
    if (!reading) return tl::unexpected(reading.error());
    *into = *reading;
  }
  return seen;
}

/// An edge of the body over which the ground is first seen `seen` away from it: as high as the line
/// from the eye to that spot is where it leaves the machine.
fit::SideSill SillOf(Metres distance, const std::optional<Metres>& seen, Metres eye_height) {
  if (!seen) return {.distance = distance, .height = std::nullopt};
  const double share = distance / (distance + *seen);
  return {.distance = distance, .height = eye_height * (1 - share)};
}

/// Which of so many steps are asked about sight: evenly, and the last.
std::vector<size_t> AskedSteps(size_t count) {
  std::vector<size_t> steps;
  const size_t stride = std::max<size_t>(1, count / kPoses);
  for (size_t i = 0; i + 1 < count; i += stride) steps.push_back(i);
  steps.push_back(count - 1);
  return steps;
}

Outcome<fit::Standoff> StandoffOn(Readings& readings, const yard::Machine& machine, const Way& way,
                                  const Spotting& spotting) {
  const auto length = TrainLength(readings, machine);
  if (!length) return tl::unexpected(length.error());
  std::vector<std::string> lanes;
  for (const LaneOnWay& lane : way.lanes) lanes.push_back(lane.id);
  const auto descent = DownhillOn(readings, lanes, fit::UnitSystem::kUs);
  if (!descent) return tl::unexpected(descent.error());
  // Wet, whatever the weather does meanwhile.
  auto motion = MotionOf(readings, machine, descent->downhill);
  if (!motion) return tl::unexpected(motion.error());
  motion->speed = spotting.speed.value_or(kCreep);
  const auto standoff = fit::SpotterStandoff(*motion, *length);
  if (!standoff) return tl::unexpected(NoAnswerOf(standoff.error(), machine.id.value()));
  return *standoff;
}

NoAnswer CannotBeDriven(const Asked& asked, const Trip& trip, const fit::SweptPath& swept) {
  return {.sort = NoAnswer::Sort::kUnusable,
          .input = "way of " + trip.machine.value(),
          .problem = "cannot be driven: " + fit::DriversLine(swept, asked.units),
          .right = "choose another way or another machine"};
}

bool Strikes(const fit::SweptPath& swept) {
  return swept.tightest && swept.margins[*swept.tightest].margin < Metres();
}

/// The driver's line and the places in words.
void Tell(const Asked& asked, const Trip& trip, const std::vector<Metres>& along, SeenWay& seen) {
  const auto landmarks = LandmarksOf(asked.yard, trip, seen.driven.way);
  for (const fit::SpotterStand& stand : seen.places.stands)
    seen.stand_at.push_back(WhereOnFoot(landmarks, stand.at, asked.units));
  const auto at = [&](size_t pose) { return WhereAlong(landmarks, along[pose], asked.units); };
  const auto& unseen = seen.places.unseen_pose;
  seen.line =
      fit::DriversLine(seen.places, asked.units, unseen ? at(*unseen) : seen.stand_at.front());
  if (unseen || seen.stand_at.size() < 2) return;
  for (size_t i = 0; i < seen.stand_at.size(); ++i)
    seen.stand_at[i] += ", until it is " + at(seen.places.stands[i].to_pose);
}

/// `driven` is null where it goes nowhere yet.
Outcome<DriverSight> SightOn(Readings& readings, const yard::Machine& machine,
                             const Spotting& spotting, const DrivenWay* driven) {
  const std::string& id = machine.id.value();
  const auto height = readings.Of<Metres>(id, "eye-height");
  if (!height) return tl::unexpected(height.error());
  const auto box = EyeIn(readings, machine);
  if (!box) return tl::unexpected(box.error());
  if (box->tows && driven == nullptr) {
    return tl::unexpected(
        NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                 .input = "sight from " + id,
                 .problem = "is hidden by what hangs behind it, which is where its way puts it",
                 .right = "ask about a trip"});
  }
  const auto seen = GroundSeenFrom(readings, id);
  if (!seen) return tl::unexpected(seen.error());
  const auto masks = MasksOf(readings, id);
  if (!masks) return tl::unexpected(masks.error());
  DriverSight sight{.zones = {}, .unit = box->unit, .eye_off = std::nullopt};
  if (box->left.size() > 1) sight.eye_off = box->left.back();
  for (const Metres left : box->left) {
    const fit::Point eye{box->ahead_m, left.metres()};
    std::vector<fit::Mask> hiding = *masks;
    if (driven != nullptr) {
      if (const auto behind = MaskOfTowed(*driven, box->unit, eye)) hiding.push_back(*behind);
    }
    const fit::SideSills sides{.front = SillOf(box->front, seen->front, *height),
                               .left = SillOf(box->half_width - left, seen->left, *height),
                               .rear = SillOf(box->rear, seen->rear, *height),
                               .right = SillOf(box->half_width + left, seen->right, *height)};
    auto zone = fit::BlindZoneOf({.seat = {.eye = eye,
                                           .eye_height = *height,
                                           .sills = fit::SillsOfSides(eye, sides),
                                           .masks = hiding},
                                  .object_height = kSignalHeight,
                                  .reach = spotting.reach,
                                  .reading_error = kSightError});
    if (!zone) return tl::unexpected(NoAnswerOf(zone.error(), id));
    sight.zones.push_back(std::move(*zone));
  }
  return sight;
}

struct SeenWithReadings {
  SeenWay way;
  Readings readings;
  bool default_lanes = false;
  bool tows = false;  // by its row; a semitrailer of its own has its brakes among its readings
};

Outcome<SeenWithReadings> See(const Asked& asked, const Trip& trip, const Spotting& spotting) {
  const auto laid = RouteOf(asked, trip);
  if (!laid) return tl::unexpected(laid.error());
  auto driven = DriveOf(asked, trip, {.travel = spotting.travel, .wheels = spotting.wheels});
  if (!driven) return tl::unexpected(driven.error());
  const fit::Driven& path = driven->swept.driven;
  if (path.shortfall || path.units.empty() || Strikes(driven->swept))
    return tl::unexpected(CannotBeDriven(asked, trip, driven->swept));
  Readings readings(asked.yard, asked.when);
  auto sight = SightOn(readings, *laid->machine, spotting, &*driven);
  if (!sight) return tl::unexpected(sight.error());
  const auto standoff = StandoffOn(readings, *laid->machine, driven->way, spotting);
  if (!standoff) return tl::unexpected(standoff.error());
  auto ground = SpottersGroundOf(readings, trip, driven->way, spotting.reach);
  if (!ground) return tl::unexpected(ground.error());
  const auto swept = fit::SweptGround(path, kSweptCoarseness);
  if (!swept) return tl::unexpected(NoAnswerOf(swept.error(), trip.machine.value()));
  const fit::UnitMotion& unit = path.units[sight->unit];
  const std::vector<size_t> steps = AskedSteps(unit.frames.size());
  std::vector<fit::Pose> poses;
  std::vector<Metres> along;
  for (const size_t step : steps) {
    poses.push_back(PoseOf(unit.frames[step]));
    along.push_back(fit::InMetres(path.along_m[step]));
  }
  auto places = fit::PlacesForSpotter({.sight = {.poses = poses,
                                                 .zones = sight->zones,
                                                 .opaque = ground->opaque,
                                                 .place_error = fit::InMetres(unit.error_m),
                                                 .error_per_m = unit.error_per_m},
                                       .swept = *swept,
                                       .standoff = standoff->distance,
                                       .ground = ground->standing,
                                       .room = kSpotterRoom});
  if (!places) return tl::unexpected(NoAnswerOf(places.error(), trip.machine.value()));
  SeenWay seen{.driven = std::move(*driven),
               .sight = std::move(*sight),
               .poses = std::move(poses),
               .standoff = *standoff,
               .opaque = std::move(ground->opaque),
               .assumed_walls = std::move(ground->assumed_walls),
               .places = std::move(*places),
               .line = {},
               .stand_at = {},
               .inputs = readings.inputs()};
  Tell(asked, trip, along, seen);
  return SeenWithReadings{.way = std::move(seen),
                          .readings = std::move(readings),
                          .default_lanes = ground->default_lanes,
                          .tows = !laid->machine->tows.empty()};
}

/// What the answer stands on and nobody has measured.
std::vector<fit::Input> Defaults(const SeenWithReadings& seen, const Spotting& spotting,
                                 fit::UnitSystem units) {
  const auto up = [&](Metres length) { return Text(length, units, fit::Rounding::kUp); };
  std::vector<fit::Input> inputs = {
      AskedOrDefault(spotting.speed, "creeping speed",
                     Text(spotting.speed.value_or(kCreep), units, fit::Rounding::kUp)),
      Default("kept between spotter and machine", up(seen.way.standoff.distance)),
      Default("a length of the driver's view may be off", Exactly(kSightError, units)),
      Default("signals are read up to", Text(spotting.reach, units, fit::Rounding::kDown)),
      Default("kept off a place's middle", up(kAroundPlace))};
  if (!seen.way.driven.machine.trailers.empty())
    inputs.push_back(Default("what hangs behind", "hides all behind it"));
  if (seen.tows) inputs.push_back(Default("brakes of what it tows", "not counted"));
  if (spotting.wheels == Wheels::kParallel) inputs.push_back(AsAsked("it goes", "crabwise"));
  if (seen.default_lanes) inputs.push_back(Default("width of a lane untaped", up(kUntapedLane)));
  if (seen.way.sight.eye_off) {
    inputs.push_back(
        Default("eye left of middle", "up to " + up(*seen.way.sight.eye_off) + " either way"));
  }
  if (!seen.way.assumed_walls.empty())
    inputs.push_back(Default("walls beside doors, undrawn", "assumed"));
  return inputs;
}

/// The whole, and each place where there are several.
std::vector<Part> PartsOf(const SeenWay& seen) {
  std::vector<Part> parts = {{.verdict = seen.places.verdict, .used = 2, .line = seen.line}};
  if (seen.places.unseen_pose || seen.stand_at.size() < 2) return parts;
  for (size_t i = 0; i < seen.stand_at.size(); ++i) {
    parts.push_back({.verdict = seen.places.verdict,
                     .used = 1,
                     .line = fmt::format("{}: STAND {}", i + 1, seen.stand_at[i])});
  }
  return parts;
}

}  // namespace

Outcome<DriverSight> Sight(Readings& readings, const yard::Machine& machine,
                           const Spotting& spotting, const DrivenWay& driven) {
  return SightOn(readings, machine, spotting, &driven);
}

Outcome<DriverSight> Sight(Readings& readings, const yard::Machine& machine,
                           const Spotting& spotting) {
  return SightOn(readings, machine, spotting, nullptr);
}

Outcome<SeenWay> SeeOf(const Asked& asked, const Trip& trip, const Spotting& spotting) {
  auto seen = See(asked, trip, spotting);
  if (!seen) return tl::unexpected(seen.error());
  return std::move(seen->way);
}

Outcome<PartedAnswer> SpotterIsSeen(const Asked& asked, const Trip& trip,
                                    const Spotting& spotting) {
  const auto seen = See(asked, trip, spotting);
  if (!seen) return tl::unexpected(seen.error());
  PartedAnswer parted = PartedFrom(seen->readings, PartsOf(seen->way), fit::kSpotterPlaceSources,
                                   fit::kSpotterPlaceAssumptions);
  std::vector<fit::Input>& inputs = parted.answer.inputs;
  for (const fit::Input& input : seen->way.driven.inputs) AddOnce(inputs, input);
  if (seen->way.places.verdict == fit::Verdict::kClear) {
    const fit::SpotterStand& stand = seen->way.places.stands.front();
    inputs.push_back(
        Computed("spotter off the path", Text(stand.off_path, asked.units, fit::Rounding::kDown)));
    inputs.push_back(Computed("spotter from the driver at most",
                              Text(stand.farthest, asked.units, fit::Rounding::kUp)));
    inputs.push_back(Computed("driver looks at first", std::string(Name(stand.corner))));
  }
  for (fit::Input& input : Defaults(*seen, spotting, asked.units))
    inputs.push_back(std::move(input));
  return parted;
}

}  // namespace chockwise::survey
