// What the drawings show, taken from the yard and the computations.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "services/survey/answers.h"
#include "services/survey/drawing.h"
#include "services/survey/drawing_map.h"
#include "services/survey/train.h"
#include "services/yard/dates.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

std::vector<fit::Ring> UnitsAt(const fit::Driven& driven, size_t step) {
  std::vector<fit::Ring> rings;
  for (const fit::UnitMotion& unit : driven.units) {
    const fit::Pose pose = PoseOf(unit.frames[step]);
    for (const fit::BodyBox& box : unit.boxes) rings.push_back(CornersAt(pose, box));
  }
  return rings;
}

/// The front of the first unit, from its left to its right.
fit::Line FrontAt(const fit::Driven& driven, size_t step) {
  const fit::Ring unit = UnitsAt(driven, step).front();
  return {unit[0], unit[1]};
}

/// The ring around a slewing tail where `along` of the way is driven.
fit::Ring SlewAt(const fit::Driven& driven, const fit::SlewRing& upper, Metres along) {
  const auto passed = std::ranges::lower_bound(driven.along_m, along.metres());
  const auto last = static_cast<std::ptrdiff_t>(driven.along_m.size()) - 1;
  const auto step = static_cast<size_t>(std::min(passed - driven.along_m.begin(), last));
  const fit::Pose pose = PoseOf(driven.units.front().frames[step]);
  const double radius_m = (upper.tail_radius + upper.clearance).metres();
  constexpr int kCorners = 48;
  fit::Ring ring;
  for (int i = 0; i < kCorners; ++i) {
    const double turn = 2 * std::numbers::pi * i / kCorners;
    ring.push_back(FromPose(pose, upper.centre_ahead.metres() + radius_m * std::cos(turn),
                            radius_m * std::sin(turn)));
  }
  return ring;
}

std::string GapText(const fit::TightSpot& spot, const fit::RideAllowances& allow, Look look,
                    fit::UnitSystem units) {
  const bool above = look == Look::kAbove;
  return fmt::format(
      "gap {}, less {} {} and {} of error", Text(spot.gap, units, fit::Rounding::kDown),
      Text(above ? allow.bounce : allow.needed_clearance, units, fit::Rounding::kUp),
      above ? "of bounce" : "asked for", Text(spot.error, units, fit::Rounding::kUp));
}

/// Ground and the sills that stand on it, as far as the drawing can show.
fit::Line GroundOf(const fit::LaneProfile& profile) {
  const auto elevation_m = [&](double along_m) {
    const auto& ground = profile.ground;
    size_t i = 1;
    while (i + 1 < ground.size() && ground[i].along.metres() < along_m) ++i;
    const double run_m = (ground[i].along - ground[i - 1].along).metres();
    const double share = (along_m - ground[i - 1].along.metres()) / run_m;
    return ground[i - 1].elevation.metres() +
           share * (ground[i].elevation - ground[i - 1].elevation).metres();
  };
  fit::Line line;
  constexpr double kBeyondM = 30;  // it goes on at its last grade
  const double from_m = profile.ground.front().along.metres() - kBeyondM;
  const double to_m = profile.ground.back().along.metres() + kBeyondM;
  std::vector<double> stations_m = {from_m, to_m};
  for (const fit::ProfilePoint& point : profile.ground) stations_m.push_back(point.along.metres());
  std::ranges::sort(stations_m);
  for (const double station_m : stations_m) line.push_back({station_m, elevation_m(station_m)});
  for (const fit::LaneSill& sill : profile.sills) {
    const double sill_from_m = sill.from.metres(), sill_to_m = sill.to.metres();
    const double high_m = sill.height.metres();
    std::erase_if(
        line, [&](fit::Point point) { return point.x_m >= sill_from_m && point.x_m <= sill_to_m; });
    const auto after =
        std::ranges::find_if(line, [&](fit::Point point) { return point.x_m > sill_to_m; });
    line.insert(after, {{sill_from_m, elevation_m(sill_from_m)},
                        {sill_from_m, elevation_m(sill_from_m) + high_m},
                        {sill_to_m, elevation_m(sill_to_m) + high_m},
                        {sill_to_m, elevation_m(sill_to_m)}});
  }
  return line;
}

