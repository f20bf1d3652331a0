// Where a machine stands on a deck, as people say it, and what is made of it.
#include "services/survey/deck.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

TEST(ReadStood, TheEndAndHowFarBehindOrAhead) {
  const auto front = ReadStood("front 2 ft 3 in behind");
  ASSERT_TRUE(front) << front.error().Text();
  EXPECT_EQ(front->end, NearEnd::kFront);
  EXPECT_EQ(front->behind_deck_front, fit::Inches(27));
  const auto rear = ReadStood("rear 0.10 m ahead");
  ASSERT_TRUE(rear) << rear.error().Text();
  EXPECT_EQ(rear->end, NearEnd::kRear);
  EXPECT_EQ(rear->behind_deck_front, fit::Millimetres(-100));
}

TEST(ReadStood, WhatItSaysItReads) {
  for (const fit::UnitSystem units : {fit::UnitSystem::kUs, fit::UnitSystem::kSi}) {
    const fit::Metres step = units == fit::UnitSystem::kUs ? fit::Inches(1) : fit::Millimetres(10);
    for (int steps = -80; steps <= 300; ++steps) {
      const StoodAt stood{NearEnd::kRear, step * steps};
      const auto read = ReadStood(StoodText(stood, units));
      ASSERT_TRUE(read) << StoodText(stood, units);
      EXPECT_NEAR(read->behind_deck_front.metres(), stood.behind_deck_front.metres(), 1e-9)
          << StoodText(stood, units);
    }
  }
}

TEST(ReadStood, WhatIsWrongIsNamedWithWhatWouldBeRight) {
  struct Row {
    const char *text, *why;
  };
  for (const Row& row : std::vector<Row>{{"", "front 2 ft 3 in behind"},
                                         {"2 ft", "front 2 ft 3 in behind"},
                                         {"middle 2 ft behind", "write one of front, rear"},
                                         {"front 2 ft off", "write one of behind, ahead"},
                                         {"front 2 behind", "its length is '2'"},
                                         {"front 2 lb behind", "its length is '2 lb'"},
                                         {"front -2 ft behind", "its length is '-2 ft'"},
                                         {"front behind", "front 2 ft 3 in behind"}}) {
    const auto stood = ReadStood(row.text);
    ASSERT_FALSE(stood) << row.text;
    EXPECT_THAT(stood.error().Text(), HasSubstr(row.why)) << row.text;
  }
}

Outcome<fit::Answer> DozerAt(const yard::Yard& yard, std::variant<fit::Metres, StoodAt> at) {
  return AxlesCarry(
      At(yard),
      {.machine = yard::MachineId("DZ-701"), .carrier = yard::MachineId("CA-901"), .at = at});
}

TEST(AxlesCarry, APlaceOfAnEndIsThatOfTheCentre) {
  // The dozer's centre is 8 ft 10 in behind its front, 7 ft 10 in ahead of its rear.
  const yard::Yard yard = DemoYard();
  const auto front = DozerAt(yard, StoodAt{NearEnd::kFront, fit::Inches(-16)});
  const auto rear = DozerAt(yard, StoodAt{NearEnd::kRear, fit::Inches(-4)});
  ASSERT_TRUE(front) << front.error().Text();
  ASSERT_TRUE(rear) << rear.error().Text();
  const auto centre = [](const fit::Answer& answer) {
    const auto input = std::ranges::find_if(
        answer.inputs, [](const fit::Input& one) { return one.by == "computed"; });
    return input == answer.inputs.end() ? "none" : input->name + ": " + input->value;
  };
  EXPECT_EQ(centre(*front), "centre of DZ-701 behind the deck's front: 7 ft 6 in");
  EXPECT_EQ(centre(*rear), centre(*front));
  EXPECT_EQ(front->line, rear->line);
  EXPECT_EQ(front->verdict, fit::Verdict::kClear) << front->line;
}

TEST(AxlesCarry, TheErrorsOfScaleAndTapeAreAmongTheInputs) {
  const auto answer = DozerAt(DemoYard(), fit::Feet(8));
  ASSERT_TRUE(answer) << answer.error().Text();
  std::vector<std::string> told;
  for (const fit::Input& input : answer->inputs) told.push_back(input.name + " " + input.value);
  EXPECT_THAT(told, ::testing::Contains("error of each scale ticket 50 lb"));
  EXPECT_THAT(told, ::testing::Contains("error of each taped length 1 in"));
}

