// The drawings that a computation is read off by eye: the way from above with what the machine
// covers, what the driver cannot see and where the spotter stands; the yard with the way that was
// found, or what would have to change for one; and the machine from the side in the tightest spot
// of its ride.
//
//   Outcome<DrivenWay> driven = DriveOf(asked, trip, {});
//   std::string svg = PlanSvg(PlanOf(asked, trip, *driven));
//
// SVG 1.1, readable in black and white: whatever a colour says, a line style, a hatching and a word
// say too. Pure: text in, text out. Threads: values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "services/fit/planar.h"
#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/seeing.h"

namespace chockwise::survey {

/// What stands over every drawing.
struct Titles {
  std::string title;     // machine and way
  std::string line;      // the driver's line of the answer
  std::string asked_on;  // the date that was asked about
};

struct NamedPoint {
  std::string name;
  fit::Point at;
};

/// All on the yard's plane in metres, north up.
struct PlanDrawing {
  Titles titles;
  fit::UnitSystem units = fit::UnitSystem::kUs;
  std::vector<fit::Line> lanes;
  std::vector<fit::Line> route;   // in travel order, each without a change of direction
  std::vector<fit::Line> backed;  // likewise, what is driven in reverse where both are
  std::string route_is = "way of this trip";
  std::vector<DoorOnWay> doors;
  std::vector<NamedPoint> places, hold_points;
  std::vector<GroundOnWay> obstacles, keep_clear;
  std::vector<fit::Outline> swept;          // the ground that the machine covers
  std::vector<fit::Ring> at_start, at_end;  // its units
  std::vector<fit::Line> fronts;            // of its first unit at both
  fit::Ring slew;  // kept free of people around a slewing tail, where it is tightest; empty: none
  std::vector<fit::Outline> blind;       // hidden from the driver at the start
  std::vector<fit::Ring> assumed_walls;  // that hide a spotter, and are not on the map
  std::vector<NamedPoint> stands;        // of the spotter, in the order walked
  std::optional<NamedPoint> tight;       // of the way beside it, named by its number
  std::vector<NamedPoint> ends;          // of a way that was found: where it starts and ends,
  std::vector<fit::Point> turns;         // turns on to another lane,
  std::vector<NamedPoint> reversals;     // and changes between driving and reversing
  std::vector<NamedPoint> lane_names;    // of its lanes
  std::vector<NamedPoint> changes;       // what would open a way, named by its number
  fit::Line around;                      // to be on the sheet with all this
};

PlanDrawing PlanOf(const Asked& asked, const Trip& trip, const DrivenWay& driven);
/// The same with the blind ground and the spotter's places.
PlanDrawing PlanOf(const Asked& asked, const Trip& trip, const SeenWay& seen);
/// The yard with the way that was found; where none was, with what would have to change, and the
/// way that this opens.
PlanDrawing PlanOf(const Asked& asked, const Trip& trip, const SearchedRoute& searched);
std::string PlanSvg(const PlanDrawing& plan);

/// All along the lane (x) and up (y) in metres.
struct SideDrawing {
  Titles titles;
  fit::UnitSystem units = fit::UnitSystem::kUs;
  fit::Travel travel = fit::Travel::kForwards;
  fit::Line ground;  // with its sills
  struct Block {
    std::string name;
    fit::Line underside;  // two points
  };
  std::vector<Block> overheads;
  std::vector<fit::UnitPose> machine;
  struct Gap {
    fit::Point from, to;
    std::string text;       // "9 in to spare", "2 in short"
    std::string from_what;  // "gap 12 in, less 3 in of bounce and 2 in of error"
  };
  Gap gap;
};

enum class Look { kAbove, kBelow };
/// The machine in the tightest spot above it or below it. Refused where nothing is above the way.
Outcome<SideDrawing> SideOf(const Asked& asked, const Trip& trip, const RiddenWay& ridden,
                            Look look);
std::string SideSvg(const SideDrawing& side);

}  // namespace chockwise::survey
