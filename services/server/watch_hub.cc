#include "services/server/watch_hub.h"

#include <google/protobuf/util/time_util.h>

#include <algorithm>

#include "services/history/words.h"
#include "services/moves/describe.h"
#include "services/moves/names.h"

namespace chockwise::server {
namespace {

std::shared_ptr<const v1::YardEvent> EventOf(const std::string& yard_id, const v1::Entry& entry,
                                             int64_t number) {
  auto event = std::make_shared<v1::YardEvent>();
  event->set_entry(number);
  *event->mutable_time() =
      google::protobuf::util::TimeUtil::MicrosecondsToTimestamp(entry.time_us());
  event->set_person(entry.person());
  if (entry.move() > 0) event->set_move(moves::MoveName(yard_id, entry.move()));
  event->set_move_state(entry.move_state());
  event->set_text(history::Words(entry));
  return event;
}

}  // namespace

absl::Status WatchHub::CountIn(const std::string& person) {
  if (count_ >= kMaxWatchers)
    return absl::ResourceExhaustedError("this yard has as many watchers as it takes");
  size_t& of_person = per_person_[person];
  if (of_person >= kMaxWatchersPerPerson)
    return absl::ResourceExhaustedError("you watch as much as one person may");
  ++of_person;
  ++count_;
  return absl::OkStatus();
}

void WatchHub::CountOut(const std::string& person) {
  --count_;
  const auto of_person = per_person_.find(person);
  if (--of_person->second == 0) per_person_.erase(of_person);
}

absl::Status WatchHub::Gone(const std::string& person) {
  CountOut(person);
  return absl::CancelledError("the watcher went away");
}

absl::Status WatchHub::Add(moves::MoveNumber move, const std::shared_ptr<MoveStream>& stream) {
  const std::lock_guard lock(mutex_);
  if (absl::Status counted = CountIn(stream->person()); !counted.ok()) return counted;
  if (!stream->OnGone([this, move, raw = stream.get()] { Remove(move, raw); }))
    return Gone(stream->person());
  by_move_[move].push_back(stream);
  return absl::OkStatus();
}

absl::Status WatchHub::Add(const std::shared_ptr<YardStream>& stream) {
  const std::lock_guard lock(mutex_);
  if (absl::Status counted = CountIn(stream->person()); !counted.ok()) return counted;
  if (!stream->OnGone([this, raw = stream.get()] { Remove(raw); })) return Gone(stream->person());
  of_yard_.push_back(stream);
  return absl::OkStatus();
}

void WatchHub::Remove(moves::MoveNumber move, const MoveStream* stream) {
  const std::lock_guard lock(mutex_);
  const auto watchers = by_move_.find(move);
  if (watchers == by_move_.end()) return;
  CountOut(stream->person());
  std::erase_if(watchers->second, [&](const auto& held) { return held.get() == stream; });
  if (watchers->second.empty()) by_move_.erase(watchers);
}

void WatchHub::Remove(const YardStream* stream) {
  const std::lock_guard lock(mutex_);
  CountOut(stream->person());
  std::erase_if(of_yard_, [&](const auto& held) { return held.get() == stream; });
}

std::vector<std::shared_ptr<MoveStream>> WatchHub::WatchersOf(moves::MoveNumber move) const {
  const std::lock_guard lock(mutex_);
  const auto watchers = by_move_.find(move);
  return watchers == by_move_.end() ? std::vector<std::shared_ptr<MoveStream>>{} : watchers->second;
}

void WatchHub::NoteEntries(const moves::YardState& state, std::span<const v1::Entry> entries,
                           int64_t first, fit::Instant now, News& news) {
  {
    const std::lock_guard lock(mutex_);
    if (count_ == 0) return;
    if (!of_yard_.empty() && news.events.empty()) news.yard_watchers = of_yard_;
  }
  std::set<moves::MoveNumber> touched;
  for (const v1::Entry& entry : entries) {
    if (!news.yard_watchers.empty()) news.events.push_back(EventOf(state.yard->id, entry, first));
    ++first;
    if (entry.move() > 0) touched.insert(entry.move());
  }
  for (const moves::MoveNumber number : touched) {
    std::vector<std::shared_ptr<MoveStream>> watchers = WatchersOf(number);
    const moves::Move* move = watchers.empty() ? nullptr : state.FindMove(number);
    if (move == nullptr) continue;
    news.moves.push_back(
        {.move = std::make_shared<const v1::Move>(moves::DescribeMove(state, *move, now)),
         .ended = move->ended(),
         .watchers = std::move(watchers)});
  }
}

void WatchHub::NoteAll(const moves::YardState& state, fit::Instant now, News& news) {
  std::vector<moves::MoveNumber> watched;
  {
    const std::lock_guard lock(mutex_);
    for (const auto& [number, watchers] : by_move_) watched.push_back(number);
  }
  for (const moves::MoveNumber number : watched) {
    const moves::Move* move = state.FindMove(number);
    if (move == nullptr) continue;
    news.moves.push_back(
        {.move = std::make_shared<const v1::Move>(moves::DescribeMove(state, *move, now)),
         .ended = move->ended(),
         .watchers = WatchersOf(number)});
  }
}

void WatchHub::Send(News& news) {
  for (News::OfMove& of_move : news.moves) {
    // Those at the wheel and on their feet beside it come first.
    std::stable_partition(of_move.watchers.begin(), of_move.watchers.end(),
                          [&](const auto& stream) {
                            return stream->person() == of_move.move->driver() ||
                                   stream->person() == of_move.move->spotter();
                          });
    for (const auto& stream : of_move.watchers) {
      stream->Push(of_move.move);
      if (of_move.ended) stream->End(grpc::Status::OK);
    }
  }
  for (const auto& event : news.events) {
    for (const auto& stream : news.yard_watchers) stream->Push(event);
  }
}

void WatchHub::EndAll(const grpc::Status& status) {
  std::vector<std::shared_ptr<MoveStream>> of_moves;
  std::vector<std::shared_ptr<YardStream>> of_yard;
  {
    const std::lock_guard lock(mutex_);
    for (const auto& [number, watchers] : by_move_)
      of_moves.insert(of_moves.end(), watchers.begin(), watchers.end());
    of_yard = of_yard_;
  }
  for (const auto& stream : of_moves) stream->End(status);
  for (const auto& stream : of_yard) stream->End(status);
}

size_t WatchHub::size() const {
  const std::lock_guard lock(mutex_);
  return count_;
}

}  // namespace chockwise::server
