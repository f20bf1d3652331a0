// Quantities with their dimension in the type and their unit in every name. SI inside, the yard's
// units at the edges.
//
//   Metres opening = Feet(13.5);
//   Metres margin = opening - carried - Inches(6);
//   entry.set_margin_mm(FloorMillimetres(margin));            // margins and openings round down:
//   caution Text(margin, UnitSystem::kUs, Rounding::kDown);           // "9 in"
//
// A bare number, or a quantity of another dimension, does not compile into one. A quantity is
// always finite: making one from NaN or infinity is a bug of ours and aborts, since every
// comparison with NaN would answer "no conflict".
//
// Errors: one rounding of a double per factory and operation, a relative error below 1.2e-16 each.
// Source of every conversion: NIST SP 811 (2008), Appendix B.8, where the factors used here are
// exact. Threads: values; nothing is shared.
#pragma once

#include <cmath>
#include <compare>
#include <concepts>
#include <cstdint>
#include <numbers>
#include <string>

namespace chockwise::fit {

/// Says on stderr that a quantity was not finite, and aborts.
[[noreturn]] void AbortNotFinite();

/// Whether quantities of a unit add up and scale like numbers. Levels in decibels do not.
template <class Unit>
concept Linear = Unit::kLinear;

struct MetreUnit {
  static constexpr bool kLinear = true;
};
struct KilogramUnit {
  static constexpr bool kLinear = true;
};
struct GradeUnit {
  static constexpr bool kLinear = true;
};
struct DecibelUnit {
  static constexpr bool kLinear = false;
};
struct MetrePerSecondUnit {
  static constexpr bool kLinear = true;
};
struct RadianUnit {
  static constexpr bool kLinear = true;
};
struct NewtonUnit {
  static constexpr bool kLinear = true;
};
struct PascalUnit {
  static constexpr bool kLinear = true;
};
struct LuxUnit {
  static constexpr bool kLinear = true;
};
struct VoltUnit {
  static constexpr bool kLinear = true;
};

template <class Unit>
class Quantity {
 public:
  constexpr Quantity() = default;  // zero

  constexpr auto operator<=>(const Quantity&) const = default;
  constexpr Quantity operator+(Quantity other) const requires Linear<Unit> {
    return Quantity(si_ + other.si_);
  }
  constexpr Quantity operator-(Quantity other) const requires Linear<Unit> {
    return Quantity(si_ - other.si_);
  }
  constexpr Quantity operator-() const requires Linear<Unit> { return Quantity(-si_); }
  constexpr Quantity operator*(double factor) const requires Linear<Unit> {
    return Quantity(si_ * factor);
  }
  constexpr Quantity operator/(double divisor) const requires Linear<Unit> {
    return Quantity(si_ / divisor);
  }
  constexpr double operator/(Quantity other) const requires Linear<Unit> { return si_ / other.si_; }
  constexpr Quantity& operator+=(Quantity other) requires Linear<Unit> {
    return *this = *this + other;
  }
  constexpr Quantity& operator-=(Quantity other) requires Linear<Unit> {
    return *this = *this - other;
  }
  friend constexpr Quantity operator*(double factor, Quantity quantity) requires Linear<Unit> {
    return quantity * factor;
  }

