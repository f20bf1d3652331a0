#include "services/survey/path.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/survey/answers.h"
#include "services/survey/beside.h"
#include "services/survey/left_free.h"
#include "services/survey/reading_errors.h"
#include "services/survey/rules_asked.h"

namespace chockwise::survey {
namespace {

using fit::Metres;
using fit::Region;

constexpr std::array<std::string_view, 2> kPathAssumptions = {
    "walking pace on level ground, no slip, an axle group as one axle, wheels turned while it "
    "stands; from straight on the lane's middle until its front axle is at the lane's end "
    "(reversing its hindmost axle; its middle where all wheels or tracks steer)",
    "an opening lies square to its lane, about the door's point of the map; ground beside the "
    "lane's middle is drivable as far as nothing is drawn there"};

/// Farther off nothing is beside a way.
constexpr Metres kBesideWay = fit::Feet(30);

struct DrivenWithReadings {
  DrivenWay way;
  bool has_upper = false;
  SideAsked side;
  Readings readings;
};

/// Backed, one trailer is steered by the driver; what hangs behind it goes where it will.
Outcome<void> CanBeHeld(const yard::Machine& machine, const fit::TurningMachine& turning,
                        fit::Travel travel) {
  if (travel == fit::Travel::kForwards || turning.trailers.size() < 2) return {};
  return tl::unexpected(NoAnswer{
      .sort = NoAnswer::Sort::kUnusable,
      .input = "way of " + machine.id.value(),
      .problem = fmt::format("backs over {} couplings, and nobody can promise where those go",
                             turning.trailers.size()),
      .right = "unhitch, or go a way that it drives forwards"});
}

Outcome<DrivenWithReadings> Drive(const Asked& asked, const Trip& trip, const Driving& driving) {
  const auto laid = RouteOf(asked, trip);
  if (!laid) return tl::unexpected(laid.error());
  Readings readings(asked.yard, asked.when);
  auto way = LayOut(readings, {.route = laid->route, .from = trip.from});
  if (!way) return tl::unexpected(way.error());
  auto machine = Turning(readings, *laid->machine, driving.wheels);
  if (!machine) return tl::unexpected(machine.error());
  if (auto held = CanBeHeld(*laid->machine, *machine, driving.travel); !held)
    return tl::unexpected(held.error());
  const bool has_upper = machine->upper.has_value();
  if (driving.upper == Upper::kInLine) {
    machine->upper.reset();
  } else if (!has_upper) {
    // Law 2: what slews with a tail that nobody taped is not in line.
    const auto tail = readings.Of<Metres>(trip.machine.value(), "tail-radius");
    if (!tail) return tl::unexpected(tail.error());
  }
  SideAsked side =
      SideAskedFor(asked.yard.rules, "keeps-clear", driving.travel, driving.needed_each_side);
  auto beside = BesideWay(*way, driving.travel);
  auto swept = fit::Sweep({.manoeuvre = {.machine = *machine,
                                         .line = way->middle,
                                         .travel = driving.travel,
                                         .trace_tolerance = kTraceTolerance},
                           .obstacles = beside,
                           .needed_margin = side.value,
                           .reading_error = kTapeError});
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
      if (const auto body = Region::Hull(CornersAt(pose, box))) boxes.push_back(*body);
    }
  }
  return Region::UnionOf(boxes);
}

/// How much sooner it must stop to be as far off the ground as it must; nullopt where it never is.
std::optional<Metres> Sooner(const fit::Driven& driven, const LeftFree& marked) {
  for (size_t step = driven.guide.size(); step-- > 0;) {
    const Metres off = Footprint(driven, step).DistanceTo(marked.ground).value_or(Metres());
    if (off >= marked.left.need.least)
      return fit::InMetres(driven.along_m.back() - driven.along_m[step]);
  }
  return std::nullopt;
}

/// What its drive stood on besides readings.
void AddDrivenInputs(const DrivenWay& driven, const Driving& driving, fit::UnitSystem units,
                     fit::Answer& answer) {
  if (driving.wheels == Wheels::kParallel) answer.inputs.push_back(AsAsked("it goes", "crabwise"));
  const size_t trailers = driven.machine.trailers.size();
  if (trailers == 0) return;
  answer.inputs.push_back(
      Default(trailers == 1 ? "most fold of the trailer" : "most fold at each coupling",
              Text(kMostFold, units, fit::Rounding::kDown)));
}

struct Standing {
  Said said;
  std::vector<std::string> sources;
};

