#include "services/survey/reading_errors.h"

#include <fmt/format.h>

#include <cmath>

namespace chockwise::survey {

std::array<fit::Input, 3> ErrorInputs(fit::UnitSystem units) {
  // Finer than a driver's line: half an inch would be told as a whole one.
  const std::string tape = units == fit::UnitSystem::kUs
                               ? fmt::format("{:.1f} in", kTapeError.inches())
                               : fmt::format("{:.0f} mm", std::ceil(kTapeError.metres() * 1000));
  return {Default("a tape may be off", tape),
          Default("a scale may be off", fmt::format("{:.0f} %", kScaleError * 100)),
          Default("a slope may be off", Text(kSlopeError, units, fit::Rounding::kUp))};
}

}  // namespace chockwise::survey
