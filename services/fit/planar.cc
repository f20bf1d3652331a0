#include "services/fit/planar.h"

#define GEOS_USE_ONLY_R_API
#include <fmt/format.h>
#include <geos_c.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <numbers>
#include <string>
#include <utility>

namespace chockwise::fit {
namespace {

constexpr double kFarthestM = 1e7;  // a coordinate beyond is not of a yard
constexpr double kWidestM = 1e6;
constexpr int kQuadrantSegments = 24;  // 96 corners a full turn
constexpr size_t kFewestEdges = 9;     // of a ring that is grown or inset
const double kQuantumRad = std::numbers::pi / (2 * kQuadrantSegments);

/// The library puts the corners of an arc on it, so that its chords cut inside. It rounds the count
/// of chords of an arc to the nearest: one may span up to 1.5 quanta and cut inside by cos(0.75
/// quanta). Grown by the inverse, the chords touch the arc from outside. The last factor covers the
/// corners that the library merges: closer than 1e-3 of the radius, an inward error of 5e-7 of it.
const double kOutward = (1 + 1e-6) / std::cos(0.75 * kQuantumRad);

/// The library's handle, one for each thread: handles are not to be shared.
class Handle {
 public:
  Handle() : handle_(GEOS_init_r()) {
    GEOSContext_setErrorMessageHandler_r(handle_, &Handle::Keep, this);
  }
  ~Handle() { GEOS_finish_r(handle_); }
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;

  static Handle& OfThisThread() {
    thread_local Handle handle;
    return handle;
  }
  operator GEOSContextHandle_t() const { return handle_; }

  [[noreturn]] void Abort(const char* what) const {
    std::fprintf(stderr, "chockwise: geometry failed on checked ground (%s): %s\n", what,
                 message_.c_str());
    std::abort();
  }

