#include "services/survey/stopping.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/survey/answers.h"
#include "services/survey/braked.h"
#include "services/survey/machines.h"
#include "services/survey/train.h"
#include "services/survey/way.h"

namespace chockwise::survey {
namespace {

using fit::Metres;
using fit::Verdict;

Outcome<Said> SaidOf(const fit::BrakedMotion& motion, const StopQuestion& question,
                     fit::UnitSystem units) {
  const auto refused = [](const fit::Unusable& why) { return tl::unexpected(NoAnswerOf(why, "")); };
  Said said{.verdict = Verdict::kClear, .line = ""};
  if (question.sight) {
    const fit::SeenAhead sight{.clear_ahead = *question.sight,
                               .body_length = question.body_length.value_or(Metres())};
    const auto cap = fit::SpeedCap(motion, sight);
    if (!cap) return refused(cap.error());
    // A cap too low to be told in either system of units is none, whoever reads it.
    const bool any =
        fit::IsAnySpeed(*cap, fit::UnitSystem::kUs) && fit::IsAnySpeed(*cap, fit::UnitSystem::kSi);
    said.line = SpeedCapLine(any ? *cap : fit::MetresPerSecond(), units);
    if (!any) said.verdict = Verdict::kConflict;
    if (!question.speed) return said;
    const auto judged = fit::JudgeStop(motion, sight);
    if (!judged) return refused(judged.error());
    said.verdict = fit::Worse(said.verdict, judged->verdict);
    said.line = DriversLine(*judged, units) + ", " + said.line;
    said.spare = fit::SpareOf(judged->margin, judged->error);
    return said;
  }
  if (!question.body_length) {
    const auto stopping = fit::StoppingDistance(motion);
    if (!stopping) return refused(stopping.error());
    said.line = DriversLine(*stopping, units);
    return said;
  }
  const auto standoff = fit::SpotterStandoff(motion, *question.body_length);
  if (!standoff) return refused(standoff.error());
  said.line = DriversLine(*standoff, units) + ", " + DriversLine(standoff->stopping, units);
  return said;
}

std::string Seconds(fit::Duration time) {
  return fmt::format("{:.1f} s", static_cast<double>(time.micros()) / 1e6);
}

/// Its line and what was said, not what it stands on.
Outcome<fit::Answer> Judged(const fit::BrakedMotion& motion, const StopQuestion& question,
                            fit::UnitSystem units) {
  if (!question.speed && !question.sight) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                                   .input = "speed",
                                   .problem = "is not said, nor what is seen ahead",
                                   .right = "say a speed, a distance that is clear, or both"});
  }
  fit::BrakedMotion moving = motion;
  moving.speed = question.speed.value_or(fit::MetresPerSecond());
  const auto said = SaidOf(moving, question, units);
  if (!said) return tl::unexpected(said.error());
  fit::Answer answer;
  answer.verdict = said->verdict;
  answer.line = said->line;
  answer.spare = said->spare;
  const auto told = [&](const char* name, const auto& value, fit::Rounding rounding) {
    if (value) answer.inputs.push_back(AsAsked(name, Text(*value, units, rounding)));
  };
  told("speed", question.speed, fit::Rounding::kUp);
  told("seen ahead", question.sight, fit::Rounding::kDown);
  answer.inputs.push_back(Default("driver's response", Seconds(motion.response)));
  answer.inputs.push_back(Default("lag of the brakes", Seconds(motion.lag)));
  return answer;
}

struct OnWay {
  Descent descent;
  std::optional<Metres> body_length;  // where a spotter walks ahead
};

Outcome<OnWay> WayOf(const Asked& asked, Readings& readings, const yard::Machine& machine,
                     const MachineStop& what) {
  if (const auto* grade = std::get_if<fit::Grade>(&what.way))
    return OnWay{.descent = {.downhill = *grade, .by_map = {}},
                 .body_length = what.question.body_length};
  const Trip& trip = std::get<Trip>(what.way);
  const auto laid = RouteOf(asked, trip);
  if (!laid) return tl::unexpected(laid.error());
  std::vector<std::string> lanes;
  for (const yard::LaneId& lane : laid->route.lanes) lanes.push_back(lane.value());
  const auto descent = DownhillOn(readings, lanes, asked.units);
  if (!descent) return tl::unexpected(descent.error());
  const auto length = TrainLength(readings, machine);
  if (!length) return tl::unexpected(length.error());
  return OnWay{.descent = *descent, .body_length = *length};
}

}  // namespace

