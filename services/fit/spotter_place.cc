#include "services/fit/spotter_place.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr size_t kMostPoses = 10'000;
constexpr double kFarthestM = 1e5;
constexpr double kClearanceStepM = 0.01;
constexpr int kReachCorners = 96;

std::optional<Unusable> Wrong(const SpotterQuestion& at) {
  InputCheck check;
  if (at.poses.empty() || at.poses.size() > kMostPoses)
    check.Refuse({"poses", fmt::format("are {}", at.poses.size()), "1 to 10,000"});
  for (const Pose& pose : at.poses) {
    const double size =
        std::max({std::abs(pose.at.x_m), std::abs(pose.at.y_m), std::abs(pose.heading_rad)});
    if (!(size <= kFarthestM) || std::isnan(pose.at.y_m) || std::isnan(pose.heading_rad)) {
      check.Refuse({"poses", "leave the yard or are not numbers", "points within 100 km"});
      break;
    }
  }
  check.Positive("standoff", at.standoff, UpTo{InMetres(200)})
      .Between("room", at.room, Span{InMetres(0.1), InMetres(10)});
  if (at.zone.sectors.empty())
    check.Refuse({"zone", "has no sectors", "a blind zone of the machine"});
  if (at.swept.IsEmpty()) check.Refuse({"swept", "is empty", "the ground that the machine covers"});
  if (at.ground.IsEmpty()) check.Refuse({"ground", "is empty", "where a spotter may stand"});
  if (check.failed()) return check.error();
  return std::nullopt;
}

/// The driver's view in the machine's frame, and moved to a pose.
class View {
 public:
  explicit View(const BlindZone& zone) : blind_(BlindRing(zone)) {
    for (int corner = 0; corner < kReachCorners; ++corner)
      reach_.push_back(zone.eye +
                       zone.reach.metres() * Unit(corner * 2 * std::numbers::pi / kReachCorners));
  }

  /// What of a region the driver sees from a pose.
  Outcome<Region> Seen(const Region& of, const Pose& pose) const {
    const Outcome<Region> reach = Moved(reach_, pose);
    if (!reach) return tl::unexpected(reach.error());
    const Outcome<Region> blind = Moved(blind_, pose);
    if (!blind) return tl::unexpected(blind.error());
    return of.CommonWith(*reach).Without(*blind);
  }

 private:
  static Outcome<Region> Moved(const Ring& ring, const Pose& pose) {
    Outline outline;
    for (Point point : ring) outline.outer.push_back(FromPose(pose, point.x_m, point.y_m));
    return Region::From(outline);
  }

  Ring blind_;
  Ring reach_;
};

bool HasRoom(const Region& ground, Metres room) {
  return !ground.IsEmpty() && !ground.Inset(room)->IsEmpty();
}

/// Half the shorter side of the box around a region: no point of it is farther from its edge.
Metres NoFartherThan(const Region& ground) {
  double half_m = 0;
  for (const Outline& outline : ground.Outlines()) {
    const auto [left, right] = std::ranges::minmax(outline.outer, {}, &Point::x_m);
    const auto [low, high] = std::ranges::minmax(outline.outer, {}, &Point::y_m);
    half_m = std::max(half_m, std::min(right.x_m - left.x_m, high.y_m - low.y_m) / 2);
  }
  return InMetres(half_m);
}

Corner CornerOf(const Pose& pose, Point at) {
  const Point along = Unit(pose.heading_rad);
  const bool front = Dot(along, at - pose.at) >= 0;
  const bool left = Cross(along, at - pose.at) >= 0;
  if (front) return left ? Corner::kLeftFront : Corner::kRightFront;
  return left ? Corner::kLeftRear : Corner::kRightRear;
}

/// How far the point moves at most in the driver's view from the nearer of two poses that follow
/// each other.
Metres MovesInView(const SpotterQuestion& question, const SpotterStand& stand) {
  double most_m = 0;
  const Point eye = question.zone.eye;
  for (size_t step = stand.from_pose; step < stand.to_pose; ++step) {
    const Pose& a = question.poses[step];
    const Pose& b = question.poses[step + 1];
    const Point eye_a = FromPose(a, eye.x_m, eye.y_m);
    const Point eye_b = FromPose(b, eye.x_m, eye.y_m);
    const double turn =
        std::abs(std::remainder(b.heading_rad - a.heading_rad, 2 * std::numbers::pi));
    const double farther = std::max(LengthM(stand.at - eye_a), LengthM(stand.at - eye_b));
    most_m = std::max(most_m, (LengthM(eye_b - eye_a) + farther * turn) / 2);
  }
  return InMetres(most_m);
}