 private:
  static void Keep(const char* message, void* self) {
    static_cast<Handle*>(self)->message_ = message;
  }
  GEOSContextHandle_t handle_;
  std::string message_;
};

struct Destroy {
  void operator()(GEOSGeometry* geometry) const {
    GEOSGeom_destroy_r(Handle::OfThisThread(), geometry);
  }
};
using Owned = std::unique_ptr<GEOSGeometry, Destroy>;

/// Takes what the library made; nullptr is its exception, and a bug here.
Owned Made(GEOSGeometry* geometry, const char* what) {
  if (geometry == nullptr) Handle::OfThisThread().Abort(what);
  return Owned(geometry);
}

/// The library's three-valued answer: 0 no, 1 yes, 2 exception.
bool Said(char answer, const char* what) {
  if (answer != 0 && answer != 1) Handle::OfThisThread().Abort(what);
  return answer == 1;
}

bool Near(Point point) {  // false for NaN too
  return std::abs(point.x_m) <= kFarthestM && std::abs(point.y_m) <= kFarthestM;
}

GEOSCoordSequence* Sequence(const std::vector<Point>& points) {
  std::vector<double> numbers;
  numbers.reserve(points.size() * 2);
  for (Point point : points) {
    numbers.push_back(point.x_m);
    numbers.push_back(point.y_m);
  }
  GEOSCoordSequence* sequence = GEOSCoordSeq_copyFromBuffer_r(
      Handle::OfThisThread(), numbers.data(), static_cast<unsigned>(points.size()), 0, 0);
  if (sequence == nullptr) Handle::OfThisThread().Abort("coordinates");
  return sequence;
}

Owned ClosedRing(Ring ring) {
  ring.push_back(ring.front());
  return Made(GEOSGeom_createLinearRing_r(Handle::OfThisThread(), Sequence(ring)), "ring");
}

Owned PolygonOf(const Outline& outline) {
  std::vector<GEOSGeometry*> holes;
  for (const Ring& hole : outline.holes) holes.push_back(ClosedRing(hole).release());
  return Made(GEOSGeom_createPolygon_r(Handle::OfThisThread(), ClosedRing(outline.outer).release(),
                                       holes.data(), static_cast<unsigned>(holes.size())),
              "polygon");
}

/// What lies inside a ring of few corners may be lost as it is grown or inset: GEOS 3.11 takes it
/// for a curve turned inside out. So a closed line gets more points on its edges.
Line Divided(const Line& closed) {
  const size_t edges = closed.size() - 1;
  const size_t parts = (kFewestEdges + edges - 1) / edges;
  Line divided;
  for (size_t i = 0; i < edges; ++i) {
    for (size_t k = 0; k < parts; ++k) {
      const double part = static_cast<double>(k) / static_cast<double>(parts);
      divided.push_back(closed[i] + part * (closed[i + 1] - closed[i]));
    }
  }
  divided.push_back(closed.back());
  return divided;
}

Ring DividedRing(Ring ring) {
  ring.push_back(ring.front());
  Ring divided = Divided(ring);
  divided.pop_back();
  return divided;
}

Owned PointGeometry(Point point) {
  if (!Near(point)) Handle::OfThisThread().Abort("a point that is not finite");
  return Made(GEOSGeom_createPointFromXY_r(Handle::OfThisThread(), point.x_m, point.y_m), "point");
}

/// A line, or a point where all its points are one.
Owned LineGeometry(const Line& line) {
  if (line.empty() || !std::all_of(line.begin(), line.end(), Near))
    Handle::OfThisThread().Abort("a line without points or not finite");
  const bool moves =
      std::any_of(line.begin(), line.end(), [&](Point at) { return at != line.front(); });
  if (!moves) return PointGeometry(line.front());
  return Made(GEOSGeom_createLineString_r(Handle::OfThisThread(), Sequence(line)), "line");
}

Ring ReadRing(const GEOSGeometry* ring) {
  const Handle& handle = Handle::OfThisThread();
  const GEOSCoordSequence* sequence = GEOSGeom_getCoordSeq_r(handle, ring);
  unsigned size = 0;
  GEOSCoordSeq_getSize_r(handle, sequence, &size);
  Ring points;
  for (unsigned i = 0; i + 1 < size; ++i) {  // the last repeats the first
    Point point;
    GEOSCoordSeq_getXY_r(handle, sequence, i, &point.x_m, &point.y_m);
    points.push_back(point);
  }
  return points;
}

double SignedAreaM2(const Ring& ring) {
  double twice = 0;
  for (size_t i = 0; i < ring.size(); ++i)
    twice += Cross(ring[i] - ring[0], ring[(i + 1) % ring.size()] - ring[0]);
  return twice / 2;
}

bool Before(Point a, Point b) { return std::pair(a.x_m, a.y_m) < std::pair(b.x_m, b.y_m); }

enum class Turn { kCounterClockwise, kClockwise };

Ring Ordered(Ring ring, Turn turn) {
  if ((SignedAreaM2(ring) > 0) != (turn == Turn::kCounterClockwise))
    std::reverse(ring.begin(), ring.end());
  std::rotate(ring.begin(), std::min_element(ring.begin(), ring.end(), Before), ring.end());
  return ring;
}

std::optional<Unusable> FaultOf(const Ring& ring) {
  const std::string right = "3 or more corners that enclose ground";
  if (ring.size() < 3) return Unusable{"ring", fmt::format("has {} corners", ring.size()), right};
  for (size_t i = 0; i < ring.size(); ++i) {
    if (!Near(ring[i]))
      return Unusable{"ring", fmt::format("corner {} is not a place of a yard", i + 1),
                      "coordinates within 10,000 km"};
  }
  if (SignedAreaM2(ring) == 0) return Unusable{"ring", "encloses no ground", right};
  return std::nullopt;
}

std::optional<Unusable> FaultOf(const GEOSGeometry* polygon) {
  const Handle& handle = Handle::OfThisThread();
  char* reason = nullptr;
  GEOSGeometry* where = nullptr;
  const bool valid = Said(GEOSisValidDetail_r(handle, polygon, 0, &reason, &where), "validity");
  const Owned place(where);
  if (valid) return std::nullopt;
  Point at;
  if (place != nullptr) {
    GEOSGeomGetX_r(handle, where, &at.x_m);
    GEOSGeomGetY_r(handle, where, &at.y_m);
  }
  const std::string says = reason == nullptr ? "" : reason;
  if (reason != nullptr) GEOSFree_r(handle, reason);
  return Unusable{"ring",
                  fmt::format("crosses or touches itself or a hole at x {:.2f} m, y {:.2f} m ({})",
                              at.x_m, at.y_m, says),
                  "a ring that meets itself nowhere, with its holes inside"};
}

std::optional<Unusable> FaultOf(Metres width) {
  if (width <= Metres() || width > InMetres(kWidestM)) {
    return Unusable{"width", fmt::format("is {} m", width.metres()), "a length above 0"};
  }
  return std::nullopt;
}

Owned Buffer(const GEOSGeometry* geometry, double by_m) {
  return Made(GEOSBuffer_r(Handle::OfThisThread(), geometry, by_m, kQuadrantSegments), "buffer");
}

}  // namespace

class Region::Geometry {
 public:
  explicit Geometry(Owned owned) : owned_(std::move(owned)) {}
  const GEOSGeometry* get() const { return owned_.get(); }

