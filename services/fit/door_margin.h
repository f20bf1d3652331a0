// What a machine has to spare in a door: the taped opening against the taped machine.
//
//   DoorMargin margin = MarginInDoor({.clear_height = Feet(13.5), ...});
//   if (margin.height < Inches(6)) ...
#pragma once

#include "services/fit/quantity.h"

namespace chockwise::fit {

struct DoorAndMachine {
  Metres clear_height;    // the opening at its lowest point
  Metres clear_width;     // the opening at its narrowest
  Metres carried_height;  // the machine with what it carries today
  Metres carried_width;
  Metres bounce;  // how far it may rise on its tyres or tracks
};

struct DoorMargin {
  Metres height;  // above the machine at the top of its bounce; negative: it strikes
  Metres width;   // both sides together
};

/// The static margins on level ground.
///
/// Units: metres. Domain: all finite. Error: three roundings of a double, below 1e-14 m for yard
/// sizes; readings themselves are good to a few millimetres at best. A machine that climbs a sill
/// or a ramp rises more than this: not covered here. Source: subtraction; the bounce allowance is
/// common practice (3 in on tyres, 1 in on tracks).
constexpr DoorMargin MarginInDoor(const DoorAndMachine& at) {
  return {.height = at.clear_height - (at.carried_height + at.bounce),
          .width = at.clear_width - at.carried_width};
}

}  // namespace chockwise::fit
