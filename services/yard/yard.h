// One yard as its people wrote it down: the map, the register of machines and people, the
// measurements and the rules.
//
// A yard is a folder of five files. The room reads their bytes (it opens no file itself), checks
// them as a whole and gives back either a Yard, which never changes again, or every complaint there
// is:
//
//   auto yard = ReadYard({.map_geojson = ..., .machines_csv = ..., ...});
//   if (!yard) for (const Complaint& complaint : yard.error()) Print(complaint);
//
// Threads: a Yard is immutable; share it freely.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "chockwise/v1/rules.pb.h"
#include "services/fit/instant.h"
#include "services/fit/quantity.h"
#include "services/yard/ids.h"
#include "services/yard/measurements.h"

namespace chockwise::yard {

// Every member has a default, so that designated initialisers may name only what they set.

/// A position in WGS 84 as RFC 7946 writes it: degrees east, degrees north, metres above the
/// ellipsoid.
struct Position {
  double longitude_deg = 0;
  double latitude_deg = 0;
  std::optional<double> elevation_m = {};
};

/// Where a machine stands: bay, dock, wash pad, ready line, apron.
struct Place {
  PlaceId id = {};
  std::string name = {};
  Position position = {};
  int capacity = 1;  // machines that may stand here at once, 1 to 100
  std::string post_code =
      {};  // painted on the spot; typed by whoever stands there. Empty: none is painted
  /// Whether a roof keeps the daylight off. Unset: the map does not say, so nobody knows.
  std::optional<bool> under_roof = {};
};

/// An opening across a lane, square to it. What it measures is in the measurements
/// ("clear-height", "clear-width", "sill-height").
struct Door {
  DoorId id = {};
  std::string name = {};
  LaneId lane = {};
  Position position = {};  // of the middle of the opening, which the lane's own may miss
  fit::Metres along = {};  // from the lane's start
  std::string post_code = {};
};

/// A planned stop on a lane that is not a door: a blind corner, a walkway, a ramp toe.
struct HoldPoint {
  HoldPointId id = {};
  std::string name = {};
  LaneId lane = {};
  fit::Metres along = {};
  std::string post_code = {};
};

enum class OverheadSort { kCanopy, kBeam, kPipe, kWire };

/// Something across a lane that a machine passes under: a canopy, a beam, a pipe, a wire. How high
/// it hangs is in the measurements ("headroom"), and for a wire its "voltage".
struct Overhead {
  OverheadId id = {};
  std::string name = {};
  OverheadSort sort = OverheadSort::kBeam;
  LaneId lane = {};
  fit::Metres along = {};   // from the lane's start to its middle
  fit::Metres length = {};  // along the lane; 0 for a beam, a pipe or a wire straight across
};

/// Something that stands on the ground and does not move: a wall, a post, a tank.
struct Obstacle {
  ObstacleId id = {};
  std::string name = {};
  std::vector<std::vector<Position>> rings = {};  // outer ring first, as RFC 7946 asks
};

/// A way from one place to another, drivable both ways unless one_way.
struct Lane {
  LaneId id = {};
  std::string name = {};
  PlaceId from = {}, to = {};
  std::vector<Position> line = {};  // at least two; every one with an elevation
  fit::Metres length = {};
  bool one_way = false;
};

enum class Duty { kKeepClear, kExit, kFireWay, kRefuge, kLampGroup, kParking };

/// Whether nothing may be left standing on it, and no machine may go over it beside another's move.
bool MustStayFree(Duty duty);

/// Ground with a duty. `lanes` and `places` are those that it touches, worked out from the shapes.
struct Area {
  AreaId id = {};
  std::string name = {};
  Duty duty = Duty::kKeepClear;
  std::vector<std::vector<Position>> rings = {};  // outer ring first, as RFC 7946 asks
  std::set<LaneId> lanes = {};
  std::set<PlaceId> places = {};
};

/// How a machine turns and what it runs on.
enum class Steering {
  kFrontAxle,    // trucks
  kRearAxle,     // forklifts
  kAllWheel,     // both axles, each way: telehandlers
  kArticulated,  // a hinge between the axles: wheel loaders
  kSkid,         // wheels that do not steer
  kTracks,
  kCrab,  // all wheels stay parallel and the body keeps its heading
};
inline constexpr std::array kAllSteerings = {
    Steering::kFrontAxle, Steering::kRearAxle, Steering::kAllWheel, Steering::kArticulated,
    Steering::kSkid,      Steering::kTracks,   Steering::kCrab};

/// "front-axle": as machines.csv writes it.
std::string_view SteeringName(Steering steering);
/// Whether something may hang behind it: it steers with its front axle, all its wheels or a hinge.
bool MayTow(Steering steering);

struct Machine {
  MachineId id = {};  // the unit number painted on it
  std::string name = {};
  std::string machine_class =
      {};              // "service-truck", "telehandler", "excavator", "forklift", "carrier", ...
  PlaceId place = {};  // where it stood when the file was written
  std::string attachment = {};            // what it carries today; empty for none
  int chocks_set = 0;                     // chocks under it when the file was written, 0 to 50
  std::optional<Steering> steering = {};  // unset: not said, so nothing is known of how it turns
  /// What hangs behind it, front to rear: each a row of its own with one group of axles, a dolly, a
  /// trailer. A semitrailer that its own readings tell of goes before them and is not named here.
  std::vector<MachineId> tows = {};
  MachineId towed_by = {};  // the machine whose `tows` names it; empty: it hangs behind none
};

enum class Role { kDriver, kSpotter, kTech, kYardLead, kSafetyLead, kVisitorHost, kReader };
inline constexpr std::array kAllRoles = {Role::kDriver,   Role::kSpotter,    Role::kTech,
                                         Role::kYardLead, Role::kSafetyLead, Role::kVisitorHost,
                                         Role::kReader};

/// "yard-lead": a role as people.csv and the API write it.
std::string_view RoleName(Role role);

/// "yard lead": a party as sentences say it.
std::string_view PartyWord(v1::Party party);

struct Person {
  PersonId id = {};
  std::string name = {};
  std::set<Role> roles = {};
  std::map<std::string, fit::Instant> may_drive =
      {};  // machine class → first instant no longer authorised
  std::optional<fit::Instant> may_spot_until = {};  // unset: not trained as a spotter
};

/// The bytes of the five files, exactly as they are on disk.
struct YardFiles {
  std::string map_geojson = {};
  std::string machines_csv = {};
  std::string people_csv = {};
  std::string measurements_csv = {};
  std::string rules_txtpb = {};
};

/// One thing wrong, and what would be right. `line` is 1-based; 0 where `where` names a feature
/// instead.
struct Complaint {
  std::string file = {};
  int line = 0;
  std::string where = {};     // feature id or row's id; may be empty
  std::string field = {};     // column, property or message field
  std::string problem = {};   // what is wrong, with the text found
  std::string right = {};     // what would be right
  std::string Place() const;  // file:line
  std::string What() const;   // where: field: problem; right
  std::string Text() const;   // one line: both
};

/// A stop on a route at which a release ends: a door line or a hold point, in travel order.
struct RouteStop {
  std::string id = {};  // the door's or hold point's id
  bool is_door = false;
  std::string post_code = {};
};

/// Who took the map's positions and heights, and when.
struct MapSurvey {
  PersonId by = {};
  fit::Instant when = {};
};

/// The ground from one place to another.
struct Route {
  PlaceId to = {};
  std::vector<LaneId> lanes = {};
  std::vector<DoorId> doors = {};
  std::vector<RouteStop> stops = {};  // doors and hold points, in travel order
  std::set<AreaId> areas = {};  // areas that the lanes or the last place touch, whatever their duty
  fit::Metres length = {};
};

struct Yard {
  std::string id = {};                   // from the rules: a–z, 0–9, '-'
  std::optional<MapSurvey> survey = {};  // unset: nobody says, so its numbers are nobody's. Law 2
  std::map<PlaceId, Place> places = {};
  std::map<LaneId, Lane> lanes = {};
  std::map<DoorId, Door> doors = {};
  std::map<HoldPointId, HoldPoint> hold_points = {};
  std::map<AreaId, Area> areas = {};
  std::map<OverheadId, Overhead> overheads = {};
  std::map<ObstacleId, Obstacle> obstacles = {};
  std::map<MachineId, Machine> machines = {};
  std::map<PersonId, Person> people = {};
  Measurements measurements = {};
  v1::Rules rules = {};  // base and local rules merged

