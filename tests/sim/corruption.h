// A recorded shift made wrong in one way at a time, as somebody would who wants a record to look
// better than the day was.
//
//   Corrupt corrupt = DropWord({.gate = "walk-around"});
//   Entries entries = sound;
//   if (corrupt(entries)) ...  // false: there is no place for it in this shift
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "chockwise/v1/entries.pb.h"

namespace chockwise::sim {

using E = v1::Entry;
using Entries = std::vector<E>;
using Where = std::optional<size_t>;
using Corrupt = std::function<bool(Entries&)>;

// --- Finding a place ---

Where First(const Entries& entries, const std::function<bool(size_t)>& is);
Where LastBefore(const Entries& entries, size_t before, const std::function<bool(const E&)>& is);
Where NextOf(const Entries& entries, size_t after, int64_t move);

/// A release at the start that was used.
Where UsedRelease(
    const Entries& entries,
    const std::function<bool(const E&)>& is = [](const E&) { return true; });
const v1::MoveRequested& Asked(const Entries& entries, int64_t move);
std::string DriverOf(const Entries& entries, size_t before, int64_t move);

struct WordOn {
  std::string gate;
  v1::Party party = v1::PARTY_UNSPECIFIED;  // any
};
/// A release or a close that stood on such a word, and the word.
struct ReleaseAndWord {
  size_t release = 0;
  size_t word = 0;
};
std::optional<ReleaseAndWord> ReleaseOn(const Entries& entries, const WordOn& on);
std::optional<ReleaseAndWord> CloseOn(const Entries& entries, const WordOn& on);

// --- Making it wrong ---

void Drop(Entries& entries, size_t at);
/// An entry before `at`, at the time of that.
E& InsertBefore(Entries& entries, size_t at, const std::string& person, int64_t move = 0);
void DelayFrom(Entries& entries, size_t at, int64_t seconds);

/// Changes the last word on a gate before a used release.
Corrupt ChangeWord(const WordOn& on, const std::function<void(E&)>& change);
Corrupt DropWord(const WordOn& on);
/// Puts something before a used release that should have kept it back.
Corrupt BeforeRelease(const std::function<bool(const Entries&, const E&)>& fits,
                      const std::function<void(Entries&, size_t)>& put);
Corrupt ChangeRelease(const std::function<bool(v1::Released&)>& change);
/// The first entry that fits is changed.
Corrupt ChangeFirst(const std::function<bool(const Entries&, size_t)>& fits,
                    const std::function<void(Entries&, size_t)>& change);

}  // namespace chockwise::sim
