// Light, sound and axle loads within a few roundings of their limit and up to a millionth beside
// it, against a long double: a hundred thousand cases of each.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "services/fit/axle_loads.h"
#include "services/fit/hearing.h"
#include "services/fit/light.h"
#include "tests/fit/near_limit.h"

namespace chockwise::fit {
namespace {

constexpr int kCases = kNearLimitCases;

TEST(NearLimit, Hearing) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    const double distance = dice.Between(1, 80), loss = dice.Between(0, 20);
    Listening listening = {.name = "Horn",
                           .sources = {},
                           .distance = InMetres(distance),
                           .ambient = {},
                           .ambient_error = InDecibels(dice.Between(0.5, 6)),
                           .loss = InDecibels(loss)};
    long double power = 0, error = 0;
    for (size_t source = 1 + dice.Below(3); source > 0; --source) {
      const double level = dice.Between(95, 120), near = dice.Between(0.5, 4);
      const double off = dice.Between(0.5, 6);
      listening.sources.push_back(
          {.level = InDecibels(level), .at = InMetres(near), .error = InDecibels(off)});
      const long double farther =
          std::max(1.0L, static_cast<long double>(distance) / static_cast<long double>(near));
      power += std::pow(10.0L, static_cast<long double>(level) / 10) / (farther * farther);
      error = std::max(error, static_cast<long double>(off));
    }
    error += static_cast<long double>(listening.ambient_error.decibels());
    const long double level = 10 * std::log10(power) - loss;
    // As loud as it may surely be, or as little heard as it surely is.
    const bool from_above = at % 2 == 0;
    const double ambient =
        static_cast<double>(level - 10 + (from_above ? -error : error)) * dice.NearOrBeside(40);
    if (ambient < 55 || ambient > 140) {
      --at;
      continue;
    }
    listening.ambient = InDecibels(ambient);
    const auto heard = HeardAt(listening);
    ASSERT_TRUE(heard);
    const long double margin = level - 10 - ambient;
    constexpr long double kNoise = 1e-13L;  // of levels about 100 dB
    if (heard->verdict == Verdict::kClear) {
      ASSERT_GE(margin - error, -kNoise);
      ++tally.clear;
    } else if (heard->verdict == Verdict::kConflict) {
      ASSERT_LE(margin + error, kNoise);
      ++tally.conflict;
    } else {
      ASSERT_LE(std::abs(margin), error + kNoise);
      ++tally.undecided;
    }
    if (heard->verdict == Verdict::kClear) {
      ASSERT_GE(heard->surely_heard_to.metres(), distance * (1 - 1e-13));
    }
  }
  tally.ExpectAllKinds();
}

