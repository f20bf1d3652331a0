// All live state of one yard: moves, gates' words, doors, tags, taken ground, tokens. It is rebuilt
// from the ledger by Apply() and from nothing else; it is copyable, so that a test can branch a
// yard's life.
//
// Threads: one owner at a time (the yard's writer).
#pragma once

#include <array>
#include <cstdint>
#include <deque>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <unordered_map>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "services/fit/instant.h"
#include "services/moves/life.h"
#include "services/yard/ids.h"
#include "services/yard/yard.h"

namespace chockwise::moves {

using fit::Duration;
using fit::Instant;
using yard::DoorId;
using yard::MachineId;
using yard::PersonId;
using yard::PlaceId;

using MoveNumber = int64_t;  // from 1, in the order asked for

/// A person's word on a gate, in one role.
struct Word {
  v1::Party party = v1::PARTY_UNSPECIFIED;
  bool stale = false;
  PersonId person;
  Instant time;
  int64_t count = 0;
  std::string finding;  // empty: nothing was wrong
  std::string note;
};

/// The words on one gate in one phase: at most one a party.
struct GateWords {
  std::string gate_id;
  v1::Phase phase = v1::PHASE_UNSPECIFIED;
  std::vector<Word> words;
};

/// A lead's acceptance of a gate as it stood.
struct Acceptance {
  std::string gate_id;
  v1::Phase phase = v1::PHASE_UNSPECIFIED;
  PersonId by;
  std::string stood_at;
};

struct Release {
  int32_t number = 0;
  v1::Phase phase = v1::PHASE_UNSPECIFIED;
  v1::MoveState from_state = v1::MOVE_STATE_UNSPECIFIED;  // where the move falls back to
  std::string limit;  // id of the stop; empty: the end of the route
  Instant time;
  Instant start_by;
  int64_t yard_version = 0;
  std::string yard_digest;
};

struct StopWord {
  PersonId person;  // empty: the system
  v1::StopCause cause = v1::STOP_CAUSE_UNSPECIFIED;
  std::string text;
  Instant time;
  PersonId lifted_by;  // empty while it stands
};

/// The ground from one place to another. Moves that go the same way share one.
struct Way {
  std::vector<std::string> lanes;
  std::vector<std::string> stops;  // ids of doors and hold points in travel order
  std::set<std::string> doors;
  std::set<std::string> ground;  // "place/p", "lane/l", "door/d", "area/a"
};

struct Move {
  MoveNumber number = 0;
  v1::MoveState state = v1::MOVE_STATE_UNSPECIFIED;
  bool spotter_accepted = false;
  bool begun = false;       // the wheels have turned at least once
  bool unattended = false;  // the driver was last reported away
  /// It stands at a hold point, or goes on from one: what is asked there is asked at a restart too.
  bool at_line = false;
  int32_t stops_passed = 0;
  int32_t releases_given = 0;
  std::string kind;
  MachineId machine, carrier;
  std::vector<MachineId> towed;  // behind the machine, as the register said when it was asked for
  PlaceId from, to;
  PersonId requester, driver, spotter;
  std::shared_ptr<const Way> way;
  std::vector<GateWords> words;
  std::vector<Acceptance> acceptances;
  std::optional<Release> release;  // while RELEASED or UNDER_WAY
  std::vector<StopWord> stops;
  std::map<std::string, int64_t> put_down;  // counted items that stay with the move
  Instant requested, updated;
  int64_t entry = 0;  // the ledger's number, from 0, of the last entry that changed it