  constexpr double metres() const requires std::same_as<Unit, MetreUnit> { return si_; }
  constexpr double feet() const requires std::same_as<Unit, MetreUnit> { return si_ / 0.3048; }
  constexpr double inches() const requires std::same_as<Unit, MetreUnit> { return si_ / 0.0254; }
  constexpr double kilograms() const requires std::same_as<Unit, KilogramUnit> { return si_; }
  constexpr double pounds() const requires std::same_as<Unit, KilogramUnit> {
    return si_ / 0.45359237;
  }
  constexpr double rise_over_run() const requires std::same_as<Unit, GradeUnit> { return si_; }
  constexpr double percent() const requires std::same_as<Unit, GradeUnit> { return si_ * 100; }
  constexpr double decibels() const requires std::same_as<Unit, DecibelUnit> { return si_; }
  constexpr double metres_per_second() const requires std::same_as<Unit, MetrePerSecondUnit> {
    return si_;
  }
  constexpr double miles_per_hour() const requires std::same_as<Unit, MetrePerSecondUnit> {
    return si_ / 0.44704;
  }
  constexpr double radians() const requires std::same_as<Unit, RadianUnit> { return si_; }
  constexpr double degrees() const requires std::same_as<Unit, RadianUnit> {
    return si_ * (180 / std::numbers::pi);
  }
  constexpr double newtons() const requires std::same_as<Unit, NewtonUnit> { return si_; }
  constexpr double pounds_force() const requires std::same_as<Unit, NewtonUnit> {
    return si_ / (0.45359237 * 9.80665);
  }
  constexpr double pascals() const requires std::same_as<Unit, PascalUnit> { return si_; }
  constexpr double pounds_per_square_foot() const requires std::same_as<Unit, PascalUnit> {
    return si_ * (0.3048 * 0.3048) / (0.45359237 * 9.80665);
  }
  constexpr double lux() const requires std::same_as<Unit, LuxUnit> { return si_; }
  constexpr double foot_candles() const requires std::same_as<Unit, LuxUnit> {
    return si_ * (0.3048 * 0.3048);
  }
  constexpr double kilovolts() const requires std::same_as<Unit, VoltUnit> { return si_ / 1000; }

