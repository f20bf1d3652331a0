// Of all the ground where a spotter may stand, the spot that is seen longest, and of those the
// nearest to the path. Private to the room.
//
//   const SpotterSearch search(lines, {.inside = ..., .swept = ..., .room_m = 0.5});
//   if (const auto found = search.LongestFrom(0, last)) Show(found->at);
//
// Threads: one.
#pragma once

#include <optional>

#include "services/fit/planar.h"
#include "services/fit/sight_lines.h"

namespace chockwise::fit {

struct SearchedGround {
  Region inside;  // every point of it has the room around it; not empty
  Region swept;   // not empty
  double room_m = 0;
};

/// Halves squares of ground, the most promising first. A square is left where it surely holds no
/// better spot: none of the ground, or all of it hidden from a pose, or farther from the path. Its
/// middle is a find where it is surely seen. So whatever is found holds; and it is within
/// kSearchStep of the best, of all spots that have half a metre more of room than was asked for.
/// Cost: grows with the length of the border between what is seen and what is hidden.
class SpotterSearch {
 public:
  SpotterSearch(const SightLines& lines, SearchedGround ground);

  struct Found {
    Point at;
    size_t seen = 0;  // from so many poses without a gap; 1 or more
    double off_path_m = 0;
  };
  /// Of the poses from one to another, both in. nullopt: no spot is seen from the first.
  std::optional<Found> LongestFrom(size_t pose, size_t to_pose) const;

 private:
  struct Square {
    Point middle;
    double half_m = 0;
    size_t seen_at_most = 0;
    double off_path_at_least_m = 0;
    size_t fails_at = 0;  // a pose from which the middle of the square around it is not seen
  };
  struct Later {
    bool operator()(const Square& a, const Square& b) const;
  };
  struct State;
  void Look(Square square, State& state) const;
  size_t SeenAtMost(const Square& square, size_t from_pose) const;

  const SightLines& lines_;
  PreparedRegion inside_;
  PreparedRegion swept_;
  double room_m_;
  Square all_;
};

inline constexpr Metres kSearchStep = InMetres(0.3);

}  // namespace chockwise::fit
