#include "cli-client/gates.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

constexpr int kIndent = 2;
constexpr std::size_t kPeopleShown = 3;

struct Group {
  std::string parties;  // heading; empty: no word clears it
  std::vector<std::string> people;
  std::vector<const v1::UnmetGate*> gates;
};

/// How much a group says about its gates.
enum class Detail { kNames, kReasons, kRemedies, kAll };
constexpr std::array<Detail, 3> kMore{Detail::kReasons, Detail::kRemedies, Detail::kAll};

constexpr std::array<v1::GateState, 4> kOrder{v1::GATE_STATE_NOT_CLEAR, v1::GATE_STATE_STALE, v1::GATE_STATE_NOT_ASKED,
                                              v1::GATE_STATE_UNSPECIFIED};

/// What no word clears comes first: it sends people elsewhere, and the rest may wait for it.
std::vector<Group> Grouped(const std::vector<v1::UnmetGate>& gates) {
  std::vector<Group> groups;
  for (const v1::UnmetGate& gate : gates) {
    const std::string parties = PartiesText(gate.parties());
    auto group = std::ranges::find(groups, parties, &Group::parties);
    if (group == groups.end()) {
      const auto where = parties.empty() ? groups.begin() : groups.end();
      group = groups.insert(where, Group{.parties = parties, .people = {}, .gates = {}});
    }
    group->gates.push_back(&gate);
    for (const std::string& person : gate.people()) {
      if (std::ranges::find(group->people, person) == group->people.end()) group->people.push_back(person);
    }
  }
  return groups;
}

std::string PeopleText(const Group& group, const GateScreen& screen) {
  std::vector<std::string> shown;
  for (const std::string& person : group.people) {
    if (shown.size() == kPeopleShown) break;
    shown.push_back(person == screen.viewer ? person + " (you)" : person);
  }
  std::string text = fmt::format("{}", fmt::join(shown, ", "));
  if (group.people.size() > kPeopleShown) text += fmt::format(" and {} more", group.people.size() - kPeopleShown);
  return text;
}

bool WaitsForWords(const Group& group) {
  return !group.parties.empty() && std::ranges::any_of(group.gates, [](const v1::UnmetGate* gate) {
    return gate->state() != v1::GATE_STATE_NOT_CLEAR;
  });
}

std::string Heading(const Group& group, const GateScreen& screen, const Style& style) {
  const int count = static_cast<int>(group.gates.size());
  if (group.parties.empty()) {
    const std::string people = PeopleText(group, screen);
    const std::string who = people.empty() ? "" : fmt::format(" ({})", Clean(style, people));
    return Inked(style, Ink::kLoud, Cut(fmt::format("A FACT MUST CHANGE{}: {}", who, Counted(count, "gate")), style.width));
  }
  std::string text = group.parties;
  if (const std::string people = PeopleText(group, screen); !people.empty()) text += " " + Clean(style, people);
  text += fmt::format(": {}", Counted(count, "gate"));
  if (WaitsForWords(group) && !screen.move.empty()) text += fmt::format("   chockwise walk {}", screen.move);
  return Inked(style, Ink::kLoud, Cut(text, style.width));
}

/// The names of all gates in one state, behind its tag.
Lines Names(const std::vector<const v1::UnmetGate*>& gates, v1::GateState state, const Style& style) {
  std::vector<std::string> titles;
  for (const v1::UnmetGate* gate : gates) {
    if (gate->state() == state) titles.push_back(Clean(style, gate->title().empty() ? gate->gate_id() : gate->title()));
  }
  if (titles.empty()) return {};
  const std::string tag = PlainTag(style, state);
  const std::string text = fmt::format("{}  {}", tag, fmt::join(titles, ", "));
  Lines lines = Wrap(text, {.width = style.width, .indent = kIndent, .hanging = Columns(tag) + 2});
  lines.front().replace(kIndent, tag.size(), Inked(style, InkOf(state), tag));
  return lines;
}

std::string AcceptText(const v1::UnmetGate& gate) {
  if (!gate.lead_may_accept()) return {};
  return fmt::format(" Or a yard lead accepts it with: {}.", fmt::join(gate.controls(), ", "));
}

