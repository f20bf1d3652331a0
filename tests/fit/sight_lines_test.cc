// That what is called seen is seen, and what is called hidden all over is hidden: of random ways,
// walls and people, by lines of our own.
#include "services/fit/sight_lines.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <numbers>

#include "tests/fit/cab.h"

namespace chockwise::fit {
namespace {

constexpr double kPi = std::numbers::pi;

std::vector<Pose> Straight() {
  std::vector<Pose> poses;
  for (int step = 0; step <= 40; ++step) poses.push_back({.at = {0.25 * step, 0}});
  return poses;
}

TEST(SightLines, CountsPosesUpToTheFirstThatIsHidden) {
  // A wall along x from 6 on, 3 m to the left. The line to (0, 12) passes it at x = 0.75 eye.
  const SightLines lines({.poses = Straight(),
                          .zones = {Zone({.eye = {0, 0}})},
                          .opaque = {{{6, 3}, {20, 3}, {20, 3.2}, {6, 3.2}}}});
  EXPECT_EQ(lines.poses(), 41u);
  const size_t seen = lines.SeenFrom(0, {.at = {0, 12}, .room_m = 0.5});
  // The edge of the room touches where the eye is at 8 - 0.17: pose 31. Half a step before that,
  // and what the trapezoid is wider, may be given away, and nothing beyond.
  EXPECT_LE(seen, 31u);
  EXPECT_GE(seen, 28u);
  EXPECT_EQ(lines.SeenFrom(10, {.at = {0, 12}, .room_m = 0.5}), seen - 10);
  EXPECT_EQ(lines.SeenFrom(40, {.at = {0, 12}, .room_m = 0.5}), 0u);
  EXPECT_EQ(lines.SeenFrom(0, {.at = {41, 0}, .room_m = 0.5}), 0u) << "out of reach";
  EXPECT_NEAR(lines.FarthestM(0, 40, {0, 12}), std::hypot(10, 12), 1e-9);
}

TEST(SightLines, SinceWhenSomebodyIsSeen) {
  const SightLines lines({.poses = Straight(),
                          .zones = {Zone({.eye = {0, 0}})},
                          .opaque = {{{-20, 3}, {4, 3}, {4, 3.2}, {-20, 3.2}}}});
  const Standing person = {.at = {10, 12}, .room_m = 0.5};
  const size_t since = lines.SeenSince(40, person);
  EXPECT_GT(since, 8u);  // the line from x = 2 touches the wall's end
  EXPECT_LT(since, 13u);
  EXPECT_EQ(lines.SeenFrom(since, person), 41 - since);
  EXPECT_EQ(lines.SeenFrom(since - 1, person), 0u);
}

TEST(SightLines, FromWithinAWallNothingIsSeen) {
  const SightLines lines({.poses = Straight(),
                          .zones = {Zone({.eye = {0, 0}})},
                          .opaque = {{{-5, -5}, {20, -5}, {20, 5}, {-5, 5}}}});
  EXPECT_EQ(lines.SeenFrom(0, {.at = {0, 12}, .room_m = 0.5}), 0u);
}

double Share(uint16_t number) { return number / 65535.0; }

bool Crosses(const Ring& ring, Point a, Point b) {
  for (size_t i = 0; i < ring.size(); ++i) {
    const Point c = ring[i], d = ring[(i + 1) % ring.size()];
    if (Cross(b - a, c - a) * Cross(b - a, d - a) <= 0 &&
        Cross(d - c, a - c) * Cross(d - c, b - c) <= 0)
      return true;
  }
  return false;
}

bool SeenFromEye(const SightAlong& along, const BlindZone& zone, const Pose& pose, Point point) {
  const Point ahead = Unit(pose.heading_rad), off = point - pose.at;
  if (Hides(zone, {Dot(ahead, off), Cross(ahead, off)})) return false;
  const Point eye = FromPose(pose, zone.eye.x_m, zone.eye.y_m);
  for (const Ring& ring : along.opaque)
    if (Crosses(ring, eye, point)) return false;
  return true;
}

SightAlong RandomSight(const std::array<uint16_t, 4>& at,
                       const std::vector<std::pair<uint16_t, uint16_t>>& walls) {
  SightAlong along;
  const Angle begin = Degrees(360 * Share(at[0]) - 360);
  const std::vector<Mask> masks = {{.from = begin, .to = begin + Degrees(10 + 60 * Share(at[1]))}};
  along.zones = {Zone({.eye = {1, -0.7}, .masks = masks}), Zone({.eye = {1, 0.7}, .masks = masks})};
  Pose pose = {.at = {}, .heading_rad = 6 * Share(at[2])};
  for (int step = 0; step < 20; ++step) {
    along.poses.push_back(pose);
    pose.heading_rad += 0.1 * (Share(at[3]) - 0.5);
    pose.at = pose.at + 0.3 * Unit(pose.heading_rad);
  }
  for (const auto& [x, y] : walls) {
    const Point from = {60 * Share(x) - 30, 60 * Share(y) - 30};
    if (LengthM(from) < 10) continue;
    const Point to = from + (0.1 + 4 * Share(x)) * Unit(7 * Share(y));
    along.opaque.push_back({from, to, to + Point{0.1, 0.2}, from + Point{0.1, 0.2}});
  }
  return along;
}

// Seen is seen: from both eyes and three between them, from each pose and four instants on the way
// to the next, anywhere in the room.
RC_GTEST_PROP(SightLines, WhatIsSeenIsSeenByEveryEyeAtEveryInstant,
              (const std::array<uint16_t, 4>& at,
               const std::vector<std::pair<uint16_t, uint16_t>>& walls, uint16_t x, uint16_t y)) {
  const SightAlong along = RandomSight(at, walls);
  const SightLines lines(along);
  const Standing person = {.at = (8 + 20 * Share(x)) * Unit(7 * Share(y)), .room_m = 0.5};
  const size_t seen = lines.SeenFrom(0, person);
  RC_CLASSIFY(seen > 0);
  RC_CLASSIFY(seen == along.poses.size());
  for (size_t pose = 0; pose < seen; ++pose) {
    for (const double share : {0.0, 0.2, 0.4, 0.6, 0.8}) {
      if (share > 0 && pose + 1 >= seen) continue;
      Pose now = along.poses[pose];
      if (share > 0) {
        const Pose& next = along.poses[pose + 1];
        now = {.at = now.at + share * (next.at - now.at),
               .heading_rad = now.heading_rad + share * (next.heading_rad - now.heading_rad)};
      }
      for (const double left_m : {-0.7, -0.4, 0.0, 0.3, 0.7}) {
        BlindZone zone = along.zones.front();
        zone.eye.y_m = left_m;
        for (int turn = 0; turn < 8; ++turn)
          RC_ASSERT(SeenFromEye(along, zone, now, person.at + 0.4999 * Unit(turn * kPi / 4)));
      }
    }
  }
}

// Hidden all over is hidden: nobody within the distance, with the room, is seen from the pose.
RC_GTEST_PROP(SightLines, WhatIsHiddenAllOverIsHidden,
              (const std::array<uint16_t, 4>& at,
               const std::vector<std::pair<uint16_t, uint16_t>>& walls, uint16_t x, uint16_t y,
               uint16_t far)) {
  const SightLines lines(RandomSight(at, walls));
  const Standing person = {.at = (8 + 30 * Share(x)) * Unit(7 * Share(y)), .room_m = 0.5};
  const double far_m = 3 * Share(far);
  for (const size_t pose : {0u, 7u, 19u}) {
    if (!lines.HidesAllWithin(far_m, pose, person)) continue;
    for (int turn = 0; turn < 8; ++turn) {
      for (const double part : {0.0, 0.5, 1.0}) {
        Standing there = person;
        there.at = there.at + (part * far_m) * Unit(turn * kPi / 4);
        RC_ASSERT(lines.SeenFrom(pose, there) == 0u);
      }
    }
  }
}

}  // namespace
}  // namespace chockwise::fit
