// Screens of the yard: the board, doors, tags, machines, people, tokens.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <set>

#include "cli-client/gates.h"
#include "cli-client/render.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

constexpr int kDoorColumn = 14;

Lines YardHeader(const v1::Yard& yard, const Style& style) {
  const std::string shift =
      yard.has_shift() ? fmt::format("shift {} until {} ({})", yard.shift().title(),
                                     ShortClock(yard.shift().end_time()), yard.shift().yard_lead())
                       : "NO SHIFT RUNS: no release";
  Lines lines{Inked(style, Ink::kLoud,
                    Cut(Clean(style, fmt::format("{}  {}  {}", LastPart(yard.name()),
                                                 ShortClock(yard.time()), shift)),
                        style.width))};
  if (yard.has_hold()) {
    const v1::YardHold& hold = yard.hold();
    lines.push_back(
        Inked(style, Ink::kBad,
              Cut(Clean(style, fmt::format("XX YARD HOLD by {} since {}: {}", hold.person(),
                                           ShortClock(hold.time()), hold.reason())),
                  style.width)));
  }
  return lines;
}

constexpr std::size_t kFactsNamed = 2;

/// "door margins, ben to accept, ana 4, ben 7": what no word clears by its name, then whom the move
/// waits for, with how many gates. A gate of two people counts for both.
std::string WaitsFor(const v1::Move& move) {
  std::vector<std::string> order;
  std::map<std::string, int> counts;
  const auto count = [&](const std::string& whom) {
    if (counts[whom]++ == 0) order.push_back(whom);
  };
  std::vector<std::string> facts;
  for (const v1::UnmetGate& gate : OpenGates(move)) {
    if (gate.gate_class() == v1::GATE_CLASS_RECORD) continue;
    for (const std::string& person : gate.people()) count(person);
    if (!gate.people().empty()) continue;
    if (gate.parties().empty()) {
      facts.push_back(gate.title());
    } else {
      count(PartiesText(gate.parties()));
    }
  }
  std::vector<std::string> parts;
  for (const v1::StopWord& word : move.stop_words()) {
    if (!word.lifted_by().empty()) continue;
    parts.push_back(word.person().empty() ? "a lead's word"
                                          : word.person() + "'s or a lead's word");
    break;
  }
  if (move.spotter().empty()) {
    parts.emplace_back("a spotter");
  } else if (!move.spotter_accepted()) {
    parts.push_back(move.spotter() + " to accept");
  }
  if (facts.size() > kFactsNamed) {
    facts[kFactsNamed - 1] += fmt::format(" and {} more", facts.size() - kFactsNamed);
    facts.resize(kFactsNamed);
  }
  parts.insert(parts.end(), facts.begin(), facts.end());
  for (const std::string& whom : order) parts.push_back(fmt::format("{} {}", whom, counts[whom]));
  return fmt::format("{}", fmt::join(parts, ", "));
}

/// What the driver does where nobody else is waited for.
std::string Alone(v1::MoveState state) {
  return state == v1::MOVE_STATE_PARKED ? " to close" : " to ask";
}

bool IsMoving(const v1::Move& move) {
  return move.state() == v1::MOVE_STATE_UNDER_WAY || move.state() == v1::MOVE_STATE_RELEASED;
}

Lines Section(std::string_view heading, Lines body, const Style& style) {
  Lines lines{Inked(style, Ink::kLoud, heading)};
  Append(lines, std::move(body));
  return lines;
}

Lines Moving(const std::vector<v1::Move>& moves, const Style& style) {
  Lines lines;
  for (const v1::Move& move : moves) {
    if (IsMoving(move)) lines.push_back(MoveLine(move, style));
  }
  const std::string heading = fmt::format("MOVING OR RELEASED: {}", lines.size());
  return Section(heading, std::move(lines), style);
}

Lines Waiting(const std::vector<v1::Move>& moves, const Style& style) {
  Lines lines;
  for (const v1::Move& move : moves) {
    if (IsMoving(move)) continue;
    const std::string tag = Padded(PlainTag(style, move.state()), 12);
    const std::string waits = WaitsFor(move);
    const std::string rest =
        Clean(style, fmt::format("  {}  {}  {} > {}", move.machine(),
                                 waits.empty() ? move.driver() + Alone(move.state()) : waits,
                                 move.from_place(), move.to_place()));
    lines.push_back(fmt::format("{:>4}  ", LastPart(move.name())) +
                    Inked(style, InkOf(move.state()), tag) + Cut(rest, style.width - 18));
  }
  const std::string heading =
      fmt::format("WAITING: {}{}", lines.size(),
                  lines.empty() ? "" : "   (for what, and for whom with how many gates)");
  return Section(heading, std::move(lines), style);
}

std::string DoorText(const v1::DoorStatus& door) {
  if (door.out_of_service())
    return fmt::format("OUT OF SERVICE ({}): {}", door.reported_by(), door.text());
  if (!door.move().empty()) return fmt::format("taken by move {}", LastPart(door.move()));
  return "free";
}

