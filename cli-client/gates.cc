#include "cli-client/gates.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <climits>
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

/// How much is said about gates that stand alike.
enum class Say {
  kCount,   // how many
  kNames,   // every one by name
  kReason,  // and why, a line each
  kWhole,   // and the whole of it: the number may stand at its end
  kRemedy,  // and what helps, a line each
  kAll,     // everything
};

/// How much a group says. What says no is explained from the first; what is stale or unasked is
/// told by the rest of the screen.
struct Telling {
  Say not_clear = Say::kReason;
  Say stale = Say::kCount;
  Say unasked = Say::kCount;
};
constexpr Telling kEverything{.not_clear = Say::kAll, .stale = Say::kAll, .unasked = Say::kAll};

enum class Whose { kViewers, kAnybodys };
/// What the lines that are left are given to, one after the other, each for all groups in order.
struct Stage {
  Say Telling::*about;
  Say say;
  Whose whose = Whose::kAnybodys;
};
constexpr std::array<Stage, 8> kStages{{{&Telling::stale, Say::kNames},
                                        {&Telling::not_clear, Say::kWhole},
                                        {&Telling::unasked, Say::kNames, Whose::kViewers},
                                        {&Telling::unasked, Say::kNames},
                                        {&Telling::not_clear, Say::kRemedy},
                                        {&Telling::stale, Say::kReason},
                                        {&Telling::not_clear, Say::kAll},
                                        {&Telling::stale, Say::kRemedy}}};

constexpr std::array<v1::GateState, 4> kOrder{v1::GATE_STATE_NOT_CLEAR, v1::GATE_STATE_STALE,
                                              v1::GATE_STATE_NOT_ASKED, v1::GATE_STATE_UNSPECIFIED};

/// What nobody knows the state of is not asked. Law 2.
Say About(v1::GateState state, const Telling& telling) {
  if (state == v1::GATE_STATE_NOT_CLEAR) return telling.not_clear;
  return state == v1::GATE_STATE_STALE ? telling.stale : telling.unasked;
}

/// Stands for a space that must not be broken at; Clean lets none through from elsewhere.
constexpr char kHardSpace = '\x01';

int Rank(v1::GateState state) {
  return static_cast<int>(std::ranges::find(kOrder, state) - kOrder.begin());
}

/// How the worst of a group stands; lower is worse.
int Worst(const Group& group) {
  int worst = static_cast<int>(kOrder.size());
  for (const v1::UnmetGate* gate : group.gates) worst = std::min(worst, Rank(gate->state()));
  return worst;
}

/// The worst comes first, and of equals what no word clears: it sends people elsewhere, and the
/// rest may wait for it.
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
  std::ranges::stable_sort(groups, {}, Worst);
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
  std::string text = group.parties.empty() ? "PUT RIGHT FIRST" : group.parties;
  if (!people.empty()) text += " " + people;
  return Cut(text, style.width - 20) + ":";
}

std::string Hard(std::string text) {
  std::ranges::replace(text, ' ', kHardSpace);
  return text;
}

std::string Title(const v1::UnmetGate& gate, const Style& style) {
  return Clean(style, gate.title().empty() ? gate.gate_id() : gate.title());
}

std::vector<const v1::UnmetGate*> Standing(const Group& group, v1::GateState state) {
  std::vector<const v1::UnmetGate*> gates;
  for (const v1::UnmetGate* gate : group.gates) {
    if (gate->state() == state) gates.push_back(gate);
  }
  return gates;
}

