#include "services/fit/quantity.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>

namespace chockwise::fit {
namespace {

constexpr double kWholeTolerance = 1e-6;  // of the unit that is rounded to
constexpr double kLargestWhole = 9e15;    // below 2^53: every whole number up to here is a double

int64_t Whole(double value, Rounding rounding) {
  value = std::clamp(value, -kLargestWhole, kLargestWhole);
  const double nearest = std::round(value);
  if (std::abs(value - nearest) <= kWholeTolerance) return static_cast<int64_t>(nearest);
  return static_cast<int64_t>(rounding == Rounding::kDown ? std::floor(value) : std::ceil(value));
}

std::string WithThousands(int64_t value) {
  std::string text = fmt::format("{}", std::abs(value));
  for (int at = static_cast<int>(text.size()) - 3; at > 0; at -= 3)
    text.insert(static_cast<size_t>(at), 1, ',');
  return (value < 0 ? "-" : "") + text;
}

std::string Tenths(double value, Rounding rounding) {
  const int64_t tenths = Whole(value * 10, rounding);
  const int64_t size = std::abs(tenths);
  return fmt::format("{}{}.{}", tenths < 0 ? "-" : "", size / 10, size % 10);
}

std::string FeetAndInches(int64_t inches) {
  const int64_t size = std::abs(inches);
  const char* sign = inches < 0 ? "-" : "";
  if (size < 12) return fmt::format("{}{} in", sign, size);
  if (size % 12 == 0) return fmt::format("{}{} ft", sign, WithThousands(size / 12));
  return fmt::format("{}{} ft {} in", sign, WithThousands(size / 12), size % 12);
}

}  // namespace

void AbortNotFinite() {
  std::fputs("chockwise: a quantity was made from a number that is not finite\n", stderr);
  std::abort();
}

Decibels EnergySum(Decibels a, Decibels b) {
  // The louder is taken out, so that neither power overflows and a very quiet one vanishes instead.
  const double louder = std::max(a, b).decibels();
  const double quieter = std::min(a, b).decibels();
  return InDecibels(louder + 10 * std::log10(1 + std::pow(10, (quieter - louder) / 10)));
}

Decibels LevelAbove(Decibels signal, Decibels noise) {
  return InDecibels(signal.decibels() - noise.decibels());
}

int64_t FloorMillimetres(Metres length) { return Whole(length.metres() * 1000, Rounding::kDown); }
int64_t CeilMillimetres(Metres length) { return Whole(length.metres() * 1000, Rounding::kUp); }
int64_t FloorKilograms(Kilograms mass) { return Whole(mass.kilograms(), Rounding::kDown); }
int64_t CeilKilograms(Kilograms mass) { return Whole(mass.kilograms(), Rounding::kUp); }
int64_t FloorGrams(Kilograms mass) { return Whole(mass.kilograms() * 1000, Rounding::kDown); }
int64_t CeilGrams(Kilograms mass) { return Whole(mass.kilograms() * 1000, Rounding::kUp); }
int64_t FloorMillibels(Decibels level) { return Whole(level.decibels() * 100, Rounding::kDown); }
int64_t CeilMillibels(Decibels level) { return Whole(level.decibels() * 100, Rounding::kUp); }

std::string Text(Metres length, UnitSystem system, Rounding rounding) {
  if (system == UnitSystem::kUs) return FeetAndInches(Whole(length.inches(), rounding));
  const int64_t centimetres = Whole(length.metres() * 100, rounding);
  const int64_t size = std::abs(centimetres);
  return fmt::format("{}{}.{:02} m", centimetres < 0 ? "-" : "", WithThousands(size / 100),
                     size % 100);
}

std::string Text(Kilograms mass, UnitSystem system, Rounding rounding) {
  if (system == UnitSystem::kUs) return WithThousands(Whole(mass.pounds(), rounding)) + " lb";
  return WithThousands(Whole(mass.kilograms(), rounding)) + " kg";
}

std::string Text(Grade grade, UnitSystem, Rounding rounding) {
  return Tenths(grade.percent(), rounding) + " %";
}

std::string Text(Decibels level, UnitSystem, Rounding rounding) {
  return Tenths(level.decibels(), rounding) + " dB";
}

std::string Text(MetresPerSecond speed, UnitSystem system, Rounding rounding) {
  if (system == UnitSystem::kUs) return Tenths(speed.miles_per_hour(), rounding) + " mph";
  return Tenths(speed.metres_per_second(), rounding) + " m/s";
}

std::string Text(Angle angle, UnitSystem, Rounding rounding) {
  return Tenths(angle.degrees(), rounding) + " deg";
}

std::string Text(Newtons force, UnitSystem system, Rounding rounding) {
  if (system == UnitSystem::kUs) {
    return WithThousands(Whole(force.pounds_force(), rounding)) + " lbf";
  }
  return WithThousands(Whole(force.newtons(), rounding)) + " N";
}

std::string Text(Pascals pressure, UnitSystem system, Rounding rounding) {
  if (system == UnitSystem::kUs) {
    return WithThousands(Whole(pressure.pounds_per_square_foot(), rounding)) + " psf";
  }
  return Tenths(pressure.pascals() / 1000, rounding) + " kPa";
}

std::string Text(Lux light, UnitSystem system, Rounding rounding) {
  if (system == UnitSystem::kUs) return Tenths(light.foot_candles(), rounding) + " fc";
  return Tenths(light.lux(), rounding) + " lx";
}

std::string Text(Volts voltage, UnitSystem, Rounding rounding) {
  return Tenths(voltage.kilovolts(), rounding) + " kV";
}

}  // namespace chockwise::fit
