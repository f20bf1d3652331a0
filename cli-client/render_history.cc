#include "cli-client/render_history.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "cli-client/gates.h"
#include "cli-client/words.h"
#include "services/fit/rates.h"

namespace chockwise::cli {
namespace {

constexpr int kGatesShown = 10;

void AppendLag(Lines& lines, int64_t lag) {
  if (lag > 0)
    lines.push_back(
        fmt::format("The reader is {} entries behind: the newest are not in here.", lag));
}

std::string Happened(const v1::MoveRecord& record) {
  std::string text;
  const auto add = [&](int32_t count, std::string_view what) {
    if (count > 0) text += fmt::format("{}{} {}", text.empty() ? "" : ", ", count, what);
  };
  add(record.refusals(), "refused");
  add(record.stops_called(), record.stops_called() == 1 ? "stop" : "stops");
  add(record.acceptances(), "accepted");
  return text;
}

std::string RecordLine(const v1::MoveRecord& record, const Style& style) {
  const std::string tag = Padded(PlainTag(style, record.state()),
                                 std::max(11, Columns(PlainTag(style, record.state()))));
  const std::string head =
      fmt::format("{:>5} {} ", LastPart(record.name()), DateAndClock(record.request_time()));
  const std::string carrier = record.carrier().empty() ? "" : " on " + record.carrier();
  const std::string rest =
      Clean(style, fmt::format(" {}{} {} > {}  {}", record.machine(), carrier, record.from_place(),
                               record.to_place(), Happened(record)));
  return head + Inked(style, InkOf(record.state()), tag) +
         Cut(rest, style.width - Columns(head) - Columns(tag));
}

Lines ReleaseLines(const v1::ReleaseRecord& release, const Style& style) {
  const v1::Release& given = release.release();
  std::string text = fmt::format(
      "Release {} at {} to {}, spotter {}, up to {}, on yard version {}", given.number(),
      Clock(release.release_time()), release.driver(), release.spotter(),
      given.limit().empty() ? "the end" : given.limit(), given.yard_version());
  if (release.has_begin_time()) text += "; wheels turned at " + Clock(release.begin_time());
  if (release.has_void_time())
    text +=
        fmt::format("; taken back at {}: {}", Clock(release.void_time()), release.void_reason());
  Lines lines = Wrap(Clean(style, text), {.width = style.width, .hanging = 2});
  for (const v1::StoodOn& stood : release.gates()) {
    std::string gate = stood.title().empty() ? stood.basis().gate_id() : stood.title();
    if (!stood.basis().reason().empty()) gate += ": " + stood.basis().reason();
    for (const v1::Word& word : stood.words())
      gate += fmt::format(", {} {}", word.person(), Clock(word.time()));
    if (!stood.basis().accepted_by().empty())
      gate += ", accepted by " + stood.basis().accepted_by();
    const std::string tag = PlainTag(style, stood.basis().state());
    const int room = style.width - kTagIndent - Columns(tag) - 2;
    Append(lines, Tagged(style, InkOf(stood.basis().state()), tag, Cut(Clean(style, gate), room)));
  }
  return lines;
}

Lines GateTable(const v1::MovesSummary& summary, const Style& style) {
  Lines lines;
  if (summary.gates().empty()) return lines;
  lines.push_back(fmt::format("  {} asked  kept back: not asked  not clear  stale  accepted",
                              Padded("gate", 20)));
  for (int i = 0; i < std::min(kGatesShown, summary.gates_size()); ++i) {
    const v1::GateCount& gate = summary.gates(i);
    const std::string title = Clean(style, gate.title().empty() ? gate.gate_id() : gate.title());
    lines.push_back(fmt::format("  {} {:>5}  {:>9}  {:>9}  {:>9}  {:>5}  {:>8}", Padded(title, 20),
                                gate.asked(), gate.kept_back(), gate.not_asked(), gate.not_clear(),
                                gate.stale(), gate.accepted()));
  }
  if (summary.gates_size() > kGatesShown) {
    lines.push_back(fmt::format("  ... and {} more gates: --json shows every one",
                                summary.gates_size() - kGatesShown));
  }
  return lines;
}

Lines KindTable(const v1::MovesSummary& summary, const Style& style) {
  Lines lines;
  if (summary.kinds().empty()) return lines;
  lines.push_back(
      fmt::format("  {} moves  closed  withdrawn  refused  left standing", Padded("kind", 28)));
  for (const v1::KindCount& kind : summary.kinds()) {
    lines.push_back(fmt::format("  {} {:>5}  {:>6}  {:>9}  {:>7}  {:>13}",
                                Padded(Clean(style, kind.kind()), 28), kind.moves(), kind.closed(),
                                kind.withdrawn(), kind.refused(), kind.left_standing()));
  }
  return lines;
}

Lines Totals(const v1::MovesSummary& summary) {
  Lines lines;
  lines.push_back(fmt::format("moves {}: released {}, begun {}, stopped {}", summary.moves(),
                              summary.moves_released(), summary.moves_begun(),
                              summary.moves_stopped()));
  lines.push_back(fmt::format("releases {}: refused {}, taken back {}; closes refused {}",
                              summary.releases(), summary.releases_refused(),
                              summary.releases_voided(), summary.closes_refused()));
  int64_t stops = 0;
  for (const v1::StopCount& stop : summary.stops()) stops += stop.by_people() + stop.by_system();
  lines.push_back(fmt::format("  with a refusal {}",
                              fit::ShareText(summary.moves_with_refusals(), summary.moves())));
  lines.push_back(fmt::format("  stops {}", fit::RateText(stops, summary.moves())));
  if (summary.has_median_request_to_begin()) {
    const int64_t seconds = summary.median_request_to_begin().seconds();
    lines.push_back(fmt::format(
        "from asking to the first turn of the wheels: half took no longer than {} min {:02} s",
        seconds / 60, seconds % 60));
  }
  return lines;
}

/// "17: chocks in: 2 put down, 1 picked up; door open: ...": how many gates, and the first of those
/// that somebody or something had looked at.
std::string FirstReasons(const v1::RefusalRecord& refusal) {
  std::string reasons;
  for (const v1::GateState state : {v1::GATE_STATE_NOT_CLEAR, v1::GATE_STATE_STALE}) {
    for (const v1::UnmetGate& gate : refusal.gates()) {
      if (gate.state() != state) continue;
      reasons += fmt::format("{}{}{}{}", reasons.empty() ? "" : "; ", gate.title(),
                             gate.reason().empty() ? "" : ": ", gate.reason());
    }
  }
  return fmt::format("{}: {}", refusal.gates_size(), reasons.empty() ? "not asked yet" : reasons);
}

}  // namespace

Lines MoveRecordsScreen(const v1::ListMoveRecordsResponse& response, const Style& style) {
  Lines lines;
  for (const v1::MoveRecord& record : response.records())
    lines.push_back(RecordLine(record, style));
  if (lines.empty()) lines.emplace_back("No moves like that.");
  if (!response.next_page_token().empty())
    lines.emplace_back("There are more: give a larger --limit.");
  AppendLag(lines, response.lag_entries());
  return lines;
}

Lines RefusalsScreen(const v1::ListRefusalsResponse& response, const Style& style) {
  Lines lines;
  for (const v1::RefusalRecord& refusal : response.refusals()) {
    const std::string text = fmt::format(
        "{:>6}  {}  {} {:>3} {}{}  {}", refusal.entry(), DateAndClock(refusal.time()),
        Padded(refusal.person(), 8), LastPart(refusal.move()), refusal.machine(),
        refusal.phase() == v1::PHASE_CLOSE_OUT ? " (close)" : "", FirstReasons(refusal));
    lines.push_back(Cut(Clean(style, text), style.width));
  }
  if (lines.empty()) {
    lines.emplace_back("No refusals like that.");
  } else {
    lines.insert(lines.begin(),
                 Inked(style, Ink::kLoud,
                       " entry  when              who     move and unit, how many gates, why"));
    lines.emplace_back("One in full: chockwise history refusals --entry ENTRY");
  }
  if (!response.next_page_token().empty())
    lines.emplace_back("There are more: give a larger --limit.");
  AppendLag(lines, response.lag_entries());
  return lines;
}

Lines RefusalScreen(const v1::RefusalRecord& refusal, const Style& style) {
  const std::string_view what = refusal.phase() == v1::PHASE_CLOSE_OUT ? "close" : "release";
  Lines lines{Inked(
      style, Ink::kLoud,
      Cut(Clean(style,
                fmt::format("{}  move {}  {}  {} refused to {}: {}", DateAndClock(refusal.time()),
                            LastPart(refusal.move()), refusal.machine(), what, refusal.person(),
                            Counted(refusal.gates_size(), "gate"))),
          style.width))};
  Append(lines, GatesByWhoClears({.gates = {refusal.gates().begin(), refusal.gates().end()},
                                  .lines = 0,
                                  .move = LastPart(refusal.move())},
                                 style));
  return lines;
}

Lines TimeLineScreen(const v1::MoveTimeLine& line, const Style& style) {
  const v1::MoveRecord& record = line.record();
  Lines lines{RecordLine(record, style)};
  lines.push_back(Cut(
      Clean(style, fmt::format("  {}  asked by {}, drivers {}, spotters {}", record.kind_title(),
                               record.requester(), fmt::join(record.drivers(), ", "),
                               fmt::join(record.spotters(), ", "))),
      style.width));
  for (const v1::TimeLineEntry& entry : line.time_line()) {
    const std::string head =
        fmt::format("{:>7}  {}  {} ", entry.entry(), Clock(entry.time()),
                    Padded(Clean(style, entry.person().empty() ? "system" : entry.person()), 12));
    Lines wrapped =
        Wrap(Clean(style, entry.text()), {.width = style.width, .indent = Columns(head)});
    if (wrapped.empty()) wrapped.emplace_back();
    wrapped.front().replace(0, static_cast<std::size_t>(Columns(head)), head);
    Append(lines, std::move(wrapped));
  }
  if (line.entries_left_out() > 0)
    lines.push_back(fmt::format("... and {} further entries", line.entries_left_out()));
  for (const v1::ReleaseRecord& release : line.releases())
    Append(lines, ReleaseLines(release, style));
  AppendLag(lines, line.lag_entries());
  return lines;
}

Lines SummaryScreen(const v1::MovesSummary& summary, const Style& style) {
  Lines lines = Totals(summary);
  Append(lines, KindTable(summary, style));
  for (const v1::StopCount& stop : summary.stops()) {
    lines.push_back(fmt::format("  stops, {}: by people {}, by the system {}", Word(stop.cause()),
                                stop.by_people(), stop.by_system()));
  }
  for (const v1::CountMismatch& mismatch : summary.count_mismatches()) {
    lines.push_back(fmt::format("  {} did not balance: {} times", Clean(style, mismatch.item()),
                                mismatch.times()));
  }
  Append(lines, GateTable(summary, style));
  Append(lines, Wrap("In brackets what so few leave open, 19 times in 20 (Wilson; Garwood). Fewer "
                     "than 5 are counts alone.",
                     {.width = style.width}));
  AppendLag(lines, summary.lag_entries());
  return lines;
}

}  // namespace chockwise::cli