TEST(NearLimit, Light) {
  Dice dice;
  NearLimitTally tally;
  constexpr long double kFoot = 0.3048L * 0.3048L;
  struct Asked {
    LitGround ground;
    LitSite site;
    long double average, least;
  };
  const Asked rows[] = {{LitGround::kRoute, LitSite::kGeneralIndustry, 20, 5},
                        {LitGround::kMixed, LitSite::kConstruction, 50, 3 / kFoot},
                        {LitGround::kApron, LitSite::kGeneralIndustry, 0, 5 / kFoot},
                        {LitGround::kWorkshop, LitSite::kConstruction, 0, 10 / kFoot}};
  for (int at = 0; at < kCases; ++at) {
    const Asked& row = rows[dice.Below(std::size(rows))];
    const double meter = dice.Between(0.5, 10);
    const double side = at % 2 == 0 ? 1 : -1;  // surely enough, or surely not
    const double needed = static_cast<double>(row.least) + side * meter;
    if (needed <= 0) {
      --at;
      continue;
    }
    const double least = needed * dice.NearOrBeside(40);
    const double average = least + static_cast<double>(row.average) + 20;
    const auto light = LightAt({.place = {.latitude = Degrees(40), .longitude = Degrees(-100)},
                                .when = Instant::FromMicros(1'795'521'600'000'000),
                                .ground = row.ground,
                                .site = row.site,
                                .measured = LightReading{.average = InLux(average),
                                                         .least = InLux(least),
                                                         .meter_error = InLux(meter)},
                                .leg_headings = {}});
    ASSERT_TRUE(light);
    long double margin = least - row.least;
    margin = std::min(margin, row.average > 0 ? average - row.average : average);
    constexpr long double kNoise = 1e-13L;
    if (light->verdict == Verdict::kClear) {
      ASSERT_GE(margin - meter, -kNoise);
      ++tally.clear;
    } else if (light->verdict == Verdict::kConflict) {
      ASSERT_LE(margin + meter, kNoise);
      ++tally.conflict;
    } else {
      ++tally.undecided;
    }
  }
  tally.ExpectAllKinds();
}

/// A tractor and a lowboy, in pounds and feet; and what each group carries by levers.
struct Lorry {
  double machine = 0, at = 0, pin = 19, ticket = 0;
  double tares[3] = {};  // steer, drives, trailer's axles
  double rating = 0;     // of the lowboy's last axle

  LoadedVehicle Vehicle() const {
    const auto axle = [](double feet, double lb) {
      return RoadAxle{.at = Feet(feet), .tare = Pounds(lb)};
    };
    LoadedVehicle vehicle = {.units = {{.front = {axle(0, tares[0])},
                                        .rear = {axle(18, tares[1] / 2), axle(22, tares[1] / 2)},
                                        .coupling = Feet(pin)},
                                       {.rear = {axle(55, tares[2] / 2), axle(59, tares[2] / 2)}}},
                             .machine = Pounds(machine),
                             .machine_at = Feet(at),
                             .deck_front = Feet(25),
                             .deck_rear = Feet(56),
                             .errors = {.ticket = Pounds(ticket)}};
    if (rating > 0) vehicle.units[1].rear[1].rating = Pounds(rating);
    return vehicle;
  }
  /// Drives and trailer's axles with `more` on the machine's weight and on their own tickets.
  long double Drives(long double more) const {
    return tares[1] + more + OnPin(machine + more) * pin / 20;
  }
  long double Trailer(long double more) const {
    return tares[2] + more + (machine + more) - OnPin(machine + more);
  }
  long double OnPin(long double weight) const {
    return weight * (57 - static_cast<long double>(at)) / (57 - static_cast<long double>(pin));
  }
};

enum class Tight { kDrives, kTrailer, kRating };

/// The worst margin of the limits that may be tight, in pounds.
long double LeastMargin(const Lorry& lorry, long double more) {
  long double margin = std::min(34'000 - lorry.Drives(more), 34'000 - lorry.Trailer(more));
  if (lorry.rating > 0) margin = std::min(margin, lorry.rating - lorry.Trailer(more) / 2);
  return margin;
}

TEST(NearLimit, Axles) {
  Dice dice;
  NearLimitTally tally;
  int exact = 0;
  while (tally.clear + tally.conflict + tally.undecided < kCases) {
    Lorry lorry = {.at = dice.Between(28, 52), .pin = dice.Between(17, 21)};
    lorry.tares[0] = dice.Between(9'000, 11'000);
    lorry.tares[1] = dice.Between(10'000, 14'000);
    lorry.tares[2] = dice.Between(8'000, 11'000);
    lorry.ticket = dice.Below(2) == 0 ? 0 : dice.Between(20, 400);
    const auto tight = static_cast<Tight>(dice.Below(3));
    // Loads are linear in the machine's weight: 0 and 1 lb say where they reach the limit.
    const auto weight_at = [&](long double limit, auto load) {
      lorry.machine = 0;
      const long double none = load();
      lorry.machine = 1;
      return static_cast<double>((limit - none) / (load() - none));
    };
    const long double more = lorry.ticket;
    double weight = 0;
    if (tight == Tight::kDrives)
      weight = weight_at(34'000, [&] { return lorry.Drives(more); });
    else
      weight = weight_at(34'000, [&] { return lorry.Trailer(more); });
    if (tight == Tight::kRating) weight *= dice.Between(0.5, 0.9);
    weight *= dice.NearOrBeside(400);
    if (weight < 1'000 || weight > 48'000) continue;
    lorry.machine = weight;
    if (tight == Tight::kRating)
      lorry.rating = static_cast<double>(lorry.Trailer(more) / 2) * dice.NearOrBeside(400);
    // The other limits of the law must leave room: steer, bridge, gross.
    const auto judged = JudgeAxles(lorry.Vehicle());
    ASSERT_TRUE(judged);
    constexpr long double kNoise = 1.01e-6L;  // a millionth of a pound is binary noise
    switch (judged->verdict) {
      case Verdict::kClear:
        ASSERT_GE(LeastMargin(lorry, more), -kNoise);
        ++tally.clear;
        break;
      case Verdict::kConflict:
        if (judged->worst.rule == AxleRule::kTandem ||
            judged->worst.rule == AxleRule::kAxleRating) {
          ASSERT_LE(LeastMargin(lorry, -more), kNoise);
        }
        ++tally.conflict;
        break;
      case Verdict::kUndecided:
        ++tally.undecided;
        break;
    }
    exact += lorry.ticket == 0;
  }
  EXPECT_GT(exact, kCases / 4);
  tally.ExpectAllKinds();
}

}  // namespace
}  // namespace chockwise::fit
