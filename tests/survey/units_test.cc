// No verdict hangs on the units that an answer is told in: where a rule prints a US and a metric
// column, the stricter of both holds. Columns as printed: 29 CFR 1926.1408 Table A (10 ft, 3.05 m),
// 49 CFR 393.108 (grade 70 chain of 3/8 in: 6,600 lb, 2,990 kg).
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "services/survey/lighting.h"
#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/standing.h"
#include "services/survey/stopping.h"
#include "services/survey/ties.h"
#include "services/survey/wires.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

Asked In(fit::UnitSystem units, const yard::Yard& yard, fit::Instant now = kNoon) {
  Asked asked = At(yard, now);
  asked.units = units;
  return asked;
}

/// Asks in both and holds the verdicts to each other; a refusal is one of its own.
class InBothUnits {
 public:
  template <class Ask>
  void Same(const std::string& what, const Ask& ask) {
    const auto us = ask(In(fit::UnitSystem::kUs, yard_)), si = ask(In(fit::UnitSystem::kSi, yard_));
    ASSERT_EQ(us.has_value(), si.has_value()) << what << ": " << LineOf(us) << " / " << LineOf(si);
    EXPECT_EQ(VerdictOf(us), VerdictOf(si)) << what << ": " << LineOf(us) << " / " << LineOf(si);
    ++asked_;
    answered_ += us ? 1 : 0;
  }
  const yard::Yard& yard() const { return yard_; }
  int asked() const { return asked_; }
  int answered() const { return answered_; }

 private:
  const yard::Yard yard_ = DemoYard();
  int asked_ = 0, answered_ = 0;
};

constexpr auto kMachines = {"ST-101", "TH-201", "EX-301", "FL-501", "DZ-701", "CA-901"};

TEST(UnitsFlipNoVerdict, OnAnyLaneOfTheDemoYard) {
  InBothUnits both;
  for (const auto& [id, lane] : both.yard().lanes) {
    for (const char* machine : kMachines) {
      const Trip trip{.machine = yard::MachineId(machine), .from = lane.from, .to = lane.to};
      const std::string what = fmt::format("{} on {}", machine, id.value());
      for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing}) {
        both.Same(what, [&](const Asked& a) { return KeepsClear(a, trip, {.travel = travel}); });
        both.Same(what, [&](const Asked& a) { return LeavesFree(a, trip, {.travel = travel}); });
        both.Same(what, [&](const Asked& a) { return GoesUnder(a, trip, travel); });
        both.Same(what, [&](const Asked& a) { return ClearsGround(a, trip, travel); });
        both.Same(what, [&](const Asked& a) { return WiresAreClear(a, trip, travel); });
      }
      both.Same(what, [&](const Asked& a) { return GroundCarries(a, trip); });
      both.Same(what, [&](const Asked& a) { return FindsWay(a, trip, {}); });
      both.Same(what, [&](const Asked& a) {
        return Stops(a, {.machine = trip.machine,
                         .way = trip,
                         .question = {.speed = fit::MilesPerHour(3), .sight = fit::Feet(40)}});
      });
    }
  }
  EXPECT_GT(both.answered(), both.asked() / 2);
}

TEST(UnitsFlipNoVerdict, AtAnyPlaceOfTheDemoYard) {
  InBothUnits both;
  for (const auto& [place, unused] : both.yard().places) {
    for (const char* machine : kMachines) {
      const std::string what = fmt::format("{} at {}", machine, place.value());
      const yard::MachineId id(machine);
      both.Same(what, [&](const Asked& a) { return Stands(a, {.machine = id, .place = place}); });
      both.Same(what, [&](const Asked& a) {
        return HornIsHeard(a, {.machine = id, .place = place, .distance = fit::Feet(50)});
      });
    }
  }
  for (const char* machine : kMachines) {
    for (const char* carrier : {"CA-901", "CA-902", "CA-903"}) {
      both.Same(machine, [&](const Asked& a) {
        return AxlesHavePlace(a, {yard::MachineId(machine), yard::MachineId(carrier)});
      });
    }
  }
  EXPECT_GT(both.answered(), both.asked() / 2);
}

