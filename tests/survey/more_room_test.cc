// More room never turns clear into conflict: wider and higher doors, wires and canopies that hang
// higher, stronger ground, boards and stands, and machines that are lower, narrower or lighter, on
// random yards about the demo yard's limits.
#include <gtest/gtest.h>

#include <cstdio>
#include <random>
#include <string_view>

#include "services/survey/loading.h"
#include "tests/support/sanitized.h"
#include "tests/survey/every_question.h"

namespace chockwise::survey {
namespace {

enum class Gives { kMore, kLess };  // what of it is more room
struct Reading {
  std::string_view quantity;
  Gives gives;
  double least, most;  // of its reading, on the yards tried
};

constexpr Reading kReadings[] = {
    {"clear-height", Gives::kMore, 0.7, 1.3},  {"clear-width", Gives::kMore, 0.6, 1.5},
    {"headroom", Gives::kMore, 0.7, 1.4},      {"rated-mass", Gives::kMore, 0.3, 1.5},
    {"deck-capacity", Gives::kMore, 0.5, 1.5}, {"board-rating", Gives::kMore, 0.7, 1.8},
    {"floor-rating", Gives::kMore, 0.6, 2},    {"floor-wheel-rating", Gives::kMore, 0.6, 2},
    {"stand-rating", Gives::kMore, 0.7, 2.5},  {"ground-bearing", Gives::kMore, 0.6, 2},
    {"ramp-grip", Gives::kMore, 0.5, 1.4},     {"ground-grip", Gives::kMore, 0.5, 1.4},
    {"lift-rating", Gives::kMore, 0.7, 1.6},   {"carried-height", Gives::kLess, 0.8, 1.4},
    {"carried-width", Gives::kLess, 0.9, 1.2}, {"mass", Gives::kLess, 0.7, 1.6},
    {"long-slope", Gives::kLess, 0.3, 2.5},    {"grade", Gives::kLess, 0.3, 2},
};

class Dice {
 public:
  explicit Dice(uint64_t seed) : engine_(seed) {}
  double Between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(engine_);
  }
  size_t Below(size_t n) { return static_cast<size_t>(engine_() % n); }

