#include "services/survey/path.h"

#include <fmt/format.h>

#include "services/survey/answers.h"
#include "services/survey/side_asked.h"
#include "services/survey/turning.h"

namespace chockwise::survey {
namespace {

using fit::Metres;
using fit::Region;

/// Left and right as the driver has them, like the corners of the machine.
std::vector<fit::SideObstacle> BesideWay(const Way& way, fit::Travel travel) {
  std::vector<fit::SideObstacle> beside;
  const bool backs = travel == fit::Travel::kReversing;
  for (const DoorOnWay& door : way.doors) {
    beside.push_back({.id = door.id + " left jamb", .shape = {backs ? door.right : door.left}});
    beside.push_back({.id = door.id + " right jamb", .shape = {backs ? door.left : door.right}});
  }
  for (const GroundOnWay& obstacle : way.obstacles) {
    beside.push_back(
        {.id = obstacle.id, .kind = fit::SideObstacle::Kind::kGround, .shape = obstacle.ring});
  }
  return beside;
}

struct DrivenWithReadings {
  DrivenWay way;
  bool has_upper = false;
  SideAsked side;
  Readings readings;
};

Outcome<DrivenWithReadings> Drive(const Asked& asked, const Trip& trip, const Driving& driving) {
  const auto laid = RouteOf(asked, trip);
  if (!laid) return tl::unexpected(laid.error());
  Readings readings(asked.yard, asked.when);
  auto way = LayOut(readings, {.route = laid->route, .from = trip.from});
  if (!way) return tl::unexpected(way.error());
  auto machine = Turning(readings, *laid->machine);
  if (!machine) return tl::unexpected(machine.error());
  const bool has_upper = machine->upper.has_value();
  if (driving.upper == Upper::kInLine) machine->upper.reset();
  SideAsked side =
      SideAskedFor(asked.yard.rules, "keeps-clear", driving.travel, driving.needed_each_side);
  auto beside = BesideWay(*way, driving.travel);
  auto swept = fit::Sweep({.manoeuvre = {.machine = *machine,
                                         .line = way->middle,
                                         .travel = driving.travel,
                                         .trace_tolerance = kTraceTolerance},
                           .obstacles = beside,
                           .needed_margin = side.length});
  if (!swept) return tl::unexpected(NoAnswerOf(swept.error(), trip.machine.value()));
  return DrivenWithReadings{.way = {.way = std::move(*way),
                                    .machine = std::move(*machine),
                                    .beside = std::move(beside),
                                    .swept = std::move(*swept),
                                    .inputs = readings.inputs()},
                            .has_upper = has_upper,
                            .side = std::move(side),
                            .readings = std::move(readings)};
}

/// The ground under all units at one step.
Region Footprint(const fit::Driven& driven, size_t step) {
  std::vector<Region> boxes;
  for (const fit::UnitMotion& unit : driven.units) {
    const fit::Pose pose = PoseOf(unit.frames[step]);
    for (const fit::BodyBox& box : unit.boxes) {
      const double ahead = box.ahead.metres(), behind = -box.behind.metres();
      const double left = box.left.metres(), right = -box.right.metres();
      const auto body = Region::Hull({FromPose(pose, ahead, left), FromPose(pose, ahead, right),
                                      FromPose(pose, behind, right), FromPose(pose, behind, left)});
      if (body) boxes.push_back(*body);
    }
  }
  return Region::UnionOf(boxes);
}

/// How much sooner it must stop to leave the area free; nullopt where it stands in it all the way.
std::optional<Metres> Sooner(const fit::Driven& driven, const Region& area) {
  for (size_t step = driven.guide.size(); step-- > 0;) {
    if (!Footprint(driven, step).Touches(area))
      return fit::InMetres(driven.along_m.back() - driven.along_m[step]);
  }
  return std::nullopt;
}

Said StandingSaid(const DrivenWay& driven, const Asked& asked) {
  Said said{.verdict = fit::Verdict::kClear, .line = "LEAVES FREE every marked area"};
  const fit::Driven& path = driven.swept.driven;
  const Region standing = Footprint(path, path.guide.size() - 1);
  std::optional<Metres> least;
  for (const GroundOnWay& ground : driven.way.keep_clear) {
    const auto area = Region::From({.outer = ground.ring});
    if (!area) continue;  // the readers of the map hold every area to a ring that encloses ground
    const Metres off = standing.DistanceTo(*area).value_or(Metres());
    if (least && *least <= off) continue;
    least = off;
    // A millimetre is nobody's tape: touching counts as standing on it.
    if (off > fit::Millimetres(1)) {
      said.line = fmt::format("LEAVES FREE {}: {} off it", ground.id,
                              Text(off, asked.units, fit::Rounding::kDown));
      continue;
    }
    const auto sooner = Sooner(path, *area);
    said.verdict = fit::Verdict::kConflict;
    said.line = sooner ? fmt::format("STOP SHORT of {} by {}", ground.id,
                                     Text(*sooner, asked.units, fit::Rounding::kUp))
                       : fmt::format("MOVE OFF {}: it is not left on this way", ground.id);
  }
  return said;
}

}  // namespace

Outcome<DrivenWay> DriveOf(const Asked& asked, const Trip& trip, const Driving& driving) {
  auto driven = Drive(asked, trip, driving);
  if (!driven) return tl::unexpected(driven.error());
  return std::move(driven->way);
}

Outcome<fit::Answer> KeepsClear(const Asked& asked, const Trip& trip, const Driving& driving) {
  const auto driven = Drive(asked, trip, driving);
  if (!driven) return tl::unexpected(driven.error());
  const fit::SweptPath& swept = driven->way.swept;
  fit::Input side = InputOf(driven->side, asked.units);
  std::string line = fit::DriversLine(swept, asked.units);
  if (swept.tightest) line += fmt::format(" ({} asked for)", side.value);
  fit::Answer answer =
      AnswerFrom(driven->readings, {.verdict = swept.verdict, .line = std::move(line)},
                 fit::kSweptPathSources, fit::kSweptPathAssumptions);
  answer.inputs.push_back(std::move(side));
  if (driven->has_upper) {
    answer.inputs.push_back(driving.upper == Upper::kInLine
                                ? Default("upper structure", "in line, locked")
                                : AsAsked("upper structure", "may slew"));
  }
  if (!driven->way.machine.trailers.empty()) {
    answer.inputs.push_back(
        Default("most fold of the trailer", Text(kMostFold, asked.units, fit::Rounding::kDown)));
  }
  return answer;
}

Outcome<fit::Answer> LeavesFree(const Asked& asked, const Trip& trip, const Driving& driving) {
  const auto driven = Drive(asked, trip, driving);
  if (!driven) return tl::unexpected(driven.error());
  const fit::SweptPath& swept = driven->way.swept;
  if (swept.driven.shortfall || swept.driven.guide.empty()) {
    return AnswerFrom(
        driven->readings,
        {.verdict = fit::Verdict::kConflict, .line = fit::DriversLine(swept, asked.units)},
        fit::kSweptPathSources, fit::kSweptPathAssumptions);
  }
  return AnswerFrom(driven->readings, StandingSaid(driven->way, asked), kLeavesFreeSources,
                    fit::kSweptPathAssumptions);
}

}  // namespace chockwise::survey
