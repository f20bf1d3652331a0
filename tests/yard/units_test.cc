#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "services/yard/yard.h"

namespace chockwise::yard {
namespace {

using ::testing::HasSubstr;

struct Reading {
  std::string text;
  MeasuredValue value;
  friend void PrintTo(const Reading& reading, std::ostream* out) { *out << reading.text; }
};

class ReadableValues : public ::testing::TestWithParam<Reading> {};

TEST_P(ReadableValues, AreReadInSi) {
  const auto value = ReadMeasuredValue(GetParam().text);
  ASSERT_TRUE(value) << value.error();
  ASSERT_EQ(value->index(), GetParam().value.index());
  EXPECT_NEAR(InSi(*value), InSi(GetParam().value), 1e-12 * (1 + std::abs(InSi(GetParam().value))));
}

INSTANTIATE_TEST_SUITE_P(
    Units, ReadableValues,
    ::testing::Values(
        Reading{"13 ft 6 in", fit::InMetres(4.1148)}, Reading{"13 ft 6in", fit::InMetres(4.1148)},
        Reading{"13' 6\"", fit::InMetres(4.1148)}, Reading{"13'6\"", fit::InMetres(4.1148)},
        Reading{"13 ft", fit::InMetres(3.9624)}, Reading{"13 ft 0 in", fit::InMetres(3.9624)},
        Reading{"13.5 ft", fit::InMetres(4.1148)}, Reading{"162 in", fit::InMetres(4.1148)},
        Reading{"6 1/2 in", fit::InMetres(0.1651)}, Reading{"1/2 in", fit::InMetres(0.0127)},
        Reading{"13 ft 6 1/2 in", fit::InMetres(4.1275)},
        Reading{"13 ft 1/2 in", fit::InMetres(3.9751)},
        Reading{"11 63/64 in", fit::InMetres(11.984375 * 0.0254)},
        Reading{"4.11 m", fit::InMetres(4.11)}, Reading{"4.11m", fit::InMetres(4.11)},
        Reading{"  4.11 \t m ", fit::InMetres(4.11)}, Reading{"411 cm", fit::InMetres(4.11)},
        Reading{"4,110 mm", fit::InMetres(4.11)}, Reading{"-2 in", fit::InMetres(-0.0508)},
        Reading{"42,000 lb", fit::InKilograms(19050.87954)},
        Reading{"42000 lbs", fit::InKilograms(19050.87954)},
        Reading{"19,050.5 kg", fit::InKilograms(19050.5)}, Reading{"2 %", fit::RiseOverRun(0.02)},
        Reading{"0.5%", fit::RiseOverRun(0.005)}, Reading{"97 dB", fit::InDecibels(97)},
        Reading{"97.5 dB(A)", fit::InDecibels(97.5)},
        Reading{"5 mph", fit::InMetresPerSecond(2.2352)},
        Reading{"3.6 km/h", fit::InMetresPerSecond(1)}, Reading{"2 m/s", fit::InMetresPerSecond(2)},
        Reading{"10 ft/s", fit::InMetresPerSecond(3.048)}));

class UnreadableValues : public ::testing::TestWithParam<std::pair<std::string, std::string>> {};

TEST_P(UnreadableValues, SayWhatIsWrong) {
  const auto& [text, problem] = GetParam();
  const auto value = ReadMeasuredValue(text);
  ASSERT_FALSE(value) << text << " was read as " << InSi(*value);
  EXPECT_THAT(value.error(), HasSubstr(problem));
}

INSTANTIATE_TEST_SUITE_P(
    Law2, UnreadableValues,
    ::testing::Values(
        std::pair{"4.11", "has no unit"}, std::pair{"13", "has no unit"},
        std::pair{"1/2", "has no unit"}, std::pair{"13 ft 6", "is not a number with a unit"},
        std::pair{"13 6 in", "has no unit"}, std::pair{"", "is not a number"},
        std::pair{"m", "is not a number"}, std::pair{"ft in", "is not a number"},
        std::pair{"nan m", "is not a number"}, std::pair{"inf m", "is not a number"},
        std::pair{"1e3 m", "is not a unit"}, std::pair{"+4 m", "is not a number"},
        std::pair{"4. m", "is not a number"}, std::pair{".5 m", "is not a number"},
        std::pair{"4,11 m", "is not a number"}, std::pair{"4,1100 m", "is not a number"},
        std::pair{"1234,567 m", "is not a number"}, std::pair{"4.1234567 m", "is not a number"},
        std::pair{"123456789012 m", "is not a number"}, std::pair{"20 t", "a ton may be"},
        std::pair{"20 tons", "a ton may be"}, std::pair{"4 M", "is not a unit"},
        std::pair{"4 yd", "is not a unit"}, std::pair{"4 m m", "is not"},
        std::pair{"4 m 11 cm", "is not"}, std::pair{"13 ft 12 in", "is not"},
        std::pair{"13.5 ft 6 in", "is not"}, std::pair{"-13 ft 6 in", "is not"},
        std::pair{"13 ft -6 in", "is not"}, std::pair{"13 ft 6 cm", "is not"},
        std::pair{"6 2/1 in", "is not"}, std::pair{"6 1/3 in", "is not"},
        std::pair{"6 1/128 in", "is not"}, std::pair{"6 0/2 in", "is not"},
        std::pair{"6 1/0 in", "is not"}, std::pair{"6.5 1/2 in", "is not"},
        std::pair{"-6 1/2 in", "is not"}, std::pair{"13 ft 6 in 3 in", "is not"},
        std::pair{"4 m\n", "is not a unit"}, std::pair{"97 db", "is not a unit"},
        std::pair{"2 percent", "is not a unit"}));

// The unit in which somebody happened to write a reading must never change an answer: not even in
// the last bit.
TEST(UnitsProperty, TheSameLengthIsTheSameDoubleInEveryUnit) {
  std::mt19937_64 random(20261124);
  for (int round = 0; round < 20'000; ++round) {
    const int64_t halves = static_cast<int64_t>(random() % 4'000);  // half inches: 12.7 mm each
    const int64_t tenths_mm = halves * 127;
    const auto reading = [](const std::string& text) { return InSi(*ReadMeasuredValue(text)); };
    const double metres =
        reading(fmt::format("{}.{:04} m", tenths_mm / 10'000, tenths_mm % 10'000));
    ASSERT_EQ(reading(fmt::format("{}.{} mm", tenths_mm / 10, tenths_mm % 10)), metres)
        << tenths_mm;
    ASSERT_EQ(reading(fmt::format("{}.{:02} cm", tenths_mm / 100, tenths_mm % 100)), metres)
        << tenths_mm;
    ASSERT_EQ(reading(fmt::format("{}.{} in", halves / 2, halves % 2 * 5)), metres) << tenths_mm;
    ASSERT_EQ(reading(fmt::format("{} {}/4 in", halves / 2, halves % 2 == 0 ? 1 : 3)) > metres,
              true);
    const std::string fraction = halves % 2 == 0 ? "" : " 1/2";
    ASSERT_EQ(reading(fmt::format("{} ft {}{} in", halves / 24, halves / 2 % 12, fraction)), metres)
        << tenths_mm;
  }
}

TEST(UnitsProperty, TheSameMassIsTheSameDoubleInEveryUnit) {
  std::mt19937_64 random(7);
  for (int round = 0; round < 2'000; ++round) {
    const int64_t pounds =
        static_cast<int64_t>(random() % 90) * 1'000;  // whole thousands end at 5 decimals in kg
    const int64_t tens_of_mg = pounds / 1'000 * 45'359'237;  // 1,000 lb is 453.59237 kg
    const auto in_pounds = ReadMeasuredValue(fmt::format("{} lb", pounds));
    const auto in_kilograms =
        ReadMeasuredValue(fmt::format("{}.{:05} kg", tens_of_mg / 100'000, tens_of_mg % 100'000));
    ASSERT_EQ(InSi(*in_pounds), InSi(*in_kilograms)) << pounds;
  }
}

TEST(UnitsProperty, WhatIsShownRoundedIsReadBackOnTheCarefulSide) {
  std::mt19937_64 random(11);
  for (int round = 0; round < 20'000; ++round) {
    const fit::Metres length = fit::Millimetres(static_cast<double>(random() % 20'000'000) / 1'000);
    for (const auto system : {fit::UnitSystem::kUs, fit::UnitSystem::kSi}) {
      const auto down = ReadMeasuredValue(fit::Text(length, system, fit::Rounding::kDown));
      const auto up = ReadMeasuredValue(fit::Text(length, system, fit::Rounding::kUp));
      const double step_m = system == fit::UnitSystem::kUs ? 0.0254 : 0.01;
      ASSERT_LE(InSi(*down), length.metres() + 1e-6);
      ASSERT_GE(InSi(*up), length.metres() - 1e-6);
      ASSERT_LE(InSi(*up) - InSi(*down), step_m + 1e-6);
    }
  }
}

TEST(Age, IsAWholeNumberWithAUnit) {
  EXPECT_EQ(*ReadAge("365 days"), fit::Days(365));
  EXPECT_EQ(*ReadAge("1 day"), fit::Days(1));
  EXPECT_EQ(*ReadAge("12 h"), fit::Hours(12));
  EXPECT_EQ(*ReadAge("5 min"), fit::Minutes(5));
  EXPECT_EQ(*ReadAge(" 30s "), fit::Seconds(30));
  for (const char* wrong : {"", "365", "0 days", "-5 min", "1.5 h", "5 m", "99999 days",
                            "9999999999 s", "5 min 3 s", "5 weeks"}) {
    EXPECT_FALSE(ReadAge(wrong)) << wrong;
  }
}

}  // namespace
}  // namespace chockwise::yard
