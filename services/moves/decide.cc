#include "services/moves/decide.h"

#include <fmt/format.h>

#include <algorithm>
#include <variant>

#include "services/moves/limits.h"
#include "services/moves/names.h"
#include "services/moves/parties.h"
#include "services/moves/verdicts.h"

namespace chockwise::moves {
namespace {

Entries Single(v1::Entry entry) {
  Entries entries;
  entries.push_back(std::move(entry));
  return entries;
}

Outcome<Entries> JudgeSystem(const Bench& bench) {
  v1::Entry entry = AnswerEntry(bench);
  if (bench.command.has_tick()) return Judge(bench, bench.command.tick());
  if (bench.command.has_restart()) {
    entry.mutable_restarted();
    return Single(std::move(entry));
  }
  if (bench.command.has_clock_step()) {
    entry.mutable_clock_stepped()->set_by_us(bench.command.clock_step().by_us());
    return Single(std::move(entry));
  }
  // Law 3: only people move a move forward. Every other verb is a person's.
  return RefuseNotAllowed(
      {"law 3", "this is for a person to say", "Send it with a person's token."});
}

Outcome<Entries> JudgePerson(const Bench& bench) {
  const v1::Command& command = bench.command;
  switch (command.verb_case()) {
    case v1::Command::kStopMove:
      return Judge(bench, command.stop_move());
    case v1::Command::kHoldYard:
      return Judge(bench, command.hold_yard());
    case v1::Command::kRequestMove:
      return Judge(bench, command.request_move());
    case v1::Command::kNameSpotter:
      return Judge(bench, command.name_spotter());
    case v1::Command::kAcceptSpotting:
      return Judge(bench, command.accept_spotting());
    case v1::Command::kLeaveSpotting:
      return Judge(bench, command.leave_spotting());
    case v1::Command::kSwapDriver:
      return Judge(bench, command.swap_driver());
    case v1::Command::kConfirm:
      return Judge(bench, command.confirm());
    case v1::Command::kAcceptGate:
      return Judge(bench, command.accept_gate());
    case v1::Command::kRequestRelease:
      return Judge(bench, command.request_release());
    case v1::Command::kBeginMove:
      return Judge(bench, command.begin_move());
    case v1::Command::kHoldMove:
      return Judge(bench, command.hold_move());
    case v1::Command::kParkMove:
      return Judge(bench, command.park_move());
    case v1::Command::kCloseMove:
      return Judge(bench, command.close_move());
    case v1::Command::kAllowRestart:
      return Judge(bench, command.allow_restart());
    case v1::Command::kRefuseMove:
      return Judge(bench, command.refuse_move());
    case v1::Command::kWithdrawMove:
      return Judge(bench, command.withdraw_move());
    case v1::Command::kReportAway:
      return Judge(bench, command.report_away());
    case v1::Command::kReportBreakdown:
      return Judge(bench, command.report_breakdown());
    case v1::Command::kBeginShift:
      return Judge(bench, command.begin_shift());
    case v1::Command::kEndShift:
      return Judge(bench, command.end_shift());
    case v1::Command::kLiftHold:
      return Judge(bench, command.lift_hold());
    case v1::Command::kReportDoor:
      return Judge(bench, command.report_door());
    case v1::Command::kReturnDoor:
      return Judge(bench, command.return_door());
    case v1::Command::kHangTag:
      return Judge(bench, command.hang_tag());
    case v1::Command::kClearTag:
      return Judge(bench, command.clear_tag());
    case v1::Command::kRecordInspection:
      return Judge(bench, command.record_inspection());
    case v1::Command::kRecordPutDown:
      return Judge(bench, command.record_put_down());
    case v1::Command::kClearGround:
      return Judge(bench, command.clear_ground());
    case v1::Command::kLoadYard:
      return Judge(bench, command.load_yard());
    case v1::Command::kIssueToken:
      return Judge(bench, command.issue_token());
    case v1::Command::kRevokeToken:
      return Judge(bench, command.revoke_token());
    case v1::Command::kTick:
    case v1::Command::kRestart:
    case v1::Command::kClockStep:
      return RefuseNotAllowed({"law 3", "this is for the system to say", ""});
    case v1::Command::VERB_NOT_SET:
      return RefuseField("verb", "nothing is asked");
  }
  return RefuseField("verb", "nothing is asked");
}

}  // namespace

Outcome<Entries> Decide(const YardState& yard, const v1::Command& command, Instant now) {
  const Bench bench{.yard = yard,
                    .command = command,
                    .now = std::max(now, yard.last_time),
                    .person = PersonId(command.person())};
  if (bench.person.empty()) return JudgeSystem(bench);
  // Law 5: a stop stands before every other check; a hold is a stop for everybody.
  const bool stop = command.has_stop_move() || command.has_hold_yard();
  if (!yard.yard && !command.has_load_yard()) {
    return RefusePrecondition({"yard", "no yard has been loaded", "A safety lead loads one."});
  }
  // Whoever loads the yard is looked up there: the first time in the files that they bring.
  const bool known = stop || command.has_load_yard() || yard.FindPerson(bench.person) != nullptr;
  if (!known) {
    return RefuseNotAllowed({"register", fmt::format("{} is not in the register", command.person()),
                             "A yard lead adds them to people.csv and reloads the yard."});
  }
  return JudgePerson(bench);
}

// --- Entries ---

namespace {

void MakeAnswer(const Bench& bench, v1::Entry& entry) {
  entry.set_person(bench.person.value());
  entry.set_request_id(bench.command.request_id());
  entry.set_request_digest(bench.command.request_digest());
}

}  // namespace

v1::Entry AnswerEntry(const Bench& bench) {
  v1::Entry entry;
  entry.set_time_us(bench.now.micros());
  MakeAnswer(bench, entry);
  return entry;
}

v1::Entry AnswerEntry(const Bench& bench, const Move& move, v1::MoveState state_after) {
  v1::Entry entry = AnswerEntry(bench);
  entry.set_move(move.number);
  entry.set_move_state(state_after);
  return entry;
}

v1::Entry FollowingEntry(const Bench& bench, const Move& move, v1::MoveState state_after) {
  v1::Entry entry;
  entry.set_time_us(bench.now.micros());
  entry.set_move(move.number);
  entry.set_move_state(state_after);
  return entry;
}

void TakeBackInto(Entries& entries, const Bench& bench, const Move& move, const TakeBack& why) {
  const bool at_line =
      move.state == v1::MOVE_STATE_HELD ||
      (move.state == v1::MOVE_STATE_RELEASED && move.release->phase == v1::PHASE_HOLD_POINT);
  const bool stops = at_line && why.at_line == TakeBack::AtLine::kStopped;
  if (move.state == v1::MOVE_STATE_RELEASED && !stops) {
    v1::Entry entry = FollowingEntry(bench, move, move.release->from_state);
    entry.mutable_release_voided()->set_reason(why.reason);
    entries.push_back(std::move(entry));
  } else if (move.state == v1::MOVE_STATE_UNDER_WAY || stops) {
    v1::Entry entry = FollowingEntry(bench, move, v1::MOVE_STATE_STOPPED);
    entry.mutable_move_stopped()->set_cause(why.stopped_for);
    entry.mutable_move_stopped()->set_text(why.reason);
    entries.push_back(std::move(entry));
  }
}

v1::Entry& TakeBackAndAnswer(Entries& entries, const Bench& bench, const Move& move,
                             const TakeBack& why) {
  TakeBackInto(entries, bench, move, why);
  const v1::MoveState after = entries.empty() ? move.state : entries.front().move_state();
  entries.push_back(FollowingEntry(bench, move, after));
  MakeAnswer(bench, entries.front());
  entries.back().set_person(bench.person.value());
  return entries.back();
}

// --- Checks ---

namespace {

/// Whether a byte sequence would move a terminal's cursor or change its colours: C0, DEL, and C1 as
/// UTF-8 writes it.
bool HasControl(std::string_view text) {
  for (size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte < 0x20 || byte == 0x7f) return true;
    const bool c1 =
        byte == 0xc2 && i + 1 < text.size() && static_cast<unsigned char>(text[i + 1]) < 0xa0;
    if (c1) return true;
  }
  return false;
}

}  // namespace

