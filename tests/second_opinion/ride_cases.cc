// Random rides with our tight spots, one JSON object a line: ride_cases SEED COUNT. ride_check.py
// does them again.
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>

#include "services/fit/ride.h"
#include "tests/fit/ride_scenes.h"

namespace chockwise::fit {
namespace {

using Json = nlohmann::ordered_json;

Json Outline(const std::vector<OutlinePoint>& outline) {
  Json points = Json::array();
  for (const OutlinePoint& point : outline) {
    points.push_back({-point.behind_front.metres(), point.height.metres()});
  }
  return points;
}

Json UnitOf(const RidingUnit& unit) {
  Json groups = Json::array();
  for (const AxleGroup& group : unit.groups) {
    groups.push_back({{"x", -group.behind_front.metres()},
                      {"radius", group.wheel_radius.metres()},
                      {"axles", group.axles},
                      {"spacing", group.spacing.metres()}});
  }
  Json json = {{"groups", groups}, {"top", Outline(unit.top)}, {"bottom", Outline(unit.bottom)}};
  if (unit.coupled_by) {
    json["coupled_by"] = {-unit.coupled_by->behind_front.metres(),
                          unit.coupled_by->height.metres()};
  }
  if (unit.next_hangs_at) {
    json["next_hangs_at"] = {-unit.next_hangs_at->behind_front.metres(),
                             unit.next_hangs_at->height.metres()};
  }
  if (unit.tracks) {
    json["tracks"] = {
        {"front", -unit.tracks->front_end.metres()},
        {"rear", -unit.tracks->rear_end.metres()},
        {"mass",
         {-unit.tracks->centre_of_mass.metres(), unit.tracks->centre_of_mass_high.metres()}}};
  }
  return json;
}

Json LaneOf(const LaneProfile& lane) {
  Json ground = Json::array();
  for (const ProfilePoint& point : lane.ground) {
    ground.push_back({point.along.metres(), point.elevation.metres()});
  }
  Json sills = Json::array();
  for (const LaneSill& sill : lane.sills) {
    sills.push_back({sill.from.metres(), sill.to.metres(), sill.height.metres()});
  }
  Json overheads = Json::array();
  for (const Overhead& over : lane.overheads) {
    overheads.push_back({over.from.metres(), over.to.metres(), over.clear_height.metres()});
  }
  return {{"ground", ground}, {"sills", sills}, {"overheads", overheads}};
}

Json SpotOf(const TightSpot& spot) {
  return {{"gap", spot.gap.metres()},
          {"error", spot.error.metres()},
          {"lead_at", spot.lead_at.metres()},
          {"along", spot.along.metres()}};
}

/// Where the machine stands at a place: its units' noses on the ground's line, and their pitch.
Json PoseOf(const RideQuestion& question, Metres lead_at) {
  Json units = Json::array();
  const auto pose = PoseAt(question, lead_at);
  for (const UnitPose& unit : pose->units) {
    units.push_back({{"first_top", {unit.top[0].x_m, unit.top[0].y_m}}, {"pitch", unit.pitch_rad}});
  }
  return units;
}

void RideCase(uint64_t seed) {
  Scene scene = RandomScene(seed);
  scene.facing = Facing::kAlong;
  const RideQuestion question = {scene.machine, scene.lane, {.bounce = kBounceOnTyres}};
  const auto ride = RideOver(question);
  if (!ride) return;
  Json units = Json::array();
  for (const RidingUnit& unit : scene.machine.units) units.push_back(UnitOf(unit));
  Json json = {{"kind", scene.machine.units[0].tracks ? "tracks" : "wheels"},
               {"seed", seed},
               {"units", units},
               {"lane", LaneOf(scene.lane)},
               {"over", SpotOf(ride->overheads[0])},
               {"below", SpotOf(ride->below)}};
  // A place of no account, for the pose by itself.
  const Metres place =
      0.37 * scene.lane.ground.front().along + 0.63 * scene.lane.ground.back().along;
  json["place"] = place.metres();
  json["pose"] = PoseOf(question, place);
  std::puts(json.dump().c_str());
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fputs("usage: ride_cases SEED COUNT\n", stderr);
    return 2;
  }
  const uint64_t seed = std::strtoull(argv[1], nullptr, 10);
  const int count = std::atoi(argv[2]);
  for (int i = 0; i < count; ++i) chockwise::fit::RideCase(seed + static_cast<uint64_t>(i));
  return 0;
}
