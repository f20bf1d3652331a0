// A tracked machine on the ground: it lies on the two highest points beside its
// centre of mass, and tips over a point of the ground as the mass passes it.

#include <algorithm>
#include <cmath>

#include "services/fit/ride_rider.h"

namespace chockwise::fit::riding {

/// The line of the track is the edge, over the centre of mass, of the hull of
/// the ground under the track. Which ground that is depends on the pitch, in
/// second order: iterated until it stands.
void Rider::LieOnTrack(double lead_x, Edge over, Stance& stance) {
  const Track& track = *machine_.track;
  const auto add = [this](HullPoint point) {
    while (hull_.size() >= 2) {
      const BodyPoint& a = hull_[hull_.size() - 2].at;
      const BodyPoint& b = hull_.back().at;
      const double turn = (b.x - a.x) * (point.at.z - a.z) - (b.z - a.z) * (point.at.x - a.x);
      if (turn < 0) break;
      hull_.pop_back();
    }
    hull_.push_back(point);
  };
  double slope = last_track_slope_;
  double foot_x = lead_x;
  size_t edge = 1;
  for (int tries = 0; tries < 200; ++tries) {
    const double cos = 1 / std::sqrt(1 + slope * slope);
    foot_x = lead_x + track.centre_of_mass.z * slope * cos;
    const double from = foot_x - track.behind * cos;
    const double to = foot_x + track.ahead * cos;
    track_hint_ = ground_.PieceAt(from, track_hint_);
    const int hint = track_hint_;
    hull_.clear();
    add({{from, ground_.HeightAt(from, hint)}, {from, true, hint}});
    int piece = hint;
    while (piece + 2 < ground_.size() && ground_.x(piece + 1) < to) {
      ++piece;
      add({{ground_.x(piece), ground_.z(piece)}, {ground_.x(piece), false, piece}});
    }
    add({{to, ground_.HeightAt(to, piece)}, {to, true, piece}});
    edge = 1;
    while (edge + 1 < hull_.size() &&
           (over == Edge::kBehind ? hull_[edge].at.x <= lead_x : hull_[edge].at.x < lead_x)) {
      ++edge;
    }
    const double before = slope;
    slope = (hull_[edge].at.z - hull_[edge - 1].at.z) / (hull_[edge].at.x - hull_[edge - 1].at.x);
    if (std::abs(slope - before) <= 1e-14) break;
  }
  last_track_slope_ = slope;
  stance.lead_x = lead_x;
  stance.track_slope = slope;
  stance.behind = hull_[edge - 1].contact;
  stance.ahead = hull_[edge].contact;
  stance.track_height = hull_[edge - 1].at.z + slope * (lead_x - stance.behind.x);
  Frame& frame = stance.frames[0];
  frame.cos = 1 / std::sqrt(1 + slope * slope);
  frame.sin = slope * frame.cos;
  frame.x = foot_x - frame.cos * track.centre_of_mass.x;
  frame.z = stance.track_height + slope * (foot_x - lead_x) - frame.sin * track.centre_of_mass.x;
}

/// Where the mass passes a point that the track lies on, the machine turns
/// about it: forwards from the line behind to the line ahead, and in reverse
/// the other way, about another point of its own.
void Rider::AddTipping(int point, std::vector<Phase>& phases) {
  const BodyPoint pivot = {ground_.x(point), ground_.z(point)};
  Stance before;
  Stance behind;
  before.frames.resize(1);
  behind.frames.resize(1);
  LieOnTrack(pivot.x, Edge::kBefore, before);
  LieOnTrack(pivot.x, Edge::kBehind, behind);
  const double turn = std::atan(before.track_slope) - std::atan(behind.track_slope);
  if (std::abs(turn) < 1e-12) return;
  for (const Stance* start : {&before, &behind}) {
    const Frame& frame = start->frames[0];
    const BodyPoint off = {pivot.x - frame.x, pivot.z - frame.z};
    const bool nose_falls = (start == &before) == (turn > 0);
    phases.push_back({.from = 0,
                      .to = std::abs(turn),
                      .tips = true,
                      .pivot = pivot,
                      .pivot_body = {frame.cos * off.x + frame.sin * off.z,
                                     frame.cos * off.z - frame.sin * off.x},
                      .pitch = std::atan(start->track_slope),
                      .sense = nose_falls ? -1.0 : 1.0});
  }
}

void Rider::Tip(const Phase& phase, double at, Stance& stance) {
  const double pitch = phase.pitch + phase.sense * at;
  Frame& frame = stance.frames[0];
  frame.cos = std::cos(pitch);
  frame.sin = std::sin(pitch);
  const BodyPoint arm = frame.Turned(phase.pivot_body);
  frame.x = phase.pivot.x - arm.x;
  frame.z = phase.pivot.z - arm.z;
  stance.lead_x = phase.pivot.x;
  stance.track_slope = frame.sin / frame.cos;
  stance.track_height = phase.pivot.z;
}

/// Tipping by an angle t moves a point at distance r by no more than r·t, and its gap over ground
/// of slope m, |m| <= 0.5, has a second derivative within 1.5·r: 1.5·r·t²/8 below the chord.
///
/// Lying, the track turns at ω = (m − n)·a/((1 + σ·m)·X) for the slopes m ahead and n behind on
/// which its contacts move, X apart: for an end the ground's, for a point of the ground the
/// track's own slope σ, as the track slides over it. Over two points it does not turn. The track
/// moves at a = 1 + h·ω for a mass at height h, which turning moves back; so ω is within
/// 1.5·D/(X − h·D), D the range of those slopes. With the contacts unchanged, the rates of gaps
/// change over a length l by no more than ω·l·a·(6·r/(X − h·D) + 8). Where a contact changes, one
/// of the two is an end, at least the nearer end's distance from the mass away.
Motion Rider::TrackMotion(const Phase& phase, const Stance& a, const Stance& b) const {
  const Track& track = *machine_.track;
  const double high = track.centre_of_mass.z;
  const double reach = machine_.bodies[0].reach + high;
  const double length = b.at - a.at;
  if (phase.tips) {
    return {.drop = 1.5 * reach * length * length / 8, .travel = reach * length, .forward = false};
  }
  const bool same = a.behind == b.behind && a.ahead == b.ahead;
  Range slopes;
  slopes.Take(a.track_slope);
  slopes.Take(b.track_slope);
  double apart = std::min(track.ahead, track.behind) * 0.85;  // along, at 58 % of pitch
  if (same) {
    for (const TrackContact& contact : {a.behind, a.ahead}) {
      if (contact.end) slopes.Take(ground_.slope(contact.index));
    }
    apart = std::min(a.ahead.x - a.behind.x, b.ahead.x - b.behind.x);
  } else {
    for (const double end : {-track.behind, track.ahead}) {
      const BodyPoint point = {track.centre_of_mass.x + end, 0};
      const double end_a = a.frames[0].At(point).x;
      const double end_b = b.frames[0].At(point).x;
      slopes.Take(ground_.SlopesOver(std::min(end_a, end_b) - length,
                                     std::max(end_a, end_b) + length, track_hint_));
    }
  }
  const double spread = slopes.Width();
  const double left = std::max(apart - high * spread, 1e-9);
  const bool on_points = same && !a.behind.end && !a.ahead.end;
  const double turn = on_points ? 0 : 1.5 * spread / left;
  const double speed = 1 + high * turn;
  Motion motion;
  motion.drop = same ? length * length * turn * speed * (1.5 * reach / left + 2)
                     : length * (spread * speed + reach * turn);
  motion.travel = length * (1 + reach * turn);
  motion.forward = reach * turn < 1;
  return motion;
}

}  // namespace chockwise::fit::riding