std::string DoorLine(const v1::DoorStatus& door, const Style& style) {
  constexpr Mark kOut{"x", "✗"};
  constexpr Mark kTaken{">", "▷"};
  constexpr Mark kFree{"o", "○"};
  const bool taken = !door.move().empty();
  const Mark& mark = door.out_of_service() ? kOut : taken ? kTaken : kFree;
  const Ink ink = door.out_of_service() ? Ink::kBad : taken ? Ink::kInfo : Ink::kPlain;
  const std::string text =
      fmt::format("  {} {}  {}", Shown(style, mark), Padded(Clean(style, door.door()), kDoorColumn),
                  Clean(style, DoorText(door)));
  return Inked(style, ink, Cut(text, style.width));
}

/// "cho: hose off", "ana refused move 9: brakes feel soft".
std::string HungBy(const v1::Tag& tag) {
  std::string_view text = tag.text();
  if (tag.refused_move().empty()) return fmt::format("{}: {}", tag.person(), text);
  // The tag of a refusal says so itself, in front of the reason.
  for (const std::string_view said : {"refused: ", "refused; "}) {
    if (text.starts_with(said)) text.remove_prefix(said.size());
  }
  return fmt::format("{} refused move {}: {}", tag.person(), LastPart(tag.refused_move()), text);
}

Lines TagLines(const v1::MachineStatus& machine, const Style& style) {
  Lines lines;
  for (const v1::Tag& tag : machine.tags()) {
    const std::string text = fmt::format("  x {}  tag {}  {}  {}", machine.machine(), tag.number(),
                                         DateAndClock(tag.time()), HungBy(tag));
    lines.push_back(Inked(style, Ink::kBad, Cut(Clean(style, text), style.width)));
  }
  return lines;
}

bool StoppedByHold(const v1::Move& move) {
  return std::ranges::any_of(move.stop_words(), [](const v1::StopWord& word) {
    return word.lifted_by().empty() && word.cause() == v1::STOP_CAUSE_YARD_HOLD;
  });
}

/// Keeps the first lines and says how many more there are and what shows them.
Lines Shortened(Lines lines, std::size_t most, std::string_view command) {
  if (lines.size() <= most) return lines;
  const std::size_t hidden = lines.size() - (most - 1);
  lines.resize(most - 1);
  lines.push_back(fmt::format("  ... and {} more: chockwise {}", hidden, command));
  return lines;
}

}  // namespace

Lines BoardScreen(const BoardView& view, const Style& style) {
  Lines lines = YardHeader(view.yard, style);
  Lines doors;
  Lines tags;
  int busy = 0;
  for (const v1::DoorStatus& door : view.yard.doors()) {
    if (!door.out_of_service() && door.move().empty()) continue;
    doors.push_back(DoorLine(door, style));
    ++busy;
  }
  for (const v1::MachineStatus& machine : view.yard.machines())
    Append(tags, TagLines(machine, style));
  const auto tag_count = tags.size();
  Append(lines, Shortened(Moving(view.moves, style), 5, "list"));
  Append(lines, Shortened(Waiting(view.moves, style), 7, "list"));
  Append(lines, Section(fmt::format("DOORS: {} of {} taken or out of service", busy,
                                    view.yard.doors_size()),
                        Shortened(std::move(doors), 3, "doors"), style));
  Append(lines,
         Section(fmt::format("TAGS: {}", tag_count), Shortened(std::move(tags), 3, "tags"), style));
  return lines;
}

Lines HeldScreen(const HeldView& view, const Style& style) {
  Lines lines{Inked(style, Ink::kBad,
                    fmt::format("YARD HELD at {} (entry {}).", Clock(view.receipt.entry_time()),
                                view.receipt.entry()))};
  Append(lines, Wrap("Nothing is released. Every release is taken back. What moved is to stand "
                     "now: brake set, everybody where they are.",
                     {.width = style.width}));
  Lines stopped;
  for (const v1::Move& move : view.stopped.value_or(std::vector<v1::Move>{})) {
    if (StoppedByHold(move)) stopped.push_back(MoveLine(move, style));
  }
  if (!view.stopped) {
    lines.emplace_back("Which moves it stopped: chockwise board");
  } else if (stopped.empty()) {
    lines.emplace_back("No move was under way.");
  } else {
    const std::string heading = fmt::format("STOPPED BY IT: {}", stopped.size());
    Append(lines, Section(heading, Shortened(std::move(stopped), 12, "list"), style));
  }
  Append(lines, Wrap("To lift it: a yard lead, chockwise lift-hold. Then each stopped move wants "
                     "its word to restart, and feet and eyes again.",
                     {.width = style.width}));
  return lines;
}

Lines DoorsScreen(const v1::Yard& yard, const Style& style) {
  Lines lines;
  for (const v1::DoorStatus& door : yard.doors()) lines.push_back(DoorLine(door, style));
  if (lines.empty()) lines.emplace_back("This yard has no doors.");
  return lines;
}

