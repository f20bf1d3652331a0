// Places for a spotter where ground, standoff and sight hardly leave one, against long double: a
// hundred thousand questions, and no stand where the reference says that something is short.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <numbers>

#include "services/fit/spotter_place.h"
#include "tests/fit/long_point.h"
#include "tests/fit/long_sight.h"
#include "tests/fit/near_limit.h"

namespace chockwise::fit {
namespace {

constexpr int kShards = 10;
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr int kCasesPerShard = 200;
#else
constexpr int kCasesPerShard = kNearLimitCases / kShards;
#endif
constexpr double kPi = std::numbers::pi;
constexpr double kErrorM = 1e-9;  // of ground that is cut out of ground

constexpr Point kEye{1.5, 0.4};

LongSeat SeatOnAllSides() {
  const SideSill side = {InMetres(1), InMetres(1.6)};
  return {.sides = {.front = side, .left = side, .rear = side, .right = side},
          .eye_m = 2.5,
          .object_m = 1.25};
}

BlindZone ZoneOf(const LongSeat& seat) {
  return BlindZoneOf({.seat = {.eye = kEye,
                               .eye_height = InMetres(2.5),
                               .sills = SillsOfSides(kEye, seat.sides),
                               .masks = {}},
                      .object_height = InMetres(1.25),
                      .reach = InMetres(60),
                      .reading_error = Metres()})
      .value();
}

/// How something is left to spare, or short: mostly by a hair, sometimes by much.
double Spare(Dice& dice) {
  return dice.Below(3) == 0 ? dice.Between(0.05, 0.5) : std::abs(dice.Hair(-10, -1)) - 1e-7;
}

/// Counter-clockwise.
struct Scene {
  SpotterQuestion question;
  Ring ground, swept, post;
};

Scene RandomScene(const BlindZone& zone, Dice& dice) {
  Scene scene;
  const double far = std::pow(10.0, dice.Between(0, 3.5));
  const Pose pose = {.at = {dice.Between(-far, far), dice.Between(-far, far)},
                     .heading_rad = dice.Between(-3, 3)};
  SpotterQuestion& question = scene.question;
  question.sight.poses = {pose};
  if (dice.Below(2) == 0)
    question.sight.poses.push_back({.at = pose.at + 0.02 * Unit(pose.heading_rad),
                                    .heading_rad = pose.heading_rad + dice.Between(0, 0.002)});
  question.sight.zones = {zone};
  const auto corner = [&](double ahead, double left) { return FromPose(pose, ahead, left); };
  scene.swept = {corner(-2, -1.25), corner(4, -1.25), corner(4, 1.25), corner(-2, 1.25)};
  question.room = InMetres(dice.Between(0.2, 1));
  question.standoff = InMetres(dice.Between(4, 12));
  // Ahead of it, behind it or beside it, a square that its room just fits into.
  const double room = question.room.metres(), standoff = question.standoff.metres();
  const double half = room + Spare(dice);
  const double off = standoff + room + Spare(dice);
  const double along = dice.Between(-1, 3);
  const Point at = dice.Below(2) == 0 ? corner(along, 1.25 + off) : corner(4 + off, along / 3);
  const double turned = dice.Between(0, 1.6);
  for (int side = 0; side < 4; ++side)
    scene.ground.push_back(at + half * std::numbers::sqrt2 * Unit(turned + side * kPi / 2));
  // A post a hair off the sight to the room in the square's middle.
  const Point eye = FromPose(pose, kEye.x_m, kEye.y_m);
  const Point way = at - eye;
  const double toward = std::atan2(way.y_m, way.x_m), away = LengthM(way);
  const double side = dice.Below(2) == 0 ? 1 : -1;
  const double leans = toward + side * std::asin(room / away), outward = leans + side * kPi / 2;
  const Point near = eye + dice.Between(0.3, 0.9) * away * Unit(leans) +
                     (Spare(dice) + (question.sight.poses.size() > 1 ? 0.05 : 0)) * Unit(outward);
  scene.post = {near, near + 0.3 * Unit(outward - 0.5), near + 0.3 * Unit(outward + 0.5)};
  question.sight.opaque = {scene.post};
  question.swept = Region::From({.outer = scene.swept}).value();
  question.ground = Region::From({.outer = scene.ground}).value();
  return scene;
}

long double FromEdges(const LongRing& ring, LongPoint point) {
  long double nearest = 1e30L;
  for (size_t i = 0; i < ring.size(); ++i)
    nearest = std::min(nearest, FromSegment(point, ring[i], ring[(i + 1) % ring.size()]));
  return nearest;
}

/// What the stand has to spare of ground, standoff and sight at its poses; below 0: short.
long double LeastSpare(const Scene& scene, const LongSeat& seat, const SpotterStand& stand) {
  const SpotterQuestion& question = scene.question;
  const LongPoint at = Long(stand.at);
  const long double room = question.room.metres();
  const LongRing ground = Long(scene.ground), swept = Long(scene.swept);
  long double least = -GapAlongNormals(ground, std::array{at}) - room;
  least = std::min(
      least, FromEdges(swept, at) - room - static_cast<long double>(question.standoff.metres()));
  for (size_t pose = stand.from_pose; pose <= stand.to_pose; ++pose) {
    const Pose& from = question.sight.poses[pose];
    const LongPoint ahead = LongUnit(from.heading_rad), left = {-ahead.y, ahead.x};
    const LongPoint eye = Long(from.at) + static_cast<long double>(kEye.x_m) * ahead +
                          static_cast<long double>(kEye.y_m) * left;
    const LongPoint off = at - eye;
    least = std::min({least, OffBlindGroundM(seat, {Dot(off, ahead), Dot(off, left)}) - room,
                      SightApartM(eye, at, room, Long(scene.post))});
  }
  return least;
}

class SpotterNearTouch : public testing::TestWithParam<int> {};

TEST_P(SpotterNearTouch, NoStandWhereTheReferenceSaysThatSomethingIsShort) {
  Dice dice(static_cast<uint64_t>(GetParam()));
  const LongSeat seat = SeatOnAllSides();
  const BlindZone zone = ZoneOf(seat);
  int stands = 0, none = 0;
  double least_m = 1;
  for (int at = 0; at < kCasesPerShard; ++at) {
    const Scene scene = RandomScene(zone, dice);
    const auto places = PlacesForSpotter(scene.question);
    ASSERT_TRUE(places) << places.error().input << " " << places.error().problem;
    for (const SpotterStand& stand : places->stands) {
      const auto spare = static_cast<double>(LeastSpare(scene, seat, stand));
      ASSERT_GE(spare, -kErrorM) << at;
      least_m = std::min(least_m, spare);
    }
    (places->stands.empty() ? none : stands) += 1;
  }
  std::printf("spotter's place: %d with a stand, %d without; the tightest has %.2g m to spare\n",
              stands, none, least_m);
  EXPECT_GT(stands, kCasesPerShard / 10);
  EXPECT_GT(none, kCasesPerShard / 10);
  EXPECT_LT(least_m, 1e-4) << "they are not near touching";
}

INSTANTIATE_TEST_SUITE_P(Shards, SpotterNearTouch, testing::Range(0, kShards));

}  // namespace
}  // namespace chockwise::fit
