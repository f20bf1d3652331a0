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

constexpr std::size_t kPeopleShown = 3;

struct Group {
  std::string parties;  // heading; empty: no word clears it
  std::vector<std::string> people;
  std::vector<const v1::UnmetGate*> gates;
};

/// How much a group says about its gates.
enum class Detail {
  kCounts,    // how many
  kNames,     // every gate by name
  kReasons,   // and why those say no that were looked at
  kRemedies,  // and what helps
  kAll,       // every gate in full
};
constexpr std::array<Detail, 3> kMore{Detail::kReasons, Detail::kRemedies, Detail::kAll};

constexpr std::array<v1::GateState, 4> kOrder{v1::GATE_STATE_NOT_CLEAR, v1::GATE_STATE_STALE,
                                              v1::GATE_STATE_NOT_ASKED, v1::GATE_STATE_UNSPECIFIED};

/// Stands for a space that must not be broken at; Clean lets none through from elsewhere.
constexpr char kHardSpace = '\x01';

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
      if (std::ranges::find(group->people, person) == group->people.end())
        group->people.push_back(person);
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
  if (group.people.size() > kPeopleShown)
    text += fmt::format(" and {} more", group.people.size() - kPeopleShown);
  return text;
}

std::string Heading(const Group& group, const GateScreen& screen, const Style& style) {
  const std::string people = Clean(style, PeopleText(group, screen));
  std::string text = group.parties.empty() ? "A FACT MUST CHANGE" : group.parties;
  if (!people.empty()) text += " " + people;
  return Cut(text, style.width - 20) + ":";
}

std::string Hard(std::string text) {
  std::ranges::replace(text, ' ', kHardSpace);
  return text;
}

/// "o NOT ASKED a, b" for each of the states, in one text.
std::string Names(const Group& group, const std::vector<v1::GateState>& states,
                  const Style& style) {
  std::string text;
  for (const v1::GateState state : states) {
    std::vector<std::string> titles;
    for (const v1::UnmetGate* gate : group.gates) {
      if (gate->state() == state)
        titles.push_back(Clean(style, gate->title().empty() ? gate->gate_id() : gate->title()));
    }
    if (titles.empty()) continue;
    if (!text.empty()) text += "; ";
    text += fmt::format("{} {}", Hard(PlainTag(style, state)), fmt::join(titles, ", "));
  }
  return text;
}

/// Puts colour on heading and tags, and plain spaces where hard ones were.
Lines Painted(Lines lines, const std::string& heading, const Style& style) {
  for (std::string& line : lines) {
    for (const v1::GateState state : kOrder) {
      const std::string tag = PlainTag(style, state);
      if (const std::size_t at = line.find(Hard(tag)); at != std::string::npos) {
        line.replace(at, tag.size(), Inked(style, InkOf(state), tag));
      }
    }
    std::ranges::replace(line, kHardSpace, ' ');
  }
  if (!lines.empty() && lines.front().starts_with(heading)) {
    lines.front().replace(0, heading.size(), Inked(style, Ink::kLoud, heading));
  }
  return lines;
}

Lines Paragraph(const Group& group, const std::string& body, const GateScreen& screen,
                const Style& style) {
  const std::string heading = Heading(group, screen, style);
  return Painted(Wrap(heading + " " + body, {.width = style.width, .hanging = kTagIndent}), heading,
                 style);
}

std::string AcceptText(const v1::UnmetGate& gate) {
  if (!gate.lead_may_accept()) return {};
  if (gate.controls().empty())
    return " Or a yard lead accepts it as it stands, with a control of the rules.";
  return fmt::format(" Or a yard lead accepts it with: {}.", fmt::join(gate.controls(), ", "));
}

Lines Explained(const v1::UnmetGate& gate, Detail detail, const Style& style) {
  const std::string tag = PlainTag(style, gate.state());
  const int column = kTagIndent + Columns(tag) + 2;
  std::string text = gate.title().empty() ? gate.gate_id() : gate.title();
  if (!gate.reason().empty()) text += ": " + gate.reason();
  text = Clean(style, text);
  if (detail != Detail::kAll) text = Cut(text, style.width - column);
  Lines lines = Tagged(style, InkOf(gate.state()), tag, text);
  if (detail == Detail::kReasons || gate.remedy().empty()) return lines;
  const std::string how = Clean(style, "-> " + gate.remedy() + AcceptText(gate));
  const WrapShape below{.width = style.width, .indent = column, .hanging = 3};
  if (detail == Detail::kAll) {
    Append(lines, Wrap(how, below));
  } else {
    lines.push_back(std::string(static_cast<std::size_t>(below.indent), ' ') +
                    Cut(how, style.width - below.indent));
  }
  return lines;
}