Lines Explained(const v1::UnmetGate& gate, Detail detail, const Style& style) {
  const std::string tag = PlainTag(style, gate.state());
  std::string text = fmt::format("{}  {}", tag, gate.title().empty() ? gate.gate_id() : gate.title());
  if (!gate.reason().empty()) text += ": " + gate.reason();
  text = Clean(style, text);
  const int hanging = Columns(tag) + 2;
  const WrapShape shape{.width = style.width, .indent = kIndent, .hanging = hanging};
  Lines lines = detail == Detail::kAll ? Wrap(text, shape)
                                       : Lines{std::string(kIndent, ' ') + Cut(text, style.width - kIndent)};
  lines.front().replace(kIndent, tag.size(), Inked(style, InkOf(gate.state()), tag));
  if (detail == Detail::kReasons || gate.remedy().empty()) return lines;
  const std::string how = Clean(style, "-> " + gate.remedy() + AcceptText(gate));
  const WrapShape below{.width = style.width, .indent = kIndent + hanging, .hanging = 3};
  if (detail == Detail::kAll) {
    Append(lines, Wrap(how, below));
  } else {
    lines.push_back(std::string(static_cast<std::size_t>(below.indent), ' ') + Cut(how, style.width - below.indent));
  }
  return lines;
}

Lines Body(const Group& group, Detail detail, const Style& style) {
  Lines lines;
  for (const v1::GateState state : kOrder) {
    // Nobody has looked yet: there is nothing to explain until every remedy is told.
    const bool by_name = detail == Detail::kNames || (detail == Detail::kReasons && state == v1::GATE_STATE_NOT_ASKED);
    if (by_name) {
      Append(lines, Names(group.gates, state, style));
      continue;
    }
    for (const v1::UnmetGate* gate : group.gates) {
      if (gate->state() == state) Append(lines, Explained(*gate, detail, style));
    }
  }
  return lines;
}

/// Gives every group, in order, as much detail as the lines allow; all reasons before the first remedy.
std::vector<Lines> Fitted(const std::vector<Group>& groups, int room, const Style& style) {
  std::vector<Lines> bodies;
  int used = 0;
  for (const Group& group : groups) {
    bodies.push_back(Body(group, room == 0 ? Detail::kAll : Detail::kNames, style));
    used += static_cast<int>(bodies.back().size()) + 1;
  }
  if (room == 0) return bodies;
  for (const Detail detail : kMore) {
    for (std::size_t i = 0; i < groups.size(); ++i) {
      Lines richer = Body(groups[i], detail, style);
      const int more = static_cast<int>(richer.size()) - static_cast<int>(bodies[i].size());
      if (used + more > room) continue;
      used += more;
      bodies[i] = std::move(richer);
    }
  }
  return bodies;
}

std::vector<std::string> PeopleOf(const v1::Move& move, const google::protobuf::RepeatedField<int>& parties) {
  std::vector<std::string> people;
  for (const int party : parties) {
    if (party == v1::PARTY_DRIVER && !move.driver().empty()) people.push_back(move.driver());
    if (party == v1::PARTY_SPOTTER && !move.spotter().empty()) people.push_back(move.spotter());
  }
  return people;
}

}  // namespace

std::string PartiesText(const google::protobuf::RepeatedField<int>& parties) {
  std::vector<std::string_view> words;
  for (const int party : std::set<int>(parties.begin(), parties.end())) words.push_back(Word(static_cast<v1::Party>(party)));
  return fmt::format("{}", fmt::join(words, " / "));
}

std::vector<v1::UnmetGate> OpenGates(const v1::UnmetGates& unmet) { return {unmet.gates().begin(), unmet.gates().end()}; }

std::vector<v1::UnmetGate> OpenGates(const v1::Move& move) {
  std::vector<v1::UnmetGate> open;
  for (const v1::Gate& gate : move.gates()) {
    if (gate.state() == v1::GATE_STATE_CLEAR || !gate.accepted_by().empty()) continue;
    v1::UnmetGate& unmet = open.emplace_back();
    unmet.set_gate_id(gate.gate_id());
    unmet.set_title(gate.title());
    unmet.set_state(gate.state());
    unmet.set_reason(gate.reason());
    unmet.set_remedy(gate.remedy());
    unmet.set_gate_class(gate.gate_class());
    unmet.set_lead_may_accept(gate.lead_may_accept());
    *unmet.mutable_controls() = gate.controls();
    *unmet.mutable_parties() = gate.missing_parties().empty() ? gate.parties() : gate.missing_parties();
    for (std::string& person : PeopleOf(move, unmet.parties())) unmet.add_people(std::move(person));
  }
  return open;
}

Lines GatesByWhoClears(const GateScreen& screen, const Style& style) {
  const std::vector<Group> groups = Grouped(screen.gates);
  const std::vector<Lines> bodies = Fitted(groups, screen.lines, style);
  Lines lines;
  for (std::size_t i = 0; i < groups.size(); ++i) {
    lines.push_back(Heading(groups[i], screen, style));
    Append(lines, bodies[i]);
  }
  const auto room = static_cast<std::size_t>(screen.lines);
  if (screen.lines > 0 && lines.size() > room) {
    lines.resize(room - 1);
    lines.push_back(fmt::format("  ... and more: chockwise show {} --all", screen.move));
  }
  return lines;
}

}  // namespace chockwise::cli
