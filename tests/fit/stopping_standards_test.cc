#include "services/fit/stopping_standards.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

TEST(StoppingStandards, FivesAreRoundedUpAndStayFives) {
  for (int fives = 0; fives <= 400; ++fives) {
    EXPECT_EQ(RoundUpToFive(5.0 * fives), 5 * fives);
    EXPECT_EQ(RoundUpToFive(5.0 * fives + 0.01), 5 * fives + 5);
  }
}

TEST(StoppingStandards, AnInputOutOfItsDomainIsNamed) {
  const auto with = [](auto spoil) {
    SightDesign design = {.speed = 30};
    spoil(design);
    const auto feet = UnusableOf(AashtoSightDistanceFeet(design));
    EXPECT_EQ(feet.has_value(), UnusableOf(AashtoSightDistanceMetres(design)).has_value());
    return feet;
  };
  using D = SightDesign;
  const double nan = std::numeric_limits<double>::quiet_NaN();
  ExpectNamed({
      {"no speed", with([](D& d) { d.speed = 0; }), "design speed"},
      {"negative speed", with([](D& d) { d.speed = -30; }), "design speed"},
      {"absurd speed", with([](D& d) { d.speed = 161; }), "design speed"},
      {"speed not a number", with([nan](D& d) { d.speed = nan; }), "design speed"},
      {"grade in percent", with([](D& d) { d.grade = 6; }), "grade"},
      {"grade not a number", with([nan](D& d) { d.grade = nan; }), "grade"},
      {"negative response", with([](D& d) { d.response_s = -1; }), "response time, s"},
      {"absurd response", with([](D& d) { d.response_s = 11; }), "response time, s"},
      {"negative slowing", with([](D& d) { d.deceleration_over_g = -0.3; }), "deceleration over g"},
      {"absurd slowing", with([](D& d) { d.deceleration_over_g = 3.4; }), "deceleration over g"},
      {"steep", with([](D& d) { d.grade = -0.33; }), "grade"},
      {"no gross", UnusableOf(MineClassOf({})), "gross vehicle weight"},
      {"negative gross", UnusableOf(MineClassOf(Pounds(-1))), "gross vehicle weight"},
      {"absurd gross", UnusableOf(MineClassOf(Pounds(3e6))), "gross vehicle weight"},
      {"too slow", UnusableOf(MineStoppingFeet(MineClass::kTo70000, 9)), "speed, mph"},
      {"too fast", UnusableOf(MineStoppingFeet(MineClass::kTo70000, 21)), "speed, mph"},
      {"no speed", UnusableOf(MineSecondsPer100Feet(0)), "speed, mph"},
  });
}

RC_GTEST_PROP(StoppingStandardsProperty, SteeperDownNeverStopsSooner, ()) {
  const SightDesign design = {.speed = *rc::gen::inRange(5, 100) * 1.0,
                              .grade = *rc::gen::inRange(-25, 25) / 100.0 - 0.001};
  SightDesign steeper = design;
  steeper.grade -= 0.01;
  RC_ASSERT(*AashtoSightDistanceFeet(steeper) > *AashtoSightDistanceFeet(design));
  RC_ASSERT(*AashtoSightDistanceMetres(steeper) > *AashtoSightDistanceMetres(design));
}

}  // namespace
}  // namespace chockwise::fit
