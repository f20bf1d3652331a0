#include "services/fit/blind_zone.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;
// Radians: 20 nm at the farthest sill. Narrower sectors join the next, so that a ring's sides stay
// apart in yard coordinates.
constexpr double kSameDirection = 1e-9;
constexpr double kHiddenNearerThan = 1e-9;  // metres: a border hides what touches it
constexpr double kArcStep = kTurn / 64;
constexpr size_t kMostParts = 100;
constexpr double kFarthestSillM = 20;

double InTurn(double angle) {
  const double turned = std::fmod(angle, kTurn);
  return turned < 0 ? turned + kTurn : turned;
}

/// A sill's shadow line, relative to the eye, counter-clockwise; where nothing is seen over it, the
/// line is the sill itself.
struct Shadow {
  Point from, to;
  bool over = true;  // something is seen beyond
  double from_rad = 0;
  double span_rad = 0;  // above 0, below half a turn
};

Shadow ShadowOf(const Sill& sill, const BlindQuestion& at) {
  Point from = sill.from - at.seat.eye;
  Point to = sill.to - at.seat.eye;
  if (Cross(from, to) < 0) std::swap(from, to);
  const double eye_m = (at.seat.eye_height - at.reading_error).metres();
  const double over_sill_m = eye_m - (sill.height + at.reading_error).metres();
  const double factor =
      over_sill_m > 0 ? std::max(1.0, (eye_m - at.object_height.metres()) / over_sill_m) : 1;
  const double from_rad = std::atan2(from.y_m, from.x_m);
  const double span_rad = std::atan2(Cross(from, to), Dot(from, to));
  return {.from = factor * from,
          .to = factor * to,
          .over = over_sill_m > 0,
          .from_rad = InTurn(from_rad),
          .span_rad = span_rad};
}

/// How far along a direction the line through a shadow lies. Requires the direction inside its
/// span.
double DistanceAlong(const Shadow& shadow, double direction_rad) {
  return Cross(shadow.from, shadow.to) / Cross(Unit(direction_rad), shadow.to - shadow.from);
}

bool Spans(double from_rad, double span_rad, double direction_rad) {
  return InTurn(direction_rad - from_rad) < span_rad;
}

void AddCrossings(const Shadow& a, const Shadow& b, std::vector<double>& turns) {
  const Point along_a = a.to - a.from;
  const Point along_b = b.to - b.from;
  const double across = Cross(along_a, along_b);
  if (across == 0) return;
  const double share = Cross(b.from - a.from, along_b) / across;
  const Point at = a.from + share * along_a;
  turns.push_back(InTurn(std::atan2(at.y_m, at.x_m)));
}

void AddCrossingsOfReach(const Shadow& shadow, double reach_m, std::vector<double>& turns) {
  const Point along = shadow.to - shadow.from;
  const double length = LengthM(along);
  const double nearest_share = -Dot(shadow.from, along) / (length * length);
  const double off_m = Cross(shadow.from, shadow.to) / length;
  if (off_m >= reach_m) return;
  const double half_share = std::sqrt(reach_m * reach_m - off_m * off_m) / length;
  for (double share : {nearest_share - half_share, nearest_share + half_share}) {
    const Point at = shadow.from + share * along;
    turns.push_back(InTurn(std::atan2(at.y_m, at.x_m)));
  }
}

/// Every direction at which what limits the sight may change. Some are none: that only cuts a
/// sector in two.
std::vector<double> Turns(const std::vector<Shadow>& shadows, const BlindQuestion& at) {
  std::vector<double> turns = {0, kTurn};
  for (const Mask& mask : at.seat.masks)
    for (Angle end : {mask.from, mask.to}) turns.push_back(InTurn(end.radians()));
  for (size_t a = 0; a < shadows.size(); ++a) {
    turns.push_back(shadows[a].from_rad);
    turns.push_back(InTurn(shadows[a].from_rad + shadows[a].span_rad));
    AddCrossingsOfReach(shadows[a], at.reach.metres(), turns);
    for (size_t b = 0; b < a; ++b) AddCrossings(shadows[a], shadows[b], turns);
  }
  std::ranges::sort(turns);
  return turns;
}

/// Of the shadows across a direction the farthest; nullptr where there is no sight within reach.
const Shadow* Limit(const std::vector<Shadow>& shadows, const BlindQuestion& at,
                    double direction_rad) {
  for (const Mask& mask : at.seat.masks) {
    const double span_rad = (mask.to - mask.from).radians();
    if (span_rad >= kTurn || Spans(mask.from.radians(), span_rad, direction_rad)) return nullptr;
  }
  const Shadow* limit = nullptr;
  double farthest_m = 0;
  for (const Shadow& shadow : shadows) {
    if (!Spans(shadow.from_rad, shadow.span_rad, direction_rad)) continue;
    if (!shadow.over) return nullptr;
    const double distance_m = DistanceAlong(shadow, direction_rad);
    if (distance_m <= farthest_m) continue;
    farthest_m = distance_m;
    limit = &shadow;
  }
  return farthest_m < at.reach.metres() ? limit : nullptr;
}

