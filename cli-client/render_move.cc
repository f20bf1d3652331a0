// Screens of one move.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "cli-client/gates.h"
#include "cli-client/render.h"
#include "cli-client/steps.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

std::string Way(const v1::Move& move) {
  std::vector<std::string> parts{move.from_place()};
  parts.insert(parts.end(), move.stops().begin(), move.stops().end());
  parts.push_back(move.to_place());
  return fmt::format("{}", fmt::join(parts, " > "));
}

std::string SpotterText(const v1::Move& move) {
  if (move.spotter().empty()) return "no spotter yet";
  return fmt::format("spotter {}{}", move.spotter(),
                     move.spotter_accepted() ? "" : " (has not accepted)");
}

Lines Header(const v1::Move& move, const Style& style) {
  const std::string tag = PlainTag(style, move.state());
  const std::string number = fmt::format("move {}  ", LastPart(move.name()));
  const std::string rest = Clean(style, fmt::format("  {}: {}", move.machine(), move.kind_title()));
  const int left = style.width - Columns(number) - Columns(tag);
  Lines lines{Inked(style, Ink::kLoud, number) + StateTag(style, move.state()) + Cut(rest, left)};
  std::string who = fmt::format("driver {}, {}", move.driver(), SpotterText(move));
  if (!move.carrier().empty()) who += fmt::format(", carrier {}", move.carrier());
  const std::string text = Clean(style, fmt::format("{}   {}", Way(move), who));
  if (Columns(text) <= style.width) {
    lines.push_back(text);
  } else {
    lines.push_back(Cut(Clean(style, Way(move)), style.width));
    lines.push_back(Cut(Clean(style, who), style.width));
  }
  return lines;
}

std::string Target(const v1::Release& release, const v1::Move& move) {
  return release.limit().empty() ? fmt::format("{}, where it is to go", move.to_place())
                                 : fmt::format("STOP AT {}", release.limit());
}

std::string StandingStop(const v1::StopWord& word) {
  // What the system says of a stop holds the cause already.
  if (word.person().empty()) {
    return fmt::format("Stopped by the system at {}: {}", Clock(word.time()),
                       word.text().empty() ? Word(word.cause()) : word.text());
  }
  std::string text =
      fmt::format("Stopped by {} at {}: {}", word.person(), Clock(word.time()), Word(word.cause()));
  if (!word.text().empty()) text += ", \"" + word.text() + "\"";
  return text;
}

/// "May restart: ben, or a yard lead: chockwise restart 14". Law 5.
std::string WhoMayRestart(const v1::Move& move) {
  std::vector<std::string> who;
  for (const v1::StopWord& word : move.stop_words()) {
    const bool new_name = std::ranges::find(who, word.person()) == who.end();
    if (word.lifted_by().empty() && !word.person().empty() && new_name)
      who.push_back(word.person());
  }
  who.emplace_back("a yard lead");
  return fmt::format("Who may let it restart: {}: chockwise restart {}", fmt::join(who, " or "),
                     LastPart(move.name()));
}

Lines Situation(const v1::Move& move, const Style& style) {
  Lines lines;
  for (const v1::StopWord& word : move.stop_words()) {
    if (!word.lifted_by().empty()) continue;
    lines.push_back(Inked(style, Ink::kBad, Cut(Clean(style, StandingStop(word)), style.width)));
  }
  if (lines.size() > 2) lines.resize(2);
  if (!lines.empty()) lines.push_back(Cut(Clean(style, WhoMayRestart(move)), style.width));
  if (move.state() == v1::MOVE_STATE_RELEASED)
    Append(lines, ReleaseScreen(move.release(), move, style));
  if (move.state() == v1::MOVE_STATE_UNDER_WAY) {
    lines.push_back(
        Cut(Clean(style, "Under way to " + Target(move.release(), move) + "."), style.width));
  }
  return lines;
}

