#include "services/fit/ride_rider.h"

#include <algorithm>
#include <cmath>

namespace chockwise::fit::riding {
namespace {

Range operator*(Range a, Range b) {
  const double low_low = a.lo * b.lo, low_high = a.lo * b.hi;
  const double high_low = a.hi * b.lo, high_high = a.hi * b.hi;
  return {std::min(std::min(low_low, low_high), std::min(high_low, high_high)),
          std::max(std::max(low_low, low_high), std::max(high_low, high_high))};
}
Range operator+(Range a, Range b) { return {a.lo + b.lo, a.hi + b.hi}; }
Range operator-(Range a, Range b) { return {a.lo - b.hi, a.hi - b.lo}; }
Range One() { return {1, 1}; }
/// 1 / a for what is known to be positive; a wide range that does not show it
/// has no bound.
Range Inverse(Range a) { return {1 / a.hi, a.lo > 1e-3 ? 1 / a.lo : 1e9}; }
Range Around(double a, double b, double more) {
  return {std::min(a, b) - more, std::max(a, b) + more};
}

}  // namespace

Rider::Height Rider::SupportAt(const Support& support, double x, Stance& stance) {
  Height sum;
  for (int i = 0; i < support.axles; ++i) {
    const size_t axle = static_cast<size_t>(support.first_axle + i);
    const Axle& wheel = machine_.axles[axle];
    WheelContact& contact = stance.wheels[axle];
    ground_.WheelAt(x + wheel.ahead, wheel.radius, contact);
    sum.z += contact.centre_z;
    sum.slope += contact.slope;
  }
  return {sum.z / support.axles, sum.slope / support.axles};
}

/// Where the rear support stands: on the ground, at its distance from the front
/// one. Newton's method between bounds that always hold the answer; from where
/// it ran last time.
BodyPoint Rider::SolveRear(size_t body_index, BodyPoint front, Stance& stance) {
  const Body& body = machine_.bodies[body_index];
  double lo = front.x - body.apart;
  double hi = front.x;
  double x = front.x - last_run_[body_index];
  double z = 0;
  for (int tries = 0; tries < 100; ++tries) {
    const Height rear = SupportAt(body.rear, x, stance);
    z = rear.z;
    const double dx = front.x - x;
    const double dz = front.z - rear.z;
    const double over = dx * dx + dz * dz - body.apart * body.apart;
    // Half a picometre for each metre between the supports.
    if (std::abs(over) <= 1e-12 * body.apart * body.apart) break;
    (over > 0 ? lo : hi) = x;
    double next = x + over / (2 * (dx + dz * rear.slope));
    if (!(next > lo && next < hi)) next = lo + (hi - lo) / 2;
    if (std::abs(next - x) <= 4e-16 * std::abs(x)) break;
    x = next;
  }
  last_run_[body_index] = front.x - x;
  return {x, z};
}

std::vector<Phase> Rider::PhasesBetween(double from_x, double to_x) {
  if (!machine_.track) return {{.from = from_x, .to = to_x}};
  std::vector<Phase> phases;
  double start = from_x;
  const int first = ground_.PieceAt(from_x, 0) + 1;
  for (int i = first; i < ground_.size() - 1 && ground_.x(i) < to_x; ++i) {
    if (ground_.x(i) <= from_x || !ground_.Crest(i)) continue;
    phases.push_back({.from = start, .to = ground_.x(i)});
    AddTipping(i, phases);
    start = ground_.x(i);
  }
  phases.push_back({.from = start, .to = to_x});
  return phases;
}

void Rider::Stand(const Phase& phase, double at, Stance& stance) {
  stance.at = at;
  stance.frames.resize(machine_.bodies.size());
  if (!machine_.track) return StandOnWheels(at, stance);
  if (phase.tips) return Tip(phase, at, stance);
  // At the end of a phase the mass is not yet over the point that it may tip
  // at.
  LieOnTrack(at, at < phase.to ? Edge::kBehind : Edge::kBefore, stance);
}

void Rider::StandOnWheels(double lead_x, Stance& stance) {
  stance.lead_x = lead_x;
  const size_t bodies = machine_.bodies.size();
  stance.wheels.resize(machine_.axles.size());
  stance.support_slope.resize(bodies);
  stance.support_run.resize(bodies);
  for (size_t i = 0; i < bodies; ++i) {
    const Body& body = machine_.bodies[i];
    const BodyPoint front = i == 0 ? BodyPoint{lead_x, SupportAt(body.front, lead_x, stance).z}
                                   : stance.frames[i - 1].At(machine_.bodies[i - 1].next_hangs_at);
    const BodyPoint rear = SolveRear(i, front, stance);
    const double run = front.x - rear.x;
    const double rise = front.z - rear.z;
    const double body_run = body.front.at.x - body.rear.at.x;
    const double body_rise = body.front.at.z - body.rear.at.z;
    const double scale = 1 / (std::sqrt(run * run + rise * rise) * body.apart);
    Frame& frame = stance.frames[i];
    frame.cos = (run * body_run + rise * body_rise) * scale;
    frame.sin = (rise * body_run - run * body_rise) * scale;
    frame.x = front.x - (frame.cos * body.front.at.x - frame.sin * body.front.at.z);
    frame.z = front.z - (frame.sin * body.front.at.x + frame.cos * body.front.at.z);
    stance.support_slope[i] = rise / run;
    stance.support_run[i] = run;
  }
}

/// Whether all wheels rolled on one straight piece from a to b: then everything
/// moves along it.
bool Rider::OnOneSlope(const Stance& a, const Stance& b) {
  const int key = a.wheels[0].key;
  if (key % 2 == 0) return false;
  for (size_t i = 0; i < a.wheels.size(); ++i) {
    if (a.wheels[i].key != key || b.wheels[i].key != key) return false;
  }
  return true;
}

Range Rider::SlopesUnder(const Support& support, const Stance& a, const Stance& b) const {
  Range sum = {0, 0};
  for (int i = 0; i < support.axles; ++i) {
    const size_t axle = static_cast<size_t>(support.first_axle + i);
    sum = sum + ground_.SlopesBetween(a.wheels[axle], b.wheels[axle], machine_.axles[axle].radius);
  }
  return {sum.lo / support.axles, sum.hi / support.axles};
}

/// A body whose front support moves at (vx, vz) and whose rear support follows
/// a path of slope m turns at ω = (vz − m·vx) / ((1 + p·m)·X), where p is the
/// slope and X the run from rear to front: from (vx − w) + p·(vz − w·m) = 0 for
/// the rear's speed w. A point (dx, dz) from the front support moves at (vx −
/// ω·dz, vz + ω·dx).
///
/// A gap whose rate stays within a range of width r over a length l is nowhere
/// more than r·l/4 below the line through its ends. The widths come from
/// intervals; what the body itself turns within l adds terms with ω·l, which
/// are bounded by 1.5·ω·l² + ω²·l²·reach.
void Rider::MotionBetween(const Phase& phase, const Stance& a, const Stance& b,
                          std::vector<Motion>& motions) {
  motions.resize(machine_.bodies.size());
  if (machine_.track) {
    motions[0] = TrackMotion(phase, a, b);
    return;
  }
  const double length = b.lead_x - a.lead_x;
  if (OnOneSlope(a, b)) {
    for (Motion& motion : motions) motion = {.drop = 0, .travel = length, .forward = true};
    return;
  }
  Range vx = One();
  Range vz = SlopesUnder(machine_.bodies[0].front, a, b);
  for (size_t i = 0; i < machine_.bodies.size(); ++i) {
    const Body& body = machine_.bodies[i];
    const Range m = SlopesUnder(body.rear, a, b);
    const Range along = vz - m * vx;
    Range p = Around(a.support_slope[i], b.support_slope[i], 0);
    Range run = Around(a.support_run[i], b.support_run[i], 0);
    Range turn;
    for (int rounds = 0; rounds < 2; ++rounds) {
      turn = along * Inverse((One() + p * m) * run);
      const double more = 1.5 * turn.Largest() * length;
      p = Around(a.support_slope[i], b.support_slope[i], more);
      run = Around(a.support_run[i], b.support_run[i], more * body.apart);
    }
    const double far = body.reach;
    const double omega = turn.Largest();
    Motion& motion = motions[i];
    motion.travel = length * (vx.Largest() + omega * far);
    motion.forward = vx.lo - omega * far > 0;
    const double width = vz.Width() + vx.Width() + turn.Width() * far;
    motion.drop = length * width / 4 + length * length * omega * (1.5 + omega * far);
    if (i + 1 == machine_.bodies.size()) break;
    const BodyPoint hang = {body.next_hangs_at.x - body.front.at.x,
                            body.next_hangs_at.z - body.front.at.z};
    const BodyPoint da = a.frames[i].Turned(hang);
    const BodyPoint db = b.frames[i].Turned(hang);
    const double more = 1.5 * omega * length * (std::abs(hang.x) + std::abs(hang.z));
    vz = vz + turn * Around(da.x, db.x, more);
    vx = vx - turn * Around(da.z, db.z, more);
  }
}

}  // namespace chockwise::fit::riding
