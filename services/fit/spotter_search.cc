#include "services/fit/spotter_search.h"

#include <algorithm>
#include <numbers>
#include <queue>
#include <tuple>
#include <vector>

namespace chockwise::fit {
namespace {

/// A square is halved until it is no wider than this.
constexpr double kLeastHalfM = 0.125;
/// A large square that is hidden at all is mostly hidden for long: few poses are asked.
constexpr double kPosesPerMetre = 4;
constexpr size_t kFewestAsked = 8;

}  // namespace

struct SpotterSearch::State {
  size_t from_pose = 0;
  size_t most = 0;  // poses that are asked for
  std::optional<Found> best = {};
  std::priority_queue<Square, std::vector<Square>, Later> squares = {};

  bool Beats(size_t seen, double off_path_m) const {
    if (!best) return seen > 0;
    return seen > best->seen ||
           (seen == best->seen && off_path_m < best->off_path_m - kSearchStep.metres() / 2);
  }
};

/// Ties by place, so that equal questions have equal answers.
bool SpotterSearch::Later::operator()(const Square& a, const Square& b) const {
  const auto rank = [](const Square& square) {
    return std::tuple(square.seen_at_most, -square.off_path_at_least_m, square.half_m,
                      -square.middle.x_m, -square.middle.y_m);
  };
  return rank(a) < rank(b);
}

SpotterSearch::SpotterSearch(const SightLines& lines, SearchedGround ground)
    : lines_(lines),
      inside_(std::move(ground.inside)),
      swept_(std::move(ground.swept)),
      room_m_(ground.room_m) {
  Point low{1e9, 1e9}, high{-1e9, -1e9};
  for (const Outline& outline : inside_.region().Outlines()) {
    for (const Point point : outline.outer) {
      low = {std::min(low.x_m, point.x_m), std::min(low.y_m, point.y_m)};
      high = {std::max(high.x_m, point.x_m), std::max(high.y_m, point.y_m)};
    }
  }
  all_ = {.middle = 0.5 * (low + high),
          .half_m = std::max({high.x_m - low.x_m, high.y_m - low.y_m, kLeastHalfM}) / 2};
}

std::optional<SpotterSearch::Found> SpotterSearch::LongestFrom(size_t pose, size_t to_pose) const {
  State state{.from_pose = pose, .most = to_pose + 1 - pose};
  Square all = all_;
  all.seen_at_most = state.most;
  all.fails_at = pose;
  Look(all, state);
  while (!state.squares.empty()) {
    const Square square = state.squares.top();
    state.squares.pop();
    if (!state.Beats(square.seen_at_most, square.off_path_at_least_m)) break;
    const double half_m = square.half_m / 2;
    for (const double x : {-half_m, half_m}) {
      for (const double y : {-half_m, half_m}) {
        Square part = square;
        part.middle = square.middle + Point{x, y};
        part.half_m = half_m;
        Look(part, state);
      }
    }
  }
  return state.best;
}

void SpotterSearch::Look(Square square, State& state) const {
  const double corner_m = square.half_m * std::numbers::sqrt2;
  const double outside_m = inside_.DistanceTo(square.middle)->metres();
  if (outside_m > corner_m) return;
  const double off_path_m = swept_.DistanceTo(square.middle)->metres();
  square.off_path_at_least_m = std::max(square.off_path_at_least_m, off_path_m - corner_m);
  if (!state.Beats(square.seen_at_most, square.off_path_at_least_m)) return;
  square.seen_at_most = SeenAtMost(square, state.from_pose);
  if (!state.Beats(square.seen_at_most, square.off_path_at_least_m)) return;
  if (outside_m == 0 && state.Beats(square.seen_at_most, off_path_m)) {
    const size_t all_seen =
        lines_.SeenFrom(state.from_pose, {.at = square.middle, .room_m = room_m_});
    const size_t seen = std::min(all_seen, state.most);
    if (state.Beats(seen, off_path_m))
      state.best = Found{.at = square.middle, .seen = seen, .off_path_m = off_path_m};
    square.fails_at = std::min(state.from_pose + all_seen, lines_.poses() - 1);
  }
  if (square.half_m > kLeastHalfM) state.squares.push(square);
}

size_t SpotterSearch::SeenAtMost(const Square& square, size_t from_pose) const {
  const double corner_m = square.half_m * std::numbers::sqrt2;
  const Standing person{.at = square.middle, .room_m = room_m_};
  size_t seen = square.seen_at_most;
  if (square.fails_at < from_pose + seen &&
      lines_.HidesAllWithin(corner_m, square.fails_at, person))
    seen = square.fails_at - from_pose;
  const auto asked = static_cast<size_t>(kPosesPerMetre / square.half_m) + kFewestAsked;
  const size_t stride = std::max<size_t>(1, lines_.poses() / asked);
  for (size_t pose = from_pose; pose < from_pose + seen; pose += stride) {
    if (lines_.HidesAllWithin(corner_m, pose, person)) return pose - from_pose;
  }
  return seen;
}

}  // namespace chockwise::fit
