#include "services/survey/reading_errors.h"

#include <fmt/format.h>

#include "services/survey/answers.h"

namespace chockwise::survey {

fit::Input HeightErrorInput(fit::UnitSystem units) {
  return Default("a height may be off", Exactly(kHeightError, units));
}

fit::Input TapeErrorInput(fit::UnitSystem units) {
  return Default("a tape may be off", Exactly(kTapeError, units));
}

fit::Input ScaleErrorInput() {
  return Default("a scale may be off", fmt::format("{:.0f} %", kScaleError * 100));
}

fit::Input SoundMeterErrorInput() {
  return Default("a sound level meter may be off, each time it is read",
                 Text(kSoundMeterError, fit::UnitSystem::kUs, fit::Rounding::kUp));
}

fit::Input SlopeErrorInput(fit::UnitSystem units) {
  return Default("a slope may be off", Text(kSlopeError, units, fit::Rounding::kUp));
}

std::array<fit::Input, 3> ErrorInputs(fit::UnitSystem units) {
  return {TapeErrorInput(units), ScaleErrorInput(), SlopeErrorInput(units)};
}

}  // namespace chockwise::survey
