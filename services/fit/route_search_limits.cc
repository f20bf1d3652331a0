#include "services/fit/route_search_limits.h"

#include <fmt/format.h>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr Metres kLargest = InMetres(100'000);

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
  not_negative("rated load", lane.rated_load, Tonnes(1e6));
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
      .Positive("steepest grade", question.needs.most_grade, UpTo{RiseOverRun(10)})
      .Positive("load", question.needs.load, UpTo{Tonnes(10'000)});
  for (const RouteLane& lane : question.lanes) CheckLane(question, lane, check);
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
  const auto length = [&](LaneLimit limit, const std::optional<Metres>& have, Metres need) {
    if (!have) {
      add(limit);
    } else if (const auto missing = Missing(*have, need)) {
      add(limit).length = missing;
    }
  };
  if (!lane.taken_by.empty()) add(LaneLimit::kTaken).who = lane.taken_by;
  if (!lane.open_hazard.empty()) add(LaneLimit::kHazard).who = lane.open_hazard;
  length(LaneLimit::kHeight, lane.clear_height, needs.height);
  length(LaneLimit::kWidth, lane.clear_width, needs.width);
  if (needs.turn_radius > Metres()) length(LaneLimit::kTurn, lane.bend_radius, needs.turn_radius);
  if (!lane.steepest) {
    add(LaneLimit::kGrade);
  } else if (const auto missing = Missing(needs.most_grade, *lane.steepest)) {
    add(LaneLimit::kGrade).grade = missing;
  }
  if (!lane.rated_load) {
    add(LaneLimit::kGround);
  } else if (const auto missing = Missing(*lane.rated_load, needs.load)) {
    add(LaneLimit::kGround).mass = missing;
  }
  return shorts;
}

double ChangeOf(const LaneShort& change, const RouteNeeds& needs) {
  switch (change.limit) {
    case LaneLimit::kTaken:
      return -2;
    case LaneLimit::kHazard:
      return -1;
    case LaneLimit::kHeight:
      return change.length ? *change.length / needs.height : 0;
    case LaneLimit::kWidth:
      return change.length ? *change.length / needs.width : 0;
    case LaneLimit::kTurn:
      return change.length ? *change.length / needs.turn_radius : 0;
    case LaneLimit::kGrade:
      return change.grade ? *change.grade / needs.most_grade : 0;
    case LaneLimit::kGround:
      return change.mass ? *change.mass / needs.load : 0;
  }
  return 0;
}

std::string Text(const LaneShort& change, UnitSystem system) {
  const auto lacks = [&](const char* what) {
    if (change.length)
      return fmt::format("{}: {} short of {}", change.lane_id,
                         Text(*change.length, system, Rounding::kUp), what);
    return fmt::format("{}: {} is not measured", change.lane_id, what);
  };
  switch (change.limit) {
    case LaneLimit::kTaken:
      return fmt::format("{}: taken by {}", change.lane_id, change.who);
    case LaneLimit::kHazard:
      return fmt::format("{}: hazard {} is open", change.lane_id, change.who);
    case LaneLimit::kHeight:
      return lacks("height");
    case LaneLimit::kWidth:
      return lacks("width");
    case LaneLimit::kTurn:
      return lacks("turning radius");
    case LaneLimit::kGrade:
      if (!change.grade) return fmt::format("{}: grade is not measured", change.lane_id);
      return fmt::format("{}: {} too steep", change.lane_id,
                         Text(*change.grade, system, Rounding::kUp));
    case LaneLimit::kGround:
      if (!change.mass) return fmt::format("{}: ground is not rated", change.lane_id);
      return fmt::format("{}: ground {} short", change.lane_id,
                         Text(*change.mass, system, Rounding::kUp));
  }
  return "";
}

}  // namespace chockwise::fit