 private:
  friend struct QuantityFactory;
  explicit constexpr Quantity(double si) : si_(si) {
    if (!(si - si == 0)) AbortNotFinite();
  }
  double si_ = 0;
};

using Metres = Quantity<MetreUnit>;
using Kilograms = Quantity<KilogramUnit>;
using Grade = Quantity<GradeUnit>;  // rise over run: 2 % is 0.02; uphill is positive
using Decibels = Quantity<DecibelUnit>;
using MetresPerSecond = Quantity<MetrePerSecondUnit>;
using Angle = Quantity<RadianUnit>;
using Newtons = Quantity<NewtonUnit>;
using Pascals = Quantity<PascalUnit>;
using Lux = Quantity<LuxUnit>;
using Volts = Quantity<VoltUnit>;

/// The one way in, for the named factories below alone.
struct QuantityFactory {
  template <class Q>
  static constexpr Q Make(double si) {
    return Q(si);
  }
};

constexpr Metres InMetres(double n) { return QuantityFactory::Make<Metres>(n); }
constexpr Metres Millimetres(double n) { return QuantityFactory::Make<Metres>(n / 1000); }
constexpr Metres Feet(double n) { return QuantityFactory::Make<Metres>(n * 0.3048); }
constexpr Metres Inches(double n) { return QuantityFactory::Make<Metres>(n * 0.0254); }

constexpr Kilograms InKilograms(double n) { return QuantityFactory::Make<Kilograms>(n); }
constexpr Kilograms Tonnes(double n) { return QuantityFactory::Make<Kilograms>(n * 1000); }
constexpr Kilograms Pounds(double n) { return QuantityFactory::Make<Kilograms>(n * 0.45359237); }

constexpr Grade RiseOverRun(double n) { return QuantityFactory::Make<Grade>(n); }
constexpr Grade Percent(double n) { return QuantityFactory::Make<Grade>(n / 100); }

constexpr Decibels InDecibels(double n) { return QuantityFactory::Make<Decibels>(n); }

constexpr MetresPerSecond InMetresPerSecond(double n) {
  return QuantityFactory::Make<MetresPerSecond>(n);
}
constexpr MetresPerSecond KilometresPerHour(double n) {
  return QuantityFactory::Make<MetresPerSecond>(n / 3.6);
}
constexpr MetresPerSecond MilesPerHour(double n) {
  return QuantityFactory::Make<MetresPerSecond>(n * 0.44704);
}

constexpr Angle Radians(double n) { return QuantityFactory::Make<Angle>(n); }
constexpr Angle Degrees(double n) {
  return QuantityFactory::Make<Angle>(n * (std::numbers::pi / 180));
}

constexpr Newtons InNewtons(double n) { return QuantityFactory::Make<Newtons>(n); }
constexpr Newtons PoundsForce(double n) {
  return QuantityFactory::Make<Newtons>(n * (0.45359237 * 9.80665));
}

constexpr Pascals InPascals(double n) { return QuantityFactory::Make<Pascals>(n); }
constexpr Pascals PoundsPerSquareFoot(double n) {
  return QuantityFactory::Make<Pascals>(n * (0.45359237 * 9.80665) / (0.3048 * 0.3048));
}

constexpr Lux InLux(double n) { return QuantityFactory::Make<Lux>(n); }
constexpr Lux FootCandles(double n) { return QuantityFactory::Make<Lux>(n / (0.3048 * 0.3048)); }

constexpr Volts InVolts(double n) { return QuantityFactory::Make<Volts>(n); }
constexpr Volts Kilovolts(double n) { return QuantityFactory::Make<Volts>(n * 1000); }

/// Standard gravity, metres per second squared. Source: NIST SP 811, Appendix B.8.
inline constexpr double kGravity = 9.80665;

/// Whether `value` reaches `needed`, where falling short by one billionth of the SI unit is binary
/// noise and not a shortfall: 13 ft 6 in less 13 ft must be the 6 in that a rule asks for. One
/// nanometre is far below any tape.
template <Linear Unit>
constexpr bool AtLeast(Quantity<Unit> value, Quantity<Unit> needed) {
  return value >= needed - QuantityFactory::Make<Quantity<Unit>>(1e-9);
}

/// The level of two sounds together: 10·lg(10^(a/10) + 10^(b/10)). Two equal levels give 3.01 dB
/// more.
Decibels EnergySum(Decibels a, Decibels b);

/// By how many decibels `signal` stands above `noise`; negative where it is drowned.
Decibels LevelAbove(Decibels signal, Decibels noise);

/// Whole units for the ledger and the wire, in the direction that the name says. A value within one
/// millionth of a whole unit is that whole unit: 10 in is 254 mm, although 10 * 0.0254 * 1000 need
/// not be 254 in binary. Requires a result within ±9e15; beyond it the nearest of these two is
/// given.
int64_t FloorMillimetres(Metres length);
int64_t CeilMillimetres(Metres length);
int64_t FloorKilograms(Kilograms mass);
int64_t CeilKilograms(Kilograms mass);
int64_t FloorGrams(Kilograms mass);
int64_t CeilGrams(Kilograms mass);
int64_t FloorMillibels(Decibels level);  // hundredths of a decibel
int64_t CeilMillibels(Decibels level);

enum class UnitSystem { kUs, kSi };

/// Which way a shown number is rounded. kDown is toward minus infinity: openings, margins,
/// capacities. kUp is toward plus infinity: sizes, masses, slopes. Both are the careful direction
/// for what they are named for.
enum class Rounding { kDown, kUp };

/// What people read. US: "13 ft 6 in", "9 in", "-2 in", "42,000 lb", "5.0 mph". SI: "4.11 m",
/// "19,050 kg", "2.2 m/s". Grades and levels are the same in both: "2.0 %", "97.0 dB". Lengths to
/// the inch or centimetre, masses to the pound or kilogram, the others to a tenth.
std::string Text(Metres length, UnitSystem system, Rounding rounding);
std::string Text(Kilograms mass, UnitSystem system, Rounding rounding);
std::string Text(Grade grade, UnitSystem system, Rounding rounding);
std::string Text(Decibels level, UnitSystem system, Rounding rounding);
std::string Text(MetresPerSecond speed, UnitSystem system, Rounding rounding);
std::string Text(Angle angle, UnitSystem system, Rounding rounding);    // "7.2 deg"
std::string Text(Newtons force, UnitSystem system, Rounding rounding);  // "13,200 lbf", "58,716 N"
std::string Text(Pascals pressure, UnitSystem system, Rounding rounding);  // "250 psf", "11.9 kPa"
std::string Text(Lux light, UnitSystem system, Rounding rounding);         // "5.0 fc", "53.8 lx"
std::string Text(Volts voltage, UnitSystem system, Rounding rounding);     // "138.0 kV"

}  // namespace chockwise::fit