std::vector<SightSector> Sectors(const std::vector<Shadow>& shadows, const BlindQuestion& at) {
  std::vector<SightSector> sectors;
  double from_rad = 0;
  for (double to_rad : Turns(shadows, at)) {
    if (to_rad - from_rad < kSameDirection) continue;
    SightSector sector = {.from_rad = from_rad, .to_rad = to_rad, .beyond = std::nullopt};
    if (const Shadow* limit = Limit(shadows, at, (from_rad + to_rad) / 2)) {
      sector.beyond = SightSector::Beyond{.from = DistanceAlong(*limit, from_rad) * Unit(from_rad),
                                          .to = DistanceAlong(*limit, to_rad) * Unit(to_rad)};
    }
    sectors.push_back(sector);
    from_rad = to_rad;
  }
  sectors.back().to_rad = kTurn;
  return sectors;
}

bool Finite(Point point) { return std::isfinite(point.x_m) && std::isfinite(point.y_m); }

void CheckSills(const Seat& seat, InputCheck& check) {
  for (const Sill& sill : seat.sills) {
    check.NotNegative("sill height", sill.height, UpTo{InMetres(10)});
    const Point from = sill.from - seat.eye;
    const Point to = sill.to - seat.eye;
    const bool near = Finite(from) && Finite(to) && LengthM(from) <= kFarthestSillM &&
                      LengthM(to) <= kFarthestSillM;
    // Nearer to one line with the eye than a millimetre in twenty metres it is seen end on.
    if (!near || std::abs(Cross(from, to)) < 1e-6)
      check.Refuse({"sill", "is in line with the eye or out of range",
                    "an edge across the view, its ends within 20 m of the eye"});
  }
}

