// The rest of a move's life: hold points, parking, stops and restarts, refusing, withdrawing,
// leaving, breaking down.

#include <fmt/format.h>

#include <algorithm>

#include "services/moves/limits.h"
#include "services/moves/names.h"
#include "services/moves/parties.h"
#include "services/moves/verdicts.h"

namespace chockwise::moves {
namespace {

/// From here on a driver is away from the machine. Source: 29 CFR 1910.178(m)(5)(ii): 25 ft (7.62
/// m).
constexpr int64_t kUnattendedMm = 7'620;

bool IsOn(const Bench& bench, const Move& move) {
  return bench.person == move.driver || bench.person == move.spotter;
}

Outcome<std::monostate> CheckOnMoveOrLead(const Bench& bench, const Move& move,
                                          std::string_view to_do_what) {
  if (IsOn(bench, move) || bench.yard.IsLead(bench.person)) return std::monostate{};
  return RefuseNotAllowed(
      {"roles", fmt::format("the move's driver, its spotter or a yard lead may {}", to_do_what),
       "Ask one of them. To halt the move, anyone calls a stop."});
}

Outcome<std::monostate> CheckNotBegun(const Move& move, std::string_view to_do_what) {
  if (!move.begun) return std::monostate{};
  return RefusePrecondition(
      {"life of a move",
       fmt::format("the wheels of move {} have turned; it is too late to {} it", move.number,
                   to_do_what),
       "Stop it. Then restart and park it, or report a breakdown where it stands."});
}

/// The move that a stop is about: by its own name, or by the machine that moves. Law 5: the
/// shortest way to it.
Outcome<const Move*> MoveToStop(const Bench& bench, std::string_view name) {
  const std::optional<std::string_view> unit = IdIn(name, bench.yard.yard->id, "machines");
  if (!unit) return OpenMove(bench, name);
  const auto machine = bench.yard.machines.find(MachineId(std::string(*unit)));
  if (machine == bench.yard.machines.end()) {
    return RefuseNotFound(fmt::format(
        "no machine is called \"{}\"; hold the yard if something moves", Tamed(*unit, 40)));
  }
  const auto move = bench.yard.moves.find(machine->second.move);
  if (move == bench.yard.moves.end()) {
    return RefusePrecondition({"law 5", fmt::format("{} is on no move", *unit),
                               "If it moves all the same, hold the yard."});
  }
  return &move->second;
}

v1::StopCause PersonsCause(v1::StopCause cause) {
  switch (cause) {
    case v1::STOP_CAUSE_LOST_SIGHT:
    case v1::STOP_CAUSE_SIGNAL_NOT_UNDERSTOOD:
    case v1::STOP_CAUSE_CONTACT:
    case v1::STOP_CAUSE_DOOR_MOVED:
      return cause;
    case v1::STOP_CAUSE_UNSPECIFIED:
    case v1::STOP_CAUSE_CALLED:
    case v1::STOP_CAUSE_YARD_HOLD:
    case v1::STOP_CAUSE_SPOTTER_LEFT:
    case v1::STOP_CAUSE_FACT_CHANGED:
    case v1::STOP_CAUSE_SHIFT_END:
    case v1::STOP_CAUSE_SERVICE_RESTARTED:
    case v1::STOP_CAUSE_CLOCK_STEPPED:
    case v1::STOP_CAUSE_UNATTENDED:
    case v1::StopCause_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::StopCause_INT_MAX_SENTINEL_DO_NOT_USE_:
      return v1::STOP_CAUSE_CALLED;  // the system's own causes are not a person's to give
  }
  return v1::STOP_CAUSE_CALLED;
}

}  // namespace

Outcome<Entries> Judge(const Bench& bench, const v1::StopMoveRequest& request) {
  const Outcome<const Move*> found = MoveToStop(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  // A parked machine stands already: the stop is kept, and nothing moves back.
  const v1::MoveState after =
      move.state == v1::MOVE_STATE_PARKED ? v1::MOVE_STATE_PARKED : v1::MOVE_STATE_STOPPED;
  v1::Entry entry = AnswerEntry(bench, move, after);
  entry.mutable_move_stopped()->set_cause(PersonsCause(request.cause()));
  entry.mutable_move_stopped()->set_text(Tamed(request.text(), kMaxTextLength));
  return Entries{std::move(entry)};
}

Outcome<Entries> Judge(const Bench& bench, const v1::AllowRestartRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (!move.StopStands()) {
    return RefusePrecondition({"law 5", fmt::format("no stop stands on move {}", move.number), ""});
  }
  const bool lead = ActsAsLead(bench.yard, move, bench.person);
  const bool own = std::any_of(move.stops.begin(), move.stops.end(), [&](const StopWord& stop) {
    return stop.lifted_by.empty() && !stop.person.empty() && stop.person == bench.person;
  });
  if (!lead && !own) {
    return RefuseNotAllowed(
        {"law 5", "whoever stopped it, or a yard lead who neither drives nor spots it, says so",
         "Ask one of them to come and look."});
  }
  v1::Entry entry = AnswerEntry(bench, move, move.state);
  entry.mutable_restart_allowed();
  return Entries{std::move(entry)};
}

Outcome<Entries> Judge(const Bench& bench, const v1::HoldMoveRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (!IsOn(bench, move)) {
    return RefuseNotAllowed(
        {"roles", "driver or spotter says that it stands at the line", "Ask one of them."});
  }
  if (move.state != v1::MOVE_STATE_UNDER_WAY || !move.release) {
    return RefusePrecondition(
        {"life of a move", fmt::format("move {} is not under way", move.number), ""});
  }
  if (move.release->limit.empty() || request.stop() != move.release->limit) {
    return RefusePrecondition(
        {"hold point",
         move.release->limit.empty()
             ? fmt::format("the release of move {} reaches {}; there is no stop before it",
                           move.number, move.to.value())
             : fmt::format("the release of move {} ends at {}", move.number, move.release->limit),
         "If it went past a stop, stop it and tell a yard lead."});
  }
  v1::Entry entry = AnswerEntry(bench, move, v1::MOVE_STATE_HELD);
  entry.mutable_move_held()->set_stop(request.stop());
  return Entries{std::move(entry)};
}

Outcome<Entries> Judge(const Bench& bench, const v1::ParkMoveRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (bench.person != move.driver) {
    return RefuseNotAllowed({"roles", "only the driver says that it is parked", "Ask them."});
  }
  const bool on_last_stretch =
      move.begun && move.stops_passed == static_cast<int32_t>(move.way->stops.size());
  // Stopped where it was to go: no more motion is asked for, so the word that lifts the stop is
  // enough.
  const bool stopped_there = move.state == v1::MOVE_STATE_STOPPED && !move.StopStands();
  if (!on_last_stretch || !(move.state == v1::MOVE_STATE_UNDER_WAY || stopped_there)) {
    return RefusePrecondition(
        {"life of a move",
         fmt::format("move {} is not on its last stretch to {}", move.number, move.to.value()),
         "Show the move to see what comes next."});
  }
  Entries entries{AnswerEntry(bench, move, v1::MOVE_STATE_PARKED)};
  entries.front().mutable_move_parked();
  StaleNeighbours(entries, bench, move);
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::RefuseMoveRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (!IsOn(bench, move)) {
    return RefuseNotAllowed({"roles", "driver or spotter refuses a move",
                             "Anyone else calls a stop, or holds the yard."});
  }
  if (auto standing = CheckStanding(move, "refuse it"); !standing)
    return tl::unexpected(standing.error());
  if (auto not_begun = CheckNotBegun(move, "refuse"); !not_begun)
    return tl::unexpected(not_begun.error());
  v1::Entry entry = AnswerEntry(bench, move, v1::MOVE_STATE_REFUSED);
  // A refusal needs no reason, so it is not refused itself for how the reason is written.
  entry.mutable_move_refused()->set_reason(Tamed(request.reason(), kMaxTextLength));
  entry.mutable_move_refused()->set_tag(bench.yard.next_tag);
  return Entries{std::move(entry)};
}

Outcome<Entries> Judge(const Bench& bench, const v1::WithdrawMoveRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (bench.person != move.requester && bench.person != move.driver &&
      !bench.yard.IsLead(bench.person)) {
    return RefuseNotAllowed({"roles",
                             "whoever asked for it, its driver or a yard lead withdraws it",
                             "Ask one of them. A spotter refuses a move instead."});
  }
  if (auto standing = CheckStanding(move, "withdraw it"); !standing)
    return tl::unexpected(standing.error());
  if (auto not_begun = CheckNotBegun(move, "withdraw"); !not_begun)
    return tl::unexpected(not_begun.error());
  if (auto reason =
          CheckText({"reason", request.reason(), kMaxTextLength, TextField::Need::kRequired});
      !reason) {
    return tl::unexpected(reason.error());
  }
  v1::Entry entry = AnswerEntry(bench, move, v1::MOVE_STATE_WITHDRAWN);
  entry.mutable_move_withdrawn()->set_reason(request.reason());
  return Entries{std::move(entry)};
}

Outcome<Entries> Judge(const Bench& bench, const v1::ReportAwayRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (auto may = CheckOnMoveOrLead(bench, move, "say where the driver is"); !may)
    return tl::unexpected(may.error());
  if (!request.has_distance_mm() || request.distance_mm() < 0 ||
      request.distance_mm() > kMaxDistanceMm) {
    return RefuseField("distance_mm",
                       fmt::format("say how far in whole millimetres, 0 to {}", kMaxDistanceMm));
  }
  const bool unattended = request.distance_mm() >= kUnattendedMm || !request.in_view();
  Entries entries;
  v1::Entry* entry = nullptr;
  if (unattended) {
    entry = &TakeBackAndAnswer(entries, bench, move,
                               {v1::STOP_CAUSE_UNATTENDED, "the driver was away from the machine",
                                TakeBack::AtLine::kStopped});
  } else {
    entry = &entries.emplace_back(AnswerEntry(bench, move, move.state));
  }
  v1::DriverAway& out = *entry->mutable_driver_away();
  out.set_distance_mm(request.distance_mm());
  out.set_in_view(request.in_view());
  out.set_unattended(unattended);
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::ReportBreakdownRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (auto may = CheckOnMoveOrLead(bench, move, "report a breakdown"); !may)
    return tl::unexpected(may.error());
  if (!move.begun) {
    return RefusePrecondition({"life of a move",
                               fmt::format("move {} has not begun; {} stands at {}", move.number,
                                           move.machine.value(), move.from.value()),
                               "Withdraw the move and hang a tag on the machine."});
  }
  if (auto text = CheckText({"text", request.text(), kMaxTextLength, TextField::Need::kRequired});
      !text) {
    return tl::unexpected(text.error());
  }
  v1::Entry entry = AnswerEntry(bench, move, v1::MOVE_STATE_LEFT_STANDING);
  entry.mutable_broke_down()->set_text(request.text());
  entry.mutable_broke_down()->set_tag(bench.yard.next_tag);
  return Entries{std::move(entry)};
}

}  // namespace chockwise::moves
