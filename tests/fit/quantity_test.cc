#include "services/fit/quantity.h"

#include <gtest/gtest.h>

#include <limits>
#include <type_traits>

namespace chockwise::fit {
namespace {

// What does not compile at all is tried in wrong_programs/; here every pair of the quantities.
template <class A, class B>
concept Adds = requires(A a, B b) {
  a + b;
}
|| requires(A a, B b) { a - b; }
|| requires(A& a, B b) { a += b; }
|| requires(A& a, B b) { a -= b; };
template <class A, class B>
concept Multiplies = requires(A a, B b) {
  a* b;
};
template <class A, class B>
concept Divides = requires(A a, B b) {
  a / b;
};
template <class A, class B>
concept Compares = requires(A a, B b) {
  a < b;
}
|| requires(A a, B b) { a == b; };
template <class A, class B>
concept Becomes = std::is_constructible_v<A, B> || std::is_assignable_v<A&, B>;

template <class A, class B>
constexpr bool NeverMix() {
  return !Becomes<A, B> && !Adds<A, B> && !Multiplies<A, B> && !Divides<A, B> && !Compares<A, B>;
}

/// A bare number is no quantity of any unit; it may only stretch one that is linear.
template <class Q, class Number>
constexpr bool IsNoBareNumber() {
  constexpr bool stretches = Adds<Q, Q>;
  return !Becomes<Q, Number> && !Becomes<Number, Q> && !Adds<Q, Number> && !Adds<Number, Q> &&
         !Compares<Q, Number> && !Divides<Number, Q> && Multiplies<Q, Number> == stretches &&
         Divides<Q, Number> == stretches;
}

template <class... Qs>
struct Quantities {
  template <class A>
  static constexpr bool MixesWithNone() {
    return (... && (std::is_same_v<A, Qs> || NeverMix<A, Qs>())) && IsNoBareNumber<A, double>() &&
           IsNoBareNumber<A, int>() && !Multiplies<A, A> && Compares<A, A>;
  }
  static constexpr bool AllApart() { return (... && MixesWithNone<Qs>()); }
};
static_assert(Quantities<Metres, Kilograms, Grade, Decibels, MetresPerSecond, Angle, Newtons,
                         Pascals, Lux, Volts>::AllApart());
static_assert(Adds<Metres, Metres> && Divides<Metres, Metres>);
static_assert(!Adds<Decibels, Decibels> && !Divides<Decibels, Decibels>);
static_assert(std::is_trivially_copyable_v<Metres>);

TEST(Quantity, AddsSubtractsScalesAndCompares) {
  EXPECT_EQ(Feet(13) + Inches(6), Feet(13.5));
  EXPECT_DOUBLE_EQ((Feet(13.5) - Inches(6)).feet(), 13.0);
  EXPECT_EQ(2 * InKilograms(10), InKilograms(10) * 2);
  EXPECT_EQ(InKilograms(10) / 4, InKilograms(2.5));
  EXPECT_DOUBLE_EQ(Feet(3) / Inches(6), 6.0);
  EXPECT_LT(Inches(11), Feet(1));
  EXPECT_EQ(-Inches(2), Inches(-2));
  EXPECT_EQ(Metres(), InMetres(0));
}

TEST(Quantity, AtLeastForgivesBinaryNoiseAndNothingMore) {
  for (int inches = 0; inches <= 400; ++inches) {
    ASSERT_TRUE(AtLeast(Inches(inches + 6) - Inches(inches), Inches(6))) << inches;
    ASSERT_FALSE(AtLeast(Inches(inches + 6) - Inches(inches) - Millimetres(0.001), Inches(6)))
        << inches;
  }
}

TEST(Quantity, NotANumberAndInfinityAbort) {
  EXPECT_DEATH(InMetres(std::numeric_limits<double>::quiet_NaN()), "not finite");
  EXPECT_DEATH(Pounds(std::numeric_limits<double>::infinity()), "not finite");
  EXPECT_DEATH(InMetres(1e300) * 1e300, "not finite");
}

TEST(Quantity, LevelsAddByEnergy) {
  // Two equal sources: 10·lg 2 = 3.0103 dB. Definition of the decibel; ISO 80000-8, from memory.
  EXPECT_NEAR(EnergySum(InDecibels(80), InDecibels(80)).decibels(), 83.0103, 1e-4);
  EXPECT_NEAR(EnergySum(InDecibels(80), InDecibels(70)).decibels(), 80.4139, 1e-4);
  EXPECT_EQ(EnergySum(InDecibels(90), InDecibels(-1e6)), InDecibels(90));
  EXPECT_EQ(EnergySum(InDecibels(60), InDecibels(73)), EnergySum(InDecibels(73), InDecibels(60)));
  EXPECT_DOUBLE_EQ(LevelAbove(InDecibels(97), InDecibels(82)).decibels(), 15);
}

TEST(Quantity, WholeUnitsGoWhereTheNameSays) {
  EXPECT_EQ(FloorMillimetres(Inches(6)), 152);
  EXPECT_EQ(CeilMillimetres(Inches(6)), 153);
  EXPECT_EQ(FloorMillimetres(Inches(-6)), -153);
  EXPECT_EQ(CeilMillimetres(Inches(-6)), -152);
  EXPECT_EQ(FloorKilograms(Pounds(42'000)), 19'050);
  EXPECT_EQ(CeilKilograms(Pounds(42'000)), 19'051);
  EXPECT_EQ(FloorGrams(Pounds(1)), 453);
  EXPECT_EQ(CeilGrams(Pounds(1)), 454);
  EXPECT_EQ(FloorMillibels(InDecibels(97.129)), 9712);
  EXPECT_EQ(CeilMillibels(InDecibels(97.121)), 9713);
  EXPECT_EQ(FloorMillimetres(InMetres(1e300)), 9'000'000'000'000'000);
}

TEST(Quantity, BinaryFractionsTakeNoMillimetreAway) {
  for (int tens = 0; tens <= 50'000; tens += 5) {
    // 5 in is 127 mm exactly.
    const int64_t millimetres = int64_t{tens} / 5 * 127;
    ASSERT_EQ(FloorMillimetres(Inches(tens)), millimetres) << tens;
    ASSERT_EQ(CeilMillimetres(Inches(tens)), millimetres) << tens;
  }
  for (int centimetres = 0; centimetres <= 20'000; ++centimetres) {
    ASSERT_EQ(FloorMillimetres(InMetres(centimetres / 100.0)), centimetres * 10) << centimetres;
    ASSERT_EQ(CeilMillimetres(InMetres(centimetres / 100.0)), centimetres * 10) << centimetres;
  }
}

TEST(QuantityText, LengthsInFeetAndInches) {
  const auto down = [](Metres length) { return Text(length, UnitSystem::kUs, Rounding::kDown); };
  const auto up = [](Metres length) { return Text(length, UnitSystem::kUs, Rounding::kUp); };
  EXPECT_EQ(down(Feet(13.5)), "13 ft 6 in");
  EXPECT_EQ(down(InMetres(4.11)), "13 ft 5 in");  // 161.81 in
  EXPECT_EQ(up(InMetres(4.11)), "13 ft 6 in");
  EXPECT_EQ(down(Inches(9.99)), "9 in");
  EXPECT_EQ(up(Inches(11.2)), "1 ft");
  EXPECT_EQ(down(Inches(0)), "0 in");
  EXPECT_EQ(down(Inches(-1.5)), "-2 in");
  EXPECT_EQ(up(Inches(-1.5)), "-1 in");
  EXPECT_EQ(down(Feet(1200)), "1,200 ft");
}

TEST(QuantityText, EverythingElse) {
  EXPECT_EQ(Text(Feet(13.5), UnitSystem::kSi, Rounding::kDown), "4.11 m");
  EXPECT_EQ(Text(Feet(13.5), UnitSystem::kSi, Rounding::kUp), "4.12 m");
  EXPECT_EQ(Text(InMetres(-0.001), UnitSystem::kSi, Rounding::kDown), "-0.01 m");
  EXPECT_EQ(Text(Pounds(42'000), UnitSystem::kUs, Rounding::kUp), "42,000 lb");
  EXPECT_EQ(Text(Pounds(42'000), UnitSystem::kSi, Rounding::kUp), "19,051 kg");
  EXPECT_EQ(Text(Percent(2), UnitSystem::kUs, Rounding::kUp), "2.0 %");
  EXPECT_EQ(Text(RiseOverRun(-0.0821), UnitSystem::kSi, Rounding::kDown), "-8.3 %");
  EXPECT_EQ(Text(InDecibels(97), UnitSystem::kUs, Rounding::kDown), "97.0 dB");
  EXPECT_EQ(Text(MilesPerHour(5), UnitSystem::kUs, Rounding::kUp), "5.0 mph");
  EXPECT_EQ(Text(MilesPerHour(5), UnitSystem::kSi, Rounding::kUp), "2.3 m/s");
}

}  // namespace
}  // namespace chockwise::fit