Outcome<std::monostate> CheckText(const TextField& text) {
  if (text.text.empty() && text.need == TextField::Need::kRequired)
    return RefuseField(text.field, "is missing");
  if (text.text.size() > text.most) {
    return RefuseField(text.field, fmt::format("is {} bytes long; at most {} are taken",
                                               text.text.size(), text.most));
  }
  if (HasControl(text.text))
    return RefuseField(text.field, "has control characters; write plain text in one line");
  return std::monostate{};
}

std::string Tamed(std::string_view text, size_t most) {
  std::string kept(text.substr(0, most));
  // Do not cut a UTF-8 sequence in half: a field of the ledger is text.
  if (text.size() > most) {
    while (!kept.empty() && (static_cast<unsigned char>(text[kept.size()]) & 0xc0) == 0x80)
      kept.pop_back();
  }
  if (HasControl(kept)) {
    std::replace_if(
        kept.begin(), kept.end(),
        [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; }, ' ');
    for (size_t i = 0; i + 1 < kept.size(); ++i) {
      const bool c1 = static_cast<unsigned char>(kept[i]) == 0xc2 &&
                      static_cast<unsigned char>(kept[i + 1]) < 0xa0;
      if (c1) kept[i] = kept[i + 1] = ' ';
    }
  }
  return kept;
}

