// Who is seen past a wall, past the machine's own body and along a way, near touching, against long
// double: a hundred thousand cases each, and never seen where the reference says hidden.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <numbers>

#include "services/fit/sight_lines.h"
#include "tests/fit/long_point.h"
#include "tests/fit/long_sight.h"
#include "tests/fit/near_limit.h"

namespace chockwise::fit {
namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr int kCases = 2'000;
#else
constexpr int kCases = kNearLimitCases;
#endif
constexpr double kPi = std::numbers::pi;
constexpr long double kBlurM = 1e-13L;      // roundings of 30 m
constexpr long double kCornersM = 1.1e-9L;  // what blind_zone.h promises of a border

struct Tally {
  int seen = 0, hidden = 0, blurred = 0, careful = 0;
  /// `apart`: how far the person is from what hides; below 0: hidden by so much.
  void Count(bool is_seen, long double apart, long double blur) {
    if (std::abs(apart) <= blur) {
      ++blurred;
    } else if (apart < 0) {
      ASSERT_FALSE(is_seen) << "hidden by " << static_cast<double>(-apart) << " m";
      ++hidden;
    } else {
      (is_seen ? seen : careful) += 1;
    }
  }
  void Say(const char* name) const {
    std::printf("%s: %d seen, %d hidden, %d blurred, %d that are seen and counted as hidden\n",
                name, seen, hidden, blurred, careful);
    EXPECT_GT(seen, kCases / 10);
    EXPECT_GT(hidden, kCases / 5);
  }
};

Seat SeatOf(Point eye, const LongSeat& as) {
  Seat seat = {.eye = eye,
               .eye_height = InMetres(static_cast<double>(as.eye_m)),
               .sills = SillsOfSides(eye, as.sides),
               .masks = {}};
  if (as.mask_rad)
    seat.masks = {{.from = Radians(static_cast<double>((*as.mask_rad)[0])),
                   .to = Radians(static_cast<double>((*as.mask_rad)[1]))}};
  return seat;
}

BlindZone ZoneOf(Point eye, const LongSeat& as, Metres reach = InMetres(60)) {
  return BlindZoneOf({.seat = SeatOf(eye, as),
                      .object_height = InMetres(static_cast<double>(as.object_m)),
                      .reach = reach,
                      .reading_error = Metres()})
      .value();
}

LongSeat LowSills() {
  const SideSill side = {InMetres(1), InMetres(1.6)};
  return {.sides = {.front = side, .left = side, .rear = side, .right = side},
          .eye_m = 2.5,
          .object_m = 1.25};
}

/// A convex block whose one corner lies there and the rest away from it.
Ring BlockFrom(Point corner, double outward_rad, Dice& dice) {
  const double spread = dice.Between(0.1, 1.3);
  return {corner, corner + dice.Between(0.1, 5) * Unit(outward_rad - spread),
          corner + dice.Between(0.1, 5) * Unit(outward_rad + spread)};
}

TEST(SightNearTouch, PastAWallFromOnePlace) {
  Dice dice;
  Tally tally;
  const BlindZone zone = ZoneOf({}, LowSills());
  for (int at = 0; at < kCases; ++at) {
    const double far = std::pow(10.0, dice.Between(0, 4.5));
    const Pose pose = {.at = {dice.Between(-far, far), dice.Between(-far, far)},
                       .heading_rad = dice.Between(-3, 3)};
    const double toward = dice.Between(0, 6.3), away = dice.Between(8, 30);
    const Standing person = {.at = pose.at + away * Unit(toward), .room_m = dice.Between(0.1, 3)};
    // A hair off a side of what the sight to the room fills.
    const double side = dice.Below(2) == 0 ? 1 : -1;
    const double leans = toward + side * std::asin(person.room_m / away);
    const double tangent = std::sqrt(away * away - person.room_m * person.room_m);
    const double outward = leans + side * kPi / 2;
    const Point corner = pose.at + dice.Between(0.05, 0.99) * tangent * Unit(leans) +
                         dice.Hair(-12, -3) * Unit(outward);
    const Ring block = BlockFrom(corner, outward, dice);
    const SightLines lines({.poses = {pose}, .zones = {zone}, .opaque = {block}});
    tally.Count(lines.SeenFrom(0, person) == 1,
                SightApartM(Long(pose.at), Long(person.at), person.room_m, Long(block)), kBlurM);
  }
  tally.Say("past a wall");
}

LongSeat RandomSeat(Dice& dice) {
  const auto side = [&]() -> SideSill {
    const Metres distance = InMetres(dice.Between(0.4, 4));
    if (dice.Below(4) == 0) return {distance, std::nullopt};
    return {distance, InMetres(dice.Between(0.3, 1.6))};
  };
  LongSeat seat = {.sides = {.front = side(), .left = side(), .rear = side(), .right = side()},
                   .eye_m = dice.Between(1.9, 3),
                   .object_m = dice.Between(0, 1.5)};
  if (dice.Below(2) == 0) {
    const double from = dice.Between(-3, 3);
    seat.mask_rad = {from, from + dice.Between(0.05, 3)};
  }
  return seat;
}

/// From the eye, a point that far and a hair more or less off the hidden ground, found by halving;
/// nullopt where there is none on that way.
std::optional<LongPoint> BesideBlindGround(const LongSeat& seat, double off_m, Dice& dice) {
  const LongPoint from = dice.Between(1, 25) * LongUnit(dice.Between(0, 6.3));
  const LongPoint to = dice.Between(1, 25) * LongUnit(dice.Between(0, 6.3));
  const auto over = [&](long double share) {
    return OffBlindGroundM(seat, from + share * (to - from)) - off_m;
  };
  long double low = 0, high = 1;
  if ((over(low) > 0) == (over(high) > 0)) return std::nullopt;
  const bool rises = over(high) > 0;
  for (int halving = 0; halving < 40; ++halving) {
    const long double middle = (low + high) / 2;
    ((over(middle) > 0) == rises ? high : low) = middle;
  }
  return from + (high + dice.Hair(-12, -4)) * (to - from);
}

TEST(SightNearTouch, PastTheMachinesOwnBody) {
  Dice dice;
  Tally room, point;
  for (int at = 0; at < kCases;) {
    const LongSeat seat = RandomSeat(dice);
    const Point eye{dice.Between(-2, 2), dice.Between(-2, 2)};
    const BlindZone zone = ZoneOf(eye, seat);
    const double room_m = dice.Between(0.1, 3);
    const auto stands = BesideBlindGround(seat, room_m, dice);
    const auto lies = BesideBlindGround(seat, 0, dice);
    if (!stands || !lies) continue;
    ++at;
    // The machine stands at the origin and looks along x: its frame is the yard's.
    const Standing person = {
        .at = eye + Point{static_cast<double>(stands->x), static_cast<double>(stands->y)},
        .room_m = room_m};
    const SightLines lines({.poses = {Pose{}}, .zones = {zone}});
    const LongPoint truly = Long(person.at) - Long(eye);
    room.Count(lines.SeenFrom(0, person) == 1,
               OffBlindGroundM(seat, truly) - static_cast<long double>(room_m), kCornersM);
    const Point there = eye + Point{static_cast<double>(lies->x), static_cast<double>(lies->y)};
    point.Count(!Hides(zone, there), OffBlindGroundM(seat, Long(there) - Long(eye)), kBlurM);
  }
  room.Say("past the body, a room");
  point.Say("past the body, a point");
}

/// Two poses, an eye that may be anywhere between two places, a wall or a mask.
struct Scene {
  SightAlong along;
  Standing person;
  LongSeat seat;
};
constexpr Point kEyes[] = {{1, -0.7}, {1, 0.7}};

/// The least that the person is off what hides at five instants for three eyes.
long double LeastApart(const Scene& scene) {
  const Pose &from = scene.along.poses[0], &to = scene.along.poses[1];
  long double least = 1e30L;
  for (const long double share : {0.0L, 0.25L, 0.5L, 0.75L, 1.0L}) {
    const LongPoint at = Long(from.at) + share * (Long(to.at) - Long(from.at));
    const long double turn =
        from.heading_rad + share * (static_cast<long double>(to.heading_rad) - from.heading_rad);
    const LongPoint ahead = LongUnit(turn), left = {-ahead.y, ahead.x};
    for (const long double of_eyes : {0.0L, 0.5L, 1.0L}) {
      const LongPoint in_frame = Long(kEyes[0]) + of_eyes * (Long(kEyes[1]) - Long(kEyes[0]));
      const LongPoint eye = at + in_frame.x * ahead + in_frame.y * left;
      const LongPoint off = Long(scene.person.at) - eye;
      least = std::min(least, OffBlindGroundM(scene.seat, {Dot(off, ahead), Dot(off, left)}) -
                                  static_cast<long double>(scene.person.room_m));
      for (const Ring& block : scene.along.opaque)
        least = std::min(least,
                         SightApartM(eye, Long(scene.person.at), scene.person.room_m, Long(block)));
    }
  }
  return least;
}

Scene RandomScene(bool by_wall, Dice& dice) {
  Scene scene = {.along = {}, .person = {}, .seat = LowSills()};
  const double mask = dice.Between(-3, 3);
  if (!by_wall) scene.seat.mask_rad = {mask, mask + dice.Between(0.1, 1)};
  scene.along.zones = {ZoneOf(kEyes[0], scene.seat), ZoneOf(kEyes[1], scene.seat)};
  const double heading = dice.Between(-3, 3);
  scene.along.poses = {
      {.at = {dice.Between(-100, 100), dice.Between(-100, 100)}, .heading_rad = heading}};
  const double next = heading + dice.Between(-0.1, 0.1);
  scene.along.poses.push_back(
      {.at = scene.along.poses[0].at + dice.Between(0, 0.5) * Unit(next), .heading_rad = next});
  scene.person.room_m = dice.Between(0.1, 1);
  return scene;
}

// Our own answer is brought to where it changes by halving: a wall is moved out of sight, or a
// person out of what a mask hides. Where it just says seen, the reference must, too.
TEST(SightNearTouch, AlongAWayAndFromAnyEye) {
  Dice dice;
  int changes[2] = {};
  double least_m = 1e9, most_m = 0;
  while (changes[0] + changes[1] < kCases) {
    const bool by_wall = dice.Below(2) == 0;
    Scene scene = RandomScene(by_wall, dice);
    const double toward = dice.Between(0, 6.3), away = dice.Between(8, 30);
    const double side = dice.Below(2) == 0 ? 1 : -1, part = dice.Between(0.15, 0.9);
    const Point eye = scene.along.poses[0].at;
    scene.person.at = eye + away * Unit(toward);
    const double outward = toward + side * kPi / 2;
    const Ring block = BlockFrom(eye + part * away * Unit(toward), outward, dice);
    const auto seen = [&](double by) {
      if (by_wall) {
        Ring moved = block;
        for (Point& corner : moved) corner = corner + by * 6 * Unit(outward);
        scene.along.opaque = {moved};
      } else {
        const double middle = static_cast<double>((*scene.seat.mask_rad)[0]) + 0.05 +
                              scene.along.poses[0].heading_rad;
        scene.person.at = eye + away * Unit(middle + side * by * 1.8);
      }
      return SightLines(scene.along).SeenFrom(0, scene.person) == 2;
    };
    double hidden = 0, clear = 1;
    if (seen(hidden) || !seen(clear)) continue;
    for (int halving = 0; halving < 14; ++halving) {
      const double middle = (hidden + clear) / 2;
      (seen(middle) ? clear : hidden) = middle;
    }
    ASSERT_TRUE(seen(clear));
    const auto apart = static_cast<double>(LeastApart(scene));
    ASSERT_GE(apart, -static_cast<double>(kCornersM));
    least_m = std::min(least_m, apart);
    most_m = std::max(most_m, apart);
    ++changes[by_wall ? 0 : 1];
  }
  std::printf("along a way: %d by a wall, %d by a mask; %.2g to %.2g m to spare where seen\n",
              changes[0], changes[1], least_m, most_m);
  EXPECT_GT(changes[0], kCases / 5);
  EXPECT_GT(changes[1], kCases / 5);
}

}  // namespace
}  // namespace chockwise::fit
