#include "services/fit/spotter_place.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"
#include "services/fit/spotter_search.h"

namespace chockwise::fit {
namespace {

constexpr size_t kMostPoses = 10'000;
constexpr size_t kMostOpaque = 1'000;
constexpr double kFarthestM = 1e5;
constexpr double kMostErrorPerM = 1;

bool OnYard(Point at) { return std::abs(at.x_m) <= kFarthestM && std::abs(at.y_m) <= kFarthestM; }

void CheckSight(const SightAlong& at, InputCheck& check) {
  if (at.poses.empty() || at.poses.size() > kMostPoses)
    check.Refuse({"poses", fmt::format("are {}", at.poses.size()), "1 to 10,000"});
  const auto on_yard = [](const Pose& pose) {
    return OnYard(pose.at) && std::abs(pose.heading_rad) <= kFarthestM;
  };
  if (!std::ranges::all_of(at.poses, on_yard))
    check.Refuse({"poses", "leave the yard or are not numbers", "points within 100 km"});
  const bool whole =
      std::ranges::none_of(at.zones, [](const BlindZone& zone) { return zone.sectors.empty(); });
  if (at.zones.empty() || at.zones.size() > 2 || !whole)
    check.Refuse({"zones", "are none, too many or without sectors",
                  "a blind zone of the machine, or one for each end of where the eye may be"});
  const auto is_ring = [](const Ring& ring) {
    return ring.size() >= 3 && std::ranges::all_of(ring, OnYard);
  };
  if (at.opaque.size() > kMostOpaque || !std::ranges::all_of(at.opaque, is_ring))
    check.Refuse({"opaque", "are too many or no rings", "1,000 rings at most, within 100 km"});
  check.NotNegative("place error", at.place_error, UpTo{InMetres(10)})
      .NotNegative("place error", at.error_per_m, UpTo{kMostErrorPerM});
}

std::optional<Unusable> Wrong(const SpotterQuestion& at) {
  InputCheck check;
  CheckSight(at.sight, check);
  check.Positive("standoff", at.standoff, UpTo{InMetres(200)})
      .Between("room", at.room, Span{InMetres(0.1), InMetres(10)});
  if (at.swept.IsEmpty()) check.Refuse({"swept", "is empty", "the ground that the machine covers"});
  if (at.ground.IsEmpty()) check.Refuse({"ground", "is empty", "where a spotter may stand"});
  if (check.failed()) return check.error();
  return std::nullopt;
}

Corner CornerOf(const Pose& pose, Point at) {
  const Point along = Unit(pose.heading_rad);
  const bool front = Dot(along, at - pose.at) >= 0;
  const bool left = Cross(along, at - pose.at) >= 0;
  if (front) return left ? Corner::kLeftFront : Corner::kRightFront;
  return left ? Corner::kLeftRear : Corner::kRightRear;
}

/// Where a stand is, and over which poses.
struct Post {
  SpotterSearch::Found found;
  size_t from_pose = 0;
  size_t to_pose = 0;
};

/// Each as long as any could be from where it begins, which gives the fewest. The last ends at the
/// last pose, or before one that no post sees together with the one before it.
std::vector<Post> Fewest(const SpotterSearch& search, size_t last) {
  std::vector<Post> posts;
  size_t from_pose = 0;
  while (const auto found = search.LongestFrom(from_pose, last)) {
    const size_t to_pose = from_pose + found->seen - 1;
    // Nobody who is seen here is seen at the next pose; whoever stood here before goes on alone.
    if (to_pose == from_pose && !posts.empty()) break;
    posts.push_back({.found = *found, .from_pose = from_pose, .to_pose = to_pose});
    if (to_pose == last || to_pose == from_pose) break;
    from_pose = to_pose;
  }
  return posts;
}

/// As many posts, and every one but the last no longer than until the next is seen, for then it may
/// be nearer to the path.
void BringNearer(const SpotterSearch& search, const SightLines& lines, double room_m,
                 std::vector<Post>& posts) {
  for (size_t i = posts.size(); i-- > 1;) {
    Post& post = posts[i];
    const Standing person{.at = post.found.at, .room_m = room_m};
    post.from_pose = std::max(lines.SeenSince(post.from_pose, person), posts[i - 1].from_pose);
    Post& before = posts[i - 1];
    before.to_pose = post.from_pose;
    const auto nearer = search.LongestFrom(before.from_pose, before.to_pose);
    if (nearer && before.from_pose + nearer->seen > before.to_pose) before.found = *nearer;
  }
}

SpotterStand StandAt(const Post& post, const SightLines& lines, const Pose& pose) {
  return {.at = post.found.at,
          .from_pose = post.from_pose,
          .to_pose = post.to_pose,
          .corner = CornerOf(pose, post.found.at),
          .off_path = InMetres(post.found.off_path_m),
          .farthest = InMetres(lines.FarthestM(post.from_pose, post.to_pose, post.found.at))};
}

}  // namespace

Outcome<SpotterPlaces> PlacesForSpotter(const SpotterQuestion& question) {
  if (const auto wrong = Wrong(question)) return tl::unexpected(*wrong);
  const Region kept_off = *question.swept.Grown(question.standoff);
  const Region inside = *question.ground.Without(kept_off).Inset(question.room);
  SpotterPlaces places;
  if (inside.IsEmpty()) {
    places.unseen_pose = 0;
    return places;
  }
  const SightLines lines(question.sight);
  const SpotterSearch search(
      lines, {.inside = inside, .swept = question.swept, .room_m = question.room.metres()});
  const size_t last = lines.poses() - 1;
  std::vector<Post> posts = Fewest(search, last);
  if (posts.empty()) {
    places.unseen_pose = 0;
    return places;
  }
  if (posts.back().to_pose < last) places.unseen_pose = posts.back().to_pose + 1;
  BringNearer(search, lines, question.room.metres(), posts);
  for (const Post& post : posts)
    places.stands.push_back(StandAt(post, lines, question.sight.poses[post.from_pose]));
  if (!places.unseen_pose && places.stands.size() == 1) places.verdict = Verdict::kClear;
  return places;
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

std::string DriversLine(const SpotterPlaces& places, UnitSystem system, std::string_view where) {
  if (places.unseen_pose) {
    const std::string step = fmt::format("at step {}", *places.unseen_pose + 1);
    return fmt::format("NO PLACE: spotter unseen {}", where.empty() ? step : where);
  }
  if (places.stands.size() > 1)
    return fmt::format("{} PLACES: hold while the spotter walks", places.stands.size());
  const SpotterStand& stand = places.stands.front();
  const std::string corner = fmt::format("{}, {} off the path", Name(stand.corner),
                                         Text(stand.off_path, system, Rounding::kDown));
  return fmt::format("STAND {}: seen all the way", where.empty() ? corner : where);
}

}  // namespace chockwise::fit
