// How computations say what they found. Private to them: computations.h is their door.
#pragma once

#include <fmt/format.h>

#include <string>
#include <utility>
#include <vector>

#include "services/moves/computations.h"
#include "services/yard/dates.h"
#include "services/yard/parameters.h"

namespace chockwise::moves {

using yard::DateText;

inline ComputedFinding Clear(std::string reason = "") {
  return {v1::GATE_STATE_CLEAR, std::move(reason), false};
}
inline ComputedFinding NotClear(std::string reason) {
  return {v1::GATE_STATE_NOT_CLEAR, std::move(reason), false};
}
inline ComputedFinding NotAsked(std::string reason) {
  return {v1::GATE_STATE_NOT_ASKED, std::move(reason), false};
}
inline ComputedFinding Stale(std::string reason) {
  return {v1::GATE_STATE_STALE, std::move(reason), false};
}

// computations.cc: what moves, the machine and all that hangs behind it.
std::vector<MachineId> UnitsOf(const Sight& sight);

// computations_measured.cc: those that read the measurements.
ComputedFinding DoorMargins(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding MeasuredWithin(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding MassWithinCapacity(const Sight& sight, const yard::Parameters& parameters);

// computations_survey.cc: those that the survey answers from the map, the register and the
// measurements.
ComputedFinding FitsRoute(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding GoesUnder(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding KeepsClear(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding LeavesFree(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding ClearsGround(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding GroundCarries(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding WiresClear(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding HornHeard(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding LightEnough(const Sight& sight, const yard::Parameters& parameters,
                            v1::Phase phase);
ComputedFinding AxlesLegal(const Sight& sight, const yard::Parameters& parameters);
ComputedFinding AxlesLegalAsStood(const Sight& sight, const yard::Parameters& parameters,
                                  v1::Phase phase);
ComputedFinding LoadHolds(const Sight& sight, const yard::Parameters& parameters, v1::Phase phase);

}  // namespace chockwise::moves
