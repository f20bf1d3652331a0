#include "tests/moves/gate_rows.h"

#include <algorithm>
#include <map>
#include <set>

namespace chockwise::moves {
namespace {

constexpr v1::Phase kPhases[] = {v1::PHASE_START, v1::PHASE_HOLD_POINT, v1::PHASE_CLOSE_OUT};

Story Opened(const Scene& scene) { return scene.yard == "full" ? Story::Full() : Story::Small(); }

bool HasPhase(const Story& story, v1::Phase phase) {
  return phase != v1::PHASE_HOLD_POINT || !story.move(1).way->stops.empty();
}

}  // namespace

const std::vector<Scene>& Scenes() {
  static const std::vector<Scene> scenes = {
      {.yard = "small",
       .asked = {.kind = "service-truck-reverses-out", .machine = "ST-1", .to = "line"}},
      {.yard = "small", .asked = {.kind = "machine-through-door", .machine = "TH-1", .to = "line"}},
      {.yard = "small",
       .asked = {.kind = "load-onto-carrier", .machine = "TH-1", .to = "pad", .carrier = "CA-1"}},
      {.yard = "small", .asked = {.kind = "short-hop", .machine = "TH-1", .to = "line"}},
      {.yard = "full",
       .asked = {.kind = "service-truck-reverses-out",
                 .machine = "ST-101",
                 .to = "yard-cross",
                 .driver = "tam",
                 .spotter = "mika"}},
      {.yard = "full",
       .asked = {.kind = "machine-through-door",
                 .machine = "TH-201",
                 .to = "wash-pad",
                 .driver = "odo",
                 .spotter = "mika"}},
      {.yard = "full",
       .asked = {.kind = "load-onto-carrier",
                 .machine = "SS-601",
                 .to = "carrier-pad-2",
                 .driver = "odo",
                 .spotter = "mika",
                 .carrier = "CA-902"}},
  };
  return scenes;
}

void PrintTo(const GateRow& row, std::ostream* out) {
  *out << row.scene.yard << " " << row.scene.asked.kind << " " << v1::Phase_Name(row.phase) << " "
       << row.gate_id;
}

std::string RowName(const testing::TestParamInfo<GateRow>& info) {
  std::string name = info.param.scene.yard + "_" + v1::Phase_Name(info.param.phase).substr(6) +
                     "_" + info.param.gate_id;
  std::replace(name.begin(), name.end(), '-', '_');
  return name;
}

std::vector<GateRow> RowsOf(Sort sort) {
  std::vector<GateRow> rows;
  std::set<std::string> seen;
  for (const Scene& scene : Scenes()) {
    const KindPlan* plan = Opened(scene).state().FindPlan(scene.asked.kind);
    for (const v1::Phase phase : kPhases) {
      for (const v1::GateRule* rule : plan->gates) {
        if (!AsksIn(*rule, phase) || rule->has_looked_at() != (sort == Sort::kLookedAt)) continue;
        if (!seen.insert(scene.yard + v1::Phase_Name(phase) + rule->id()).second) continue;
        rows.push_back({.scene = scene, .phase = phase, .gate_id = rule->id()});
      }
    }
  }
  return rows;
}

Story StoryAt(const Scene& scene, v1::Phase phase) {
  static std::map<std::string, Story> told;
  const std::string key = scene.yard + scene.asked.kind + v1::Phase_Name(phase);
  if (const auto known = told.find(key); known != told.end()) return known->second;
  Story story = Opened(scene);
  EXPECT_EQ(story.Ask(scene.asked), 1);
  EXPECT_TRUE(HasPhase(story, phase)) << "no stop on the way";
  story.BringTo(1, phase);
  return told.emplace(key, std::move(story)).first->second;
}

Story StoryAt(const GateRow& row) { return StoryAt(row.scene, row.phase); }

Outcome<Entries> TryForward(Story& story, MoveNumber number) {
  const std::string driver = story.move(number).driver.value();
  if (PhaseNow(story.move(number)) == v1::PHASE_CLOSE_OUT) {
    return story.Do(driver, On<v1::CloseMoveRequest>(story, number));
  }
  return story.Do(driver, On<v1::RequestReleaseRequest>(story, number));
}

GateStatus GateAt(const YardState& state, const GateRow& row, Instant now) {
  const Move& move = *state.FindMove(1);
  for (const v1::GateRule* rule : state.FindPlan(move.kind)->gates) {
    if (rule->id() != row.gate_id || !AsksIn(*rule, row.phase)) continue;
    return EvaluateGate({.state = state, .yard = *state.yard, .move = move, .now = now}, *rule,
                        row.phase);
  }
  throw std::runtime_error("no gate " + row.gate_id);
}

}  // namespace chockwise::moves
