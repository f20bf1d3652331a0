// What a machine is to have free on each side: as whoever asks says, else as the yard's rules ask
// at a gate, so that the desk and the gate say the same. Private to the room.
//
// Threads: pure functions.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "services/survey/path.h"

namespace chockwise::survey {

struct SideAsked {
  fit::Metres length = kBesideMachine;
  enum class By { kDefault, kRules, kAsked } by = By::kDefault;
  std::string gate;  // whose rule it is; kRules alone
};

/// The most that a gate asks which computes `computation` for that travel (or for any, where its
/// rule names none); kBesideMachine where no gate does.
SideAsked SideAskedFor(const v1::Rules& rules, std::string_view computation, fit::Travel travel,
                       const std::optional<fit::Metres>& as_asked);

fit::Input InputOf(const SideAsked& side, fit::UnitSystem units);

}  // namespace chockwise::survey
