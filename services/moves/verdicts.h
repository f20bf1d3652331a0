// What the parts of Decide() share. Private to the heart: decide.h is its door.
//
// Each function judges one verb. Consequences for other moves (a held yard stops what moves) follow
// the entry that is the answer, in move order, with no person: the system moved them back (law 3).
#pragma once

#include <string>

#include "services/moves/gates.h"
#include "services/moves/refusal.h"
#include "services/moves/state.h"

namespace chockwise::moves {

/// One command on its bench.
struct Bench {
  const YardState& yard;
  const v1::Command& command;
  Instant now;
  PersonId person;
};

// --- Entries ---

/// The entry that answers the caller: with their name and request id.
v1::Entry AnswerEntry(const Bench& bench);
/// The same, about a move that then stands at `state_after`.
v1::Entry AnswerEntry(const Bench& bench, const Move& move, v1::MoveState state_after);
/// An entry that follows from the answer: the system's.
v1::Entry FollowingEntry(const Bench& bench, const Move& move, v1::MoveState state_after);

/// Takes back what this move has: a release not yet used, or the way it is on. Nothing where it has
/// neither. Used for consequences; `stopped_for` is the cause if it is under way, `reason` the line
/// in either case.
struct TakeBack {
  v1::StopCause stopped_for;
  std::string reason;
  /// What becomes of a move that waits at a hold point, or was released there and has not begun.
  /// Other people, a machine left alone or another shift undo more than the words at the line: the
  /// move is stopped, so that everything is looked at again.
  enum class AtLine { kWaits, kStopped } at_line = AtLine::kWaits;
};
void TakeBackInto(Entries& entries, const Bench& bench, const Move& move, const TakeBack& why);

/// Takes the move back by the caller's own doing, then adds the entry that says what they did, for
/// the caller to fill. The first of them is the answer and carries the request id; both carry the
/// caller's name.
v1::Entry& TakeBackAndAnswer(Entries& entries, const Bench& bench, const Move& move,
                             const TakeBack& why);

/// Whoever looked at ground that this move is about to cross, or has crossed, must look again: for
/// a release, a first motion and a parking. In move order.
void StaleNeighbours(Entries& entries, const Bench& bench, const Move& mover);

// --- Checks ---

/// The open move of that name. NOT_FOUND: none of that name; a precondition: it has ended.
Outcome<const Move*> OpenMove(const Bench& bench, std::string_view name);

struct TextField {
  const char* field;
  const std::string& text;
  size_t most;
  enum class Need { kRequired, kOptional } need;
};
/// Refuses what is missing, too long, or would play tricks on a terminal (control characters).
Outcome<std::monostate> CheckText(const TextField& text);

/// Cuts a text to what may be kept instead of refusing it: for stops, which nothing may stand
/// before. Law 5.
std::string Tamed(std::string_view text, size_t most);

Outcome<std::monostate> CheckYard(const Bench& bench, std::string_view name);
Outcome<std::monostate> CheckLead(const Bench& bench, std::string_view to_do_what);
/// Law 10: whoever drives or spots what is under way has eyes and hands for that alone.
Outcome<std::monostate> CheckHandsFree(const Bench& bench);
Outcome<std::monostate> CheckStanding(const Move& move, std::string_view to_do_what);

/// Everything that keeps a release or close back: of `gates` those that block, and what no rule can
/// leave out.
std::vector<v1::UnmetGate> WhatIsMissing(const Bench& bench, const Move& move,
                                         const std::vector<GateStatus>& gates);

// --- Verbs ---

// verdicts_people.cc: who is on a move.
Outcome<Entries> Judge(const Bench&, const v1::RequestMoveRequest&);
Outcome<Entries> Judge(const Bench&, const v1::NameSpotterRequest&);
Outcome<Entries> Judge(const Bench&, const v1::AcceptSpottingRequest&);
Outcome<Entries> Judge(const Bench&, const v1::LeaveSpottingRequest&);
Outcome<Entries> Judge(const Bench&, const v1::SwapDriverRequest&);

// verdicts_gates.cc: words, releases, closes.
Outcome<Entries> Judge(const Bench&, const v1::ConfirmRequest&);
Outcome<Entries> Judge(const Bench&, const v1::AcceptGateRequest&);
Outcome<Entries> Judge(const Bench&, const v1::RequestReleaseRequest&);
Outcome<Entries> Judge(const Bench&, const v1::BeginMoveRequest&);
Outcome<Entries> Judge(const Bench&, const v1::CloseMoveRequest&);

// verdicts_life.cc: the rest of a move's life.
Outcome<Entries> Judge(const Bench&, const v1::HoldMoveRequest&);
Outcome<Entries> Judge(const Bench&, const v1::ParkMoveRequest&);
Outcome<Entries> Judge(const Bench&, const v1::StopMoveRequest&);
Outcome<Entries> Judge(const Bench&, const v1::AllowRestartRequest&);
Outcome<Entries> Judge(const Bench&, const v1::RefuseMoveRequest&);
Outcome<Entries> Judge(const Bench&, const v1::WithdrawMoveRequest&);
Outcome<Entries> Judge(const Bench&, const v1::ReportAwayRequest&);
Outcome<Entries> Judge(const Bench&, const v1::ReportBreakdownRequest&);

// verdicts_yard.cc: the yard as a whole.
Outcome<Entries> Judge(const Bench&, const v1::BeginShiftRequest&);
Outcome<Entries> Judge(const Bench&, const v1::EndShiftRequest&);
Outcome<Entries> Judge(const Bench&, const v1::HoldYardRequest&);
Outcome<Entries> Judge(const Bench&, const v1::LiftHoldRequest&);
Outcome<Entries> Judge(const Bench&, const v1::ReportDoorRequest&);
Outcome<Entries> Judge(const Bench&, const v1::ReturnDoorRequest&);
Outcome<Entries> Judge(const Bench&, const v1::LoadYard&);
Outcome<Entries> Judge(const Bench&, const v1::IssueToken&);
Outcome<Entries> Judge(const Bench&, const v1::RevokeTokenRequest&);
Outcome<Entries> Judge(const Bench&, const v1::Tick&);

// verdicts_machines.cc: tags, inspections, counts, ground.
Outcome<Entries> Judge(const Bench&, const v1::HangTagRequest&);
Outcome<Entries> Judge(const Bench&, const v1::ClearTagRequest&);
Outcome<Entries> Judge(const Bench&, const v1::RecordInspectionRequest&);
Outcome<Entries> Judge(const Bench&, const v1::RecordPutDownRequest&);
Outcome<Entries> Judge(const Bench&, const v1::ClearGroundRequest&);

}  // namespace chockwise::moves
