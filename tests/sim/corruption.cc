#include "tests/sim/corruption.h"

#include <algorithm>

namespace chockwise::sim {

// --- Finding a place ---

Where First(const Entries& entries, const std::function<bool(size_t)>& is) {
  for (size_t i = 0; i < entries.size(); ++i) {
    if (is(i)) return i;
  }
  return std::nullopt;
}

Where LastBefore(const Entries& entries, size_t before, const std::function<bool(const E&)>& is) {
  while (before-- > 0) {
    if (is(entries[before])) return before;
  }
  return std::nullopt;
}

Where NextOf(const Entries& entries, size_t after, int64_t move) {
  for (size_t i = after + 1; i < entries.size(); ++i) {
    if (entries[i].move() == move) return i;
  }
  return std::nullopt;
}

namespace {

bool Begins(const Entries& entries, size_t release) {
  const Where next = NextOf(entries, release, entries[release].move());
  return next && entries[*next].has_move_begun();
}

}  // namespace

/// A release at the start that was used.
Where UsedRelease(const Entries& entries, const std::function<bool(const E&)>& is) {
  return First(entries, [&](size_t i) {
    return entries[i].released().phase() == v1::PHASE_START && Begins(entries, i) && is(entries[i]);
  });
}

const v1::MoveRequested& Asked(const Entries& entries, int64_t move) {
  const Where at = First(entries, [&](size_t i) {
    return entries[i].has_move_requested() && entries[i].move() == move;
  });
  return entries[*at].move_requested();
}

namespace {

/// The last word on a gate before a release or close, of its move.
Where LastWord(const Entries& entries, size_t before, const WordOn& on) {
  return LastBefore(entries, before, [&](const E& entry) {
    const v1::GateConfirmed& word = entry.gate_confirmed();
    return entry.move() == entries[before].move() && word.gate_id() == on.gate &&
           (on.party == v1::PARTY_UNSPECIFIED || word.parties(0) == on.party);
  });
}

}  // namespace

/// A release that stood on such a word, and the word.
std::optional<ReleaseAndWord> ReleaseOn(const Entries& entries, const WordOn& on) {
  std::optional<ReleaseAndWord> found;
  UsedRelease(entries, [&](const E& release) {
    const auto at = static_cast<size_t>(&release - entries.data());
    const auto& gates = release.released().gates();
    const bool asked = std::any_of(gates.begin(), gates.end(), [&](const auto& gate) {
      return gate.gate_id() == on.gate && gate.state() == v1::GATE_STATE_CLEAR;
    });
    const Where word = asked ? LastWord(entries, at, on) : std::nullopt;
    if (word) found = {.release = at, .word = *word};
    return word.has_value();
  });
  return found;
}

std::optional<ReleaseAndWord> CloseOn(const Entries& entries, const WordOn& on) {
  for (size_t i = 0; i < entries.size(); ++i) {
    if (!entries[i].has_move_closed()) continue;
    if (const Where word = LastWord(entries, i, on))
      return ReleaseAndWord{.release = i, .word = *word};
  }
  return std::nullopt;
}

// --- Making it wrong ---

void Drop(Entries& entries, size_t at) {
  entries.erase(entries.begin() + static_cast<std::ptrdiff_t>(at));
}

/// An entry before `at`, at the time of that.
E& InsertBefore(Entries& entries, size_t at, const std::string& person, int64_t move) {
  E entry;
  entry.set_time_us(entries[at].time_us());
  entry.set_person(person);
  entry.set_move(move);
  return *entries.insert(entries.begin() + static_cast<std::ptrdiff_t>(at), std::move(entry));
}

void DelayFrom(Entries& entries, size_t at, int64_t seconds) {
  for (size_t i = at; i < entries.size(); ++i)
    entries[i].set_time_us(entries[i].time_us() + seconds * 1'000'000);
}

/// Changes the last word on a gate before a used release.
Corrupt ChangeWord(const WordOn& on, const std::function<void(E&)>& change) {
  return [=](Entries& entries) {
    const auto at = ReleaseOn(entries, on);
    if (at) change(entries[at->word]);
    return at.has_value();
  };
}

Corrupt DropWord(const WordOn& on) {
  return [=](Entries& entries) {
    const auto at = ReleaseOn(entries, on);
    if (!at) return false;
    // Every word on it, so that an older one does not stand in.
    for (size_t i = at->release; i-- > 0;) {
      const bool same =
          entries[i].move() == entries[at->release].move() &&
          entries[i].gate_confirmed().gate_id() == on.gate &&
          entries[i].gate_confirmed().parties(0) == entries[at->word].gate_confirmed().parties(0);
      if (i != at->word && same) Drop(entries, i);
    }
    const auto again = ReleaseOn(entries, on);
    Drop(entries, again->word);
    return true;
  };
}

/// Puts something before a used release that should have kept it back.
Corrupt BeforeRelease(const std::function<bool(const Entries&, const E&)>& fits,
                      const std::function<void(Entries&, size_t)>& put) {
  return [=](Entries& entries) {
    const Where at = UsedRelease(entries, [&](const E& release) { return fits(entries, release); });
    if (at) put(entries, *at);
    return at.has_value();
  };
}

Corrupt ChangeRelease(const std::function<bool(v1::Released&)>& change) {
  return [=](Entries& entries) {
    for (E& entry : entries) {
      if (entry.has_released() && change(*entry.mutable_released())) return true;
    }
    return false;
  };
}

/// The first entry of a sort that fits is changed.
Corrupt ChangeFirst(const std::function<bool(const Entries&, size_t)>& fits,
                    const std::function<void(Entries&, size_t)>& change) {
  return [=](Entries& entries) {
    const Where at = First(entries, [&](size_t i) { return fits(entries, i); });
    if (at) change(entries, *at);
    return at.has_value();
  };
}

std::string DriverOf(const Entries& entries, size_t before, int64_t move) {
  const Where swap = LastBefore(entries, before, [&](const E& entry) {
    return entry.has_driver_swapped() && entry.move() == move;
  });
  return swap ? entries[*swap].driver_swapped().driver() : Asked(entries, move).driver();
}

}  // namespace chockwise::sim
