#include "services/fit/blind_zone.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <functional>
#include <limits>
#include <numbers>
#include <random>

namespace chockwise::fit {
namespace {

/// 2.7 m eye in a cab whose edges stand 1.2 m ahead, 0.6 m left, 2 m behind and 1.4 m right.
BlindQuestion Usual() {
  const Point eye = {0.5, 0.3};
  return {.seat = {.eye = eye,
                   .eye_height = InMetres(2.7),
                   .sills = SillsOfSides(eye, {.front = {InMetres(1.2), InMetres(1.95)},
                                               .left = {InMetres(0.6), InMetres(1.5)},
                                               .rear = {InMetres(2), InMetres(2.2)},
                                               .right = {InMetres(1.4), InMetres(2.1)}}),
                   .masks = {}},
          .object_height = Metres(),
          .reach = InMetres(40),
          .reading_error = Metres()};
}

BlindZone Of(const BlindQuestion& question) { return BlindZoneOf(question).value(); }

double Border(const BlindZone& zone, double direction_deg) {
  const auto border = BorderAlong(zone, Degrees(direction_deg));
  return border ? border->metres() : std::numeric_limits<double>::infinity();
}

TEST(BlindZone, EachSideByItsOwnSill) {
  const BlindZone zone = Of(Usual());
  EXPECT_NEAR(Border(zone, 0), 1.2 * 2.7 / 0.75, 1e-9);
  EXPECT_NEAR(Border(zone, 90), 0.6 * 2.7 / 1.2, 1e-9);
  EXPECT_NEAR(Border(zone, 180), 2 * 2.7 / 0.5, 1e-9);
  EXPECT_NEAR(Border(zone, -90), 1.4 * 2.7 / 0.6, 1e-9);
  EXPECT_EQ(zone.never_seen, Angle());
  // Straight sills hide straight strips: off to a side it is farther by the cosine.
  EXPECT_NEAR(Border(zone, 20), 1.2 * 2.7 / 0.75 / std::cos(20 * std::numbers::pi / 180), 1e-9);
  // Just over the hood's left corner, in the front's direction still.
  EXPECT_NEAR(zone.farthest_border.metres(), std::hypot(2, 1.4) * 2.7 / 0.5, 1e-9);
  EXPECT_EQ(DriversLine(zone, UnitSystem::kSi), "HIDDEN to 13.19 m");
}

TEST(BlindZone, HidesNearTheMachineAndBeyondReach) {
  const BlindZone zone = Of(Usual());
  EXPECT_TRUE(Hides(zone, {0.5, 0.3}));  // the seat itself
  EXPECT_TRUE(Hides(zone, {0.5 + 4.31, 0.3}));
  EXPECT_FALSE(Hides(zone, {0.5 + 4.33, 0.3}));
  EXPECT_TRUE(Hides(zone, {0.5 + 4.32, 0.3}));  // on the border
  EXPECT_FALSE(Hides(zone, {0.5 + 39.9, 0.3}));
  EXPECT_TRUE(Hides(zone, {0.5 + 40.1, 0.3}));
  EXPECT_TRUE(Hides(zone, {std::numeric_limits<double>::quiet_NaN(), 0}));
}

TEST(BlindZone, TallerObjectsAreSeenNearerButNotInsideTheSill) {
  BlindQuestion question = Usual();
  question.object_height = InMetres(0.9);
  EXPECT_NEAR(Border(Of(question), 0), 1.2 * 1.8 / 0.75, 1e-9);
  question.object_height = InMetres(1.99);
  EXPECT_NEAR(Border(Of(question), 0), 1.2, 1e-9);
  question.object_height = InMetres(5);
  EXPECT_NEAR(Border(Of(question), 0), 1.2, 1e-9);
}

TEST(BlindZone, AnUnmeasuredSideIsBlind) {
  BlindQuestion question = Usual();
  question.seat.sills = SillsOfSides(question.seat.eye, {.front = {InMetres(1.2), InMetres(1.95)},
                                                         .left = {InMetres(1.2), InMetres(1.5)},
                                                         .rear = {InMetres(1.2), std::nullopt},
                                                         .right = {InMetres(1.2), InMetres(2.1)}});
  const BlindZone zone = Of(question);
  EXPECT_TRUE(Hides(zone, {-10, 0.3}));
  EXPECT_FALSE(BorderAlong(zone, Degrees(180)));
  EXPECT_NEAR(zone.never_seen.degrees(), 90, 1e-9);
  EXPECT_EQ(DriversLine(zone, UnitSystem::kUs),
            "HIDDEN to 25 ft 1 in; 90 deg of the circle never seen");
  question.seat.sills.clear();
  EXPECT_NEAR(Of(question).never_seen.degrees(), 360, 1e-9);
  EXPECT_EQ(DriversLine(Of(question), UnitSystem::kUs),
            "BLIND ALL ROUND: nothing is seen from the seat");
}

TEST(BlindZone, AMaskHidesAllBehindIt) {
  BlindQuestion question = Usual();
  question.seat.masks = {{.from = Degrees(-40), .to = Degrees(-10)}};
  const BlindZone zone = Of(question);
  EXPECT_FALSE(BorderAlong(zone, Degrees(-25)));
  EXPECT_TRUE(Hides(zone, question.seat.eye + 30 * Unit(-25 * std::numbers::pi / 180)));
  EXPECT_FALSE(Hides(zone, question.seat.eye + 30 * Unit(-41 * std::numbers::pi / 180)));
  EXPECT_NEAR(zone.never_seen.degrees(), 30, 1e-9);
  question.seat.masks = {{.from = Degrees(-180), .to = Degrees(180)}};
  EXPECT_NEAR(Of(question).never_seen.degrees(), 360, 1e-9);
}

TEST(BlindZone, ASillAsHighAsTheEyeHidesAll) {
  BlindQuestion question = Usual();
  question.seat.sills.push_back({.from = {2, 0}, .to = {2, 1}, .height = InMetres(2.7)});
  EXPECT_FALSE(BorderAlong(Of(question), Angle()));
  question.seat.sills.back().height = InMetres(4);
  EXPECT_FALSE(BorderAlong(Of(question), Angle()));
}

TEST(BlindZone, TheReadingErrorLowersTheEyeAndRaisesTheSill) {
  BlindQuestion question = Usual();
  question.reading_error = InMetres(0.05);
  EXPECT_NEAR(Border(Of(question), 0), 1.2 * 2.65 / 0.65, 1e-9);
  question.reading_error = InMetres(0.4);  // they meet: nothing surely seen
  EXPECT_FALSE(BorderAlong(Of(question), Angle()));
}

TEST(BlindZone, EveryInputOutOfItsDomainIsNamed) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const std::pair<const char*, std::function<void(BlindQuestion&)>> rows[] = {
      {"eye", [=](auto& at) { at.seat.eye.x_m = nan; }},
      {"eye", [](auto& at) { at.seat.eye.y_m = 101; }},
      {"eye height", [](auto& at) { at.seat.eye_height = Metres(); }},
      {"eye height", [](auto& at) { at.seat.eye_height = InMetres(-2.7); }},
      {"eye height", [](auto& at) { at.seat.eye_height = InMetres(27); }},
      {"object height", [](auto& at) { at.object_height = InMetres(-1); }},
      {"object height", [](auto& at) { at.object_height = InMetres(11); }},
      {"reach", [](auto& at) { at.reach = Metres(); }},
      {"reach", [](auto& at) { at.reach = InMetres(-40); }},
      {"reach", [](auto& at) { at.reach = InMetres(201); }},
      {"reading error", [](auto& at) { at.reading_error = InMetres(-0.1); }},
      {"reading error", [](auto& at) { at.reading_error = InMetres(1.1); }},
      {"sill height", [](auto& at) { at.seat.sills[0].height = InMetres(-1); }},
      {"sill height", [](auto& at) { at.seat.sills[0].height = InMetres(11); }},
      {"sill", [](auto& at) { at.seat.sills[0].from = at.seat.eye; }},
      {"sill", [](auto& at) { at.seat.sills[0].to = at.seat.sills[0].from; }},
      {"sill", [](auto& at) { at.seat.sills[0].to.x_m = 30; }},
      {"sill", [=](auto& at) { at.seat.sills[0].to.x_m = nan; }},
      {"sills", [](auto& at) { at.seat.sills.resize(101, at.seat.sills[0]); }},
      {"masks",
       [](auto& at) {
         at.seat.masks.resize(101, {Angle(), Degrees(1)});
       }},
      {"mask",
       [](auto& at) {
         at.seat.masks = {{Degrees(10), Degrees(10)}};
       }},
      {"mask",
       [](auto& at) {
         at.seat.masks = {{Degrees(10), Degrees(-10)}};
       }},
      {"mask",
       [](auto& at) {
         at.seat.masks = {{Degrees(-300), Degrees(300)}};
       }},
      {"mask",
       [](auto& at) {
         at.seat.masks = {{Degrees(0), Degrees(361)}};
       }},
  };
  for (const auto& [input, set] : rows) {
    BlindQuestion question = Usual();
    set(question);
    const auto result = BlindZoneOf(question);
    ASSERT_FALSE(result) << input;
    EXPECT_EQ(result.error().input, input);
    EXPECT_FALSE(result.error().right.empty());
  }
  const SightOver sight = {Feet(9), Feet(6.5), Feet(4), Metres()};
  const std::pair<const char*, std::function<void(SightOver&)>> sights[] = {
      {"eye height", [](auto& at) { at.eye_height = Metres(); }},
      {"sill height", [](auto& at) { at.sill_height = Feet(-1); }},
      {"sill height", [](auto& at) { at.sill_height = Feet(9); }},
      {"sill distance", [](auto& at) { at.sill_distance = Metres(); }},
      {"sill distance", [](auto& at) { at.sill_distance = InMetres(21); }},
      {"object height", [](auto& at) { at.object_height = Feet(-3); }},
  };
  for (const auto& [input, set] : sights) {
    SightOver at = sight;
    set(at);
    ASSERT_FALSE(SeenFrom(at)) << input;
    EXPECT_EQ(SeenFrom(at).error().input, input);
  }
}

double Share(uint16_t number) { return number / 65535.0; }

BlindQuestion Random(const std::vector<std::array<uint16_t, 5>>& throws) {
  BlindQuestion question = Usual();
  question.object_height = InMetres(1.2);
  question.reach = InMetres(25);
  question.seat.sills.clear();
  for (const auto& [from, span, near, far, height] : throws) {
    if (question.seat.sills.size() == 12) break;
    const double from_rad = Share(from) * 6.28;
    const double to_rad = from_rad + 0.05 + Share(span) * 2.5;
    question.seat.sills.push_back(
        {.from = question.seat.eye + (0.5 + 5 * Share(near)) * Unit(from_rad),
         .to = question.seat.eye + (0.5 + 5 * Share(far)) * Unit(to_rad),
         .height = InMetres(0.2 + 2.6 * Share(height))});
    if (height % 5 == 0)
      question.seat.masks.push_back(
          {.from = Radians(from_rad - 6.28), .to = Radians(from_rad - 6.08)});
  }
  return question;
}

/// How surely the top of the object is seen, by the slow way: along the ray from eye to object,
/// over each edge that it crosses. Above 0: seen, with that much between ray and edge (metres, or
/// radians of direction); below: hidden.
double SeenBy(const BlindQuestion& at, Point object) {
  const Point to_object = object - at.seat.eye;
  const double direction = std::atan2(to_object.y_m, to_object.x_m);
  double sure = at.reach.metres() - LengthM(to_object);
  double covered = -1;
  for (const Sill& sill : at.seat.sills) {
    const Point a = sill.from - at.seat.eye;
    const Point b = sill.to - at.seat.eye;
    const double sign = Cross(a, b) > 0 ? 1 : -1;
    // Inside the wedge of the edge, by how much.
    const double inside =
        std::min(sign * Cross(a, to_object) / LengthM(a), sign * Cross(to_object, b) / LengthM(b)) /
        LengthM(to_object);
    covered = std::max(covered, inside);
    if (inside <= 0) continue;
    const double share = Cross(a, b - a) / Cross(to_object, b - a);  // of the ray, at the edge
    const double eye_m = at.seat.eye_height.metres();
    const double ray_m = eye_m + share * (at.object_height.metres() - eye_m);
    sure = std::min(sure, share < 1 ? ray_m - sill.height.metres() : 1 - share);
    if (sill.height >= at.seat.eye_height) sure = std::min(sure, -1.0);
  }
  sure = std::min(sure, covered);
  for (const Mask& mask : at.seat.masks) {
    const double middle = (mask.from + mask.to).radians() / 2;
    const double half = (mask.to - mask.from).radians() / 2;
    sure = std::min(sure, std::abs(std::remainder(direction - middle, 6.283185307179586)) - half);
  }
  return sure;
}

// What is shown as seen is seen along the ray itself, for any cab and any point.
RC_GTEST_PROP(BlindZone, AgreesWithTheRay,
              (const std::vector<std::array<uint16_t, 5>>& throws,
               const std::vector<std::pair<uint16_t, uint16_t>>& points)) {
  const BlindQuestion question = Random(throws);
  const BlindZone zone = Of(question);
  for (const auto& [x, y] : points) {
    const Point point = {60 * Share(x) - 30, 60 * Share(y) - 30};
    const double sure = SeenBy(question, point);
    if (std::abs(sure) < 1e-7) continue;
    RC_ASSERT(Hides(zone, point) == (sure < 0));
  }
}

// Turned, moved and seen in a mirror, a cab hides what it hid, where that has gone.
RC_GTEST_PROP(BlindZone, ARigidMotionAndAMirrorChangeNothing,
              (const std::vector<std::array<uint16_t, 5>>& throws,
               const std::vector<std::pair<uint16_t, uint16_t>>& points, uint16_t turn)) {
  const BlindQuestion question = Random(throws);
  const Pose moved = {.at = {20 * Share(turn), -7}, .heading_rad = 6.28 * Share(turn) - 3};
  const double side = turn % 2 == 0 ? 1 : -1;
  const auto move = [&](Point point) { return FromPose(moved, point.x_m, side * point.y_m); };
  BlindQuestion there = question;
  there.seat.eye = move(question.seat.eye);
  for (Sill& sill : there.seat.sills) sill = {move(sill.from), move(sill.to), sill.height};
  for (Mask& mask : there.seat.masks) {
    const auto [from, to] = side > 0 ? mask : Mask{.from = -mask.to, .to = -mask.from};
    // Masks are given within a turn to either side.
    const double about_rad =
        std::remainder(moved.heading_rad + from.radians(), 2 * std::numbers::pi);
    mask = {.from = Radians(about_rad), .to = Radians(about_rad) + (to - from)};
  }
  const BlindZone here = Of(question), gone = Of(there);
  for (const auto& [x, y] : points) {
    const Point point = {60 * Share(x) - 30, 60 * Share(y) - 30};
    if (std::abs(SeenBy(question, point)) < 1e-7) continue;
    RC_ASSERT(Hides(here, point) == Hides(gone, move(point)));
  }
}

/// The same question in long double, without margins: whether the ray clears everything.
bool SeenExactly(const BlindQuestion& at, Point object) {
  using Real = long double;
  struct Vector {
    Real x, y;
  };
  const auto from_eye = [&](Point point) {
    return Vector{Real{point.x_m} - at.seat.eye.x_m, Real{point.y_m} - at.seat.eye.y_m};
  };
  const auto cross = [](Vector a, Vector b) { return a.x * b.y - a.y * b.x; };
  const Vector to = from_eye(object);
  if (std::hypot(to.x, to.y) > Real{at.reach.metres()}) return false;
  const Real direction = std::atan2(to.y, to.x);
  for (const Mask& mask : at.seat.masks) {
    const Real middle = (Real{mask.from.radians()} + mask.to.radians()) / 2;
    const Real half = (Real{mask.to.radians()} - mask.from.radians()) / 2;
    if (std::abs(std::remainder(direction - middle, 2 * std::numbers::pi_v<Real>)) < half)
      return false;
  }
  bool covered = false;
  for (const Sill& sill : at.seat.sills) {
    const Vector a = from_eye(sill.from);
    const Vector b = from_eye(sill.to);
    const Real sign = cross(a, b) > 0 ? 1 : -1;
    if (sign * cross(a, to) < 0 || sign * cross(to, b) < 0) continue;
    covered = true;
    const Vector along = {b.x - a.x, b.y - a.y};
    const Real share = cross(a, along) / cross(to, along);
    const Real eye_m = at.seat.eye_height.metres();
    const Real ray_m = eye_m + share * (Real{at.object_height.metres()} - eye_m);
    const Real sill_m = sill.height.metres();
    if (sill_m >= eye_m || share >= 1 || ray_m < sill_m) return false;
  }
  return covered;
}

// A hundred thousand points a hair before and behind a border, and to either side of a sector's
// sides: none counts as seen that is hidden.
TEST(BlindZone, NearABorderNothingHiddenCountsAsSeen) {
  std::mt19937_64 dice(20261125);
  const auto below = [&](double most) {
    return std::uniform_real_distribution<double>(0, most)(dice);
  };
  int seen = 0;
  int hidden = 0;
  for (int cab = 0; cab < 500; ++cab) {
    std::vector<std::array<uint16_t, 5>> throws(3 + dice() % 8);
    for (auto& each : throws)
      for (uint16_t& number : each) number = static_cast<uint16_t>(dice());
    const BlindQuestion question = Random(throws);
    const BlindZone zone = Of(question);
    for (int n = 0; n < 200; ++n) {
      const double hair = (dice() % 2 == 0 ? 1 : -1) * std::pow(10, -3 - below(11));
      double direction = below(6.28);
      double far = question.reach.metres() * (1 + hair);
      if (n % 3 == 0) {
        direction = zone.sectors[dice() % zone.sectors.size()].from_rad + hair;
        far = below(question.reach.metres());
      } else if (const auto border = BorderAlong(zone, Radians(direction))) {
        far = border->metres() * (1 + hair);
      }
      const Point point = zone.eye + far * Unit(direction);
      const bool exactly = SeenExactly(question, point);
      (exactly ? seen : hidden) += 1;
      ASSERT_TRUE(exactly || Hides(zone, point)) << cab << " " << n;
    }
  }
  EXPECT_GT(seen, 10'000);
  EXPECT_GT(hidden, 10'000);
}

// A lower eye, a higher sill, one more mask, a smaller object or a sill forgotten never shows more.
RC_GTEST_PROP(BlindZone, LessSightNeverShowsMore,
              (const std::vector<std::array<uint16_t, 5>>& throws, uint16_t x, uint16_t y,
               uint8_t which, uint16_t much)) {
  const BlindQuestion question = Random(throws);
  BlindQuestion worse = question;
  switch (which % 5) {
    case 0:
      worse.seat.eye_height = question.seat.eye_height - InMetres(Share(much));
      break;
    case 1:
      worse.object_height = question.object_height * Share(much);
      break;
    case 2:
      worse.reading_error = InMetres(0.5 * Share(much));
      break;
    case 3:
      worse.seat.masks.push_back({.from = Angle(), .to = Radians(0.01 + Share(much))});
      break;
    case 4:
      if (!worse.seat.sills.empty()) worse.seat.sills[0].height = InMetres(3);
      break;
  }
  const Point point = {60 * Share(x) - 30, 60 * Share(y) - 30};
  if (Hides(Of(question), point)) RC_ASSERT(Hides(Of(worse), point));
}

// The sectors make up one turn, and the drawn ring keeps its order around the eye.
RC_GTEST_PROP(BlindZone, SectorsMakeOneTurn, (const std::vector<std::array<uint16_t, 5>>& throws)) {
  const BlindZone zone = Of(Random(throws));
  double at = 0;
  for (const SightSector& sector : zone.sectors) {
    RC_ASSERT(sector.from_rad == at);
    RC_ASSERT(sector.to_rad > sector.from_rad);
    at = sector.to_rad;
  }
  RC_ASSERT(std::abs(at - 2 * std::numbers::pi) < 1e-12);
  const Ring ring = BlindRing(zone);
  double turned = 0;
  for (size_t i = 0; i < ring.size(); ++i) {
    const Point a = ring[i] - zone.eye;
    const Point b = ring[(i + 1) % ring.size()] - zone.eye;
    const double step = std::atan2(Cross(a, b), Dot(a, b));
    RC_ASSERT(step > -1e-6);
    turned += step;
  }
  RC_ASSERT(std::abs(turned - 2 * std::numbers::pi) < 1e-6);
}

}  // namespace
}  // namespace chockwise::fit
