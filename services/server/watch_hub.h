// Who watches what on one yard.
//
// The writer notes what changed while it decides (Changed, Happened) and the completer sends it
// when it is on disk (Send). A move is described once per change, however many watch it. Those who
// drive and spot a move are told before everybody else: a stop must not wait for the displays on
// the walls.
//
//   hub.Add(17, stream)                       // the writer's thread, at the stream's turn: nothing
//   is missed or told twice hub.NoteEntries(state, entries, ..., news);  // the writer's thread
//   hub.Send(news);                           // the completer's thread, after the commit
//
// Threads: all functions are safe from any; the order of what a watcher sees is that of Send().
#pragma once

#include <absl/status/status.h>

#include <map>
#include <memory>
#include <mutex>
#include <set>
#include <span>
#include <string>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "chockwise/v1/moves.pb.h"
#include "chockwise/v1/yards.pb.h"
#include "services/moves/state.h"
#include "services/server/watch_stream.h"

namespace chockwise::server {

using MoveStream = WatchStream<v1::Move>;
using YardStream = WatchStream<v1::YardEvent>;

/// What a batch has to tell.
struct News {
  struct OfMove {
    std::shared_ptr<const v1::Move> move;
    bool ended = false;
    std::vector<std::shared_ptr<MoveStream>> watchers;
  };
  std::vector<OfMove> moves;
  std::vector<std::shared_ptr<const v1::YardEvent>> events;
  std::vector<std::shared_ptr<YardStream>> yard_watchers;  // those there were at the first event
};

class WatchHub {
 public:
  /// RESOURCE_EXHAUSTED at a limit. The hub forgets the stream when the transport is done with it.
  absl::Status Add(moves::MoveNumber move, const std::shared_ptr<MoveStream>& stream);
  absl::Status Add(const std::shared_ptr<YardStream>& stream);

  /// What one command left, with `state` as it is after it. `first` is the number of the first
  /// entry.
  void NoteEntries(const moves::YardState& state, std::span<const v1::Entry> entries, int64_t first,
                   fit::Instant now, News& news);
  /// Every watched move, after the yard was rebuilt.
  void NoteAll(const moves::YardState& state, fit::Instant now, News& news);
  void Send(News& news);

  void EndAll(const grpc::Status& status);
  size_t size() const;

 private:
  absl::Status CountIn(const std::string& person);
  void CountOut(const std::string& person);
  absl::Status Gone(const std::string& person);
  void Remove(moves::MoveNumber move, const MoveStream* stream);
  void Remove(const YardStream* stream);
  std::vector<std::shared_ptr<MoveStream>> WatchersOf(moves::MoveNumber move) const;

  mutable std::mutex mutex_;
  std::map<moves::MoveNumber, std::vector<std::shared_ptr<MoveStream>>> by_move_;
  std::vector<std::shared_ptr<YardStream>> of_yard_;
  std::map<std::string, size_t> per_person_;
  size_t count_ = 0;
};

}  // namespace chockwise::server
