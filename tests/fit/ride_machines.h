// Machines and lanes for tests of the ride.
#pragma once

#include <cmath>

#include "services/fit/ride.h"

namespace chockwise::fit {

inline std::vector<OutlinePoint> Straight(Metres from, Metres to, Metres height) {
  return {{from, height}, {to, height}};
}

/// Two axles as points, a wheelbase of 20 ft with 6 ft before it; 13 ft high, 1 ft of clearance.
inline RidingMachine RigidTruck() {
  RidingUnit unit = {.id = "truck"};
  unit.groups = {{.behind_front = Feet(6), .wheel_radius = Metres()},
                 {.behind_front = Feet(26), .wheel_radius = Metres()}};
  unit.top = Straight(Metres(), Feet(26), Feet(13));
  unit.bottom = Straight(Metres(), Feet(26), Feet(1));
  return {.units = {unit}};
}

inline AxleGroup Tandem(Metres behind) {
  return {
      .behind_front = behind, .wheel_radius = InMetres(0.5), .axles = 2, .spacing = InMetres(1.3)};
}

inline RidingMachine TractorAndSemitrailer() {
  RidingUnit tractor = {.id = "tractor"};
  tractor.groups = {{.behind_front = InMetres(1.2), .wheel_radius = InMetres(0.5)},
                    Tandem(InMetres(5.8))};
  tractor.next_hangs_at = Coupling{InMetres(5.5), InMetres(1.2)};
  tractor.top = {{Metres(), InMetres(2)},
                 {InMetres(0.3), InMetres(3.9)},
                 {InMetres(2.2), InMetres(3.9)},
                 {InMetres(2.2), InMetres(1.2)},
                 {InMetres(6.7), InMetres(1.2)}};
  tractor.bottom = {
      {Metres(), InMetres(0.3)}, {InMetres(3), InMetres(0.3)}, {InMetres(6.7), InMetres(0.4)}};
  RidingUnit trailer = {.id = "trailer"};
  trailer.coupled_by = Coupling{InMetres(0.9), InMetres(1.2)};
  trailer.groups = {Tandem(InMetres(12.2))};
  trailer.top = Straight(Metres(), InMetres(14.6), InMetres(4.1));
  trailer.bottom = {{Metres(), InMetres(1.1)},
                    {InMetres(3), InMetres(0.4)},
                    {InMetres(11), InMetres(0.4)},
                    {InMetres(14.6), InMetres(0.5)}};
  return {.units = {tractor, trailer}};
}

/// Tracks of 4 m with the mass in their middle, a boom 3 m ahead of them.
inline RidingMachine Excavator() {
  RidingUnit unit = {.id = "excavator"};
  unit.tracks = Tracks{.front_end = InMetres(3),
                       .rear_end = InMetres(7),
                       .centre_of_mass = InMetres(5),
                       .centre_of_mass_high = InMetres(1)};
  unit.top = Straight(Metres(), InMetres(7), InMetres(3));
  unit.bottom = Straight(InMetres(3), InMetres(7), InMetres(0.45));
  return {.units = {unit}};
}

inline LaneProfile Level(Metres length) {
  return {.ground = {{Metres(), Metres()}, {length, Metres()}}};
}

/// Two straight grades, 200 ft each, that meet at 0.
inline LaneProfile Break(Grade before, Grade behind) {
  const Metres half = Feet(200);
  return {.ground = {{-half, -(before.rise_over_run() * half)},
                     {Metres(), Metres()},
                     {half, behind.rise_over_run() * half}}};
}

inline constexpr RideAllowances kOnTyres = {.bounce = kBounceOnTyres};

}  // namespace chockwise::fit
