// Regions of flat ground: unions, differences, grown edges, distances. A thin seam over the GEOS
// library; nothing of it shows here.
//
//   Outcome<Region> pad = Region::From({.outer = {{0, 0}, {10, 0}, {10, 6}, {0, 6}}});
//   if (!pad) return tl::unexpected(pad.error());            // crosses itself, no area, not finite
//   Region kept_clear = pad->Without(Region::Around(path, InMetres(1.5)));
//   for (const Outline& outline : kept_clear.Outlines()) Draw(outline);
//
// What enters is checked and answered with Unusable; a failure of the library on what was checked
// is a bug and aborts. Error of unions and differences: corners move by a few roundings of their
// coordinates, below 1e-9 m within 100 km of the origin.
//
// Threads: a Region is an immutable value and may be shared by threads; a PreparedRegion builds its
// index as it is asked and belongs to one thread at a time. Neither may outlive main's thread, so
// none of static storage.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/geometry.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// One connected piece of ground. What a Region gives back has its outer ring counter-clockwise and
/// its holes clockwise, each from its least x (then y) on, so equal ground is drawn equally.
struct Outline {
  Ring outer;
  std::vector<Ring> holes = {};
};

struct NearestPoints {
  Point here;   // of the region that was asked
  Point there;  // of the other
  Metres distance;
};

/// Any number of connected pieces of ground; by default none.
class Region {
 public:
  Region();

  /// Rings may run either way round. Unusable: "ring" with fewer than 3 corners, no area, a
  /// coordinate that is not finite or beyond 1e7 m, or that crosses itself or a hole; it says
  /// where.
  static Outcome<Region> From(const Outline& outline);

  /// The ground within `by` of a line or of points along it (one point gives a disc).
  ///
  /// Never too small: the round ends and corners are polygons around the true arcs (96 corners a
  /// full turn), so the edge lies between `by` and 1.0013 by from the line; inside corners that are
  /// shallower than 1 % of `by` may be filled. Unusable: "line" empty or not finite, "width" not
  /// above 0 or beyond 1e6 m.
  static Outcome<Region> Around(const Line& line, Metres by);

  /// The least convex ground that holds all points. Unusable: "points" when they span no area.
  static Outcome<Region> Hull(const std::vector<Point>& points);

  static Region UnionOf(const std::vector<Region>& regions);
  Region Without(const Region& taken) const;
  Region CommonWith(const Region& other) const;  // where they overlap; a mere touch is empty

  /// All within `by` of this region; never too small, with the error of Around. Unusable as there.
  Outcome<Region> Grown(Metres by) const;

  /// What stays at least `by` inside the edge; never too large. Unusable as Around.
  Outcome<Region> Inset(Metres by) const;

  bool IsEmpty() const;
  double AreaM2() const;
  std::vector<Outline> Outlines() const;  // ordered by the least corner of their outer rings

  /// The edge belongs to the region.
  bool Contains(Point point) const;
  bool Touches(const Region& other) const;  // shares at least a point
  bool Touches(const Line& line) const;     // requires one point or more, all finite

  /// 0 where they touch or overlap; nullopt where either is empty. Error: below 1e-9 m.
  std::optional<Metres> DistanceTo(Point point) const;
  std::optional<Metres> DistanceTo(const Line& line) const;  // requires one point or more
  std::optional<Metres> DistanceTo(const Region& other) const;
  std::optional<NearestPoints> NearestTo(Point point) const;
  std::optional<NearestPoints> NearestTo(const Line& line) const;
  std::optional<NearestPoints> NearestTo(const Region& other) const;

 private:
  friend class PreparedRegion;
  class Geometry;  // the library's own
  struct Seam;
  explicit Region(std::shared_ptr<const Geometry> geometry);
  std::shared_ptr<const Geometry> geometry_;  // nullptr: empty
};

/// A region that is asked many times: the first question builds an index of its edges, the others
/// cost the logarithm of their count.
class PreparedRegion {
 public:
  explicit PreparedRegion(Region region);
  ~PreparedRegion();
  PreparedRegion(PreparedRegion&&) noexcept;
  PreparedRegion& operator=(PreparedRegion&&) noexcept;

  bool Contains(Point point) const;  // the edge belongs to the region
  bool Touches(const Line& line) const;
  bool Touches(const Region& other) const;
  std::optional<Metres> DistanceTo(Point point) const;
  const Region& region() const { return region_; }

 private:
  struct Index;
  Region region_;
  std::unique_ptr<const Index> index_;  // nullptr: empty
};

}  // namespace chockwise::fit
