// Computed gates on the measurements: exactly the margin, a hair less, nothing, unknown, too old,
// in other units.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "services/moves/computations.h"
#include "tests/moves/facts.h"
#include "tests/support/change_readings.h"

namespace chockwise::moves {
namespace {

// --- Measurements ---

constexpr const char* kDoorHeight = "door-1 clear-height,14 ft 0 in,,,lee,2026-11-01T08:00:00Z";
constexpr const char* kDoorWidth = "door-1 clear-width,14 ft 0 in,,,lee,2026-11-01T08:00:00Z";
constexpr const char* kHeight = "TH-1 carried-height,8 ft 5 in,,forks,lee,2026-11-01T08:00:00Z";
constexpr const char* kWidth = "TH-1 carried-width,8 ft 0 in,,forks,lee,2026-11-01T08:00:00Z";
constexpr const char* kMass = "TH-1 mass,\"24,600 lb\",,forks,lee,2026-11-01T08:00:00Z";

std::function<void(Files&)> Tall(const std::string& value) {
  return Measured(kHeight, "TH-1 carried-height," + value + ",,forks,lee,2026-11-01T08:00:00Z");
}
std::function<void(Files&)> Wide(const std::string& value) {
  return Measured(kWidth, "TH-1 carried-width," + value + ",,forks,lee,2026-11-01T08:00:00Z");
}
std::function<void(Files&)> TakenAt(const std::string& when) {
  return Measured(kHeight, "TH-1 carried-height,8 ft 5 in,,forks,lee," + when);
}

// Base rules: 6 in above 3 in of bounce, 24 in across. The door is 14 ft 0 in both ways.
INSTANTIATE_TEST_SUITE_P(
    DoorMargins, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"room_to_spare", "door-margins", kClear, "to spare at door-1"},
        {"exactly_the_margin_above", "door-margins", kClear, "door-1: 6 in", Tall("13 ft 3 in")},
        {"a_sixteenth_less_above", "door-margins", kNotClear, "tight at door-1",
         Tall("13 ft 3 1/16 in")},
        {"nothing_to_spare_above", "door-margins", kNotClear, "does not fit door-1",
         Tall("13 ft 9 in")},
        {"short_above", "door-margins", kNotClear,
         "does not fit door-1: 1 in (0.03 m) short above, 6 ft (1.82 m)", Tall("13 ft 10 in")},
        {"exactly_the_margin_across", "door-margins", kClear, "to spare", Wide("12 ft 0 in")},
        {"a_sixteenth_less_across", "door-margins", kNotClear, "tight at door-1",
         Wide("12 ft 0 1/16 in")},
        {"nothing_to_spare_across", "door-margins", kNotClear, "does not fit door-1",
         Wide("14 ft 0 in")},
        {"wider_than_the_door", "door-margins", kNotClear, "does not fit door-1",
         Wide("15 ft 0 in")},
        {"other_units_exactly", "door-margins", kClear, "to spare",
         Tall("4.0386 m")},  // 13 ft 3 in
        {"other_units_a_tenth_of_a_mm_less", "door-margins", kNotClear, "tight", Tall("4.0387 m")},
        {"other_units_nothing_to_spare", "door-margins", kNotClear, "does not fit",
         Tall("4.191 m")},  // 13 ft 9 in
        {"height_unknown", "door-margins", kNotClear, "TH-1 carried-height with forks is unknown",
         Measured(std::string(kHeight) + "\n", "")},
        {"door_unknown", "door-margins", kNotClear, "door-1 clear-width is unknown",
         Measured(std::string(kDoorWidth) + "\n", "")},
        {"another_attachment", "door-margins", kNotClear, "with bucket is unknown",
         [](Files& files) {
           files.machines_csv =
               Replaced(files.machines_csv, "telehandler,bay,forks", "telehandler,bay,bucket");
         }},
        {"a_year_old", "door-margins", kClear, "", TakenAt("2025-11-24T12:00:00Z")},
        {"one_instant_over_a_year_old", "door-margins", kStale, "counts for 365 days",
         TakenAt("2025-11-24T12:00:00Z"), [](Story& story) { story.Advance(kTick); }},
        {"thirteen_months_old", "door-margins", kStale, "was measured on 2025-10-24",
         TakenAt("2025-10-24T12:00:00Z")},
        {"dated_tomorrow", "door-margins", kNotClear, "still to come",
         TakenAt("2026-11-25T12:00:00Z")},
        {"taped_again", "door-margins", kNotClear, "does not fit",
         Measured(kHeight,
                  std::string(kHeight) +
                      "\nTH-1 carried-height,13 ft 11 in,,forks,lee,2026-11-02T08:00:00Z")},
        {"taped_too_old_again", "door-margins", kClear, "",
         Measured(kHeight,
                  std::string(kHeight) +
                      "\nTH-1 carried-height,13 ft 11 in,,forks,lee,2026-10-02T08:00:00Z")},
    }),
    FactName);

