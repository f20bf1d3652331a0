// Law 2 for the way, the spotter's place and the search for a way: every reading that they stand
// on, missing, 13 months old, still to come, or zero. The refusal names the reading.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <string>
#include <vector>

#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/seeing.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using Ask = std::function<Outcome<fit::Answer>(const Asked&)>;

struct Row {
  std::string name;
  Ask ask;
  std::string subject, quantity;
  bool zero_is_a_value = false;  // nothing overhangs, nothing is hidden
};
void PrintTo(const Row& row, std::ostream* out) { *out << row.name; }

Outcome<fit::Answer> SpotterAnswer(const Asked& asked, const Trip& trip) {
  const auto parted = SpotterIsSeen(asked, trip, {});
  if (!parted) return tl::unexpected(parted.error());
  return parted->answer;
}

std::vector<Row> Rows() {
  static const Trip truck = TripOf("ST-101", "s1-bay-1", "s1-apron");
  static const Trip loader = TripOf("WL-401", "s2-bay-3", "wash-pad");
  static const Trip lowboy = TripOf("CA-901", "street-gate", "s1-apron");
  static const Trip handler = TripOf("TH-201", "s2-bay-1", "yard-cross");
  const Ask path = [](const Asked& asked) { return KeepsClear(asked, truck, {}); };
  const Ask folded = [](const Asked& asked) { return KeepsClear(asked, loader, {}); };
  const Ask towed = [](const Asked& asked) { return KeepsClear(asked, lowboy, {}); };
  const Ask middle = [](const Asked& asked) { return KeepsClear(asked, handler, {}); };
  const Ask stands = [](const Asked& asked) { return LeavesFree(asked, truck, {}); };
  const Ask see = [](const Asked& asked) { return SpotterAnswer(asked, truck); };
  const Ask past_boom = [](const Asked& asked) { return SpotterAnswer(asked, handler); };
  const Ask route = [](const Asked& asked) { return FindsWay(asked, truck, {}); };
  std::vector<Row> rows;
  const auto add = [&](const char* name, const Ask& ask, const char* subject,
                       const std::vector<std::string>& quantities) {
    for (const std::string& quantity : quantities)
      rows.push_back({.name = name, .ask = ask, .subject = subject, .quantity = quantity});
  };
  add("path", path, "ST-101",
      {"carried-length", "carried-width", "front-overhang", "wheelbase", "turning-radius"});
  add("path", path, "door-1", {"clear-height", "clear-width", "sill-height"});
  add("folded", folded, "WL-401", {"hinge-to-rear-axle", "turning-radius"});
  add("towed", towed, "CA-901",
      {"coupling-offset", "trailer-front-overhang", "trailer-rear-overhang", "lead-rear-overhang"});
  add("middle", middle, "TH-201", {"turning-radius"});
  add("stands", stands, "ST-101", {"carried-width", "wheelbase"});
  add("see", see, "ST-101",
      {"eye-height", "eye-behind-front", "carried-length", "carried-width", "wheelbase"});
  add("see", see, "bay-1-way", {"grade"});
  // One of a pair without the other says nothing.
  add("see_past_the_boom", past_boom, "TH-201", {"boom-bearing", "boom-width"});
  add("route", route, "ST-101", {"carried-height", "carried-width", "mass", "turning-radius"});
  for (Row& row : rows) {
    for (const char* quantity :
         {"front-overhang", "sill-height", "coupling-offset", "grade", "trailer-front-overhang",
          "trailer-rear-overhang", "lead-rear-overhang", "boom-bearing", "boom-width"})
      row.zero_is_a_value |= row.quantity == quantity;
    // Straight ahead is a bearing; a reader refuses a width of 0.
    // What a door's height is does not touch the way beside it; a reader refuses a height of 0.
    row.zero_is_a_value |= row.quantity == "clear-height" || row.quantity == "clear-width";
  }
  return rows;
}

yard::Yard Without(const Row& row) {
  yard::Yard yard = DemoYard();
  yard::LoseReadings(yard, [&](const yard::Measurement& reading) {
    return reading.subject == row.subject && reading.quantity == row.quantity;
  });
  return yard;
}

yard::Yard Changed(const Row& row, const std::function<void(yard::Measurement&)>& change) {
  yard::Yard yard = DemoYard();
  int changed = 0;
  yard::ChangeReadings(yard, [&](yard::Measurement& reading) {
    if (reading.subject != row.subject || reading.quantity != row.quantity) return;
    change(reading);
    ++changed;
  });
  EXPECT_GT(changed, 0) << row.quantity << " of " << row.subject << " is not in the yard";
  return yard;
}

