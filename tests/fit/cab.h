// What a driver of the tests sees: all round beyond some metres; a mask takes what a test wants to
// take.
#pragma once

#include <vector>

#include "services/fit/blind_zone.h"

namespace chockwise::fit {

struct Cab {
  Point eye = {1.5, 0.4};
  std::vector<Mask> masks = {};
};

inline BlindZone Zone(const Cab& cab) {
  const SideSill side = {InMetres(1), InMetres(1.6)};
  return BlindZoneOf(
             {.seat = {.eye = cab.eye,
                       .eye_height = InMetres(2.5),
                       .sills = SillsOfSides(
                           cab.eye, {.front = side, .left = side, .rear = side, .right = side}),
                       .masks = cab.masks},
              .object_height = InMetres(1.2),
              .reach = InMetres(40),
              .reading_error = Metres()})
      .value();
}

}  // namespace chockwise::fit
