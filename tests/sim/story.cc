#include "tests/sim/story.h"

namespace chockwise::sim {

const std::vector<Gate>& Gates() {
  static const auto* gates = new std::vector<Gate>{
      {"walk",
       v1::PHASE_START,
       {v1::PARTY_DRIVER},
       false,
       120 * kSecond,
       {v1::HAPPENING_DRIVER_SWAP, v1::HAPPENING_LEFT_UNATTENDED, v1::HAPPENING_NEIGHBOUR_MOVED,
        v1::HAPPENING_SHIFT_END}},
      {"path",
       v1::PHASE_START,
       {v1::PARTY_SPOTTER},
       false,
       120 * kSecond,
       {v1::HAPPENING_SPOTTER_SWAP, v1::HAPPENING_DOOR_MOVED, v1::HAPPENING_NEIGHBOUR_MOVED,
        v1::HAPPENING_SHIFT_END},
       false,
       true},
      {"chocks-in",
       v1::PHASE_START,
       {v1::PARTY_DRIVER},
       false,
       0,
       {v1::HAPPENING_DRIVER_SWAP, v1::HAPPENING_LEFT_UNATTENDED, v1::HAPPENING_SHIFT_END}},
      {"word",
       v1::PHASE_START,
       {v1::PARTY_SPOTTER, v1::PARTY_YARD_LEAD},
       true,
       120 * kSecond,
       {v1::HAPPENING_DRIVER_SWAP, v1::HAPPENING_SPOTTER_SWAP, v1::HAPPENING_LEFT_UNATTENDED,
        v1::HAPPENING_DOOR_MOVED, v1::HAPPENING_NEIGHBOUR_MOVED, v1::HAPPENING_SHIFT_END},
       true},
      {"at-line",
       v1::PHASE_HOLD_POINT,
       {v1::PARTY_SPOTTER},
       false,
       120 * kSecond,
       {v1::HAPPENING_DRIVER_SWAP, v1::HAPPENING_SPOTTER_SWAP, v1::HAPPENING_LEFT_UNATTENDED,
        v1::HAPPENING_DOOR_MOVED, v1::HAPPENING_NEIGHBOUR_MOVED, v1::HAPPENING_SHIFT_END},
       true},
      {"parked", v1::PHASE_CLOSE_OUT, {v1::PARTY_DRIVER}, false, 0, {v1::HAPPENING_DRIVER_SWAP}},
      {"chocks-set",
       v1::PHASE_CLOSE_OUT,
       {v1::PARTY_DRIVER, v1::PARTY_SPOTTER},
       false,
       0,
       {v1::HAPPENING_DRIVER_SWAP, v1::HAPPENING_SPOTTER_SWAP}},
  };
  return *gates;
}

}  // namespace chockwise::sim