/// Clear by 1 mm under 10 ft, short by 1 mm under 3.05 m.
TEST(UnitsFlipNoVerdict, UnderAWireBetweenTheColumnsOfTableA) {
  yard::Yard yard = DemoYard();
  const yard::Overhead& wire = yard.overheads.at(yard::OverheadId("row-wire"));
  const UnderIt machine{
      .carried_height = fit::Feet(10), .bounce = fit::Inches(2), .carried_error = fit::Inches(1)};
  ChangeReading(yard, "row-wire", "headroom",
                fit::Feet(10) + fit::Millimetres(1) + kSagOfWire + machine.carried_height +
                    machine.bounce + kWireReadingError + machine.carried_error);
  std::vector<fit::Metres> most;
  for (const fit::UnitSystem units : {fit::UnitSystem::kUs, fit::UnitSystem::kSi}) {
    Readings readings(yard, At(yard).when);
    const auto under = UnderWire(readings, wire, machine, units);
    ASSERT_TRUE(under) << under.error().Text();
    EXPECT_EQ(under->clearance.verdict, fit::Verdict::kUndecided);
    most.push_back(under->most_carried);
  }
  EXPECT_EQ(most[0], most[1]);
  EXPECT_LT(most[0], machine.carried_height);
}

/// 26,124 lb off a scale that may be 1 % short are 26,385 lb, half of that 13,192 lb. Direct ties
/// count half: four chains of 6,600 lb hold it, four of 2,990 kg are 9 lb short.
TEST(UnitsFlipNoVerdict, TiedBetweenTheColumnsOfTheChains) {
  yard::Yard yard = DemoYard();
  TiedDown tied{.machine = yard::MachineId("DZ-701"),
                .ties = ReadTies("2 x 3/8 in grade 70 direct front binder 9,000 lb anchor 9,000 "
                                 "lb; 2 x 3/8 in grade 70 direct rear binder 9,000 lb anchor "
                                 "9,000 lb")
                            .value(),
                .articulation = fit::Restraint::kNoneNeeded,
                .accessories = fit::Restraint::kRestrained};
  const auto verdict = [&](double mass_lb, fit::UnitSystem units) {
    ChangeReading(yard, "DZ-701", "mass", fit::Pounds(mass_lb));
    return VerdictOf(LoadHolds(In(units, yard), tied));
  };
  for (const fit::UnitSystem units : {fit::UnitSystem::kUs, fit::UnitSystem::kSi}) {
    EXPECT_EQ(verdict(26'000, units), fit::Verdict::kClear);
    EXPECT_EQ(verdict(26'124, units), fit::Verdict::kUndecided);
  }
}

/// A cap below 0.1 mph and above 0.1 km/h is told in one of the systems alone.
TEST(UnitsFlipNoVerdict, OfASightTooShortToDrive) {
  const yard::Yard yard = DemoYard();
  int refused = 0, capped = 0;
  for (int sight_mm = 50; sight_mm < 400; sight_mm += 5) {
    const auto verdict = [&](fit::UnitSystem units) {
      return VerdictOf(Stops(In(units, yard), {.machine = yard::MachineId("FL-501"),
                                               .way = fit::Percent(0),
                                               .question = {.sight = fit::Millimetres(sight_mm)}}));
    };
    EXPECT_EQ(verdict(fit::UnitSystem::kUs), verdict(fit::UnitSystem::kSi)) << sight_mm;
    ++(verdict(fit::UnitSystem::kUs) == fit::Verdict::kClear ? capped : refused);
  }
  EXPECT_GT(refused, 0);
  EXPECT_GT(capped, 0);
}

}  // namespace
}  // namespace chockwise::survey
