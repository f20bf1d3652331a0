// What a question asks for: as whoever asks says, else as the yard's rules ask at a gate, so that
// the desk and the gate say the same. Private to the room.
//
// Threads: pure functions.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "services/survey/path.h"

namespace chockwise::survey {

enum class AskedBy { kDefault, kRules, kCaller };

template <class Quantity>
struct RuleAsked {
  Quantity value;
  AskedBy by = AskedBy::kDefault;
  std::string gate = {};  // whose rule it is; kRules alone
};
using SideAsked = RuleAsked<fit::Metres>;
using GradeAsked = RuleAsked<fit::Grade>;

/// The most room on each side that a gate asks which computes `computation` for that travel (or for
/// any, where its rule names none); kBesideMachine where no gate does.
SideAsked SideAskedFor(const v1::Rules& rules, std::string_view computation, fit::Travel travel,
                       const std::optional<fit::Metres>& as_asked);

/// The least grade that a gate which computes `computation` lets a machine climb; kMostGrade where
/// no gate says.
inline constexpr fit::Grade kMostGrade = fit::Percent(12);  // the safety lead's to set
GradeAsked GradeAskedFor(const v1::Rules& rules, std::string_view computation,
                         const std::optional<fit::Grade>& as_asked);

fit::Input InputOf(const SideAsked& side, fit::UnitSystem units);
fit::Input InputOf(const GradeAsked& grade, fit::UnitSystem units);

}  // namespace chockwise::survey