TEST(Way, StandsOnAMapThatSomebodyTookAndNotTooLongAgo) {
  const auto asked = [](const yard::Yard& yard) {
    return KeepsClear(At(yard), TripOf("ST-101", "s1-bay-1", "s1-apron"), {});
  };
  const auto refused = [&](const yard::Yard& yard) {
    const auto answer = asked(yard);
    return answer ? answer->line : answer.error().Text();
  };
  yard::Yard yard = DemoYard();
  const auto answer = asked(yard);
  ASSERT_TRUE(answer) << answer.error().Text();
  EXPECT_EQ(answer->inputs.front().name, "map of the yard");
  EXPECT_EQ(answer->inputs.front().by, "dov");
  EXPECT_EQ(answer->inputs.front().when, yard.survey->when);
  yard.survey->when = kNoon - fit::Days(396);
  EXPECT_EQ(refused(yard).find("map of the yard was measured on 2025-10-24"), 0u) << refused(yard);
  yard.survey->when = kNoon + fit::Days(1);
  EXPECT_NE(refused(yard).find("which is still to come"), std::string::npos) << refused(yard);
  yard.survey.reset();
  EXPECT_EQ(refused(yard).find("map of the yard is nobody's"), 0u) << refused(yard);
}

void ExpectRefusal(const Row& row, const yard::Yard& yard, NoAnswer::Sort sort) {
  const std::string name = fmt::format("{} of {}", row.quantity, row.subject);
  const auto answer = row.ask(At(yard));
  ASSERT_FALSE(answer) << row.name << ": " << name << ", and the answer is: " << answer->line;
  EXPECT_NE(answer.error().Text().find(name), std::string::npos)
      << row.name << ": " << name << " is not named by: " << answer.error().Text();
  EXPECT_EQ(answer.error().sort, sort) << answer.error().Text();
}

class UnknownWay : public ::testing::TestWithParam<Row> {};

TEST_P(UnknownWay, IsRefusedByName) {
  const Row& row = GetParam();
  ASSERT_TRUE(row.ask(At(DemoYard()))) << "answered where all is there";
  ExpectRefusal(row, Without(row), NoAnswer::Sort::kUnknown);
  ExpectRefusal(
      row, Changed(row, [](yard::Measurement& reading) { reading.when = kNoon - fit::Days(396); }),
      NoAnswer::Sort::kStale);
  ExpectRefusal(
      row, Changed(row, [](yard::Measurement& reading) { reading.when = kNoon + fit::Days(1); }),
      NoAnswer::Sort::kUnknown);
}

class UnknownWayOfNothing : public ::testing::TestWithParam<Row> {};

TEST_P(UnknownWayOfNothing, ZeroIsRefusedByName) {
  const Row& row = GetParam();
  const yard::Yard yard = Changed(row, [](yard::Measurement& reading) {
    if (std::holds_alternative<fit::Metres>(reading.value)) reading.value = fit::Metres();
    if (std::holds_alternative<fit::Kilograms>(reading.value)) reading.value = fit::Kilograms();
  });
  const auto answer = row.ask(At(yard));
  ASSERT_FALSE(answer) << row.name << ": " << row.quantity << " is 0: " << answer->line;
  EXPECT_NE(answer.error().Text().find(row.subject), std::string::npos) << answer.error().Text();
}

std::string NameOf(const ::testing::TestParamInfo<Row>& one) {
  std::string name = fmt::format("{}_{}_{}", one.param.name, one.param.subject, one.param.quantity);
  std::ranges::replace(name, '-', '_');
  return name;
}

std::vector<Row> RowsThatNeedMoreThanZero() {
  std::vector<Row> rows = Rows();
  std::erase_if(rows, [](const Row& row) { return row.zero_is_a_value; });
  return rows;
}

INSTANTIATE_TEST_SUITE_P(Law2, UnknownWay, ::testing::ValuesIn(Rows()), NameOf);
INSTANTIATE_TEST_SUITE_P(Law2, UnknownWayOfNothing, ::testing::ValuesIn(RowsThatNeedMoreThanZero()),
                         NameOf);

TEST(UnknownWay, AnOptionalReadingThatIsThereMustBeFresh) {
  for (const char* quantity :
       {"eye-left-of-middle", "ground-seen-front", "ground-seen-left", "ground-seen-right"}) {
    const Row row{.name = "see",
                  .ask =
                      [](const Asked& asked) {
                        return SpotterAnswer(asked, TripOf("ST-101", "s1-bay-1", "s1-apron"));
                      },
                  .subject = "ST-101",
                  .quantity = quantity};
    ExpectRefusal(
        row,
        Changed(row, [](yard::Measurement& reading) { reading.when = kNoon - fit::Days(396); }),
        NoAnswer::Sort::kStale);
  }
  const Row tail{.name = "path",
                 .ask =
                     [](const Asked& asked) {
                       return KeepsClear(asked, TripOf("EX-301", "s2-bay-1", "yard-cross"),
                                         {.upper = Upper::kSlewing});
                     },
                 .subject = "EX-301",
                 .quantity = "tail-radius"};
  ExpectRefusal(
      tail, Changed(tail, [](yard::Measurement& reading) { reading.when = kNoon + fit::Days(1); }),
      NoAnswer::Sort::kUnknown);
}

}  // namespace
}  // namespace chockwise::survey