 private:
  std::mt19937_64 engine_;
};

void Multiply(yard::MeasuredValue& value, double by) {
  if (const auto* length = std::get_if<fit::Metres>(&value)) value = *length * by;
  if (const auto* mass = std::get_if<fit::Kilograms>(&value)) value = *mass * by;
  if (const auto* grade = std::get_if<fit::Grade>(&value)) value = *grade * by;
  if (const auto* pressure = std::get_if<fit::Pascals>(&value)) value = *pressure * by;
}

const Reading* RowOf(const yard::Measurement& reading) {
  // A narrower forklift presses harder on a floor.
  if (reading.quantity == "carried-width" && reading.subject == "FL-501") return nullptr;
  for (const Reading& row : kReadings)
    if (row.quantity == reading.quantity) return &row;
  return nullptr;
}

/// The demo yard with every such reading more or less than it is.
yard::Yard RandomYard(const yard::Yard& demo, Dice& dice) {
  yard::Yard yard = demo;
  yard::ChangeReadings(yard, [&](yard::Measurement& reading) {
    const Reading* row = RowOf(reading);
    if (row != nullptr) Multiply(reading.value, dice.Between(row->least, row->most));
  });
  return yard;
}

/// With half of those readings giving more room, by up to a half of themselves.
yard::Yard Roomier(const yard::Yard& tight, Dice& dice) {
  yard::Yard yard = tight;
  yard::ChangeReadings(yard, [&](yard::Measurement& reading) {
    const Reading* row = RowOf(reading);
    if (row == nullptr || dice.Below(2) == 0) return;
    const double by = 1 + (dice.Below(2) == 0 ? dice.Between(0, 0.02) : dice.Between(0, 0.5));
    Multiply(reading.value, row->gives == Gives::kMore ? by : 1 / by);
  });
  return yard;
}

struct Question {
  Trip trip;
  const char* climber;
  const char* carrier;
  fit::Metres deck_at;
  fit::Kilograms load;
  NoseStands stands;
};

Question RandomQuestion(Dice& dice) {
  static const std::vector<Trip> trips = ManyTrips();
  constexpr const char* kClimbers[] = {"DZ-701", "SS-601", "TH-201", "EX-301", "WL-401"};
  constexpr const char* kCarriers[] = {"CA-901", "CA-902", "CA-903"};
  return {.trip = trips[dice.Below(trips.size())],
          .climber = kClimbers[dice.Below(std::size(kClimbers))],
          .carrier = kCarriers[dice.Below(std::size(kCarriers))],
          .deck_at = fit::Feet(dice.Between(5, 25)),
          .load = fit::Pounds(dice.Between(0, 2'500)),
          .stands = dice.Below(2) == 0 ? NoseStands::kNone : NoseStands::kUnderNose};
}

AllHeard Ask(const yard::Yard& yard, const Question& what) {
  const Asked asked = At(yard);
  AllHeard heard;
  heard["under"] = HeardIn(GoesUnder(asked, what.trip, fit::Travel::kForwards));
  heard["wires"] = HeardIn(WiresAreClear(asked, what.trip, fit::Travel::kForwards));
  heard["path"] = HeardIn(KeepsClear(asked, what.trip, {}));
  heard["carries"] = HeardIn(GroundCarries(asked, what.trip));
  heard["route"] = HeardIn(FindsWay(asked, what.trip, {}));
  heard["stands"] = HeardIn(Stands(asked, {.machine = what.trip.machine, .place = what.trip.to}));
  heard["onto a carrier"] = HeardIn(ClimbsOnto(asked, {.machine = yard::MachineId(what.climber),
                                                       .carrier = yard::MachineId(what.carrier),
                                                       .at = std::nullopt,
                                                       .ramp_friction = std::nullopt,
                                                       .surface = fit::Surface::kDryConcrete}));
  heard["into a trailer"] = HeardIn(EntersTrailer(asked, {.forklift = yard::MachineId("FL-501"),
                                                          .trailer = yard::MachineId("TR-951"),
                                                          .dock = yard::PlaceId("parts-dock"),
                                                          .load = what.load,
                                                          .load_length = fit::Inches(48),
                                                          .coupled = Trailer::kOnItsLegs,
                                                          .stands = what.stands,
                                                          .nose = fit::Kilograms()}));
  heard["axles"] = HeardIn(AxlesCarry(asked, {.machine = yard::MachineId(what.climber),
                                              .carrier = yard::MachineId(what.carrier),
                                              .at = what.deck_at}));
  return heard;
}

struct Tally {
  int clear = 0, stays = 0, conflict = 0;
};

TEST(MoreRoom, NeverTurnsClearIntoConflict) {
  const yard::Yard demo = DemoYard();
  Dice dice(20261125);
  std::map<std::string, Tally> tallies;
  const int yards = testing::Sanitized() ? 60 : 400;
  for (int at = 0; at < yards; ++at) {
    const yard::Yard tight = RandomYard(demo, dice), roomy = Roomier(tight, dice);
    for (int asked = 0; asked < 3; ++asked) {
      const Question what = RandomQuestion(dice);
      const AllHeard before = Ask(tight, what), after = Ask(roomy, what);
      for (const auto& [question, was] : before) {
        const Heard& is = after.at(question);
        Tally& tally = tallies[question];
        tally.conflict += !was.refused && was.verdict == fit::Verdict::kConflict;
        if (was.refused || was.verdict != fit::Verdict::kClear) continue;
        ++tally.clear;
        tally.stays += !is.refused && is.verdict == fit::Verdict::kClear;
        EXPECT_FALSE(!is.refused && is.verdict == fit::Verdict::kConflict)
            << question << " of " << what.trip.machine.value() << " " << what.trip.from.value()
            << " to " << what.trip.to.value() << ", " << what.climber << " on " << what.carrier
            << "\n"
            << was.line << "\n"
            << is.line;
      }
    }
  }
  for (const auto& [question, tally] : tallies) {
    std::printf("%s: %d clear, %d of them stay clear; %d in conflict\n", question.c_str(),
                tally.clear, tally.stays, tally.conflict);
    EXPECT_GT(tally.clear, yards / 20) << question;
    EXPECT_GT(tally.conflict, yards / 60) << question;
  }
}

}  // namespace
}  // namespace chockwise::survey