  const Person* FindPerson(std::string_view id) const;
  const Machine* FindMachine(std::string_view id) const;
  const v1::KindRule* FindKind(std::string_view id) const;
  const v1::GateRule* FindGate(std::string_view id) const;
  /// The shortest way by lane length (ties: fewest lanes, then lane ids in order). Unset where no
  /// way exists.
  /// From a place to itself: no lanes, and the areas that touch the place.
  std::optional<Route> FindRoute(const PlaceId& from, const PlaceId& to) const;
  /// The way over these lanes in this order. Unset where one of them is not on the map, does not
  /// begin where the one before it ends, or runs the other way only. No lanes: as FindRoute() from
  /// a place to itself.
  std::optional<Route> RouteBy(const PlaceId& from, const std::vector<LaneId>& by) const;
};

using Complaints = std::vector<Complaint>;

/// What a computation's parameter is written as in the rules.
enum class ParameterKind {
  kLength,    // "6 in"
  kQuantity,  // any measured value with its unit: "2 %", "6 in", "40000 lb"
  kAge,       // "365 days", "12 h"
  kWord,      // an id: a–z, 0–9, '-'
  kGate,      // the id of a gate of these rules
};

/// The computations that rules may name, and the parameters each takes. Those in `required` must be
/// given.
struct Computation {
  std::map<std::string, ParameterKind> parameters = {};
  std::set<std::string> required = {};
};
using Computations = std::map<std::string, Computation>;

/// Reads and checks all five files together with the base rules (BaseRulesText()). Never stops at
/// the first complaint.
tl::expected<Yard, Complaints> ReadYard(const YardFiles& files, std::string_view base_rules_txtpb,
                                        const Computations& known);

/// Reads "13 ft 6 in", "4.11 m", "42,000 lb", "2 %", "97 dB", "5 mph". A bare number is refused.
/// Law 2.
tl::expected<MeasuredValue, std::string> ReadMeasuredValue(std::string_view text);

/// Reads an age of the rules: "365 days", "12 h", "5 min".
tl::expected<fit::Duration, std::string> ReadAge(std::string_view text);

/// The base rules that ship with this build, as Protobuf text. A yard's own rules may only be
/// stricter.
std::string_view BaseRulesText();

}  // namespace chockwise::yard
