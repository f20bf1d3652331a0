// What the ledger has said so far, as the audit keeps it. Private to the room.
//
// Plain data, one thread. Everything that could undo a word notes on the word what undid it, so
// that a finding can say so.
#pragma once

#include <array>
#include <compare>
#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "services/yard/yard.h"

namespace chockwise::history {

/// Why something recorded counts no more. Entry 0: it counts.
struct Undoing {
  int64_t entry = 0;
  std::string_view rule;  // which law a release on it would break
  std::string_view why;
};

struct AuditedWord {
  int64_t entry = 0;
  int64_t time_us = 0;
  std::string person;
  std::string finding;
  std::optional<int64_t> count;
  std::string note;
  bool at_the_spot = false;
  Undoing undone;
};

struct WordKey {
  std::string gate_id;
  v1::Phase phase = v1::PHASE_UNSPECIFIED;
  v1::Party party = v1::PARTY_UNSPECIFIED;
  auto operator<=>(const WordKey&) const = default;
};

struct AuditedAcceptance {
  int64_t entry = 0;
  std::string person;
};

struct AuditedStop {
  int64_t entry = 0;
  std::string person;  // empty: the system
  std::string_view rule = "law 5";
  std::string lifted_by;
};

struct LiveRelease {
  int64_t entry = 0;
  int32_t number = 0;
  v1::Phase phase = v1::PHASE_UNSPECIFIED;
  v1::MoveState given_in = v1::MOVE_STATE_UNSPECIFIED;
  std::string limit;
  int64_t start_by_us = 0;
  std::set<std::string> faulted;  // what was already found wrong with it: said once
};

/// Law 9. What was put down and not picked up, by item.
using Lying = std::map<std::string, int64_t, std::less<>>;

/// One person's word that fewer lie there than did.
struct AuditedFewer {
  std::string person;
  int64_t count = 0;
  int64_t lay_there = 0;
};

struct AuditedMove {
  int64_t number = 0;
  v1::MoveRequested asked;
  std::vector<yard::MachineId> towed;  // behind the machine, by the register of that time
  std::string requester;
  std::string driver;
  std::string spotter;
  bool spotter_accepted = false;
  v1::MoveState state = v1::MOVE_STATE_REQUESTED;
  bool driven = false;   // the wheels have turned on some leg
  bool at_line = false;  // stands at a hold point, or goes on from one
  int stops_passed = 0;
  int32_t releases = 0;
  std::map<WordKey, AuditedWord> words;
  std::map<std::pair<std::string, v1::Phase>, AuditedAcceptance> acceptances;
  std::vector<AuditedStop> stops;
  std::optional<LiveRelease> release;
  Lying put_down;
  Undoing owed_stop;  // under way, and something happened that has to stop it
};

struct AuditedShift {
  int64_t begin_entry = 0;
  int64_t end_us = 0;
};

struct AuditedInspection {
  int64_t entry = 0;
  std::string person;
  std::string defect;
};

struct AuditedTag {
  std::string hung_by;
  bool defect = false;  // an inspection hung it
  int64_t refused_move =
      0;  // the move whose refusal hung it, and who asked for that and was to drive it
  std::string requester;
  std::string driver;
};

/// A version of the yard, with each kind's gates in the order of asking.
struct YardInForce {
  int64_t version = 0;
  std::string digest;
  std::optional<yard::Yard> yard;  // empty before the first and where the files do not read
  std::map<std::string, std::vector<const v1::GateRule*>, std::less<>>
      gates_of_kind;  // into `yard`
};

struct Book {
  YardInForce in_force;
  std::optional<AuditedShift> shift;
  int64_t hold_entry = 0;                                 // 0: none
  std::map<std::string, int64_t, std::less<>> doors_out;  // → entry that reported it
  std::map<std::string, std::map<int64_t, AuditedTag>, std::less<>> tags;  // machine → tag
  std::map<std::string, AuditedInspection, std::less<>> inspections;
  std::map<std::string, Lying, std::less<>> put_down;     // machine → items
  std::map<std::string, Lying, std::less<>> left_behind;  // the same, by moves that ended
  std::map<std::pair<std::string, std::string>, AuditedFewer> fewer;  // machine and item
  std::map<std::string, int64_t, std::less<>> ground;  // "lane/l" → move that holds it
  std::map<int64_t, AuditedMove> moves;                // open ones, and those left standing
  int64_t last_move = 0;
  int64_t last_time_us = 0;
};

/// Whether a release, a first motion or a close is being judged.
enum class Occasion { kRelease, kFirstMotion, kClose };

struct Moment {
  const Book& book;
  const AuditedMove& move;
  int64_t now_us = 0;
  v1::Phase phase = v1::PHASE_UNSPECIFIED;
  Occasion occasion = Occasion::kRelease;
};

/// What is wrong, and which law it breaks.
struct Fault {
  std::string_view rule;
  std::string text;
};

bool HasRole(const Book& book, std::string_view person, yard::Role role);

/// A yard lead or a safety lead.
bool IsLead(const Book& book, std::string_view person);

/// A lead who is neither driver nor spotter of the move.
bool IsOutsideLead(const Book& book, const AuditedMove& move, std::string_view person);

/// Whether the person may give a word as that party of the move. Law 4.
bool Holds(const Book& book, const AuditedMove& move, v1::Party party, std::string_view person);

/// The phase in which the words on a gate are given, where a move is asked the gates of `phase`;
/// none where the gate is not asked. A restart at a hold point asks those of the start and of the
/// line.
v1::Phase AskedIn(const AuditedMove& move, const v1::GateRule& gate, v1::Phase phase);

/// Those who took the gate as it stood, as far as it counts in that phase: an acceptance of
/// something computed stands for the whole move, one of a word for the word's phase.
std::vector<AuditedAcceptance> AcceptancesOf(const AuditedMove& move, const v1::GateRule& gate,
                                             v1::Phase phase);

/// The doors that the machine has not passed: the one at whose line it stands is not passed.
std::vector<std::string> DoorsAhead(const AuditedMove& move);

/// The gates that the move's kind asks in a phase, in order. Empty where kind or yard is unknown.
std::vector<const v1::GateRule*> GatesAsked(const Book& book, const AuditedMove& move,
                                            v1::Phase phase);

/// How many of an item lie with the machine or the move, as the gate says; what nobody put down is
/// 0.
int64_t LiesThere(const Book& book, const AuditedMove& move, const v1::LookedAt& gate);

/// How many of an item moves before this one left at its machine and its carrier.
int64_t LeftBehind(const Book& book, const AuditedMove& move, std::string_view item);

/// Whether a gate counts what is put down for the length of one move.
bool CountsOut(const v1::GateRule& gate);

/// The doors on the way of a move, whether or not it is held at them.
std::vector<std::string> DoorsOnTheWay(const AuditedMove& move);

/// What hangs behind the machine by the register in force, where that is not what hung there when
/// the move was asked for, or where the machine hangs behind another itself. Empty: neither.
std::string TrainChange(const Book& book, const AuditedMove& move);

/// Whether the life of the move is over.
bool Ended(v1::MoveState state);

/// "4 min 10 s".
std::string SpanWords(int64_t span_us);

}  // namespace chockwise::history
