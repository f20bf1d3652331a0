// The ride once more, slowly and in long double: every position stands on its own, the ground is
// asked piece by piece, and the least gap is looked for by trying positions ever more closely
// around the best. What it finds is met for sure; that nothing lower exists it does not say.
#pragma once

#include <vector>

#include "services/fit/ride.h"

namespace chockwise::fit {

struct SlowGap {
  long double gap = 1e9L;
  long double lead = 0;
};

class SlowRide {
 public:
  SlowRide(const RidingMachine& machine, const LaneProfile& lane);

  /// The gaps at one position of the lead: to an overhead, and to all that is below.
  long double OverAt(size_t overhead, long double lead);
  long double BelowAt(long double lead);

  SlowGap LeastOver(size_t overhead);
  SlowGap LeastBelow();

 private:
  struct Spot {
    long double x = 0;
    long double z = 0;
  };
  struct Placed {
    long double x = 0;
    long double z = 0;
    long double cos = 1;
    long double sin = 0;
    long double angle = 0;  // from the rear support to the front one
  };

  long double Bare(long double x) const;
  long double WheelCentre(long double x, long double radius) const;
  long double GroupCentre(const AxleGroup& group, long double x) const;
  long double RearAngle(const AxleGroup& rear, Spot front, long double apart,
                        long double near) const;
  void Stand(long double lead);
  void StandOnTracks(long double lead);
  Spot World(size_t unit, long double behind, long double height) const;
  template <class Gap>
  SlowGap Zoom(long double from, long double to, Gap gap);

  const RidingMachine& machine_;
  const LaneProfile& lane_;
  std::vector<Spot> bare_;
  std::vector<Spot> walked_;
  std::vector<Placed> placed_;
  long double length_ = 0;
  bool stands_ = true;  // a track's mass is over what it touches
};

}  // namespace chockwise::fit