double HighestUnder(const fit::Line& ground, double along_m) {
  double highest_m = -1e9;
  for (size_t i = 1; i < ground.size(); ++i) {
    const fit::Point a = ground[i - 1], b = ground[i];
    if (along_m < a.x_m || along_m > b.x_m) continue;
    const double run_m = b.x_m - a.x_m;
    highest_m = std::max(highest_m, run_m > 0 ? a.y_m + (along_m - a.x_m) / run_m * (b.y_m - a.y_m)
                                              : std::max(a.y_m, b.y_m));
  }
  return highest_m;
}

}  // namespace

Titles TitlesOf(const Asked& asked, const Trip& trip, std::string line) {
  const yard::Machine* machine = asked.yard.FindMachine(trip.machine.value());
  const std::string attachment =
      machine == nullptr || machine->attachment.empty() ? "" : " with " + machine->attachment;
  const std::string towing = machine == nullptr || machine->tows.empty()
                                 ? ""
                                 : TrainText(*machine).substr(trip.machine.value().size());
  return {.title = fmt::format("{}{}{} from {} to {}", trip.machine.value(), attachment, towing,
                               trip.from.value(), trip.to.value()),
          .line = std::move(line),
          .asked_on = yard::DateText(asked.when.now)};
}

void AddMap(const yard::Yard& yard, PlanDrawing& plan) {
  const yard::Plane plane = PlaneOf(yard);
  for (const auto& [id, lane] : yard.lanes) plan.lanes.push_back(OnPlane(plane, lane.line));
  for (const auto& [id, place] : yard.places)
    plan.places.push_back({.name = id.value(), .at = OnPlane(plane, place.position)});
  for (const auto& [id, hold] : yard.hold_points) {
    const auto lane = yard.lanes.find(hold.lane);
    if (lane == yard.lanes.end()) continue;
    plan.hold_points.push_back(
        {.name = id.value(), .at = PointOn(plane, lane->second, hold.along).at});
  }
}

PlanDrawing PlanOf(const Asked& asked, const Trip& trip, const DrivenWay& driven) {
  PlanDrawing plan;
  plan.titles = TitlesOf(asked, trip, fit::DriversLine(driven.swept, asked.units));
  plan.units = asked.units;
  AddMap(asked.yard, plan);
  plan.route = {driven.way.middle};
  plan.doors = driven.way.doors;
  plan.obstacles = driven.way.obstacles;
  plan.keep_clear = driven.way.keep_clear;
  const fit::SweptPath& swept = driven.swept;
  if (!swept.driven.guide.empty() && !swept.driven.units.empty()) {
    constexpr Metres kCoarseness = fit::InMetres(0.1);
    if (const auto ground = fit::SweptGround(swept.driven, kCoarseness))
      plan.swept = ground->Outlines();
    plan.at_start = UnitsAt(swept.driven, 0);
    const size_t last = swept.driven.guide.size() - 1;
    plan.at_end = UnitsAt(swept.driven, last);
    plan.fronts = {FrontAt(swept.driven, 0), FrontAt(swept.driven, last)};
  }
  if (swept.tightest) {
    const fit::SideMargin& least = swept.margins[*swept.tightest];
    plan.tight = NamedPoint{.name = SpareOrShort(least.sure(), asked.units), .at = least.there};
    if (driven.machine.upper && !swept.driven.units.empty())
      plan.slew = SlewAt(swept.driven, *driven.machine.upper, least.along);
  }
  // Where it cannot go on is tighter than all that it passes before.
  if (swept.driven.shortfall) {
    plan.tight = NamedPoint{.name = "cannot follow the lane here",
                            .at = PointOn(driven.way, swept.driven.shortfall->along).at};
  }
  return plan;
}

