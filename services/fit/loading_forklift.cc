#include "services/fit/loading_forklift.h"

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {

Outcome<Kilograms> ForkliftAllows(const ForkliftLoad& load) {
  InputCheck check;
  check.Positive("rating of the forklift", load.rated, UpTo{Pounds(200'000)})
      .Positive("rated load centre", load.rated_centre, UpTo{Feet(20)})
      .Positive("load centre", load.centre, UpTo{Feet(20)});
  if (check.failed()) return tl::unexpected(check.error());
  return load.rated * std::min(1.0, load.rated_centre / load.centre);
}

bool NeedsLoadUpgrade(Grade grade) {
  // A billionth of rise over run is binary noise: 10 % as typed is 10 %.
  return std::abs(grade.rise_over_run()) > 0.10 + 1e-9;
}

Outcome<bool> IsUnattended(const OperatorAway& away) {
  InputCheck check;
  check.NotNegative("distance of the operator", away.distance, UpTo{Feet(100'000)});
  if (check.failed()) return tl::unexpected(check.error());
  return away.in_view == InView::kNo || AtLeast(away.distance, Feet(25));
}

Outcome<Metres> GapToTruckAhead(Metres truck_length) {
  InputCheck check;
  check.Positive("length of the truck", truck_length, UpTo{Feet(60)});
  if (check.failed()) return tl::unexpected(check.error());
  return 3 * truck_length;
}

}  // namespace chockwise::fit
