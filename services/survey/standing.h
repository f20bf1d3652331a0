// Whether a machine stays where it is parked, and whether it leaves free there what must be free.
//
//   Outcome<PartedAnswer> stands = Stands(asked, {.machine = truck, .place = apron});
//
// Nobody says which way it will point, so the slope is the steepest of the place in any direction
// and the ground it covers is a disc about its middle; with a bearing it is the box of its carried
// length and width. What it leaves free where a way ends is exact in LeavesFree. Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string_view>

#include "services/fit/stopping.h"
#include "services/survey/parts.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

struct Parking {
  yard::MachineId machine;
  yard::PlaceId place;
  std::optional<fit::Surface> surface = {};  // of the ground; unset: wet, nobody knows of what
  std::optional<fit::Angle> bearing = {};    // from north clockwise
};

/// Brakes, chocks, side tip and marked ground, each clear by itself: no brake helps a chock.
///
/// The grade is √(long² + cross²) of the place's two slopes. A part that stands on tracks has no
/// chocks. What a chock holds is proved by its shape or by a trial, a reading of "chock-grade",
/// which does not count on snow and ice. Each reading is taken to be off against the machine by as
/// much as it may be; what is clear only as read is undecided. Marked ground is left free by the
/// rule of LeavesFree. Refused of a machine that tows: what holds and tips a train is not known
/// here.
Outcome<PartedAnswer> Stands(const Asked& asked, const Parking& parking);

inline constexpr std::array<std::string_view, 2> kParkingAssumptions = {
    "its middle over the place, on its steepest slope; friction is the caller's word; firm ground",
    "chocks stand square on both sides of those wheels; local codes may ask for more free ground"};

}  // namespace chockwise::survey
