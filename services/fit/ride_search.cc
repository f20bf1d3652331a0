#include "services/fit/ride_search.h"

#include <algorithm>
#include <cmath>

namespace chockwise::fit::riding {
namespace {

constexpr double kStepM = 0.5;           // first positions; all further ones where they matter
constexpr double kTurnStep = 0.05;       // radians, likewise
constexpr double kResolutionM = 1e-4;    // a gap is searched down to this
constexpr double kShortestStepM = 1e-6;  // below it nothing is split
constexpr double kWideningM = 1e-6;      // of every strip, so that an edge that touches counts
constexpr size_t kDeepest = 24;

int Steps(const Phase& phase) {
  const double step = phase.tips ? kTurnStep : kStepM;
  return std::max(1, static_cast<int>(std::ceil((phase.to - phase.from) / step)));
}

double StepAt(const Phase& phase, int i) {
  const int steps = Steps(phase);
  return i == steps ? phase.to : phase.from + (phase.to - phase.from) * i / steps;
}

}  // namespace

const std::vector<BodyPoint>& Search::Outline(size_t body) const {
  const Body& of = rider_.machine().bodies[body];
  return passed_.side == Passed::Side::kTop ? of.top : of.bottom;
}

void Search::Place(const Phase& phase, double at_phase, Placed& placed) {
  rider_.Stand(phase, at_phase, placed.stance);
  const size_t bodies = rider_.machine().bodies.size();
  placed.outline.resize(first_.back());
  placed.nearest.resize(bodies);
  placed.reach.resize(bodies);
  for (size_t body = 0; body < bodies; ++body) {
    const Frame& frame = placed.stance.frames[body];
    Foot* foot = &placed.outline[first_[body]];
    Range reach;
    for (const BodyPoint& point : Outline(body)) {
      const BodyPoint at = frame.At(point);
      foot->x = at.x;
      foot->z = at.z;
      foot->piece = bare_.PieceAt(at.x, foot->piece);
      reach.Take(at.x);
      ++foot;
    }
    placed.reach[body] = reach;
    placed.nearest[body] = NearestOf(placed, body, 0);
    const Nearest& nearest = placed.nearest[body];
    if (nearest.gap < least_.gap) {
      least_ = {.gap = nearest.gap,
                .lowest = least_.lowest,
                .x = nearest.x,
                .lead_x = placed.stance.lead_x,
                .body = body,
                .body_x = nearest.body_x};
    }
  }
}

/// The least gap of one body to the strip, widened on both sides. The gap
/// between two chains of straight pieces is least at a point of one of them or
/// at an end of the strip.
Search::Nearest Search::NearestOf(const Placed& placed, size_t body, double widening) const {
  const double lo = passed_.from - kWideningM - widening;
  const double hi = passed_.to + kWideningM + widening;
  const double sign = passed_.side == Passed::Side::kTop ? -1 : 1;
  const std::vector<BodyPoint>& points = Outline(body);
  const Foot* feet = &placed.outline[first_[body]];
  Nearest nearest;
  if (placed.reach[body].hi < lo || placed.reach[body].lo > hi) return nearest;
  const auto consider = [&](double x, double z, double ground, double body_x) {
    const double gap = sign * (z - ground - passed_.height);
    if (gap < nearest.gap) nearest = {gap, x, body_x};
  };
  for (size_t k = 0; k < points.size(); ++k) {
    const Foot& foot = feet[k];
    if (foot.x >= lo && foot.x <= hi) {
      consider(foot.x, foot.z, bare_.HeightAt(foot.x, foot.piece), points[k].x);
    }
    if (k + 1 == points.size()) break;
    const bool rising = foot.x <= feet[k + 1].x;
    const Foot& left = rising ? foot : feet[k + 1];
    const Foot& right = rising ? feet[k + 1] : foot;
    const double from = std::max(left.x, lo);
    const double to = std::min(right.x, hi);
    if (!(from < to)) continue;
    const double slope = (right.z - left.z) / (right.x - left.x);
    const double body_slope = (points[k + 1].x - points[k].x) / (feet[k + 1].x - foot.x);
    const auto consider_edge = [&](double x, double ground) {
      consider(x, left.z + slope * (x - left.x), ground, points[k].x + body_slope * (x - foot.x));
    };
    if (from > left.x) consider_edge(from, bare_.HeightAt(from, bare_.PieceAt(from, left.piece)));
    if (to < right.x) consider_edge(to, bare_.HeightAt(to, bare_.PieceAt(to, right.piece)));
    for (int i = left.piece + 1; i <= right.piece; ++i) {
      if (bare_.x(i) >= from && bare_.x(i) <= to) consider_edge(bare_.x(i), bare_.z(i));
    }
  }
  return nearest;
}

/// By how much the slope of the ground turns toward the machine under any one
/// point of the outline and about the ends of the strip: down on the way under
/// a bottom (a crest), up over a top (a sag). A turn away lets a gap only stay
/// above the line through its ends.
double Search::BreaksPassed(const Placed& a, const Placed& b, size_t body,
                            const Motion& motion) const {
  const Turn turn = passed_.side == Passed::Side::kBottom ? Turn::kDown : Turn::kUp;
  double breaks = 0;
  for (size_t k = first_[body]; k < first_[body + 1]; ++k) {
    const Foot& foot_a = a.outline[k];
    const Foot& foot_b = b.outline[k];
    const double first_x = std::min(foot_a.x, foot_b.x);
    const double last_x = std::max(foot_a.x, foot_b.x);
    if (last_x + motion.travel < passed_.from || first_x - motion.travel > passed_.to) continue;
    if (motion.forward) {
      if (foot_a.piece == foot_b.piece) continue;
      breaks = std::max(breaks, bare_.GreatestTurn(foot_a.piece, foot_b.piece, turn));
    } else {
      breaks = std::max(
          breaks,
          bare_.SlopesOver(first_x - motion.travel, last_x + motion.travel, foot_a.piece).Width());
    }
  }
  if (std::isinf(passed_.from)) return breaks;
  const int hint = a.outline[first_[body]].piece;
  for (const double end : {passed_.from, passed_.to}) {
    const double around = motion.travel + kWideningM;
    breaks = std::max(breaks, bare_.SlopesOver(end - around, end + around, hint).Width());
  }
  return breaks;
}

/// What no gap between `a` and `b` falls below.
///
/// A point of the outline that is within the strip somewhere between them is
/// within the widened strip at both, and its gap stays above the lower of the
/// two but for the motion's drop. A break of the ground under it counts with a
/// quarter of its travel; a point of the ground under a straight piece of the
/// outline is counted with the outline's next corner, which it may be short of
/// by the travel: together 1.25.
double Search::LowerBound(const Phase& phase, const Placed& a, const Placed& b) {
  rider_.MotionBetween(phase, a.stance, b.stance, motions_);
  double bound = kNoGap;
  const bool endless = std::isinf(passed_.from);
  for (size_t body = 0; body < motions_.size(); ++body) {
    const Motion& motion = motions_[body];
    const double gap = endless ? std::min(a.nearest[body].gap, b.nearest[body].gap)
                               : std::min(NearestOf(a, body, motion.travel).gap,
                                          NearestOf(b, body, motion.travel).gap);
    if (gap == kNoGap) continue;
    const double breaks = BreaksPassed(a, b, body, motion);
    bound = std::min(bound, gap - motion.drop - 1.25 * motion.travel * breaks);
  }
  return bound;
}

void Search::SplitIfOpen(const Phase& phase, const Placed& a, const Placed& b, size_t depth) {
  const double bound = LowerBound(phase, a, b);
  if (bound >= least_.gap - kResolutionM || b.stance.at - a.stance.at < kShortestStepM ||
      depth >= kDeepest || budget_ <= 0) {
    least_.lowest = std::min(least_.lowest, bound);
    return;
  }
  Split(phase, a, b, depth);
}

void Search::Split(const Phase& phase, const Placed& a, const Placed& b, size_t depth) {
  --budget_;
  Placed& middle = pool_[depth];
  Place(phase, a.stance.at + (b.stance.at - a.stance.at) / 2, middle);
  SplitIfOpen(phase, a, middle, depth + 1);
  SplitIfOpen(phase, middle, b, depth + 1);
}

/// Its first positions, and a bound for each step between them.
void Search::Survey(const Phase& phase) {
  const int steps = Steps(phase);
  Placed* a = &pool_[kDeepest];
  Placed* b = &pool_[kDeepest + 1];
  Place(phase, StepAt(phase, 0), *a);
  for (int i = 0; i < steps; ++i) {
    Place(phase, StepAt(phase, i + 1), *b);
    bounds_.push_back(LowerBound(phase, *a, *b));
    std::swap(a, b);
  }
}

Least Search::Over(const Passed& passed, double from_x, double to_x) {
  passed_ = passed;
  least_ = {};
  first_.assign(1, 0);
  for (size_t body = 0; body < rider_.machine().bodies.size(); ++body) {
    first_.push_back(first_.back() + Outline(body).size());
  }
  pool_.resize(kDeepest + 2);
  bounds_.clear();
  const std::vector<Phase> phases = rider_.PhasesBetween(from_x, to_x);
  for (const Phase& phase : phases) Survey(phase);
  budget_ = 4000 + 40 * static_cast<int>(bounds_.size());
  // Then only what may still hold a lower gap than any position that was tried.
  size_t next = 0;
  for (const Phase& phase : phases) {
    for (int i = 0; i < Steps(phase); ++i) {
      const double bound = bounds_[next++];
      if (bound >= least_.gap - kResolutionM) {
        least_.lowest = std::min(least_.lowest, bound);
        continue;
      }
      Place(phase, StepAt(phase, i), pool_[kDeepest]);
      Place(phase, StepAt(phase, i + 1), pool_[kDeepest + 1]);
      Split(phase, pool_[kDeepest], pool_[kDeepest + 1], 0);
    }
  }
  return least_;
}

}  // namespace chockwise::fit::riding