// Two by hand: an inch of the centre moves 11 lb from the axles 2 to 5 onto the steering axle, so a
// place with 42 lb to spare is none.
TEST(AxlesCarry, FortyTwoPoundsToSpareAreNotClear) {
  const auto answer = DozerAt(DemoYard(), fit::Feet(10) + fit::Inches(1));
  ASSERT_TRUE(answer) << answer.error().Text();
  EXPECT_NE(answer->verdict, fit::Verdict::kClear) << answer->line;
  EXPECT_THAT(answer->line, HasSubstr("axles 2 to 5 42 lb to spare and may be off by "));
}

TEST(AxlesCarry, OffTheDeckIsSaidInTheTermsThatWereAsked) {
  const auto answer = DozerAt(DemoYard(), fit::Feet(40));
  ASSERT_FALSE(answer) << answer->line;
  EXPECT_EQ(
      answer.error().Text(),
      "centre of DZ-701 is 40 ft behind the deck's front; the deck of CA-901 is 20 ft long: 0 "
      "to that behind its front");
}

TEST(AxlesCarry, ACentreBeyondTheMachineRefuses) {
  const yard::Yard yard =
      With("DZ-701 centre-behind-front,8 ft 10 in", "DZ-701 centre-behind-front,18 ft 10 in");
  const auto answer = DozerAt(yard, StoodAt{NearEnd::kFront, fit::Feet(0)});
  ASSERT_FALSE(answer) << answer->line;
  EXPECT_THAT(answer.error().Text(), HasSubstr("more than its carried-length"));
}

// The pin of CA-901 carries 9,400 lb empty and keeps a quarter, so it may lose 7,050 lb; a deck
// that goes on behind the axles lets a dozer of 20,000 lb lift more.
TEST(AxlesCarry, APinThatLiftsIsNoPlace) {
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "CA-901", "deck-length", fit::Feet(40));
  ChangeReading(yard, "CA-901", "trailer-axle-mass", fit::Pounds(2'000));
  ChangeReading(yard, "DZ-701", "mass", fit::Pounds(20'000));
  // 20,000 x (1 - 43.5/30) = -9,000 lb.
  const auto answer = DozerAt(yard, fit::Feet(36));
  ASSERT_TRUE(answer) << answer.error().Text();
  EXPECT_EQ(answer->verdict, fit::Verdict::kConflict);
  EXPECT_THAT(answer->line, HasSubstr("coupling 1 lifts"));
}

Outcome<fit::Answer> PlaceFor(const yard::Yard& yard, const char* machine) {
  return AxlesHavePlace(
      At(yard), {.machine = yard::MachineId(machine), .carrier = yard::MachineId("CA-901")});
}

TEST(AxlesHavePlace, SaysItForEitherEndAndBothAreLegal) {
  const yard::Yard yard = DemoYard();
  const auto answer = PlaceFor(yard, "DZ-701");
  ASSERT_TRUE(answer) << answer.error().Text();
  EXPECT_EQ(answer->verdict, fit::Verdict::kClear) << answer->line;
  const std::string head = "STAND IT OFF THE DECK'S FRONT, AND TAPE IT: ";
  ASSERT_THAT(answer->line, StartsWith(head + "front "));
  std::string rest = answer->line.substr(head.size());
  int legal = 0, edges = 0;
  for (const std::string& either :
       {rest.substr(0, rest.find("; or ")), rest.substr(rest.find("; or ") + 5)}) {
    const size_t to = either.find(" to ");
    for (const std::string& edge : {either.substr(0, to), either.substr(to + 4)}) {
      const auto stood = ReadStood(edge);
      ASSERT_TRUE(stood) << edge;
      ++edges;
      const auto there = DozerAt(yard, *stood);
      legal += there && there->verdict == fit::Verdict::kClear ? 1 : 0;
    }
  }
  EXPECT_EQ(edges, 4);
  EXPECT_EQ(legal, 4) << answer->line;
}

TEST(AxlesHavePlace, IsNotClearWhereThereIsNone) {
  const yard::Yard yard = DemoYard();
  const auto heavy = PlaceFor(yard, "EX-301");
  ASSERT_TRUE(heavy) << heavy.error().Text();
  EXPECT_EQ(heavy->verdict, fit::Verdict::kConflict) << "87,100 lb are more than 80,000 lb";
  EXPECT_THAT(heavy->line, StartsWith("NO PLACE ON THE DECK HELPS: at best "));
}

}  // namespace
}  // namespace chockwise::survey
