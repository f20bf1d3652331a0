#include "tests/fit/ride_reference.h"

#include <algorithm>
#include <cmath>

namespace chockwise::fit {
namespace {

using Real = long double;

Real M(Metres length) { return length.metres(); }

}  // namespace

SlowRide::SlowRide(const RidingMachine& machine, const LaneProfile& lane)
    : machine_(machine), lane_(lane) {
  for (const ProfilePoint& point : lane.ground)
    bare_.push_back({M(point.along), M(point.elevation)});
  // A kilometre more at both ends, on the last grades.
  const auto on = [](Spot a, Spot b) {
    return Spot{b.x + 1000 * (b.x - a.x), b.z + 1000 * (b.z - a.z)};
  };
  const Spot before = on(bare_[1], bare_[0]);
  const Spot beyond = on(bare_[bare_.size() - 2], bare_.back());
  bare_.insert(bare_.begin(), before);
  bare_.push_back(beyond);
  const bool tracked = machine.units[0].tracks.has_value();
  std::vector<Real> corners;
  for (const Spot& spot : bare_) {
    bool on_a_sill = false;
    for (const LaneSill& sill : lane.sills) {
      const Real side = tracked ? 2 * M(sill.height) : 0;
      on_a_sill |= spot.x >= M(sill.from) - side && spot.x <= M(sill.to) + side;
    }
    if (!on_a_sill) walked_.push_back(spot);
  }
  for (const LaneSill& sill : lane.sills) {
    const Real side = tracked ? 2 * M(sill.height) : 0;
    const Real from = M(sill.from);
    const Real to = M(sill.to);
    const Real up = M(sill.height);
    std::vector<Spot> strip = {{from - side, Bare(from - side)}, {from, Bare(from) + up}};
    for (const Spot& spot : bare_) {
      if (spot.x > from && spot.x < to) strip.push_back({spot.x, spot.z + up});
    }
    strip.push_back({to, Bare(to) + up});
    strip.push_back({to + side, Bare(to + side)});
    const auto place = std::ranges::find_if(walked_, [&](Spot s) { return s.x > from; });
    walked_.insert(place, strip.begin(), strip.end());
  }
  for (const RidingUnit& unit : machine.units) {
    length_ += M(std::max(unit.top.back().behind_front, unit.bottom.back().behind_front));
    if (!unit.groups.empty()) length_ += M(unit.groups.back().behind_front);
  }
  placed_.resize(machine.units.size());
}

Real SlowRide::Bare(Real x) const {
  size_t i = 1;
  while (i + 1 < bare_.size() && bare_[i].x < x) ++i;
  const Spot& a = bare_[i - 1];
  const Spot& b = bare_[i];
  return a.z + (b.z - a.z) * (x - a.x) / (b.x - a.x);
}

Real SlowRide::WheelCentre(Real x, Real radius) const {
  if (radius == 0) return Bare(x);
  Real best = -1e30L;
  for (size_t i = 1; i < walked_.size(); ++i) {
    const Spot& a = walked_[i - 1];
    const Spot& b = walked_[i];
    const Real lo = std::max(a.x, x - radius);
    const Real hi = std::min(b.x, x + radius);
    if (lo > hi) continue;
    const Real run = b.x - a.x;
    const Real slope = run > 0 ? (b.z - a.z) / run : 0;
    // On one piece the height of the circles is concave, so its top is where they are clamped to.
    const Real top = std::clamp(x + radius * slope / std::sqrt(1 + slope * slope), lo, hi);
    const Real ground = run > 0 ? a.z + slope * (top - a.x) : std::max(a.z, b.z);
    best = std::max(
        best, ground + std::sqrt(std::max(Real(0), (radius - (top - x)) * (radius + (top - x)))));
  }
  return best;
}

Real SlowRide::GroupCentre(const AxleGroup& group, Real x) const {
  Real sum = 0;
  for (int i = 0; i < group.axles; ++i) {
    sum +=
        WheelCentre(x + (Real(group.axles - 1) / 2 - i) * M(group.spacing), M(group.wheel_radius));
  }
  return sum / group.axles;
}

/// The rear lies on a circle about the front: which angle puts it on the ground. The secant's way
/// from a near angle, and where that fails the Illinois way from both ends.
Real SlowRide::RearAngle(const AxleGroup& rear, Spot front, Real apart, Real near) const {
  const auto above = [&](Real angle) {
    return front.z - apart * std::sin(angle) - GroupCentre(rear, front.x - apart * std::cos(angle));
  };
  constexpr Real kGround = 1e-16L;
  Real a = near - 1e-3L;
  Real b = near;
  Real at_a = above(a);
  Real at_b = above(b);
  for (int tries = 0; tries < 12 && std::abs(at_b) > kGround && at_a != at_b; ++tries) {
    const Real next = std::clamp(b - at_b * (b - a) / (at_b - at_a), -1.4L, 1.4L);
    a = b;
    at_a = at_b;
    b = next;
    at_b = above(b);
  }
  if (std::abs(at_b) <= 1e-14L) return b;
  Real lo = -1.4L;
  Real hi = 1.4L;
  Real at_lo = above(lo);
  Real at_hi = above(hi);
  Real angle = 0;
  for (int tries = 0; tries < 100 && hi - lo > 1e-17L; ++tries) {
    angle = (lo * at_hi - hi * at_lo) / (at_hi - at_lo);
    const Real at = above(angle);
    if (std::abs(at) < kGround) break;
    const bool upper = (at > 0) == (at_hi > 0);
    (upper ? hi : lo) = angle;
    (upper ? at_hi : at_lo) = at;
    (upper ? at_lo : at_hi) /= 2;
  }
  return angle;
}

void SlowRide::Stand(Real lead) {
  if (machine_.units[0].tracks) return StandOnTracks(lead);
  for (size_t i = 0; i < machine_.units.size(); ++i) {
    const RidingUnit& unit = machine_.units[i];
    const AxleGroup& rear = unit.groups.back();
    const Spot body_rear = {-M(rear.behind_front), M(rear.wheel_radius)};
    Spot body_front;
    Spot front;
    if (i == 0) {
      body_front = {-M(unit.groups[0].behind_front), M(unit.groups[0].wheel_radius)};
      front = {lead, GroupCentre(unit.groups[0], lead)};
    } else {
      const Coupling& hitch = *machine_.units[i - 1].next_hangs_at;
      body_front = {-M(unit.coupled_by->behind_front), M(unit.coupled_by->height)};
      front = World(i - 1, M(hitch.behind_front), M(hitch.height));
    }
    const Real apart = std::hypot(body_front.x - body_rear.x, body_front.z - body_rear.z);
    const Real angle = RearAngle(rear, front, apart, placed_[i].angle);
    const Real level = std::atan2(body_front.z - body_rear.z, body_front.x - body_rear.x);
    Placed& placed = placed_[i];
    placed.angle = angle;
    placed.cos = std::cos(angle - level);
    placed.sin = std::sin(angle - level);
    placed.x = front.x - placed.cos * body_front.x + placed.sin * body_front.z;
    placed.z = front.z - placed.sin * body_front.x - placed.cos * body_front.z;
  }
}

/// The line over the centre of mass that no ground under the track stands above and that is lowest
/// there: found among all lines through two points of that ground.
void SlowRide::StandOnTracks(Real lead) {
  const Tracks& tracks = *machine_.units[0].tracks;
  const auto ground = [&](Real x) {
    size_t i = 1;
    while (i + 1 < walked_.size() && walked_[i].x <= x) ++i;
    const Spot& a = walked_[i - 1];
    const Spot& b = walked_[i];
    return a.z + (b.z - a.z) * (x - a.x) / (b.x - a.x);
  };
  Real slope = 0;
  Real height = 0;
  Real foot = lead;
  for (int tries = 0; tries < 200; ++tries) {
    const Real cos = 1 / std::sqrt(1 + slope * slope);
    foot = lead + M(tracks.centre_of_mass_high) * slope * cos;
    const Real from = foot - M(tracks.rear_end - tracks.centre_of_mass) * cos;
    const Real to = foot + M(tracks.centre_of_mass - tracks.front_end) * cos;
    std::vector<Spot> under = {{from, ground(from)}};
    for (const Spot& spot : walked_) {
      if (spot.x > from && spot.x < to) under.push_back(spot);
    }
    under.push_back({to, ground(to)});
    Real highest = -1e30L;
    const Real before = slope;
    for (const Spot& a : under) {
      for (const Spot& b : under) {
        if (!(a.x <= lead && b.x > lead)) continue;
        const Real through = (b.z - a.z) / (b.x - a.x);
        const Real at = a.z + through * (lead - a.x);
        if (at > highest) {
          highest = at;
          slope = through;
        }
      }
    }
    height = highest;
    stands_ = highest > -1e29L;
    if (!stands_) return;  // on the edge of a sill it tips off its track: no place to compare
    if (std::abs(slope - before) < 1e-18L) break;
  }
  Placed& placed = placed_[0];
  placed.cos = 1 / std::sqrt(1 + slope * slope);
  placed.sin = slope * placed.cos;
  placed.x = foot + placed.cos * M(tracks.centre_of_mass);
  placed.z = height + slope * (foot - lead) + placed.sin * M(tracks.centre_of_mass);
}

SlowRide::Spot SlowRide::World(size_t unit, Real behind, Real height) const {
  const Placed& placed = placed_[unit];
  return {placed.x - placed.cos * behind - placed.sin * height,
          placed.z - placed.sin * behind + placed.cos * height};
}

Real SlowRide::OverAt(size_t overhead, Real lead) {
  Stand(lead);
  if (!stands_) return 1e9L;
  const Overhead& over = lane_.overheads[overhead];
  std::vector<Real> places = {M(over.from), M(over.to)};
  for (const Spot& spot : bare_) {
    if (spot.x > M(over.from) && spot.x < M(over.to)) places.push_back(spot.x);
  }
  Real least = 1e9L;
  for (size_t i = 0; i < machine_.units.size(); ++i) {
    const std::vector<OutlinePoint>& top = machine_.units[i].top;
    for (size_t k = 0; k < top.size(); ++k) {
      const Spot a = World(i, M(top[k].behind_front), M(top[k].height));
      if (a.x >= M(over.from) && a.x <= M(over.to)) {
        least = std::min(least, Bare(a.x) + M(over.clear_height) - a.z);
      }
      if (k == 0) continue;
      const Spot b = World(i, M(top[k - 1].behind_front), M(top[k - 1].height));
      for (const Real x : places) {
        if (x < std::min(a.x, b.x) || x > std::max(a.x, b.x) || a.x == b.x) continue;
        const Real z = a.z + (b.z - a.z) * (x - a.x) / (b.x - a.x);
        least = std::min(least, Bare(x) + M(over.clear_height) - z);
      }
    }
  }
  return least;
}

Real SlowRide::BelowAt(Real lead) {
  Stand(lead);
  if (!stands_) return 1e9L;
  // Sills stand upright under a belly, whatever the running gear meets of them.
  const auto highest_at = [&](Real x) {
    Real up = 0;
    for (const LaneSill& sill : lane_.sills) {
      if (x >= M(sill.from) && x <= M(sill.to)) up = std::max(up, M(sill.height));
    }
    return Bare(x) + up;
  };
  std::vector<Real> places;
  for (const Spot& spot : bare_) places.push_back(spot.x);
  for (const LaneSill& sill : lane_.sills) {
    places.push_back(M(sill.from));
    places.push_back(M(sill.to));
  }
  Real least = 1e9L;
  for (size_t i = 0; i < machine_.units.size(); ++i) {
    const std::vector<OutlinePoint>& bottom = machine_.units[i].bottom;
    for (size_t k = 0; k < bottom.size(); ++k) {
      const Spot a = World(i, M(bottom[k].behind_front), M(bottom[k].height));
      least = std::min(least, a.z - highest_at(a.x));
      if (k == 0) continue;
      const Spot b = World(i, M(bottom[k - 1].behind_front), M(bottom[k - 1].height));
      for (const Real x : places) {
        if (x < std::min(a.x, b.x) || x > std::max(a.x, b.x) || a.x == b.x) continue;
        least = std::min(least, a.z + (b.z - a.z) * (x - a.x) / (b.x - a.x) - highest_at(x));
      }
    }
  }
  return least;
}

template <class Gap>
SlowGap SlowRide::Zoom(Real from, Real to, Gap gap) {
  SlowGap least;
  Real width = to - from;
  int steps = static_cast<int>(width / 0.2L) + 1;
  Real start = from;
  for (int rounds = 0; rounds < 9; ++rounds) {
    for (int i = 0; i <= steps; ++i) {
      const Real lead = start + width * i / steps;
      const Real at = gap(lead);
      if (at < least.gap) least = {at, lead};
    }
    // Around the best, two of the last steps wide.
    width = 2 * width / steps;
    start = least.lead - width / 2;
    steps = 8;
  }
  return least;
}

SlowGap SlowRide::LeastOver(size_t overhead) {
  const Overhead& over = lane_.overheads[overhead];
  return Zoom(M(over.from) - 3, M(over.to) + length_ + 3,
              [&](Real lead) { return OverAt(overhead, lead); });
}

SlowGap SlowRide::LeastBelow() {
  return Zoom(M(lane_.ground.front().along) - 3, M(lane_.ground.back().along) + length_ + 3,
              [&](Real lead) { return BelowAt(lead); });
}

}  // namespace chockwise::fit
