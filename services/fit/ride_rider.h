// A machine that stands on the ground of a lane: its units' poses for one
// position, and how fast its points may move between two positions. Private to
// the ride.
//
// Threads: one rider, one thread; it remembers how it stood last.
#pragma once

#include <optional>
#include <vector>

#include "services/fit/ride.h"
#include "services/fit/ride_ground.h"

namespace chockwise::fit::riding {

/// A point of a unit: x forward of its foremost point (so 0 or less), z above
/// level ground.
struct BodyPoint {
  double x = 0;
  double z = 0;
};

/// Where a unit's body frame lies: its origin, and the cosine and sine of its
/// pitch.
struct Frame {
  double x = 0;
  double z = 0;
  double cos = 1;
  double sin = 0;
  BodyPoint Turned(BodyPoint p) const { return {cos * p.x - sin * p.z, sin * p.x + cos * p.z}; }
  BodyPoint At(BodyPoint p) const { return {x + cos * p.x - sin * p.z, z + sin * p.x + cos * p.z}; }
};

struct Axle {
  double ahead = 0;  // of its group's middle
  double radius = 0;
};

struct Support {
  BodyPoint at;  // wheel centres' middle, or the coupling
  int first_axle = 0;
  int axles = 0;  // 0: a coupling
};

struct Body {
  Support front;
  Support rear;
  double apart = 0;  // of the two
  double reach = 0;  // from the front support to the farthest outline point, along plus up
  BodyPoint next_hangs_at;
  std::vector<BodyPoint> top;
  std::vector<BodyPoint> bottom;
};

struct Track {
  double ahead = 0;   // front end of the centre of mass
  double behind = 0;  // the rear end behind it
  BodyPoint centre_of_mass;
};

/// The machine's numbers, in metres.
struct Machine {
  std::vector<Body> bodies;
  std::vector<Axle> axles;
  std::optional<Track> track;
  double lead_behind_front = 0;  // the lead axle group, or the centre of mass
  double length = 0;             // from the foremost to the rearmost point, straight and level
  double height = 0;             // of the highest point
  double lever_sum = 0;          // how often an error of the profile may count
  double sill_sum = 0;           // likewise one of a sill's height
};

/// The machine's numbers; or the first input that is out of its domain. Law 2.
Outcome<Machine> ReadMachine(const RidingMachine& machine, const LaneProfile& lane);

/// A stretch of the ride in which the machine moves without a jump: it rolls,
/// or a track tips over a point of the ground. `from` and `to` are where the
/// lead is, or how far it has turned.
struct Phase {
  double from = 0;
  double to = 0;
  bool tips = false;
  BodyPoint pivot = {};       // in the world
  BodyPoint pivot_body = {};  // likewise, on the unit
  double pitch = 0;           // before it turns
  double sense = 1;           // +1: the nose rises
};

/// What a track touches beside its centre of mass.
struct TrackContact {
  double x = 0;
  bool end = false;  // the track's end; otherwise a point of the ground
  int index = 0;     // the piece that the end is on, or the point

  bool operator==(const TrackContact& other) const {
    return end == other.end && index == other.index;
  }
};

/// How the machine stands: filled by Rider::Stand.
struct Stance {
  double at = 0;  // within its phase
  double lead_x = 0;
  std::vector<Frame> frames;
  std::vector<WheelContact> wheels;
  std::vector<double> support_slope;  // of each body: rear support to front support
  std::vector<double> support_run;    // likewise, along
  // Tracks alone, while they lie: the line of the track and what it touches.
  double track_slope = 0;
  double track_height = 0;  // under the centre of mass
  TrackContact behind;
  TrackContact ahead;
};

/// Bounds on how a body's points move between two stances of one phase.
struct Motion {
  double drop = 0;      // at most so far below the lower of the two end gaps,
                        // ground's breaks apart
  double travel = 0;    // no point moves further along than this
  bool forward = true;  // every point moves forward only
};

class Rider {
 public:
  Rider(const Machine& machine, const Ground& walked) : machine_(machine), ground_(walked) {
    for (const Body& body : machine.bodies) {
      last_run_.push_back(body.front.at.x - body.rear.at.x);
    }
  }
  const Machine& machine() const { return machine_; }

  /// All phases while the lead is between two places; one where nothing tips.
  std::vector<Phase> PhasesBetween(double from_x, double to_x);
  void Stand(const Phase& phase, double at, Stance& stance);

  /// For each body, bounds that hold between `a` and `b`, where b is further in
  /// the phase.
  void MotionBetween(const Phase& phase, const Stance& a, const Stance& b,
                     std::vector<Motion>& motions);

 private:
  struct Height {
    double z = 0;
    double slope = 0;
  };
  Height SupportAt(const Support& support, double x, Stance& stance);
  BodyPoint SolveRear(size_t body_index, BodyPoint front, Stance& stance);
  enum class Edge { kBefore, kBehind };  // which line over a point that the mass is just over
  void StandOnWheels(double lead_x, Stance& stance);
  void LieOnTrack(double lead_x, Edge edge, Stance& stance);
  void AddTipping(int point, std::vector<Phase>& phases);
  static void Tip(const Phase& phase, double at, Stance& stance);
  static bool OnOneSlope(const Stance& a, const Stance& b);
  Range SlopesUnder(const Support& support, const Stance& a, const Stance& b) const;
  Motion TrackMotion(const Phase& phase, const Stance& a, const Stance& b) const;

  const Machine& machine_;
  const Ground& ground_;
  int track_hint_ = 0;
  std::vector<double> last_run_;  // of each body, from the rear support to the front one
  struct HullPoint {
    BodyPoint at;
    TrackContact contact;
  };
  std::vector<HullPoint> hull_;
  double last_track_slope_ = 0;
};

}  // namespace chockwise::fit::riding
