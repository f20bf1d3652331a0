// The same quantity as the other unit says it: 4.11 m read off as feet and entered again. An answer
// must not depend on which tape was in the hand.
#pragma once

#include "services/fit/quantity.h"

namespace chockwise::fit {

inline Metres Retaped(Metres q) { return Feet(q.feet()); }
inline Kilograms Retaped(Kilograms q) { return Pounds(q.pounds()); }
inline Grade Retaped(Grade q) { return Percent(q.percent()); }
inline Angle Retaped(Angle q) { return Degrees(q.degrees()); }
inline Pascals Retaped(Pascals q) { return PoundsPerSquareFoot(q.pounds_per_square_foot()); }
inline Lux Retaped(Lux q) { return FootCandles(q.foot_candles()); }
inline Volts Retaped(Volts q) { return Kilovolts(q.kilovolts()); }

template <class... Qs>
void Retape(Qs&... quantities) {
  ((quantities = Retaped(quantities)), ...);
}

}  // namespace chockwise::fit