Lines TagsScreen(const v1::Yard& yard, const Style& style) {
  Lines lines;
  for (const v1::MachineStatus& machine : yard.machines()) Append(lines, TagLines(machine, style));
  if (lines.empty()) lines.emplace_back("No do-not-move tag hangs.");
  return lines;
}

Lines MachinesScreen(const v1::Yard& yard, const Style& style) {
  Lines lines{Inked(style, Ink::kLoud,
                    fmt::format("{} {} {} {} {}", Padded("unit", 10), Padded("place", 14),
                                Padded("move", 6), Padded("looked at", 16), "tags, put down"))};
  for (const v1::MachineStatus& machine : yard.machines()) {
    std::string rest;
    if (!machine.tags().empty()) rest = fmt::format("x {}", Counted(machine.tags_size(), "tag"));
    for (const auto& [item, count] :
         std::map<std::string, int64_t>(machine.put_down().begin(), machine.put_down().end())) {
      if (count != 0) rest += fmt::format("{}{} {}", rest.empty() ? "" : ", ", count, item);
    }
    const std::string text =
        fmt::format("{} {} {} {} {}", Padded(machine.machine(), 10), Padded(machine.place(), 14),
                    Padded(machine.move().empty() ? "-" : LastPart(machine.move()), 6),
                    machine.has_inspection_time() ? DateAndClock(machine.inspection_time())
                                                  : Padded("never", 16),
                    rest);
    lines.push_back(Cut(Clean(style, text), style.width));
  }
  return lines;
}

Lines PeopleScreen(const v1::Yard& yard, const Style& style) {
  Lines lines;
  for (const v1::PersonStatus& person : yard.people()) {
    std::string text = fmt::format("  {} {} {}", Padded(person.person(), 14),
                                   Padded(person.title(), 22), fmt::join(person.roles(), ", "));
    if (!person.spotting().empty())
      text += fmt::format("; spots move {}", LastPart(person.spotting()));
    lines.push_back(Cut(Clean(style, text), style.width));
  }
  return lines;
}

std::string EventLine(const v1::YardEvent& event, const Style& style) {
  const std::string who = event.person().empty() ? "system" : event.person();
  const std::string about =
      event.move().empty() ? "" : fmt::format(" move {}", LastPart(event.move()));
  std::string head = fmt::format("{} {}{} ", Clock(event.time()), Clean(style, who), about);
  std::string tag;
  if (event.move_state() != v1::MOVE_STATE_UNSPECIFIED)
    tag = PlainTag(style, event.move_state()) + " ";
  const int left = style.width - Columns(head) - Columns(tag);
  return head + Inked(style, InkOf(event.move_state()), tag) +
         Cut(Clean(style, event.text()), left);
}

Lines IdentityScreen(const v1::Identity& me, const Style& style) {
  Lines lines;
  lines.push_back(Cut(Clean(style, fmt::format("{} ({})", me.title(), me.person())), style.width));
  lines.push_back(
      Cut(Clean(style, fmt::format("roles: {}", fmt::join(me.roles(), ", "))), style.width));
  lines.push_back(Cut(Clean(style, fmt::format("yard:  {}{}", LastPart(me.yard()),
                                               me.rehearsal() ? " (REHEARSAL)" : "")),
                      style.width));
  lines.push_back(Cut(Clean(style, fmt::format("token: {}", LastPart(me.token()))), style.width));
  return lines;
}

Lines TokensScreen(const std::vector<v1::Token>& tokens, const Style& style) {
  Lines lines{Inked(style, Ink::kLoud,
                    fmt::format("{:>5} {} {} {} {}", "token", Padded("person", 14),
                                Padded("issued", 16), Padded("ends", 16), "state"))};
  for (const v1::Token& token : tokens) {
    const std::string state =
        token.revoked_by().empty() ? "good until it ends" : "revoked by " + token.revoked_by();
    lines.push_back(
        Cut(Clean(style, fmt::format("{:>5} {} {} {} {}", LastPart(token.name()),
                                     Padded(token.person(), 14), DateAndClock(token.issue_time()),
                                     DateAndClock(token.expire_time()), state)),
            style.width));
  }
  return lines;
}

std::string Hex(const std::string& bytes) {
  std::string hex;
  for (const char byte : bytes) hex += fmt::format("{:02x}", static_cast<unsigned char>(byte));
  return hex;
}

Lines CheckpointScreen(const v1::Checkpoint& checkpoint, const Style& style) {
  Lines lines{fmt::format("entries:   {}", checkpoint.size()),
              fmt::format("root:      {}", Hex(checkpoint.root())),
              fmt::format("signed at: {}", DateAndClock(checkpoint.time()))};
  Append(lines, Wrap(fmt::format("signature: {}", Hex(checkpoint.signature())),
                     {.width = style.width, .hanging = 11}));
  return lines;
}

}  // namespace chockwise::cli
