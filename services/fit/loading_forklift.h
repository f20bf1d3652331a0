// What 29 CFR 1910.178 says in numbers of a forklift at work: what it may lift at a longer load
// centre, which way it faces on a grade, when it is unattended, how far it keeps behind another.
//
//   ForkliftAllows({.rated = Pounds(3'000), .rated_centre = Inches(24), .centre = Inches(30)})
//       // 2,400 lb
//
// Threads: values.
#pragma once

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

struct ForkliftLoad {
  Kilograms rated;      // on the plate, with this mast and attachment
  Metres rated_centre;  // from the forks' face
  Metres centre;        // of this load, from the forks' face: half its length
};

/// Rated moment over the load's centre, and never more than the plate. It leaves out the way from
/// the forks' face to the front axle, which is on the careful side for longer loads.
/// Domain: rating to 200,000 lb, centres to 20 ft. Source: 29 CFR 1910.178 Appendix A, A-5.3; the
/// maker's plate governs.
Outcome<Kilograms> ForkliftAllows(const ForkliftLoad& load);

/// Above 10 % a loaded truck is driven with the load upgrade (1910.178(n)(7)(i)). Exactly 10 % is
/// not above. Uphill and downhill alike.
bool NeedsLoadUpgrade(Grade grade);

/// Whether the truck is in the operator's view.
enum class InView { kNo, kYes };
struct OperatorAway {
  Metres distance;
  InView in_view = InView::kNo;
};
/// Unattended: 25 ft (7.62 m) or more away, or any distance out of view (1910.178(m)(5)(ii)).
/// Refused: a negative distance.
Outcome<bool> IsUnattended(const OperatorAway& away);

/// About three truck lengths to the truck ahead (1910.178(n)(1)). Domain: length to 60 ft.
Outcome<Metres> GapToTruckAhead(Metres truck_length);

}  // namespace chockwise::fit
