// Finds the least gap between a riding machine and one strip over or under it,
// with a bound on what lies between the positions that were tried. Private to
// the ride.
//
// Threads: one search, one thread.
#pragma once

#include <limits>
#include <vector>

#include "services/fit/ride_rider.h"

namespace chockwise::fit::riding {

inline constexpr double kNoGap = std::numeric_limits<double>::infinity();

/// What the machine passes: over its top, or under its bottom at a height above
/// the bare ground.
struct Passed {
  enum class Side { kTop, kBottom };
  Side side = Side::kBottom;
  double from = -kNoGap;
  double to = kNoGap;
  double height = 0;
};

struct Least {
  double gap = kNoGap;     // the least that was met
  double lowest = kNoGap;  // nothing between the positions is lower
  double x = 0;            // where on the lane
  double lead_x = 0;
  size_t body = 0;
  double body_x = 0;  // the point of the body
};

class Search {
 public:
  Search(Rider& rider, const Ground& bare) : rider_(rider), bare_(bare) {}

  /// Over all positions of the lead from `from_x` to `to_x`.
  Least Over(const Passed& passed, double from_x, double to_x);

 private:
  struct Foot {
    double x = 0;
    double z = 0;
    int piece = 0;
  };
  struct Nearest {
    double gap = kNoGap;
    double x = 0;
    double body_x = 0;
  };
  /// A stance with its outline on the side that is asked about.
  struct Placed {
    Stance stance;
    std::vector<Foot> outline;
    std::vector<Nearest> nearest;  // of each body, without widening
    std::vector<Range> reach;      // of each body, along the lane
  };

  void Place(const Phase& phase, double at, Placed& placed);
  void Survey(const Phase& phase);
  Nearest NearestOf(const Placed& placed, size_t body, double widening) const;
  double LowerBound(const Phase& phase, const Placed& a, const Placed& b);
  double BreaksPassed(const Placed& a, const Placed& b, size_t body, const Motion& motion) const;
  void Split(const Phase& phase, const Placed& a, const Placed& b, size_t depth);
  void SplitIfOpen(const Phase& phase, const Placed& a, const Placed& b, size_t depth);
  const std::vector<BodyPoint>& Outline(size_t body) const;

  Rider& rider_;
  const Ground& bare_;
  Passed passed_;
  Least least_;
  std::vector<size_t> first_;  // of each body's points in `outline`
  std::vector<Placed> pool_;
  std::vector<double> bounds_;
  std::vector<Motion> motions_;
  int budget_ = 0;
};

}  // namespace chockwise::fit::riding