Lines Next(const MoveView& view, const Style& style) {
  Lines lines;
  for (const Step& step : NextSteps(view.move, view.me)) {
    if (lines.size() == view.steps_shown) break;
    const std::string command =
        fmt::format("chockwise {} {}", step.verb, LastPart(view.move.name()));
    lines.push_back(Cut(fmt::format("  {}  {}", Padded(command, 26), step.title), style.width));
  }
  if (!lines.empty()) lines.insert(lines.begin(), Inked(style, Ink::kLoud, "Next"));
  return lines;
}

/// Every clear gate too, with the margin or the words behind it.
Lines ClearGates(const v1::Move& move, const Style& style) {
  Lines lines;
  for (const v1::Gate& gate : move.gates()) {
    if (gate.state() != v1::GATE_STATE_CLEAR && gate.accepted_by().empty()) continue;
    std::string text = gate.title();
    if (!gate.reason().empty()) text += ": " + gate.reason();
    for (const v1::Word& word : gate.words()) {
      if (!word.stale()) text += fmt::format(", {} {}", word.person(), Clock(word.time()));
    }
    if (!gate.accepted_by().empty()) text += fmt::format(", accepted by {}", gate.accepted_by());
    if (gate.has_stale_time()) text += fmt::format(", until {}", Clock(gate.stale_time()));
    Append(lines,
           Tagged(style, InkOf(gate.state()), PlainTag(style, gate.state()), Clean(style, text)));
  }
  return lines;
}

std::string Tally(const v1::Move& move, int open, const Style& style) {
  const int all = move.gates_size();
  std::string text =
      fmt::format("{} {}: {} clear", Counted(all, "gate"), Word(move.phase()), all - open);
  if (open > 0) text += fmt::format(", {} not", open);
  return Inked(style, Ink::kLoud, text);
}

}  // namespace

Lines MoveScreen(const MoveView& view, const Style& style) {
  Lines lines = Header(view.move, style);
  Append(lines, Situation(view.move, style));
  Lines next = Next(view, style);
  std::vector<v1::UnmetGate> open = OpenGates(view.move);
  if (!view.move.gates().empty())
    lines.push_back(Tally(view.move, static_cast<int>(open.size()), style));
  const int used = static_cast<int>(lines.size() + next.size()) + 1;
  const int room = view.extent == Extent::kAll ? 0 : std::max(4, style.height - used);
  Append(lines, GatesByWhoClears({.gates = std::move(open),
                                  .lines = room,
                                  .move = LastPart(view.move.name()),
                                  .viewer = view.me.person()},
                                 style));
  if (view.extent == Extent::kAll) Append(lines, ClearGates(view.move, style));
  Append(lines, std::move(next));
  return lines;
}

std::string MoveLine(const v1::Move& move, const Style& style) {
  const std::string tag = Padded(PlainTag(style, move.state()), 12);
  const std::string number = fmt::format("{:>4}  ", LastPart(move.name()));
  const std::string rest = Clean(style, fmt::format("  {}  {}  driver {}, {}", move.machine(),
                                                    Way(move), move.driver(), SpotterText(move)));
  const int left = style.width - Columns(number) - Columns(tag);
  return number + Inked(style, InkOf(move.state()), tag) + Cut(rest, left);
}

Lines ReleaseScreen(const v1::Release& release, const v1::Move& move, const Style& style) {
  Lines lines;
  lines.push_back(Inked(style, Ink::kLoud, "You may begin when your spotter signals."));
  lines.push_back(
      Cut(Clean(style, fmt::format("Up to:      {}", Target(release, move))), style.width));
  lines.push_back(fmt::format("Begin by:   {}, or it lapses", Clock(release.start_by_time())));
  Append(lines, Wrap("This release sees nobody. Look, horn, eyes on the spotter. Any doubt: stop.",
                     {.width = style.width}));
  return lines;
}

Lines DarkScreen(const Style& style) {
  Lines lines{Inked(style, Ink::kLoud, "Put this device away now.")};
  Append(lines, Wrap("Eyes on the spotter, hands on the wheel. Lost sight, or any doubt: stop.",
                     {.width = style.width}));
  return lines;
}

}  // namespace chockwise::cli
