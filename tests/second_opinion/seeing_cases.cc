// Random cabs with points that we call hidden or seen, and random ways with the stands that we give
// to the spotter, one JSON object a line: seeing_cases SEED COUNT. seeing_check.py does them again.
#include "services/fit/blind_zone.h"
#include "services/fit/spotter_place.h"
#include "tests/second_opinion/cases.h"

namespace chockwise::fit {
namespace {

Json Of(Point point) { return Json::array({point.x_m, point.y_m}); }

BlindQuestion RandomCab(Dice& dice) {
  const Point eye = {dice.Between(-1, 2), dice.Between(-0.6, 0.6)};
  const auto side = [&] {
    SideSill sill = {InMetres(dice.Between(0.5, 2.5)), InMetres(dice.Between(0.6, 2.3))};
    if (dice.Whole(0, 9) == 0) sill.height.reset();
    return sill;
  };
  BlindQuestion cab = {
      .seat = {.eye = eye,
               .eye_height = InMetres(dice.Between(2.2, 3)),
               .sills = SillsOfSides(
                   eye, {.front = side(), .left = side(), .rear = side(), .right = side()}),
               .masks = {}},
      .object_height = InMetres(dice.Between(0, 1.5)),
      .reach = InMetres(dice.Between(15, 40)),
      .reading_error = InMetres(dice.Between(0, 0.05))};
  for (int extra = dice.Whole(0, 3); extra > 0; --extra) {
    const double from_rad = dice.Between(0, 6.28);
    const double to_rad = from_rad + dice.Between(0.05, 2);
    cab.seat.sills.push_back({.from = eye + dice.Between(0.5, 3) * Unit(from_rad),
                              .to = eye + dice.Between(0.5, 3) * Unit(to_rad),
                              .height = InMetres(dice.Between(0.5, 2.4))});
  }
  for (int mask = dice.Whole(0, 2); mask > 0; --mask) {
    const double from_rad = dice.Between(-3, 3);
    cab.seat.masks.push_back(
        {.from = Radians(from_rad), .to = Radians(from_rad + dice.Between(0.05, 0.8))});
  }
  return cab;
}

Json Of(const BlindQuestion& cab) {
  Json json = {{"eye", Of(cab.seat.eye)},
               {"eye_height", cab.seat.eye_height.metres()},
               {"object_height", cab.object_height.metres()},
               {"reach", cab.reach.metres()},
               {"reading_error", cab.reading_error.metres()},
               {"sills", Json::array()},
               {"masks", Json::array()}};
  for (const Sill& sill : cab.seat.sills)
    json["sills"].push_back(
        {{"from", Of(sill.from)}, {"to", Of(sill.to)}, {"height", sill.height.metres()}});
  for (const Mask& mask : cab.seat.masks)
    json["masks"].push_back({mask.from.radians(), mask.to.radians()});
  return json;
}

void BlindCase(Dice& dice) {
  const BlindQuestion cab = RandomCab(dice);
  const BlindZone zone = BlindZoneOf(cab).value();
  Json json = {{"kind", "blind"}, {"cab", Of(cab)}, {"points", Json::array()}};
  for (int n = 0; n < 40; ++n) {
    const double far_m = cab.reach.metres() * dice.Between(0.02, 1.1);
    const Point point = cab.seat.eye + far_m * Unit(dice.Between(0, 6.29));
    json["points"].push_back({point.x_m, point.y_m, Hides(zone, point)});
  }
  Print(json);
}

struct Poses {
  int least, most;
};

void SpotterCase(Dice& dice, Poses count) {
  BlindQuestion cab = RandomCab(dice);
  cab.object_height = InMetres(1.2);
  if (dice.Whole(0, 1) == 1) {
    const double from_rad = dice.Between(-3, 2);
    cab.seat.masks.push_back(
        {.from = Radians(from_rad), .to = Radians(from_rad + dice.Between(1, 4))});
  }
  SpotterQuestion question;
  question.sight.zones = {BlindZoneOf(cab).value()};
  Pose pose = {.at = {dice.Between(-5, 5), dice.Between(-5, 5)},
               .heading_rad = dice.Between(-4, 4)};
  const double turn_rad = dice.Between(-0.02, 0.02);
  const double width_m = dice.Between(1, 3);
  const double ground_m = dice.Between(8, 35);
  Line driven;
  Json poses = Json::array();
  for (int step = dice.Whole(count.least, count.most); step > 0; --step) {
    question.sight.poses.push_back(pose);
    driven.push_back(pose.at);
    poses.push_back({pose.at.x_m, pose.at.y_m, pose.heading_rad});
    pose.heading_rad += turn_rad;
    pose.at = pose.at + 0.1 * Unit(pose.heading_rad);
  }
  question.swept = Region::Around(driven, InMetres(width_m)).value();
  question.standoff = InMetres(dice.Between(3, 10));
  question.ground = Region::From({.outer = {{-ground_m, -ground_m},
                                            {ground_m, -ground_m},
                                            {ground_m, ground_m / 2},
                                            {-ground_m, ground_m}}})
                        .value();
  question.room = InMetres(0.5);
  Json walls = Json::array();
  for (int wall = dice.Whole(0, 4); wall > 0; --wall) {
    const Point at = {dice.Between(-25, 25), dice.Between(-25, 25)};
    const Point along = dice.Between(0.2, 12) * Unit(dice.Between(0, 6.28));
    const Point across = {-0.02 * along.y_m, 0.02 * along.x_m};
    const Ring ring = {at, at + along, at + along + across, at + across};
    if (*question.swept.DistanceTo(Region::From({.outer = ring}).value()) <= Metres()) continue;
    question.sight.opaque.push_back(ring);
    walls.push_back({Of(ring[0]), Of(ring[1]), Of(ring[2]), Of(ring[3])});
  }
  const SpotterPlaces places = PlacesForSpotter(question).value();
  Json stands = Json::array();
  for (const SpotterStand& stand : places.stands)
    stands.push_back({{"at", Of(stand.at)},
                      {"from", stand.from_pose},
                      {"to", stand.to_pose},
                      {"off_path", stand.off_path.metres()}});
  const Json json = {{"kind", "spotter"},
                     {"cab", Of(cab)},
                     {"poses", poses},
                     {"walls", walls},
                     {"width", width_m},
                     {"ground", ground_m},
                     {"standoff", question.standoff.metres()},
                     {"room", question.room.metres()},
                     {"stands", stands},
                     {"unseen", places.unseen_pose ? Json(*places.unseen_pose) : Json(nullptr)}};
  Print(json);
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  using namespace chockwise::fit;
  return DrawCases(argc, argv, [at = 0](Dice& dice) mutable {
    BlindCase(dice);
    // Short ways mostly: every pose is cut out of the ground again.
    SpotterCase(dice, at++ % 10 == 0 ? Poses{5, 40} : Poses{2, 6});
  });
}