 private:
  Owned owned_;
};

/// What the members need of both the class and the library.
struct Region::Seam {
  /// Keeps the ground of what the library answered; lines and points that it left are dropped.
  static Region Keep(Owned geometry) {
    std::vector<GEOSGeometry*> parts;
    Gather(geometry.get(), parts);
    if (parts.empty()) return Region();
    return Region(std::make_shared<const Geometry>(Together(parts)));
  }

  static Owned Together(std::vector<GEOSGeometry*>& parts) {
    return Made(GEOSGeom_createCollection_r(Handle::OfThisThread(), GEOS_MULTIPOLYGON, parts.data(),
                                            static_cast<unsigned>(parts.size())),
                "pieces");
  }

  static void Gather(const GEOSGeometry* geometry, std::vector<GEOSGeometry*>& parts) {
    const Handle& handle = Handle::OfThisThread();
    const int type = GEOSGeomTypeId_r(handle, geometry);
    if (type == GEOS_POLYGON) {
      if (!Said(GEOSisEmpty_r(handle, geometry), "emptiness"))
        parts.push_back(Made(GEOSGeom_clone_r(handle, geometry), "piece").release());
    } else if (type == GEOS_MULTIPOLYGON || type == GEOS_GEOMETRYCOLLECTION) {
      const int count = GEOSGetNumGeometries_r(handle, geometry);
      for (int i = 0; i < count; ++i) Gather(GEOSGetGeometryN_r(handle, geometry, i), parts);
    }
  }

  static const GEOSGeometry* Of(const Region& region) { return region.geometry_->get(); }

  static Region Grown(const Region& region, double by_m) {
    std::vector<GEOSGeometry*> parts;
    for (Outline outline : region.Outlines()) {
      outline.outer = DividedRing(outline.outer);
      for (Ring& hole : outline.holes) hole = DividedRing(hole);
      parts.push_back(PolygonOf(outline).release());
    }
    return Keep(Buffer(Together(parts).get(), by_m * kOutward));
  }

  static std::optional<Metres> Distance(const Region& region, const GEOSGeometry* other) {
    double distance_m = 0;
    if (GEOSDistance_r(Handle::OfThisThread(), Of(region), other, &distance_m) != 1)
      Handle::OfThisThread().Abort("distance");
    return InMetres(distance_m);
  }