INSTANTIATE_TEST_SUITE_P(
    Measured, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"known", "mass-known", kClear, "24,600 lb"},
        {"unknown", "mass-known", kNotClear, "nobody has measured it",
         Measured(std::string(kMass) + "\n", "")},
        {"thirteen_months_old", "mass-known", kStale, "counts for 365 days",
         Measured(kMass, "TH-1 mass,\"24,600 lb\",,forks,lee,2025-10-24T08:00:00Z")},
        {"other_attachment", "mass-known", kNotClear, "TH-1 mass with forks is unknown",
         Measured(kMass, "TH-1 mass,\"24,600 lb\",,bucket,lee,2026-11-01T08:00:00Z")},
        {"level", "level-across", kClear, "1 %", [](Files&) {}, [](Story&) {}, "load-onto-carrier"},
        {"at_the_limit", "level-across", kClear, "2 %",
         Measured("cross-slope,1 %", "cross-slope,2 %"), [](Story&) {}, "load-onto-carrier"},
        {"over_the_limit", "level-across", kNotClear, "at most 2 % is asked for",
         Measured("cross-slope,1 %", "cross-slope,2.01 %"), [](Story&) {}, "load-onto-carrier"},
        {"along_over_the_limit", "level-along", kNotClear, "at most 3 %",
         Measured("long-slope,1.5 %", "long-slope,3.1 %"), [](Story&) {}, "load-onto-carrier"},
        {"deck_unknown", "deck-height-known", kNotClear, "CA-1 deck-height is unknown",
         Measured("CA-1 deck-height,22 in,,,lee,2026-11-01T08:00:00Z\n", ""), [](Story&) {},
         "load-onto-carrier"},
        {"carries_it", "mass-within-capacity", kClear,
         "TH-1 weighs 24,600 lb, CA-1 carries 70,000 lb", [](Files&) {}, [](Story&) {},
         "load-onto-carrier"},
        {"carries_just_that", "mass-within-capacity", kClear, "",
         Measured("deck-capacity,\"70,000 lb\"", "deck-capacity,\"24,600 lb\""), [](Story&) {},
         "load-onto-carrier"},
        {"a_pound_too_heavy", "mass-within-capacity", kNotClear, "CA-1 carries 24,599 lb",
         Measured("deck-capacity,\"70,000 lb\"", "deck-capacity,\"24,599 lb\""), [](Story&) {},
         "load-onto-carrier"},
        // 24,600 lb is 11,158.37 kg.
        {"other_units_enough", "mass-within-capacity", kClear, "",
         Measured("deck-capacity,\"70,000 lb\"", "deck-capacity,\"11,159 kg\""), [](Story&) {},
         "load-onto-carrier"},
        {"other_units_too_little", "mass-within-capacity", kNotClear, "",
         Measured("deck-capacity,\"70,000 lb\"", "deck-capacity,\"11,158 kg\""), [](Story&) {},
         "load-onto-carrier"},
        {"capacity_unknown", "mass-within-capacity", kNotClear, "CA-1 deck-capacity is unknown",
         Measured("CA-1 deck-capacity,\"70,000 lb\",,,lee,2026-11-01T08:00:00Z\n", ""),
         [](Story&) {}, "load-onto-carrier"},
        {"capacity_thirteen_months_old", "mass-within-capacity", kStale, "",
         Measured("deck-capacity,\"70,000 lb\",,,lee,2026-11-01",
                  "deck-capacity,\"70,000 lb\",,,lee,2025-10-24"),
         [](Story&) {}, "load-onto-carrier"},
    }),
    FactName);

