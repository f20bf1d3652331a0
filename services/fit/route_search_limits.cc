#include "services/fit/route_search_limits.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr Metres kLargest = InMetres(100'000);

bool IsUsable(const LaneEnd& end) {
  return std::abs(LengthM(end.leaves) - 1) < 1e-6 && end.straight > Metres() &&
         end.straight <= kLargest && end.bend_behind >= 0;
}

void CheckLane(const RouteQuestion& question, const RouteLane& lane, InputCheck& check) {
  // Names are made only for what is wrong: this runs over thousands of lanes.
  const auto not_negative = [&](const char* what, auto value, auto most) {
    if (value && !(*value >= decltype(most){} && *value <= most))
      check.NotNegative(fmt::format("{} of {}", what, lane.id), *value, UpTo{most});
  };
  if (lane.from >= question.places || lane.to >= question.places)
    check.Refuse({"ends of " + lane.id, fmt::format("are places {} and {}", lane.from, lane.to),
                  fmt::format("below {}", question.places)});
  not_negative("length", std::optional(lane.length), kLargest);
  not_negative("clear height", lane.clear_height, kLargest);
  not_negative("clear width", lane.clear_width, kLargest);
  not_negative("bend radius", lane.bend_radius, kLargest);
  not_negative("steepest grade", lane.steepest, RiseOverRun(10));
  not_negative("wire height", lane.wire_height, kLargest);
  not_negative("rated load", lane.rated_load, Tonnes(1e6));
  for (const auto& end : {lane.at_from, lane.at_to}) {
    if (end && !IsUsable(*end)) {
      check.Refuse({"ends of " + lane.id, "lead nowhere",
                    "a direction of length 1, and a way above 0 before the next bend"});
    }
  }
}

bool IsOneOf(const RouteQuestion& question, const RouteLeg& leg) {
  return leg.lane < question.lanes.size();
}

template <class Value>
std::optional<Value> Missing(Value have, Value need) {
  if (AtLeast(have, need)) return std::nullopt;
  return need - have;
}

}  // namespace