PlanDrawing PlanOf(const Asked& asked, const Trip& trip, const SeenWay& seen) {
  PlanDrawing plan = PlanOf(asked, trip, seen.driven);
  plan.titles.line = seen.line;
  const fit::Pose& at_start = seen.poses.front();
  std::vector<fit::Region> blind;
  for (const fit::BlindZone& zone : seen.sight.zones) {
    fit::Outline outline;
    for (const fit::Point point : fit::BlindRing(zone))
      outline.outer.push_back(fit::FromPose(at_start, point.x_m, point.y_m));
    if (const auto hidden = fit::Region::From(outline)) blind.push_back(*hidden);
  }
  plan.blind = fit::Region::UnionOf(blind).Outlines();
  plan.assumed_walls = seen.assumed_walls;
  for (size_t i = 0; i < seen.stand_at.size(); ++i) {
    const std::string which = seen.stand_at.size() == 1 ? "" : fmt::format("S{}: ", i + 1);
    plan.stands.push_back({.name = which + seen.stand_at[i], .at = seen.places.stands[i].at});
  }
  // The line above is of the spotter; what is short or to spare here is of the machine.
  if (plan.tight) plan.tight->name = "machine: " + plan.tight->name;
  return plan;
}

Outcome<SideDrawing> SideOf(const Asked& asked, const Trip& trip, const RiddenWay& ridden,
                            Look look) {
  if (look == Look::kAbove && !ridden.ride.least_overhead) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                                   .input = "way of " + trip.machine.value(),
                                   .problem = "has nothing above it",
                                   .right = "draw the ground below instead"});
  }
  const fit::TightSpot& spot =
      look == Look::kAbove ? ridden.ride.overheads[*ridden.ride.least_overhead] : ridden.ride.below;
  const auto pose = fit::PoseAt(QuestionOf(ridden), spot.lead_at);
  if (!pose) return tl::unexpected(NoAnswerOf(pose.error(), trip.machine.value()));
  SideDrawing side;
  const std::string where = spot.at.empty() ? AlongText(spot.along, asked.units) : spot.at;
  side.travel = ridden.travel;
  side.titles = TitlesOf(asked, trip,
                         fmt::format("{} {}: {}", look == Look::kAbove ? "UNDER" : "OVER", where,
                                     SpareOrShort(spot.sure(), asked.units)));
  if (ridden.travel == fit::Travel::kReversing) side.titles.title += ", reversing";
  side.units = asked.units;
  side.ground = GroundOf(ridden.way.profile);
  side.machine = pose->units;
  const double along_m = spot.along.metres();
  for (const fit::Overhead& overhead : ridden.way.profile.overheads) {
    const double from_m = overhead.from.metres(),
                 to_m = std::max(overhead.to.metres(), from_m + 0.05);
    // Sills do not lift the header: its height was taped from the ground beside them.
    fit::LaneProfile bare;
    bare.ground = ridden.way.profile.ground;
    const fit::Line ground = GroundOf(bare);
    const double high_m = overhead.clear_height.metres();
    side.overheads.push_back({.name = overhead.id,
                              .underside = {{from_m, HighestUnder(ground, from_m) + high_m},
                                            {to_m, HighestUnder(ground, to_m) + high_m}}});
    if (look == Look::kAbove && overhead.id == spot.at) {
      const double under_m = HighestUnder(ground, along_m) + high_m;
      side.gap = {.from = {along_m, under_m},
                  .to = {along_m, under_m - spot.gap.metres()},
                  .text = SpareOrShort(spot.sure(), asked.units),
                  .from_what = GapText(spot, ridden.allow, look, asked.units)};
    }
  }
  if (look == Look::kBelow) {
    const double ground_m = HighestUnder(side.ground, along_m);
    side.gap = {.from = {along_m, ground_m},
                .to = {along_m, ground_m + spot.gap.metres()},
                .text = SpareOrShort(spot.sure(), asked.units),
                .from_what = GapText(spot, ridden.allow, look, asked.units)};
  }
  return side;
}

}  // namespace chockwise::survey