  bool ended() const { return HasEnded(state); }
  /// Whether a stop stands that nobody has lifted.
  bool StopStands() const;
  const GateWords* FindWords(std::string_view gate_id, v1::Phase phase) const;
};

enum class TagSort { kHung, kRefusal, kDefect };

struct Tag {
  int64_t number = 0;
  TagSort sort = TagSort::kHung;
  PersonId person;
  std::string text;
  Instant time;
  MoveNumber refused_move = 0;
  std::set<PersonId> not_by;  // who may not clear it: those who asked for or drive the refused move
};

/// One person's word that fewer of an item stand there than did. It counts when a second person
/// says the same number while as many stand there as then. Law 9.
struct FewerSaid {
  PersonId person;
  int64_t count = 0;
  int64_t stood = 0;
};

struct MachineState {
  PlaceId place;        // empty while it is on the way or left standing on a lane
  MoveNumber move = 0;  // its open move, or the one it was left standing by
  std::vector<Tag> tags;
  std::optional<Instant> inspected;  // the last inspection without a defect; unset after a defect
  int64_t inspected_entry = 0;       // its place in the ledger: two entries may have one time
  std::map<std::string, int64_t> put_down;  // counted items that stay with the machine
  /// What moves that ended had put down at it, as their carrier or as their machine, and nobody has
  /// counted in since. The next move with it takes it over or is refused. Law 9.
  std::map<std::string, int64_t> left_over;
  std::map<std::string, FewerSaid> fewer_said;  // by item

  /// How many of an item stand at it, whoever put them down.
  int64_t StandThere(const std::string& item) const;
};

struct DoorState {
  PersonId reported_by;
  std::string text;
  Instant time;
};

struct Shift {
  std::string title;
  Instant begin, end;
  int64_t begin_entry = 0;  // its place in the ledger
  PersonId lead;
};

struct YardHold {
  PersonId person;
  std::string reason;
  Instant time;
};

struct Token {
  int64_t number = 0;
  PersonId person, issued_by, revoked_by;
  std::string secret_hash;  // 32 bytes
  Instant issued, expires;
};

/// A kind with its gates looked up once, in the order in which people are asked.
struct KindPlan {
  const v1::KindRule* rule = nullptr;
  std::vector<const v1::GateRule*> gates;
};

class KeptFindings;

struct YardVersion {
  int64_t number = 0;
  std::string digest;
  PersonId loaded_by;
  Instant loaded;
  std::string trouble;  // why this build cannot read it; empty: it can
};

struct YardState {
  std::shared_ptr<const yard::Yard> yard;  // never null once a version was loaded
  std::shared_ptr<const std::map<std::string, KindPlan, std::less<>>> plans;
  std::shared_ptr<KeptFindings> kept_findings;  // on `yard`; no part of what entries say
  YardVersion version;

  std::map<MoveNumber, Move> moves;  // open ones
  std::deque<Move> ended;            // the last kMaxEndedMovesKept, oldest first
  std::set<MoveNumber> live;         // those that hold ground
  std::map<std::string, MoveNumber, std::less<>> taken;  // ground → who holds it. Law 6.
  std::map<MachineId, MachineState> machines;
  std::map<DoorId, DoorState> doors_out;          // out of service
  std::map<PersonId, MoveNumber> spotting;        // accepted, move open. Law 4.
  std::map<MoveNumber, MachineId> left_standing;  // ended, ground still blocked
  std::optional<YardHold> hold;
  std::optional<Shift> shift;
  std::map<int64_t, Token> tokens;
  std::unordered_map<std::string, int64_t> token_by_hash;
  std::map<std::string, std::weak_ptr<const Way>> ways;  // interned

  MoveNumber next_move = 1;
  int64_t next_tag = 1;
  int64_t next_token = 1;
  int64_t entries = 0;  // applied
  Instant last_time;

  const Move* FindMove(MoveNumber number) const;  // open or lately ended
  const KindPlan* FindPlan(std::string_view kind) const;
  const yard::Person* FindPerson(const PersonId& id) const;
  /// How many of an item moves before this one left at its machine and at its carrier. Law 9.
  int64_t LeftOver(const Move& move, const std::string& item) const;
  bool HasRole(const PersonId& id, yard::Role role) const;
  /// A yard lead or safety lead.
  bool IsLead(const PersonId& id) const;
  /// Why a machine cannot leave the register now: it is on a move, stands in the way, carries a tag
  /// or something is put down at it. Empty: it can, and takes no ground any more.
  std::string WhatKeeps(const MachineId& id) const;
  /// The token whose secret hashes to these 32 bytes, if it is good at `now`.
  const Token* FindToken(const std::string& secret_hash, Instant now) const;
};

/// The phase whose gates a move is asked now; unspecified while under way and after the end. One
/// that was stopped at a hold point is in PHASE_START and asked the gates of both (GatesAsked()).
v1::Phase PhaseNow(const Move& move);

}  // namespace chockwise::moves
