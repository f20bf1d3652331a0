// A whole shift on the scenario's yard, played by people who are impatient, wrong, absent or in the
// right, all out of one number. The same number plays the same shift again.
//
//   Shift shift({.seed = 7, .steps = 6000});
//   if (!shift.Play()) std::cout << shift.trouble();
//
// After every step the independent audit has seen the new entries and found nothing; now and then
// the state is rebuilt from the entries and compared with the one that was lived.
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "services/history/audit.h"
#include "services/moves/gates.h"
#include "services/moves/refusal.h"
#include "services/moves/state.h"
#include "services/yard/yard.h"

namespace chockwise::sim {

/// The scenario's yard, as on disk. Aborts where it cannot be read: tests run in the folder of
/// their sources.
yard::YardFiles ScenarioFiles();

/// The command that takes those files and this build's base rules into force.
v1::Command LoadOf(const yard::YardFiles& files, const std::string& person);

/// What was seen, so that "nothing was found" has a size.
struct Coverage {
  std::map<std::string, int64_t>
      gates_not_clear;                      // gate → times it was in a release's or close's way
  std::map<std::string, int64_t> happened;  // "stopped while parked", "wrong code", ...
  void Add(const Coverage& other);
};

struct ShiftOptions {
  uint64_t seed = 1;
  int steps = 6'000;
};

class Shift {
 public:
  explicit Shift(const ShiftOptions& options);

  /// False: something was found; trouble() says what, and what led to it.
  bool Play();

  const std::string& trouble() const { return trouble_; }
  const Coverage& coverage() const { return coverage_; }
  const std::vector<std::string>& ledger() const { return ledger_; }
  const moves::YardState& state() const { return state_; }
  history::AuditReport FinishAudit() { return auditor_.Finish(); }

 private:
  using Move = moves::Move;
  using GateStatus = moves::GateStatus;

  // shift.cc: the shift as a whole.
  void Step();
  bool Give(v1::Command command);
  void Record(const moves::Entries& entries);
  void CompareReplayed();
  void Restart();
  void Fail(std::string what);
  void YardAffairs();
  void Reload();

  // shift_people.cc: what somebody says next about one move.
  void Progress(const Move& move);
  void AskForMove();
  void MakeReady(const Move& move);
  void SettlePeople(const Move& move);
  void GiveMissing(const Move& move, const GateStatus& gate);
  void Settle(const Move& move, const GateStatus& gate);
  void SettleDriver(const Move& move);
  bool SayNoneStandThere(const Move& move, v1::Command& command);
  void TakeOffTag(const Move& move);
  void GiveUp(const Move& move);
  v1::Command Word(const Move& move, const GateStatus& gate, v1::Party party);

  // shift_mischief.cc: what should not be said, and what goes wrong.
  void Slip(const Move& move);
  void Mishap(const Move& move);
  void Impatience(const Move& move);

  // shift_coverage.cc: what was seen.
  void NoteAsked(const v1::Command& command);
  void NoteRefused(const v1::Command& command, const moves::Refusal& refusal);
  void NoteEntries(const v1::Command& command, const moves::Entries& entries);

  uint64_t Below(uint64_t bound) { return random_() % bound; }
  bool Chance(int per_mille) { return Below(1000) < static_cast<uint64_t>(per_mille); }
  void Pass(int64_t least_seconds, int64_t most_seconds);
  template <class List>
  const typename List::value_type& AnyOf(const List& list) {
    return *std::next(list.begin(),
                      static_cast<std::ptrdiff_t>(Below(static_cast<uint64_t>(list.size()))));
  }
  std::string AnyPerson();
  std::string OutsideLead(const Move& move);
  std::string FreeSpotter(const Move& move);
  std::string PartyPerson(const Move& move, v1::Party party);
  v1::Command Says(const std::string& person) const;
  std::string NameOf(const Move& move) const;
  std::string MachineNameOf(const Move& move) const;

  const ShiftOptions options_;
  std::mt19937_64 random_;
  const yard::YardFiles true_files_;
  bool files_spoiled_ = false;
  moves::YardState state_;
  moves::Instant now_;
  moves::MoveNumber focus_ = 0;
  std::vector<std::string> ledger_;
  history::Auditor auditor_;
  std::deque<std::string> last_said_;
  std::string trouble_;
  Coverage coverage_;
  uint64_t request_ = 0;
};

/// The state rebuilt from a ledger's bytes.
moves::YardState Replayed(const std::vector<std::string>& ledger);

}  // namespace chockwise::sim