// --- Binary noise ---

/// The yard of a story with one reading set anew.
void Set(yard::Yard& yard, const std::string& subject, const std::string& quantity,
         const std::string& text) {
  yard::ChangeReadings(yard, [&](yard::Measurement& reading) {
    if (reading.subject != subject || reading.quantity != quantity) return;
    reading.value = yard::ReadMeasuredValue(text).value();
    reading.as_written = text;
  });
}

std::string Sixteenths(int64_t n) {
  return fmt::format("{} ft {} {}/16 in", n / 192, n % 192 / 16, n % 16);
}

// 13 ft 6 in less 13 ft is 6 in for every way to write it, and never a hair more than nothing where
// nothing is left.
TEST(ComputedFacts, DoorMarginsAreExactToTheSixteenth) {
  Story story = Story::Small();
  story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
  const v1::GateRule& rule = *story.Gate(1, "door-margins").rule;
  yard::Yard yard = *story.state().yard;
  int tried = 0;
  for (int64_t height = 192 * 6 + 1; height < 192 * 14; height += 7) {
    Set(yard, "TH-1", "carried-height",
        height % 16 == 0 ? fmt::format("{} in", height / 16) : Sixteenths(height));
    const auto judge = [&](int64_t opening) {
      Set(yard, "door-1", "clear-height",
          opening % 16 == 0 ? fmt::format("{} in", opening / 16) : Sixteenths(opening));
      return EvaluateGate(
          {.state = story.state(), .yard = yard, .move = story.move(1), .now = story.now()}, rule,
          v1::PHASE_START);
    };
    EXPECT_EQ(judge(height + 9 * 16).state, kClear) << Sixteenths(height);
    EXPECT_TRUE(judge(height + 9 * 16 - 1).lead_may_accept) << Sixteenths(height);
    EXPECT_EQ(judge(height + 3 * 16).state, kNotClear) << Sixteenths(height);
    EXPECT_FALSE(judge(height + 3 * 16).lead_may_accept)
        << "nothing to spare at " << Sixteenths(height);
    EXPECT_TRUE(judge(height + 3 * 16 + 1).lead_may_accept) << Sixteenths(height);
    ++tried;
  }
  EXPECT_GT(tried, 200);
}

TEST(ComputedFacts, TwoWaysToWriteOneValueAreOneValue) {
  Story story = Story::Small();
  story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
  v1::Computed computed;
  computed.set_computation("measured");
  auto& parameters = *computed.mutable_parameters();
  parameters["subject"] = "machine";
  parameters["quantity"] = "belly-clearance";
  parameters["max_age"] = "365 days";
  yard::Yard yard = *story.state().yard;
  for (int inches = 6; inches <= 90; inches += 6) {
    Set(yard, "TH-1", "belly-clearance", fmt::format("{} in", inches));
    for (const char* bound : {"at_most", "at_least"}) {
      parameters.erase("at_most");
      parameters.erase("at_least");
      parameters[bound] = inches % 12 == 0 ? fmt::format("{} ft", inches / 12)
                                           : fmt::format("{}.5 ft", inches / 12);
      const ComputedFinding finding =
          Compute({.state = story.state(), .yard = yard, .move = story.move(1), .now = story.now()},
                  computed, v1::PHASE_START);
      EXPECT_EQ(finding.state, kClear) << finding.reason;
    }
  }
}