/// "belt on, horn heard", or "2 gates".
std::string Names(const std::vector<const v1::UnmetGate*>& gates, Say say, const Style& style) {
  if (say == Say::kCount) return Counted(static_cast<int>(gates.size()), "gate");
  std::vector<std::string> titles;
  for (const v1::UnmetGate* gate : gates) titles.push_back(Title(*gate, style));
  return fmt::format("{}", fmt::join(titles, ", "));
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

Lines Explained(const v1::UnmetGate& gate, Say say, const Style& style) {
  const std::string tag = PlainTag(style, gate.state());
  const int column = kTagIndent + Columns(tag) + 2;
  std::string text = Title(gate, style);
  if (!gate.reason().empty()) text += ": " + Clean(style, gate.reason());
  if (say == Say::kReason) text = Cut(text, style.width - column);
  Lines lines = Tagged(style, InkOf(gate.state()), tag, text);
  const bool with_remedy = say == Say::kRemedy || say == Say::kAll;
  if (!with_remedy || gate.remedy().empty()) return lines;
  const std::string how = Clean(style, "-> " + gate.remedy() + AcceptText(gate));
  const WrapShape below{.width = style.width, .indent = column, .hanging = 3};
  if (say == Say::kAll) {
    Append(lines, Wrap(how, below));
  } else {
    lines.push_back(std::string(static_cast<std::size_t>(below.indent), ' ') +
                    Cut(how, style.width - below.indent));
  }
  return lines;
}

/// Whether nothing of the group is explained, so that one paragraph holds it.
bool OnlyNames(const Group& group, const Telling& telling) {
  return std::ranges::all_of(group.gates, [&](const v1::UnmetGate* gate) {
    return About(gate->state(), telling) <= Say::kNames;
  });
}

Lines Body(const Group& group, const Telling& telling, const GateScreen& screen,
           const Style& style) {
  const bool one_paragraph = OnlyNames(group, telling);
  Lines lines = one_paragraph ? Lines{} : Paragraph(group, "", screen, style);
  std::string names;
  for (const v1::GateState state : kOrder) {
    const std::vector<const v1::UnmetGate*> gates = Standing(group, state);
    if (gates.empty()) continue;
    const Say say = About(state, telling);
    const std::string tag = PlainTag(style, state);
    if (one_paragraph) {
      names +=
          fmt::format("{}{} {}", names.empty() ? "" : "; ", Hard(tag), Names(gates, say, style));
    } else if (say <= Say::kNames) {
      Append(lines, Tagged(style, InkOf(state), tag, Names(gates, say, style)));
    } else {
      for (const v1::UnmetGate* gate : gates) Append(lines, Explained(*gate, say, style));
    }
  }
  return one_paragraph ? Paragraph(group, names, screen, style) : lines;
}

bool Concerns(const Group& group, const GateScreen& screen) {
  return std::ranges::find(group.people, screen.viewer) != group.people.end();
}

/// Begins with the reasons of what says no, and gives each stage to each group, in order, where the
/// lines allow it.
std::vector<Lines> Fitted(const std::vector<Group>& groups, const GateScreen& screen,
                          const Style& style) {
  std::vector<Lines> bodies;
  int used = 0;
  for (const Group& group : groups) {
    bodies.push_back(Body(group, screen.lines == 0 ? kEverything : Telling{}, screen, style));
    used += static_cast<int>(bodies.back().size());
  }
  if (screen.lines == 0) return bodies;
  std::vector<Telling> tellings(groups.size());
  for (const Stage& stage : kStages) {
    for (std::size_t i = 0; i < groups.size(); ++i) {
      if (stage.whose == Whose::kViewers && !Concerns(groups[i], screen)) continue;
      Telling more = tellings[i];
      more.*stage.about = stage.say;
      Lines richer = Body(groups[i], more, screen, style);
      const int with = used + static_cast<int>(richer.size()) - static_cast<int>(bodies[i].size());
      if (with > screen.lines && with > used) continue;
      used = with;
      bodies[i] = std::move(richer);
      tellings[i] = more;
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
  const std::vector<Group> groups = Grouped(screen.gates);
  std::vector<Lines> bodies = Fitted(groups, screen, style);
  const auto room = static_cast<std::size_t>(screen.lines == 0 ? INT_MAX : screen.lines);
  Lines lines;
  std::size_t hidden = 0;
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    const std::size_t last_line = i + 1 < bodies.size() || hidden > 0 ? 1 : 0;
    if (hidden == 0 && lines.size() + bodies[i].size() + last_line <= room) {
      Append(lines, std::move(bodies[i]));
    } else {
      hidden += groups[i].gates.size();
    }
  }
  if (hidden > 0)
    lines.push_back(fmt::format("  and {} more: chockwise gates {}", hidden, screen.move));
  return lines;
}

}  // namespace chockwise::cli