Outcome<fit::BrakedMotion> MotionOf(Readings& readings, const yard::Machine& machine,
                                    fit::Grade downhill, fit::Surface surface) {
  const auto tracks = OnTracks(machine);
  if (!tracks) return tl::unexpected(tracks.error());
  const auto wheels = BrakedWheelsOfTrain(readings, machine, Lean::kAgainst);
  if (!wheels) return tl::unexpected(wheels.error());
  const fit::Running running = *tracks ? fit::Running::kSteelTracks : fit::Running::kTruckTyres;
  // Air brakes are the slower ones, so they are taken where nobody says.
  return fit::BrakedMotion{.speed = {},
                           .friction = fit::PlanningFriction(surface, running),
                           .wheels = *wheels,
                           .grade = downhill,
                           .lag = fit::kAirLag};
}

Outcome<Descent> DownhillOn(Readings& readings, const std::vector<std::string>& lanes,
                            fit::UnitSystem units) {
  fit::Grade steepest;
  Descent descent;
  const yard::Plane plane = PlaneOf(readings.yard());
  for (const std::string& id : lanes) {
    const auto taped = readings.Of<fit::Grade>(id, "grade");
    if (!taped) return tl::unexpected(taped.error());
    const yard::Lane& lane = readings.yard().lanes.at(yard::LaneId(id));
    const fit::Grade on_map = SteepestOnMap(OnPlane(plane, lane.line), lane);
    if (std::max(*taped, on_map) <= steepest) continue;
    steepest = std::max(*taped, on_map);
    descent.by_map.reset();
    if (on_map > *taped)
      descent.by_map = Computed(fmt::format("grade of {} by the map's elevations", id),
                                Text(on_map, units, fit::Rounding::kUp));
  }
  descent.downhill = -IfMoreIsWorse(steepest, Lean::kAgainst);
  return descent;
}

Outcome<fit::Answer> StopOf(const fit::BrakedMotion& motion, const StopQuestion& question,
                            fit::UnitSystem units) {
  auto answer = Judged(motion, question, units);
  if (!answer) return answer;
  for (const std::string_view source : fit::kStoppingSources) answer->sources.emplace_back(source);
  for (const std::string_view text : fit::kStoppingAssumptions)
    answer->assumptions.emplace_back(text);
  return answer;
}

void TellBodyLength(const StopQuestion& question, fit::UnitSystem units, fit::Answer& answer) {
  if (!question.body_length) return;
  answer.inputs.push_back(AsAsked("kept between spotter and machine",
                                  Text(*question.body_length, units, fit::Rounding::kUp)));
}

Outcome<fit::Answer> Stops(const Asked& asked, const MachineStop& what) {
  const auto machine = MachineOf(asked.yard, what.machine);
  if (!machine) return tl::unexpected(machine.error());
  Readings readings(asked.yard, asked.when);
  const auto way = WayOf(asked, readings, **machine, what);
  if (!way) return tl::unexpected(way.error());
  const auto motion = MotionOf(readings, **machine, way->descent.downhill,
                               what.surface.value_or(fit::Surface::kWetUnknown));
  if (!motion) return tl::unexpected(motion.error());
  StopQuestion question = what.question;
  question.body_length = way->body_length;
  const auto stops = Judged(*motion, question, asked.units);
  if (!stops) return tl::unexpected(stops.error());
  fit::Answer answer =
      AnswerFrom(readings, {.verdict = stops->verdict, .line = stops->line, .spare = stops->spare},
                 fit::kStoppingSources, fit::kBrakedStopAssumptions);
  for (const fit::Input& input : stops->inputs) answer.inputs.push_back(input);
  if (!(*machine)->tows.empty())
    answer.inputs.push_back(Default("brakes of what it tows", "not counted"));
  for (const fit::Input& error : ErrorInputs(asked.units)) answer.inputs.push_back(error);
  answer.inputs.push_back(
      AskedOrDefault(what.surface, "friction", fmt::format("{:.2f}", motion->friction)));
  if (way->descent.by_map) answer.inputs.push_back(*way->descent.by_map);
  // Toward caution a descent is told no gentler than it is: downhill is below 0.
  if (std::holds_alternative<fit::Grade>(what.way)) {
    answer.inputs.push_back(
        AsAsked("grade", Text(way->descent.downhill, asked.units, fit::Rounding::kDown)));
    TellBodyLength(what.question, asked.units, answer);
  }
  return answer;
}

}  // namespace chockwise::survey
