// Random machines on random lanes, from a number: what tests of the ride and its second opinion
// share. Lanes are short, so that slow references can walk them.
#pragma once

#include <algorithm>
#include <random>
#include <string>

#include "services/fit/ride.h"

namespace chockwise::fit {

class SceneDice {
 public:
  explicit SceneDice(uint64_t seed) : engine_(seed) {}
  double Between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(engine_);
  }
  int Whole(int low, int high) { return std::uniform_int_distribution<int>(low, high)(engine_); }
  bool Chance(double share) { return Between(0, 1) < share; }

 private:
  std::mt19937_64 engine_;
};

struct Scene {
  RidingMachine machine;
  LaneProfile lane;
  Facing facing = Facing::kAlong;
};

inline std::vector<OutlinePoint> SceneOutline(SceneDice& dice, double length, double low,
                                              double high) {
  std::vector<double> behind = {0, length};
  for (int more = dice.Whole(0, 4); more > 0; --more) behind.push_back(dice.Between(0, length));
  if (dice.Chance(0.3)) behind.push_back(behind.back());  // an upright side
  std::ranges::sort(behind);
  std::vector<OutlinePoint> outline;
  for (const double at : behind)
    outline.push_back({InMetres(at), InMetres(dice.Between(low, high))});
  return outline;
}

inline AxleGroup SceneGroup(SceneDice& dice, double behind, double radius) {
  const bool tandem = dice.Chance(0.4);
  return {.behind_front = InMetres(behind),
          .wheel_radius = InMetres(radius),
          .axles = tandem ? dice.Whole(2, 3) : 1,
          .spacing = InMetres(tandem ? 1.3 : 0)};
}

inline RidingMachine SceneWheels(SceneDice& dice, double radius) {
  RidingMachine machine;
  const int units = dice.Whole(1, 3);
  for (int i = 0; i < units; ++i) {
    RidingUnit unit = {.id = "unit-" + std::to_string(i + 1)};
    const double length = dice.Between(4, 10);
    const double front = dice.Between(0, 1.5);
    const double rear = dice.Between(front + 2, length);
    if (i == 0) {
      unit.groups.push_back(SceneGroup(dice, front, radius));
    } else {
      unit.coupled_by = Coupling{InMetres(front), InMetres(dice.Between(0.6, 1.4))};
    }
    unit.groups.push_back(SceneGroup(dice, rear, radius == 0 ? 0 : dice.Between(0.8, 1) * radius));
    if (i + 1 < units) {
      unit.next_hangs_at =
          Coupling{InMetres(std::min(length, dice.Between(rear - 0.8, rear + 1.5))),
                   InMetres(dice.Between(0.6, 1.4))};
    }
    unit.top = SceneOutline(dice, length, 2, 4.2);
    unit.bottom = SceneOutline(dice, length, 0.4, 1);
    machine.units.push_back(unit);
  }
  return machine;
}

inline RidingMachine SceneTracks(SceneDice& dice) {
  RidingUnit unit = {.id = "excavator"};
  const double length = dice.Between(4, 9);
  const double front = dice.Between(0, length - 2.5);
  const double rear = dice.Between(front + 2, length);
  unit.tracks =
      Tracks{.front_end = InMetres(front),
             .rear_end = InMetres(rear),
             .centre_of_mass = InMetres(front + dice.Between(0.35, 0.65) * (rear - front)),
             .centre_of_mass_high = InMetres(dice.Between(0.3, 1.2))};
  unit.top = SceneOutline(dice, length, 2, 4.2);
  unit.bottom = SceneOutline(dice, length, 0.4, 1);
  return {.units = {unit}};
}

/// Ground of 2 to 6 pieces up to 12 % steep, often a sill, one to two overheads.
inline Scene RandomScene(uint64_t seed) {
  SceneDice dice(seed);
  Scene scene;
  const int kind = dice.Whole(0, 3);
  const double radius = kind <= 1 ? dice.Between(0.3, 0.6) : 0;
  scene.machine = kind == 3 ? SceneTracks(dice) : SceneWheels(dice, radius);
  scene.facing = dice.Chance(0.5) ? Facing::kAlong : Facing::kAgainst;
  double x = dice.Between(-5, 5);
  double z = dice.Between(-1, 1);
  scene.lane.ground.push_back({InMetres(x), InMetres(z)});
  for (int pieces = dice.Whole(2, 6); pieces > 0; --pieces) {
    const double run = dice.Between(0.5, 8);
    x += run;
    z += run * dice.Between(-0.12, 0.12);
    scene.lane.ground.push_back({InMetres(x), InMetres(z)});
  }
  const double start = scene.lane.ground.front().along.metres();
  if ((radius > 0 || kind == 3) && dice.Chance(0.6)) {
    const double from = dice.Between(start, x - 0.6);
    scene.lane.sills.push_back({"sill-1", InMetres(from), InMetres(from + dice.Between(0.05, 0.5)),
                                InMetres(dice.Between(0.01, 0.12))});
  }
  for (int i = dice.Whole(1, 2); i > 0; --i) {
    const double from = dice.Between(start, x);
    const double wide = dice.Chance(0.2) ? 0 : std::min(x - from, dice.Between(0, 5));
    scene.lane.overheads.push_back({"door-" + std::to_string(i), InMetres(from),
                                    InMetres(from + wide), InMetres(dice.Between(4.5, 6))});
  }
  return scene;
}

}  // namespace chockwise::fit
