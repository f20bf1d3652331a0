// NIST Special Publication 811 (2008), Guide for the Use of the International System of Units,
// Appendix B.8: factors for units listed alphabetically, where those in bold are exact. Values from
// memory; the exact ones are also law in the international yard and pound agreement (24 FR 5348,
// 1959): 1 yd = 0.9144 m, 1 lb (avoirdupois) = 0.453 592 37 kg.
#include <gtest/gtest.h>

#include "services/yard/yard.h"

namespace chockwise {
namespace {

double Metres(std::string_view text) {
  return std::get<fit::Metres>(*yard::ReadMeasuredValue(text)).metres();
}
double Kilograms(std::string_view text) {
  return std::get<fit::Kilograms>(*yard::ReadMeasuredValue(text)).kilograms();
}
double MetresPerSecond(std::string_view text) {
  return std::get<fit::MetresPerSecond>(*yard::ReadMeasuredValue(text)).metres_per_second();
}

TEST(NistSp811, ExactFactorsOfReadings) {
  EXPECT_EQ(Metres("1 ft"), 0.3048);           // foot (ft): 3.048 E-01, exact
  EXPECT_EQ(Metres("1 in"), 0.0254);           // inch (in): 2.54 E-02, exact
  EXPECT_EQ(Metres("3 ft"), 0.9144);           // yard (yd): 9.144 E-01, exact
  EXPECT_EQ(Metres("5280 ft"), 1609.344);      // mile (mi): 1.609 344 E+03, exact
  EXPECT_EQ(Kilograms("1 lb"), 0.45359237);    // pound (avoirdupois) (lb): 4.535 923 7 E-01, exact
  EXPECT_EQ(Kilograms("2000 lb"), 907.18474);  // ton, short (2000 lb): 9.071 847 E+02
  EXPECT_EQ(Kilograms("2240 lb"), 1016.0469088);  // ton, long (2240 lb): 1.016 047 E+03
  EXPECT_EQ(MetresPerSecond("1 mph"), 0.44704);   // mile per hour (mi/h): 4.4704 E-01, exact
  EXPECT_EQ(MetresPerSecond("1 ft/s"), 0.3048);   // foot per second (ft/s): 3.048 E-01, exact
  EXPECT_EQ(MetresPerSecond("18 km/h"), 5.0);     // kilometer per hour (km/h): 2.777 778 E-01
}

TEST(NistSp811, ExactFactorsOfTheNamedFactories) {
  EXPECT_EQ(fit::Feet(1).metres(), 0.3048);
  EXPECT_EQ(fit::Inches(1).metres(), 0.0254);
  EXPECT_EQ(fit::Pounds(1).kilograms(), 0.45359237);
  EXPECT_EQ(fit::MilesPerHour(1).metres_per_second(), 0.44704);
  EXPECT_DOUBLE_EQ(fit::KilometresPerHour(1).metres_per_second(), 1 / 3.6);
  EXPECT_EQ(fit::Tonnes(1).kilograms(), 1000);
}

TEST(NistSp811, FactorsAndReadingsAgreeToTheLastBitOrOne) {
  for (int n = 1; n <= 5'000; ++n) {
    const std::string number = std::to_string(n);
    ASSERT_DOUBLE_EQ(Metres(number + " ft"), fit::Feet(n).metres());
    ASSERT_DOUBLE_EQ(Metres(number + " in"), fit::Inches(n).metres());
    ASSERT_DOUBLE_EQ(Kilograms(number + " lb"), fit::Pounds(n).kilograms());
  }
}

// SP 811, Appendix B.7.2, rounds converted values that are limits so that the limit is not broken
// by the rounding.
TEST(NistSp811, RoundedLimitsStayLimits) {
  EXPECT_EQ(fit::FloorMillimetres(fit::Feet(13.5)), 4114);  // 4.1148 m as an opening
  EXPECT_EQ(fit::CeilMillimetres(fit::Feet(13.5)), 4115);   // and as a size
}

}  // namespace
}  // namespace chockwise