Outcome<Standing> StandingSaid(const DrivenWay& driven, Readings& readings, fit::UnitSystem units) {
  const fit::Driven& path = driven.swept.driven;
  const auto left = LeftFreeBy(readings, Footprint(path, path.guide.size() - 1));
  if (!left) return tl::unexpected(left.error());
  const auto kept = JudgeLeftFree(*left);
  if (!kept) return tl::unexpected(kept.error());
  if (!*kept) return Standing{{fit::Verdict::kClear, "LEAVES FREE every marked area"}, {}};
  const fit::KeptItem& worst = (*kept)->items.front();
  Said said{.verdict = (*kept)->verdict,
            .line = "",
            .spare = fit::SpareOf(worst.left, Metres(), worst.least)};
  if (said.verdict == fit::Verdict::kClear) {
    said.line = fmt::format("LEAVES FREE {}: {} off it", worst.item,
                            Text(worst.left, units, fit::Rounding::kDown));
    return Standing{said, {worst.source}};
  }
  const auto marked =
      std::ranges::find_if(*left, [&](const LeftFree& one) { return one.left.item == worst.item; });
  const auto sooner = Sooner(path, *marked);
  said.line = sooner ? fmt::format("STOP SHORT of {} by {}", worst.item,
                                   Text(*sooner, units, fit::Rounding::kUp))
                     : fmt::format("MOVE OFF {}: it is not left on this way", worst.item);
  return Standing{said, {worst.source}};
}

}  // namespace

std::vector<fit::SideObstacle> BesideWay(const Way& way, fit::Travel travel) {
  std::vector<fit::SideObstacle> beside;
  const bool backs = travel == fit::Travel::kReversing;
  for (const DoorOnWay& door : way.doors) {
    beside.push_back({.id = door.id + " left jamb", .shape = {backs ? door.right : door.left}});
    beside.push_back({.id = door.id + " right jamb", .shape = {backs ? door.left : door.right}});
  }
  for (const auto* grounds : {&way.obstacles, &way.no_way}) {
    for (const GroundOnWay& ground : *grounds) {
      beside.push_back(
          {.id = ground.id, .kind = fit::SideObstacle::Kind::kGround, .shape = ground.ring});
    }
  }
  return beside;
}

std::optional<fit::Travel> TravelOf(std::string_view word) {
  if (word == "forwards") return fit::Travel::kForwards;
  if (word == "reversing") return fit::Travel::kReversing;
  return std::nullopt;
}

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
  Said said{.verdict = swept.verdict, .line = fit::DriversLine(swept, asked.units)};
  if (swept.tightest) {
    const fit::SideMargin& least = swept.margins[*swept.tightest];
    said.line += fmt::format(" ({} asked for)", side.value);
    said.spare = fit::SpareOf(least.margin, least.error, driven->side.value);
    if (swept.verdict == fit::Verdict::kClear && least.sure() > kBesideWay)
      said.line =
          fmt::format("GO THROUGH: nothing within {} of its way", Shown(kBesideWay, asked.units));
  }
  fit::Answer answer =
      AnswerFrom(driven->readings, std::move(said), fit::kSweptPathSources, kPathAssumptions);
  answer.inputs.push_back(std::move(side));
  answer.inputs.push_back(TapeErrorInput(asked.units));
  if (driven->has_upper) {
    answer.inputs.push_back(driving.upper == Upper::kInLine
                                ? Default("upper structure", "in line, locked")
                                : AsAsked("upper structure", "may slew"));
  }
  AddDrivenInputs(driven->way, driving, asked.units, answer);
  return answer;
}

Outcome<fit::Answer> LeavesFree(const Asked& asked, const Trip& trip, const Driving& driving) {
  auto driven = Drive(asked, trip, driving);
  if (!driven) return tl::unexpected(driven.error());
  const fit::SweptPath& swept = driven->way.swept;
  if (swept.driven.shortfall || swept.driven.guide.empty()) {
    return AnswerFrom(
        driven->readings,
        {.verdict = fit::Verdict::kConflict, .line = fit::DriversLine(swept, asked.units)},
        fit::kSweptPathSources, kPathAssumptions);
  }
  const auto standing = StandingSaid(driven->way, driven->readings, asked.units);
  if (!standing) return tl::unexpected(standing.error());
  fit::Answer answer =
      AnswerFrom(driven->readings, standing->said, kLeavesFreeSources, kPathAssumptions);
  for (const std::string& source : standing->sources) answer.sources.push_back(source);
  AddDrivenInputs(driven->way, driving, asked.units, answer);
  return answer;
}

}  // namespace chockwise::survey
