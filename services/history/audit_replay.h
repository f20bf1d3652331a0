// Replays entries for the audit and judges what they did. Private to the room; one thread.
//
// The book is kept as recorded even where a finding says that it should not have been: so one wrong
// entry gives one finding, and not one more for everything after it.
#pragma once

#include <cstdint>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "services/history/audit.h"
#include "services/history/audit_book.h"

namespace chockwise::history {

class Replay {
 public:
  void Take(int64_t number, const v1::Entry& entry);
  /// A finding about an entry that is none.
  void NoEntry(int64_t number);

  const AuditCounts& counts() const { return counts_; }
  const std::vector<AuditFinding>& findings() const { return findings_; }
  std::vector<AuditFinding> TakeFindings() { return std::move(findings_); }
  int64_t findings_left_out() const { return findings_left_out_; }
  void Add(AuditFinding finding);

 private:
  // audit_replay.cc: what every entry has to hold, and where it goes.
  void CheckOrder(const v1::Entry& entry);
  AuditedMove* CheckStep(const v1::Entry& entry);
  void CheckPerson(const v1::Entry& entry, const AuditedMove* move);
  std::string_view WrongPerson(const v1::Entry& entry, const AuditedMove& move) const;
  void ApplyToMove(const v1::Entry& entry, AuditedMove& move);

  // audit_moves.cc: one move.
  void OnMoveRequested(const v1::Entry& entry);
  void CheckRequest(const AuditedMove& move);
  void CheckRoute(const AuditedMove& move);
  void OnSpotter(std::string_view spotter, AuditedMove& move);
  void OnSpottingLeft(AuditedMove& move);
  void OnDriverSwapped(const v1::DriverSwapped& what, AuditedMove& move);
  void OnGateConfirmed(const v1::Entry& entry, AuditedMove& move);
  void OnGateAccepted(const v1::Entry& entry, AuditedMove& move);
  void OnReleased(const v1::Entry& entry, AuditedMove& move);
  void OnReleaseVoided(const v1::Entry& entry, AuditedMove& move);
  void OnMoveBegun(const v1::Entry& entry, AuditedMove& move);
  void OnMoveHeld(const v1::MoveHeld& what, AuditedMove& move);
  void OnMoveParked(AuditedMove& move);
  void OnMoveClosed(const v1::Entry& entry, AuditedMove& move);
  void OnMoveStopped(const v1::Entry& entry, AuditedMove& move);
  void OnRestartAllowed(const v1::Entry& entry, AuditedMove& move);
  void OnDriverAway(const v1::DriverAway& what, AuditedMove& move);
  void OnEnd(AuditedMove& move);
  void CountIn(const Moment& moment, AuditedMove& move);
  void LeaveBehind(AuditedMove& move);

  // audit_yard.cc: the whole yard.
  void ApplyToYard(const v1::Entry& entry);
  void OnYardLoaded(const v1::YardLoaded& what);
  void OnMachineGone(const std::string& machine);
  void OnStart(std::string_view why);
  void OnDoorReported(const v1::DoorReported& what);
  void OnPutDown(const v1::Entry& entry);
  void OnTag(std::string_view machine, int64_t tag, const AuditedTag& hung);
  void OnTagCleared(const v1::Entry& entry);
  std::string_view WrongPersonForTag(const AuditedTag& tag, std::string_view person) const;
  void OnInspection(const v1::Entry& entry);
  void OnShiftEnded();
  template <class Touched>
  void OweStop(std::string_view why, const Touched& touched);

  // audit_release.cc: what a release, a first motion and a close stood on.
  void JudgeRelease(const v1::Entry& entry, const AuditedMove& move,
                    std::set<std::string>& faulted);
  void JudgeStops(const AuditedMove& move, std::string_view what);
  void JudgeReach(const v1::Released& released, const AuditedMove& move);
  void JudgeWindow(const v1::Entry& entry, const AuditedMove& move, std::set<std::string>& faulted);
  void JudgeGates(const Moment& moment, std::set<std::string>& faulted);
  void JudgeAlways(const Moment& moment, std::set<std::string>& faulted);
  void JudgeBasis(const Moment& moment,
                  const google::protobuf::RepeatedPtrField<v1::GateBasis>& basis,
                  const std::set<std::string>& faulted);
  void Report(const Moment& moment, std::string_view gate_id, const Fault& fault);

  // Words and what undoes them.
  Undoing Because(std::string_view rule, std::string_view why) const {
    return {number_, rule, why};
  }
  static void UndoAll(AuditedMove& move, const Undoing& undoing);
  static void UndoBy(AuditedMove& move, std::string_view person, const Undoing& undoing);
  void UndoFor(AuditedMove& move, v1::Happening happening);
  void FreeGround(const AuditedMove& move);
  void Find(std::string_view rule, std::string sentence) { Find(rule, "", std::move(sentence)); }
  void Find(std::string_view rule, std::string_view gate_id, std::string sentence);

  Book book_;
  int64_t number_ = 0;  // of the entry in hand, and the move it is about
  int64_t move_ = 0;
  AuditCounts counts_;
  std::vector<AuditFinding> findings_;
  int64_t findings_left_out_ = 0;
};

}  // namespace chockwise::history