/// Requires ground with room. Inset never gives too much, so every point of it has the clearance.
SpotterStand BestOf(const Region& ground, const SpotterQuestion& question) {
  Metres clearance = question.room;
  Metres too_much = NoFartherThan(ground) + InMetres(kClearanceStepM);
  Region inside = *ground.Inset(clearance);
  while (too_much - clearance > InMetres(kClearanceStepM)) {
    const Metres middle = (clearance + too_much) / 2;
    Region smaller = *ground.Inset(middle);
    if (smaller.IsEmpty()) {
      too_much = middle;
    } else {
      clearance = middle;
      inside = smaller;
    }
  }
  SpotterStand stand;
  stand.at = inside.Outlines().front().outer.front();
  stand.clearance = clearance;
  stand.off_path = *question.swept.DistanceTo(stand.at);
  stand.ground = ground;
  return stand;
}

/// The stand that is seen from a pose and from as many after it as any; nullopt where none is.
Outcome<std::optional<SpotterStand>> LongestFrom(size_t from_pose, const Region& allowed,
                                                 const View& view,
                                                 const SpotterQuestion& question) {
  // What is left after each further pose only shrinks. So first all of them, and then where the
  // last is that has room, by halves: that question is the dear one.
  std::vector<Region> left;
  for (size_t pose = from_pose; pose < question.poses.size(); ++pose) {
    Outcome<Region> still = view.Seen(left.empty() ? allowed : left.back(), question.poses[pose]);
    if (!still) return tl::unexpected(still.error());
    if (still->IsEmpty()) break;
    left.push_back(*still);
  }
  const auto without_room = std::ranges::partition_point(
      left, [&](const Region& ground) { return HasRoom(ground, question.room); });
  if (without_room == left.begin()) return std::nullopt;
  const auto seen = static_cast<size_t>(without_room - left.begin());
  SpotterStand stand = BestOf(left[seen - 1], question);
  stand.from_pose = from_pose;
  stand.to_pose = from_pose + seen - 1;
  stand.corner = CornerOf(question.poses[from_pose], stand.at);
  stand.error = MovesInView(question, stand);
  return stand;
}

std::string_view Name(Corner corner) {
  switch (corner) {
    case Corner::kLeftFront:
      return "left front";
    case Corner::kLeftRear:
      return "left rear";
    case Corner::kRightFront:
      return "right front";
    case Corner::kRightRear:
      return "right rear";
  }
  return "";
}

}  // namespace

Outcome<SpotterPlaces> PlacesForSpotter(const SpotterQuestion& question) {
  if (const auto wrong = Wrong(question)) return tl::unexpected(*wrong);
  const Region kept_off = *question.swept.Grown(question.standoff);
  const Region allowed = question.ground.Without(kept_off);
  const View view(question.zone);
  const size_t last = question.poses.size() - 1;

  SpotterPlaces places;
  for (size_t from_pose = 0;; from_pose = places.stands.back().to_pose) {
    const auto stand = LongestFrom(from_pose, allowed, view, question);
    if (!stand) return tl::unexpected(stand.error());
    if (!*stand) {
      places.unseen_pose = from_pose;
      break;
    }
    places.stands.push_back(**stand);
    if ((*stand)->to_pose == last) break;
    if ((*stand)->to_pose == from_pose) {
      places.unseen_pose = from_pose + 1;
      break;
    }
  }
  if (places.unseen_pose || places.stands.size() > 1) {
    places.verdict = Verdict::kConflict;
  } else {
    const SpotterStand& stand = places.stands.front();
    places.verdict = Judge(stand.clearance.metres(), stand.error.metres());
  }
  return places;
}

std::string DriversLine(const SpotterPlaces& places, UnitSystem system) {
  if (places.unseen_pose)
    return fmt::format("NO PLACE: spotter unseen at step {}", *places.unseen_pose + 1);
  if (places.stands.size() > 1)
    return fmt::format("{} PLACES: hold while the spotter walks", places.stands.size());
  const SpotterStand& stand = places.stands.front();
  return fmt::format("STAND {}, {} off the path: {}", Name(stand.corner),
                     Text(stand.off_path, system, Rounding::kDown),
                     places.verdict == Verdict::kClear ? "seen all the way"
                                                       : "sight not sure, take smaller steps");
}

}  // namespace chockwise::fit