// --- What lead may take ---

TEST(ComputedFacts, ATightDoorIsTakenByALeadAndAnImpossibleOneByNobody) {
  struct Row {
    const char* height;
    bool taken;
  };
  for (const Row& row :
       {Row{"13 ft 5 in", true}, Row{"13 ft 9 in", false}, Row{"14 ft 1 in", false}}) {
    Files files = ReadYardFolder("tests/moves/yard_small");
    Tall(row.height)(files);
    Story story = Story::SmallFrom(files);
    story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
    auto accept = On<v1::AcceptGateRequest>(story, 1);
    accept.set_gate_id("door-margins");
    accept.set_control(story.Gate(1, "door-margins").rule->controls(0));
    accept.set_reason("we go at a creep");
    if (!row.taken) {
      EXPECT_EQ(story.MustRefuse("lee", accept, RefusalKind::kPrecondition).rule, "law 1")
          << row.height;
      continue;
    }
    story.MustRefuse("dana", accept, RefusalKind::kNotAllowed);
    story.Must("lee", accept);
    EXPECT_EQ(story.Gate(1, "door-margins").accepted_by.value(), "lee");
    story.ClearAll(1);
    story.Release(1);
    bool seen = false;
    for (const v1::GateBasis& gate : story.entries().back().released().gates()) {
      if (gate.gate_id() == "door-margins")
        seen = gate.accepted_by() == "lee" && gate.state() == kNotClear;
    }
    EXPECT_TRUE(seen) << "law 11: the release says what it stood on";
    // Taped again: it stands otherwise than what the lead saw.
    Files again = files;
    again.measurements_csv = Replaced(again.measurements_csv, "13 ft 5 in", "13 ft 6 in");
    story.Must("lee", LoadOf(again, 2));
    EXPECT_TRUE(story.Gate(1, "door-margins").accepted_by.empty());
  }
}

/// The tight door, accepted, and the move at its line.
Story AtATightDoor() {
  Files files = ReadYardFolder("tests/moves/yard_small");
  Tall("13 ft 5 in")(files);
  Story story = Story::SmallFrom(files);
  story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
  auto accept = On<v1::AcceptGateRequest>(story, 1);
  accept.set_gate_id("door-margins");
  accept.set_control(story.Gate(1, "door-margins").rule->controls(0));
  accept.set_reason("we go at a creep");
  story.Must("lee", accept);
  story.BringTo(1, v1::PHASE_HOLD_POINT);
  return story;
}

// The lead took this door for this machine; that it stands at the line now changes neither.
TEST(ComputedFacts, WhatALeadTookStandsAtTheLineToo) {
  Story story = AtATightDoor();
  EXPECT_EQ(story.Gate(1, "door-margins").state, kNotClear);
  EXPECT_EQ(story.Gate(1, "door-margins").accepted_by.value(), "lee");
  Story stopped = story;
  stopped.Must("roy", On<v1::StopMoveRequest>(stopped, 1));
  EXPECT_TRUE(stopped.Gate(1, "door-margins").accepted_by.empty()) << "law 5";
  Story taped = story;
  Files again = taped.files();
  again.measurements_csv = Replaced(again.measurements_csv, "13 ft 5 in", "13 ft 6 in");
  taped.Must("lee", LoadOf(again, 2));
  EXPECT_TRUE(taped.Gate(1, "door-margins").accepted_by.empty());
}

TEST(ComputedFacts, ADoorThatLiesBehindIsNotAskedAbout) {
  Story story = AtATightDoor();
  story.Go(1);
  ASSERT_EQ(story.move(1).release->limit, "corner");
  story.Hold(1);
  EXPECT_EQ(story.Gate(1, "door-margins").state, kClear);
  EXPECT_EQ(story.Gate(1, "door-margins").reason, "no door ahead");
}

}  // namespace
}  // namespace chockwise::moves