/// Detail::kReasons and kRemedies explain what was looked at and name the rest: nobody has anything
/// to say about it yet.
Lines Body(const Group& group, Detail detail, const GateScreen& screen, const Style& style) {
  const std::vector<v1::GateState> every(kOrder.begin(), kOrder.end());
  if (detail == Detail::kCounts) {
    return Paragraph(group, Counted(static_cast<int>(group.gates.size()), "gate"), screen, style);
  }
  if (detail == Detail::kNames) return Paragraph(group, Names(group, every, style), screen, style);
  const bool all = detail == Detail::kAll;
  Lines lines =
      Paragraph(group, all ? "" : Names(group, {v1::GATE_STATE_NOT_ASKED}, style), screen, style);
  for (const v1::GateState state : kOrder) {
    if (state == v1::GATE_STATE_NOT_ASKED && !all) continue;
    for (const v1::UnmetGate* gate : group.gates) {
      if (gate->state() == state) Append(lines, Explained(*gate, detail, style));
    }
  }
  return lines;
}

bool Concerns(const Group& group, const GateScreen& screen) {
  return group.parties.empty() ||
         std::ranges::find(group.people, screen.viewer) != group.people.end();
}

/// Names every gate, then gives every group, in order, as much detail as the lines allow: all
/// reasons before the first remedy. Where not even the names fit, the gates of others are counted.
std::vector<Lines> Fitted(const std::vector<Group>& groups, const GateScreen& screen,
                          const Style& style) {
  std::vector<Lines> bodies;
  int used = 0;
  const auto replace = [&](std::size_t i, Lines lines) {
    used += static_cast<int>(lines.size()) - static_cast<int>(bodies[i].size());
    bodies[i] = std::move(lines);
  };
  for (const Group& group : groups) {
    bodies.push_back(Body(group, screen.lines == 0 ? Detail::kAll : Detail::kNames, screen, style));
    used += static_cast<int>(bodies.back().size());
  }
  if (screen.lines == 0) return bodies;
  for (std::size_t i = groups.size(); i-- > 0 && used > screen.lines;) {
    if (!Concerns(groups[i], screen)) replace(i, Body(groups[i], Detail::kCounts, screen, style));
  }
  for (const Detail detail : kMore) {
    for (std::size_t i = 0; i < groups.size(); ++i) {
      Lines richer = Body(groups[i], detail, screen, style);
      const int more = static_cast<int>(richer.size()) - static_cast<int>(bodies[i].size());
      if (used + more <= screen.lines) replace(i, std::move(richer));
    }
  }
  return bodies;
}

std::vector<std::string> PeopleOf(const v1::Move& move,
                                  const google::protobuf::RepeatedField<int>& parties) {
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
  for (const int party : std::set<int>(parties.begin(), parties.end()))
    words.push_back(Word(static_cast<v1::Party>(party)));
  return fmt::format("{}", fmt::join(words, " / "));
}

std::vector<v1::UnmetGate> OpenGates(const v1::UnmetGates& unmet) {
  return {unmet.gates().begin(), unmet.gates().end()};
}

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
    *unmet.mutable_parties() =
        gate.missing_parties().empty() ? gate.parties() : gate.missing_parties();
    for (std::string& person : PeopleOf(move, unmet.parties())) unmet.add_people(std::move(person));
  }
  return open;
}

Lines GatesByWhoClears(const GateScreen& screen, const Style& style) {
  Lines lines;
  for (Lines& body : Fitted(Grouped(screen.gates), screen, style)) Append(lines, std::move(body));
  const auto room = static_cast<std::size_t>(screen.lines);
  if (screen.lines > 0 && lines.size() > room) {
    lines.resize(room - 1);
    lines.push_back(fmt::format("  ... and more: chockwise show {} --all", screen.move));
  }
  return lines;
}

}  // namespace chockwise::cli