std::optional<Unusable> FaultOf(const RouteQuestion& question) {
  InputCheck check;
  if (question.places == 0 || question.places > 1'000'000)
    check.Refuse({"places", fmt::format("are {}", question.places), "1 to 1,000,000"});
  if (question.from >= question.places)
    check.Refuse({"from", fmt::format("is place {}", question.from),
                  fmt::format("below {}", question.places)});
  if (question.to >= question.places)
    check.Refuse(
        {"to", fmt::format("is place {}", question.to), fmt::format("below {}", question.places)});
  check.Positive("height", question.needs.height, UpTo{InMetres(100)})
      .Positive("width", question.needs.width, UpTo{InMetres(100)})
      .NotNegative("turning radius", question.needs.turn_radius, UpTo{InMetres(1000)})
      .NotNegative("turning radius in reverse", question.needs.turn_radius_reversing,
                   UpTo{InMetres(1000)})
      .NotNegative("length", question.needs.length, UpTo{InMetres(1000)})
      .Positive("steepest grade", question.needs.most_grade, UpTo{RiseOverRun(10)})
      .Positive("load", question.needs.load, UpTo{Tonnes(10'000)});
  for (const RouteLane& lane : question.lanes) CheckLane(question, lane, check);
  for (const RouteFinding& finding : question.findings) {
    if (IsOneOf(question, finding.over) && finding.what.lane < question.lanes.size() &&
        (!finding.onto || IsOneOf(question, *finding.onto)))
      continue;
    check.Refuse({"findings", "are of a lane that is none", "one of the lanes"});
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

std::vector<LaneShort> ShortsOf(const RouteQuestion& question, size_t index) {
  const RouteLane& lane = question.lanes[index];
  const RouteNeeds& needs = question.needs;
  std::vector<LaneShort> shorts;
  const auto add = [&](LaneLimit limit) -> LaneShort& {
    LaneShort one;
    one.lane = index;
    one.lane_id = lane.id;
    one.limit = limit;
    return shorts.emplace_back(std::move(one));
  };
  const auto length = [&](LaneLimit limit, const std::optional<Metres>& have, Metres need,
                          const std::string& at) {
    const auto missing = have ? Missing(*have, need) : std::nullopt;
    if (have && !missing) return;
    LaneShort& one = add(limit);
    one.length = missing;
    one.at = at;
  };
  if (!lane.taken_by.empty()) add(LaneLimit::kTaken).who = lane.taken_by;
  if (!lane.open_hazard.empty()) add(LaneLimit::kHazard).who = lane.open_hazard;
  length(LaneLimit::kHeight, lane.clear_height, needs.height, lane.height_at);
  length(LaneLimit::kWire, lane.wire_height, needs.height, lane.wire_at);
  length(LaneLimit::kWidth, lane.clear_width, needs.width, lane.width_at);
  if (!lane.steepest) {
    add(LaneLimit::kGrade);
  } else if (const auto missing = Missing(needs.most_grade, *lane.steepest)) {
    LaneShort& one = add(LaneLimit::kGrade);
    one.grade = missing;
    one.at = lane.steepest_by;
  }
  if (!lane.rated_load) {
    add(LaneLimit::kGround);
  } else if (const auto missing = Missing(*lane.rated_load, needs.load)) {
    add(LaneLimit::kGround).mass = missing;
  }
  return shorts;
}

std::optional<LaneShort> BendShort(const RouteLane& lane, Metres radius) {
  if (radius == Metres() || (lane.bend_radius && AtLeast(*lane.bend_radius, radius)))
    return std::nullopt;
  LaneShort one;
  one.lane_id = lane.id;
  one.limit = LaneLimit::kTurn;
  if (lane.bend_radius) one.length = radius - *lane.bend_radius;
  return one;
}

double ChangeOf(const LaneShort& change, const RouteNeeds& needs) {
  const auto part = [&](Metres need) {
    return change.length && need > Metres() ? *change.length / need : 0;
  };
  switch (change.limit) {
    case LaneLimit::kTaken:
      return -2;
    case LaneLimit::kHazard:
      return -1;
    case LaneLimit::kHeight:
    case LaneLimit::kWire:
    case LaneLimit::kBelow:
      return part(needs.height);
    case LaneLimit::kWidth:
    case LaneLimit::kBeside:
      return part(needs.width);
    case LaneLimit::kTurn:
      return part(std::max(needs.turn_radius, needs.turn_radius_reversing));
    case LaneLimit::kSteer:
      return 1;  // nothing of the lane's own would do
    case LaneLimit::kGrade:
      return change.grade ? *change.grade / needs.most_grade : 0;
    case LaneLimit::kGround:
      return change.mass ? *change.mass / needs.load : 0;
  }
  return 0;
}

std::string Text(const LaneShort& change, UnitSystem system) {
  const std::string where =
      change.onto ? fmt::format("{} to {}", change.lane_id, change.onto_id) : change.lane_id;
  const std::string short_of =
      change.length ? Text(*change.length, system, Rounding::kUp) + " short" : "";
  const std::string is = change.at.empty() ? "" : change.at + " is ";
  const auto lacks = [&](const char* what) {
    if (change.length) return fmt::format("{}: {}{} of {}", where, is, short_of, what);
    return fmt::format("{}: {} {}is not known", where, what,
                       change.at.empty() ? "" : "of " + change.at + " ");
  };
  switch (change.limit) {
    case LaneLimit::kTaken:
      return fmt::format("{}: taken by {}", where, change.who);
    case LaneLimit::kHazard:
      return fmt::format("{}: closed by {}", where, change.who);
    case LaneLimit::kHeight:
      return lacks("height");
    case LaneLimit::kWire:
      return lacks("the height that keeps off it");
    case LaneLimit::kWidth:
      return lacks("width");
    case LaneLimit::kBeside:
      return fmt::format("{}: {} beside {}", where, short_of, change.at);
    case LaneLimit::kTurn:
      return lacks("turning radius");
    case LaneLimit::kSteer:
      return fmt::format("{}: {}", where, change.needs);
    case LaneLimit::kGrade:
      if (!change.grade) return fmt::format("{}: grade is not known", where);
      return fmt::format("{}: {} too steep{}", where, Text(*change.grade, system, Rounding::kUp),
                         change.at.empty() ? "" : " by " + change.at);
    case LaneLimit::kBelow:
      return fmt::format("{}: {} under the belly{}", where, short_of,
                         change.at.empty() ? "" : " at " + change.at);
    case LaneLimit::kGround:
      if (!change.mass) return fmt::format("{}: rated mass of the ground is not known", where);
      return fmt::format("{}: ground {} short", where, Text(*change.mass, system, Rounding::kUp));
  }
  return "";
}

}  // namespace chockwise::fit
