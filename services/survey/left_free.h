// What a machine that stands leaves of the ground that must stay free: one rule for the gate on a
// move's end and for the desk. Private to the room.
//
//   auto left = LeftFreeBy(readings, footprint);
//   fit::JudgeKeptClear({(*left)[0].left, ...});
//
// Threads: as fit::Region.
#pragma once

#include <optional>
#include <vector>

#include "services/fit/planar.h"
#include "services/fit/standing_clear.h"
#include "services/survey/readings.h"

namespace chockwise::survey {

/// Nearer to marked ground than this is on it: what tape and map may be off. Common practice.
inline constexpr fit::Metres kOffMarking = fit::Inches(1);
/// What is farther off than this is no concern of where a machine stands.
inline constexpr fit::Metres kNear = fit::Feet(1'000);

/// An exit, a keep-clear area, a fire way; and a refuge, where people stand and machines do not.
inline bool NothingStandsOn(yard::Duty duty) {
  return yard::MustStayFree(duty) || duty == yard::Duty::kRefuge;
}

struct LeftFree {
  fit::LeftClear left;
  fit::Region ground;  // that is marked
};

/// Every exit, keep-clear area, fire way and refuge of the yard near a machine, how far off it
/// stands and how far it must: kOffMarking, and by as much more as the area itself is narrower than
/// its rule.
///
/// An area nearer than its rule is wide must have its own width taped; ground between it and the
/// machine counts as free. Before a keep-clear area whose panel-voltage nobody read the deepest of
/// Table S-1 is asked. A refuge is as wide as it is marked: no rule says more. What is farther off
/// than the rule is wide needs no reading. Law 2.
Outcome<std::vector<LeftFree>> LeftFreeBy(Readings& readings, const fit::Region& footprint);

/// Judged together, the least margin first; nothing where there is none near.
Outcome<std::optional<fit::KeptClear>> JudgeLeftFree(const std::vector<LeftFree>& left);

}  // namespace chockwise::survey