  static std::optional<NearestPoints> Nearest(const Region& region, const GEOSGeometry* other) {
    const Handle& handle = Handle::OfThisThread();
    GEOSCoordSequence* pair = GEOSNearestPoints_r(handle, Of(region), other);
    if (pair == nullptr) handle.Abort("nearest points");
    NearestPoints nearest;
    GEOSCoordSeq_getXY_r(handle, pair, 0, &nearest.here.x_m, &nearest.here.y_m);
    GEOSCoordSeq_getXY_r(handle, pair, 1, &nearest.there.x_m, &nearest.there.y_m);
    GEOSCoordSeq_destroy_r(handle, pair);
    nearest.distance = *Distance(region, other);
    return nearest;
  }
};

Region::Region() = default;
Region::Region(std::shared_ptr<const Geometry> geometry) : geometry_(std::move(geometry)) {}

Outcome<Region> Region::From(const Outline& outline) {
  if (const auto fault = FaultOf(outline.outer)) return tl::unexpected(*fault);
  for (const Ring& hole : outline.holes) {
    if (const auto fault = FaultOf(hole)) return tl::unexpected(*fault);
  }
  Owned polygon = PolygonOf(outline);
  if (const auto fault = FaultOf(polygon.get())) return tl::unexpected(*fault);
  return Seam::Keep(std::move(polygon));
}

Outcome<Region> Region::Around(const Line& line, Metres by) {
  if (line.empty() || !std::all_of(line.begin(), line.end(), Near)) {
    return tl::unexpected(Unusable{"line", "is empty or not a place of a yard",
                                   "one point or more, coordinates within 10,000 km"});
  }
  if (const auto fault = FaultOf(by)) return tl::unexpected(*fault);
  const bool closed = line.size() > 2 && line.front() == line.back();
  return Seam::Keep(
      Buffer(LineGeometry(closed ? Divided(line) : line).get(), by.metres() * kOutward));
}

Outcome<Region> Region::Hull(const std::vector<Point>& points) {
  const Unusable fault{"points", "span no ground", "3 or more points that are not in line"};
  if (points.size() < 3 || !std::all_of(points.begin(), points.end(), Near))
    return tl::unexpected(fault);
  Region hull = Seam::Keep(
      Made(GEOSConvexHull_r(Handle::OfThisThread(), LineGeometry(points).get()), "convex hull"));
  if (hull.IsEmpty()) return tl::unexpected(fault);
  return hull;
}

Region Region::UnionOf(const std::vector<Region>& regions) {
  const Handle& handle = Handle::OfThisThread();
  std::vector<GEOSGeometry*> parts;
  for (const Region& region : regions) {
    if (!region.IsEmpty()) Seam::Gather(Seam::Of(region), parts);
  }
  if (parts.empty()) return Region();
  const Owned all = Made(GEOSGeom_createCollection_r(handle, GEOS_GEOMETRYCOLLECTION, parts.data(),
                                                     static_cast<unsigned>(parts.size())),
                         "collection");
  return Seam::Keep(Made(GEOSUnaryUnion_r(handle, all.get()), "union"));
}

Region Region::Without(const Region& taken) const {
  if (IsEmpty() || taken.IsEmpty()) return *this;
  return Seam::Keep(Made(GEOSDifference_r(Handle::OfThisThread(), Seam::Of(*this), Seam::Of(taken)),
                         "difference"));
}

Region Region::CommonWith(const Region& other) const {
  if (IsEmpty() || other.IsEmpty()) return Region();
  return Seam::Keep(
      Made(GEOSIntersection_r(Handle::OfThisThread(), Seam::Of(*this), Seam::Of(other)),
           "intersection"));
}

Outcome<Region> Region::Grown(Metres by) const {
  if (const auto fault = FaultOf(by)) return tl::unexpected(*fault);
  if (IsEmpty()) return Region();
  return Seam::Grown(*this, by.metres());
}

Outcome<Region> Region::Inset(Metres by) const {
  if (const auto fault = FaultOf(by)) return tl::unexpected(*fault);
  if (IsEmpty()) return Region();
  return Seam::Grown(*this, -by.metres());
}

bool Region::IsEmpty() const { return geometry_ == nullptr; }

double Region::AreaM2() const {
  if (IsEmpty()) return 0;
  double area_m2 = 0;
  if (GEOSArea_r(Handle::OfThisThread(), Seam::Of(*this), &area_m2) != 1)
    Handle::OfThisThread().Abort("area");
  return area_m2;
}

std::vector<Outline> Region::Outlines() const {
  std::vector<Outline> outlines;
  if (IsEmpty()) return outlines;
  const Handle& handle = Handle::OfThisThread();
  const int pieces = GEOSGetNumGeometries_r(handle, Seam::Of(*this));
  for (int i = 0; i < pieces; ++i) {
    const GEOSGeometry* piece = GEOSGetGeometryN_r(handle, Seam::Of(*this), i);
    Outline outline{
        Ordered(ReadRing(GEOSGetExteriorRing_r(handle, piece)), Turn::kCounterClockwise)};
    const int holes = GEOSGetNumInteriorRings_r(handle, piece);
    for (int k = 0; k < holes; ++k) {
      outline.holes.push_back(
          Ordered(ReadRing(GEOSGetInteriorRingN_r(handle, piece, k)), Turn::kClockwise));
    }
    std::sort(outline.holes.begin(), outline.holes.end(),
              [](const Ring& a, const Ring& b) { return Before(a.front(), b.front()); });
    outlines.push_back(std::move(outline));
  }
  std::sort(outlines.begin(), outlines.end(), [](const Outline& a, const Outline& b) {
    return Before(a.outer.front(), b.outer.front());
  });
  return outlines;
}

bool Region::Contains(Point point) const {
  if (IsEmpty()) return false;
  return Said(GEOSCovers_r(Handle::OfThisThread(), Seam::Of(*this), PointGeometry(point).get()),
              "contains");
}

// The library's plain question works out how two shapes lie to each other in full, and fails where
// they cross by less than it can tell. With an index it asks for crossings and corners alone, and
// those it can always tell.
bool Region::Touches(const Region& other) const { return PreparedRegion(*this).Touches(other); }
bool Region::Touches(const Line& line) const { return PreparedRegion(*this).Touches(line); }

std::optional<Metres> Region::DistanceTo(Point point) const {
  if (IsEmpty()) return std::nullopt;
  return Seam::Distance(*this, PointGeometry(point).get());
}

std::optional<Metres> Region::DistanceTo(const Line& line) const {
  if (IsEmpty()) return std::nullopt;
  return Seam::Distance(*this, LineGeometry(line).get());
}

std::optional<Metres> Region::DistanceTo(const Region& other) const {
  if (IsEmpty() || other.IsEmpty()) return std::nullopt;
  return Seam::Distance(*this, Seam::Of(other));
}

std::optional<NearestPoints> Region::NearestTo(Point point) const {
  if (IsEmpty()) return std::nullopt;
  return Seam::Nearest(*this, PointGeometry(point).get());
}

std::optional<NearestPoints> Region::NearestTo(const Line& line) const {
  if (IsEmpty()) return std::nullopt;
  return Seam::Nearest(*this, LineGeometry(line).get());
}

std::optional<NearestPoints> Region::NearestTo(const Region& other) const {
  if (IsEmpty() || other.IsEmpty()) return std::nullopt;
  return Seam::Nearest(*this, Seam::Of(other));
}

struct PreparedRegion::Index {
  explicit Index(const GEOSGeometry* geometry)
      : prepared(GEOSPrepare_r(Handle::OfThisThread(), geometry)) {
    if (prepared == nullptr) Handle::OfThisThread().Abort("prepare");
  }
  ~Index() { GEOSPreparedGeom_destroy_r(Handle::OfThisThread(), prepared); }
  Index(const Index&) = delete;
  Index& operator=(const Index&) = delete;
  const GEOSPreparedGeometry* prepared;
};

PreparedRegion::PreparedRegion(Region region) : region_(std::move(region)) {
  if (!region_.IsEmpty()) index_ = std::make_unique<const Index>(Region::Seam::Of(region_));
}
PreparedRegion::~PreparedRegion() = default;
PreparedRegion::PreparedRegion(PreparedRegion&&) noexcept = default;
PreparedRegion& PreparedRegion::operator=(PreparedRegion&&) noexcept = default;

bool PreparedRegion::Contains(Point point) const {
  if (index_ == nullptr) return false;
  return Said(
      GEOSPreparedCovers_r(Handle::OfThisThread(), index_->prepared, PointGeometry(point).get()),
      "contains");
}

bool PreparedRegion::Touches(const Line& line) const {
  if (index_ == nullptr) return false;
  return Said(
      GEOSPreparedIntersects_r(Handle::OfThisThread(), index_->prepared, LineGeometry(line).get()),
      "touches");
}

bool PreparedRegion::Touches(const Region& other) const {
  if (index_ == nullptr || other.IsEmpty()) return false;
  return Said(
      GEOSPreparedIntersects_r(Handle::OfThisThread(), index_->prepared, Region::Seam::Of(other)),
      "touches");
}

std::optional<Metres> PreparedRegion::DistanceTo(Point point) const {
  if (index_ == nullptr) return std::nullopt;
  double distance_m = 0;
  if (GEOSPreparedDistance_r(Handle::OfThisThread(), index_->prepared, PointGeometry(point).get(),
                             &distance_m) != 1)
    Handle::OfThisThread().Abort("distance");
  return InMetres(distance_m);
}

}  // namespace chockwise::fit
