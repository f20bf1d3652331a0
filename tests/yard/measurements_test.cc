// What is found among the readings is what a walk over all of them finds.
#include "services/yard/measurements.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <random>
#include <string>
#include <vector>

namespace chockwise::yard {
namespace {

using ::testing::ElementsAreArray;

Measurement Reading(std::string subject, std::string quantity, std::string with, int minute,
                    std::optional<fit::Metres> at = {}) {
  return {.subject = std::move(subject),
          .quantity = std::move(quantity),
          .attachment = std::move(with),
          .at = at,
          .when = fit::Instant() + fit::Minutes(minute)};
}

TEST(Measurements, NothingIsKnownOfWhatNobodyMeasured) {
  EXPECT_EQ(Measurements().Latest("door-1", "clear-height", ""), nullptr);
  EXPECT_TRUE(Measurements().LatestAlong("door-1", "clear-height", "").empty());
  const Measurements of_another({Reading("door-1", "clear-height", "", 0)});
  EXPECT_EQ(of_another.Latest("door-10", "clear-height", ""), nullptr);
  EXPECT_EQ(of_another.Latest("door-1", "clear-width", ""), nullptr);
  EXPECT_EQ(of_another.Latest("door-1", "clear-height", "forks"), nullptr);
}

TEST(Measurements, TheLatestByTimeCountsNotTheLastInTheFile) {
  const Measurements readings({Reading("TH-07", "mass", "", 5), Reading("TH-07", "mass", "", 9),
                               Reading("TH-07", "mass", "", 7)});
  EXPECT_EQ(readings.Latest("TH-07", "mass", ""), &readings.all()[1]);
}

TEST(Measurements, AWholeThingAndItsSpotsAreApart) {
  const fit::Metres front = fit::InMetres(0), back = fit::InMetres(3);
  const Measurements readings({Reading("TH-07", "outline-height", "", 9, back),
                               Reading("TH-07", "outline-height", "", 1),
                               Reading("TH-07", "outline-height", "", 2, front),
                               Reading("TH-07", "outline-height", "", 3, front)});
  EXPECT_EQ(readings.Latest("TH-07", "outline-height", ""), &readings.all()[1]);
  EXPECT_THAT(readings.LatestAlong("TH-07", "outline-height", ""),
              ElementsAreArray({&readings.all()[3], &readings.all()[0]}));
}

TEST(Measurements, ACopyFindsItsOwn) {
  Measurements copy;
  {
    const Measurements first({Reading("TH-07", "mass", "", 5)});
    copy = first;
  }
  EXPECT_EQ(copy.Latest("TH-07", "mass", ""), &copy.all().front());
}

/// Few names, many readings: most of them share one with others.
std::vector<Measurement> Many(std::mt19937& random) {
  const auto one_of = [&](const std::vector<std::string>& words) {
    return words[random() % words.size()];
  };
  std::vector<Measurement> readings;
  for (int minute = 0; minute < 400; ++minute) {
    std::optional<fit::Metres> at;
    if (random() % 2 == 0) at = fit::InMetres(static_cast<double>(random() % 4));
    readings.push_back(Reading(one_of({"a", "ab", "b", ""}), one_of({"m", "mm", "n"}),
                               one_of({"", "forks", "bucket"}), minute, at));
  }
  std::ranges::shuffle(readings, random);
  return readings;
}

TEST(Measurements, AgreeWithAWalkOverAllOfThem) {
  std::mt19937 random(20261128);
  for (int round = 0; round < 20; ++round) {
    const Measurements readings(Many(random));
    for (const Measurement& asked : readings.all()) {
      const Measurement* latest = nullptr;
      std::map<fit::Metres, const Measurement*> along;
      for (const Measurement& other : readings.all()) {
        if (other.subject != asked.subject || other.quantity != asked.quantity ||
            other.attachment != asked.attachment)
          continue;
        const Measurement*& kept = other.at ? along[*other.at] : latest;
        if (kept == nullptr || other.when > kept->when) kept = &other;
      }
      EXPECT_EQ(readings.Latest(asked.subject, asked.quantity, asked.attachment), latest);
      std::vector<const Measurement*> in_order;
      for (const auto& [spot, reading] : along) in_order.push_back(reading);
      EXPECT_THAT(readings.LatestAlong(asked.subject, asked.quantity, asked.attachment),
                  ElementsAreArray(in_order));
    }
  }
}

}  // namespace
}  // namespace chockwise::yard