std::optional<Unusable> Wrong(const BlindQuestion& at) {
  const Seat& seat = at.seat;
  InputCheck check;
  if (!Finite(seat.eye) || LengthM(seat.eye) > 100)
    check.Refuse({"eye", "is out of range", "a point within 100 m of the machine's own"});
  check.Positive("eye height", seat.eye_height, UpTo{InMetres(10)})
      .NotNegative("object height", at.object_height, UpTo{InMetres(10)})
      .Positive("reach", at.reach, UpTo{InMetres(200)})
      .NotNegative("reading error", at.reading_error, UpTo{InMetres(1)});
  if (seat.sills.size() > kMostParts)
    check.Refuse({"sills", fmt::format("are {}", seat.sills.size()), "at most 100"});
  if (seat.masks.size() > kMostParts)
    check.Refuse({"masks", fmt::format("are {}", seat.masks.size()), "at most 100"});
  if (check.failed()) return check.error();
  CheckSills(seat, check);
  for (const Mask& mask : seat.masks) {
    const Span<Angle> turns = {Degrees(-360), Degrees(360)};
    if (mask.from < turns.least || mask.to > turns.most || mask.to <= mask.from ||
        mask.to - mask.from > Degrees(360.0001))
      check.Refuse(
          {"mask",
           fmt::format("runs from {:g} to {:g} deg", mask.from.degrees(), mask.to.degrees()),
           "counter-clockwise, within -360 to 360 deg, at most a full turn"});
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

bool SectorHides(const SightSector& sector, Point from_eye) {
  if (!sector.beyond) return true;
  const Point along = sector.beyond->to - sector.beyond->from;
  // The eye stands to the left of the line.
  return Cross(along, from_eye - sector.beyond->from) >= -kHiddenNearerThan * LengthM(along);
}

/// Points on a circle from one direction to another, both in.
void AddArc(Ring& ring, double radius_m, const SightSector& sector) {
  const double span = sector.to_rad - sector.from_rad;
  const int steps = std::max(1, static_cast<int>(std::ceil(span / kArcStep)));
  for (int step = 0; step <= steps; ++step)
    ring.push_back(radius_m * Unit(sector.from_rad + span * step / steps));
}

void AddOnce(Ring& ring, Point point) {
  if (ring.empty() || LengthM(ring.back() - point) > kHiddenNearerThan) ring.push_back(point);
}

}  // namespace

std::vector<Sill> SillsOfSides(Point eye, const SideSills& sides) {
  const double ahead = sides.front.distance.metres();
  const double left = sides.left.distance.metres();
  const double back = -sides.rear.distance.metres();
  const double right = -sides.right.distance.metres();
  const Point front_left = eye + Point{ahead, left};
  const Point front_right = eye + Point{ahead, right};
  const Point rear_left = eye + Point{back, left};
  const Point rear_right = eye + Point{back, right};
  std::vector<Sill> sills;
  const auto add = [&](const SideSill& side, Point from, Point to) {
    if (side.height) sills.push_back({.from = from, .to = to, .height = *side.height});
  };
  add(sides.front, front_right, front_left);
  add(sides.left, front_left, rear_left);
  add(sides.rear, rear_left, rear_right);
  add(sides.right, rear_right, front_right);
  return sills;
}

Outcome<Metres> SeenFrom(const SightOver& sight) {
  InputCheck check;
  check.Positive("eye height", sight.eye_height, UpTo{InMetres(10)})
      .NotNegative("sill height", sight.sill_height, UpTo{InMetres(10)})
      .Positive("sill distance", sight.sill_distance, UpTo{InMetres(kFarthestSillM)})
      .NotNegative("object height", sight.object_height, UpTo{InMetres(10)});
  if (sight.sill_height >= sight.eye_height)
    check.Refuse({"sill height", "is not below the eye", "below the eye; else nothing is seen"});
  if (check.failed()) return tl::unexpected(check.error());
  const double factor =
      (sight.eye_height - sight.object_height) / (sight.eye_height - sight.sill_height);
  return sight.sill_distance * std::max(1.0, factor);
}

Outcome<BlindZone> BlindZoneOf(const BlindQuestion& question) {
  if (const auto wrong = Wrong(question)) return tl::unexpected(*wrong);
  std::vector<Shadow> shadows;
  for (const Sill& sill : question.seat.sills) shadows.push_back(ShadowOf(sill, question));
  BlindZone zone = {.eye = question.seat.eye,
                    .object_height = question.object_height,
                    .reach = question.reach,
                    .sectors = Sectors(shadows, question),
                    .farthest_border = Metres(),
                    .never_seen = Angle()};
  for (const SightSector& sector : zone.sectors) {
    if (!sector.beyond) {
      zone.never_seen += Radians(sector.to_rad - sector.from_rad);
      continue;
    }
    const double border_m = std::max(LengthM(sector.beyond->from), LengthM(sector.beyond->to));
    zone.farthest_border = std::max(zone.farthest_border, InMetres(border_m));
  }
  return zone;
}

bool Hides(const BlindZone& zone, Point in_machine_frame) {
  const Point from_eye = in_machine_frame - zone.eye;
  const double distance_m = LengthM(from_eye);
  if (!(distance_m < zone.reach.metres()) || distance_m < kHiddenNearerThan) return true;
  const double direction = InTurn(std::atan2(from_eye.y_m, from_eye.x_m));
  // On a side of a sector both that meet there must let it be seen.
  const double nearly = kHiddenNearerThan / distance_m;
  for (const SightSector& sector : zone.sectors) {
    const bool here = direction >= sector.from_rad - nearly && direction <= sector.to_rad + nearly;
    const bool wrapped = direction + kTurn <= sector.to_rad + nearly ||
                         direction - kTurn >= sector.from_rad - nearly;
    if ((here || wrapped) && SectorHides(sector, from_eye)) return true;
  }
  return false;
}

std::optional<Metres> BorderAlong(const BlindZone& zone, Angle direction) {
  const double turn = InTurn(direction.radians());
  for (const SightSector& sector : zone.sectors) {
    if (turn > sector.to_rad) continue;
    if (!sector.beyond) return std::nullopt;
    const Shadow line = {.from = sector.beyond->from, .to = sector.beyond->to};
    return InMetres(DistanceAlong(line, turn));
  }
  return std::nullopt;
}

Ring BlindRing(const BlindZone& zone) {
  const double outside_m = zone.reach.metres() / std::cos(kArcStep / 2);
  Ring ring;
  for (const SightSector& sector : zone.sectors) {
    Ring edge;
    if (sector.beyond) {
      edge = {sector.beyond->from, sector.beyond->to};
    } else {
      AddArc(edge, outside_m, sector);
    }
    for (Point point : edge) AddOnce(ring, zone.eye + point);
  }
  if (ring.size() > 1 && LengthM(ring.front() - ring.back()) <= kHiddenNearerThan) ring.pop_back();
  return ring;
}

std::string DriversLine(const BlindZone& zone, UnitSystem system) {
  if (zone.farthest_border == Metres()) return "BLIND ALL ROUND: nothing is seen from the seat";
  const std::string hidden = "HIDDEN to " + Text(zone.farthest_border, system, Rounding::kUp);
  if (zone.never_seen == Angle()) return hidden;
  return fmt::format("{}; {:.0f} deg of the circle never seen", hidden,
                     std::ceil(zone.never_seen.degrees() - 1e-9));
}

}  // namespace chockwise::fit