Outcome<const Move*> OpenMove(const Bench& bench, std::string_view name) {
  const std::optional<int64_t> number = NumberIn(name, bench.yard.yard->id, "moves");
  const Move* move = number ? bench.yard.FindMove(*number) : nullptr;
  if (move == nullptr) {
    return RefuseNotFound(fmt::format("no open move is called \"{}\"; the board has their numbers",
                                      Tamed(name, 100)));
  }
  if (move->ended()) {
    return RefusePrecondition(
        {"life of a move", fmt::format("move {} has ended", move->number), "Ask for a new one."});
  }
  return move;
}

Outcome<std::monostate> CheckYard(const Bench& bench, std::string_view name) {
  if (name == YardName(bench.yard.yard->id)) return std::monostate{};
  return RefuseNotFound(fmt::format("no yard is called \"{}\" here; this one is \"{}\"",
                                    Tamed(name, 100), YardName(bench.yard.yard->id)));
}

Outcome<std::monostate> CheckLead(const Bench& bench, std::string_view to_do_what) {
  if (bench.yard.IsLead(bench.person)) return std::monostate{};
  return RefuseNotAllowed(
      {"roles", fmt::format("only a yard lead may {}", to_do_what), "Ask a yard lead."});
}

Outcome<std::monostate> CheckHandsFree(const Bench& bench) {
  for (const MoveNumber number : bench.yard.live) {
    const auto move = bench.yard.moves.find(number);
    if (move == bench.yard.moves.end() || move->second.state != v1::MOVE_STATE_UNDER_WAY) continue;
    if (bench.person != move->second.driver && bench.person != move->second.spotter) continue;
    return RefusePrecondition(
        {"law 10", fmt::format("you are on move {}, which is under way; no screen now", number),
         "Put the device away. Anyone stops a move by voice, hand or horn, and then here."});
  }
  return std::monostate{};
}

Outcome<std::monostate> CheckStanding(const Move& move, std::string_view to_do_what) {
  if (move.state != v1::MOVE_STATE_UNDER_WAY) return std::monostate{};
  return RefusePrecondition(
      {"law 10", fmt::format("move {} is under way; nobody is to {} now", move.number, to_do_what),
       "Stop first. Brake set, then say it again."});
}

}  // namespace chockwise::moves
