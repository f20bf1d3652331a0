// A yard's life, told command by command, on a clock that moves only when told. After every command
// the invariants are checked, a twin that only ever saw the recorded bytes is compared, and at the
// end all is replayed from the first entry.
//
//   Story story = Story::Small();
//   const MoveNumber move = story.Ask({.kind = "short-hop", .machine = "WL-1", .to = "south"});
//   story.ClearAll(move);
//   story.Must("dana", On<v1::RequestReleaseRequest>(story, move));
//
// Copyable: a story can be branched. One thread.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "services/moves/gates.h"
#include "services/moves/names.h"
#include "services/moves/refusal.h"
#include "services/moves/state.h"

namespace chockwise::moves {

/// The five files of a folder below the project's top: "tests/moves/yard_small".
yard::YardFiles ReadYardFolder(const std::string& folder);

/// A command by a person (empty: the system), around any request, LoadYard, Tick, ...
v1::Command CommandBy(const std::string& person, const google::protobuf::Message& request);

/// What loads these files, on the base rules of the build. The digest is made from the number:
/// nobody checks it here.
v1::LoadYard LoadOf(const yard::YardFiles& files, int number);

struct Asked {
  std::string kind;
  std::string machine;
  std::string to;
  std::string driver = "dana";
  std::string spotter = "sam";
  std::string carrier = {};
};

class Story {
 public:
  /// tests/moves/yard_small with a shift that began with the story and ends ten hours later; every
  /// machine inspected.
  static Story Small();
  /// scenario/yard, the same.
  static Story Full();
  /// The small yard with some of its files changed.
  static Story SmallFrom(const yard::YardFiles& files);
  /// Any files; `safety_lead` loads them, nothing else has happened yet.
  Story(const yard::YardFiles& files, const std::string& safety_lead);

  /// Judges, records, folds and checks. What was recorded as a refusal comes back as a refusal.
  Outcome<Entries> Do(const std::string& person, const google::protobuf::Message& request);
  /// The same, and fails the test where it is refused.
  Entries Must(const std::string& person, const google::protobuf::Message& request);
  /// The same, and fails the test where it is not refused with that kind. Gives the refusal.
  Refusal MustRefuse(const std::string& person, const google::protobuf::Message& request,
                     RefusalKind kind);

  void Advance(Duration span) { now_ = now_ + span; }
  Instant now() const { return now_; }
  const YardState& state() const { return state_; }
  const Entries& entries() const { return entries_; }
  const yard::YardFiles& files() const { return files_; }

  // --- Moves ---

  /// Asks for it and lets the spotter accept, where one is named.
  MoveNumber Ask(const Asked& asked);
  const Move& move(MoveNumber number) const;
  std::string Name(MoveNumber number) const { return MoveName(state_.yard->id, number); }
  /// How a gate stands in the phase that is asked now.
  GateStatus Gate(MoveNumber number, const std::string& gate_id) const;
  std::vector<GateStatus> Gates(MoveNumber number) const;

  /// The phase in which words on it are given now.
  v1::Phase PhaseOf(MoveNumber number, const v1::GateRule& rule) const;

  /// Somebody whose word counts as that party's.
  std::string PersonFor(MoveNumber number, v1::Party party) const;
  /// A word that clears the gate: with its evidence.
  v1::ConfirmRequest WordOn(MoveNumber number, const v1::GateRule& rule) const;
  v1::ConfirmRequest WordOn(MoveNumber number, const std::string& gate_id) const;
  /// Every word of one gate, from the right people.
  void Clear(MoveNumber number, const v1::GateRule& rule);
  /// Every word that the phase wants, in the order of asking, those given last at the end; but for
  /// the gate `but`.
  void ClearAll(MoveNumber number, const std::string& but = "");

  Outcome<Entries> TryRelease(MoveNumber number);
  void Release(MoveNumber number);
  void Begin(MoveNumber number);
  /// Holds at the limit of the release.
  void Hold(MoveNumber number);
  void Park(MoveNumber number);
  void Close(MoveNumber number);
  /// Clears, releases and begins what is asked now.
  void Go(MoveNumber number);
  /// From wherever it stands to the next standing in that phase, everything clear on the way.
  void BringTo(MoveNumber number, v1::Phase phase);
  void RunToTheEnd(MoveNumber number);

  /// Replays the entries' bytes from the first one. Fails the test where the state is another.
  void CheckReplay() const;

 private:
  void Record(const Entries& entries);

  yard::YardFiles files_;
  YardState state_;
  YardState twin_;  // fed with the entries' bytes alone
  Entries entries_;
  Instant now_;
};

/// A request about a move.
template <class Request>
Request On(const Story& story, MoveNumber number) {
  Request request;
  request.set_name(story.Name(number));
  return request;
}

/// Tie-downs that hold the heaviest machine of the yards of the tests.
inline constexpr const char* kTiesEnough =
    "6 x 1/2 in grade 80 direct front; 6 x 1/2 in grade 80 direct rear";

/// The test's clock starts here: 2026-11-24T12:00:00Z.
inline constexpr Instant kNoon = Instant::FromMicros(1'795'521'600'000'000);

/// "FAILED_PRECONDITION law 4: ...", with every gate behind it, a line each.
std::string RefusalText(const Refusal& refusal);

/// The text with one part replaced that must be there exactly once.
std::string Replaced(std::string text, std::string_view part, std::string_view by);

}  // namespace chockwise::moves
