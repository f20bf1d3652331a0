// Law 2 where a reading enters: every quantity that is measured, blank, without its unit, in
// another unit, below zero, not a number, in words, or beyond its bounds is a complaint that names
// it.
#include "services/yard/quantities.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "tests/yard/sample_yard.h"

namespace chockwise::yard {
namespace {

/// The value and its unit, as SI says it, and a unit of another dimension.
struct Said {
  double value = 0;
  const char* unit = "";
  const char* wrong_unit = "";
};
Said SaidOf(const MeasuredValue& value) {
  struct Reader {
    Said operator()(fit::Metres v) const { return {v.metres(), "m", "kg"}; }
    Said operator()(fit::Kilograms v) const { return {v.kilograms(), "kg", "m"}; }
    Said operator()(fit::Grade v) const { return {v.percent(), "%", "deg"}; }
    Said operator()(fit::Decibels v) const { return {v.decibels(), "dB", "lx"}; }
    Said operator()(fit::MetresPerSecond v) const {
      return {v.metres_per_second() * 3.6, "km/h", "m"};
    }
    Said operator()(fit::Angle v) const { return {v.degrees(), "deg", "%"}; }
    Said operator()(fit::Volts v) const { return {v.kilovolts() * 1000, "V", "dB"}; }
    Said operator()(fit::Lux v) const { return {v.lux(), "lx", "dB"}; }
    Said operator()(fit::Pascals v) const { return {v.pascals() / 1000, "kPa", "kg"}; }
  };
  return std::visit(Reader(), value);
}

std::string SubjectFor(const QuantityRow& row) {
  switch (row.subject) {
    case Subject::kDoor:
      return "door-1";
    case Subject::kMachine:
      return "TH-07";
    case Subject::kPlace:
      return "apron";
    case Subject::kLane:
      return "lane-1";
    case Subject::kOverhead:
      return "wire-1";
    case Subject::kArea:
      return "exit-1";
  }
  return "";
}

/// The sample yard with one reading: what, value, unit, and from whom and when.
Complaints ComplaintsOn(const QuantityRow& row, const std::string& value, const std::string& unit,
                        const std::string& by_and_when = "otto,2026-11-01") {
  YardFiles files = SampleFiles();
  files.map_geojson = Replaced(
      files.map_geojson, R"({"type": "Feature", "id": "corner")",
      R"({"type": "Feature", "id": "wire-1", "properties": {"type": "overhead", "lane": "lane-1", "sort": "wire"},
 "geometry": {"type": "Point", "coordinates": [-96.0, 41.0001]}},
{"type": "Feature", "id": "corner")");
  // What the map says it nominally is would be compared.
  files.map_geojson = Replaced(files.map_geojson, R"(, "clear-height": "14 ft")", "");
  files.measurements_csv =
      fmt::format("what,value,unit,with,by,when,at\n{} {},{},{},,{},{}\n", SubjectFor(row),
                  row.name, value, unit, by_and_when, row.spot == Spot::kOne ? "1 m" : "");
  const auto yard = ReadSample(files);
  return yard ? Complaints{} : yard.error();
}

class EveryQuantity : public ::testing::TestWithParam<std::string> {
 protected:
  const QuantityRow& row() const { return *FindQuantity(GetParam()); }
  double least() const { return SaidOf(row().least).value; }
  double most() const { return SaidOf(row().most).value; }
  std::string unit() const { return SaidOf(row().least).unit; }

  void ExpectComplaint(const std::string& value, const std::string& in,
                       const std::string& field = "value",
                       const std::string& by_and_when = "otto,2026-11-01") const {
    const Complaints complaints = ComplaintsOn(row(), value, in, by_and_when);
    const auto named = std::ranges::find_if(complaints, [&](const Complaint& complaint) {
      return complaint.field == field && complaint.where.ends_with(GetParam());
    });
    EXPECT_NE(named, complaints.end()) << "\"" << value << "\" \"" << in << "\" was taken";
    if (named == complaints.end()) return;
    EXPECT_EQ(named->line, 2);
    EXPECT_FALSE(named->problem.empty());
  }
};

TEST_P(EveryQuantity, IsTakenBetweenItsBounds) {
  const Complaints complaints =
      ComplaintsOn(row(), fmt::format("{:.4f}", least() + 0.25 * (most() - least())), unit());
  EXPECT_TRUE(complaints.empty()) << complaints.front().Text();
}

TEST_P(EveryQuantity, IsRefusedByNameWhereItIsSpoiled) {
  const std::string right = fmt::format("{:.4f}", least() + 0.25 * (most() - least()));
  ExpectComplaint("", unit());
  ExpectComplaint("", "");
  ExpectComplaint(right, "");
  ExpectComplaint(right, SaidOf(row().least).wrong_unit);
  ExpectComplaint(right, "furlong");
  for (const char* text : {"nan", "inf", "-inf", "1e3", "tall", "?", "N/A", "about 3"})
    ExpectComplaint(text, unit());
  ExpectComplaint(fmt::format("{:.4f}", least() - 0.02 - 0.01 * std::abs(least())), unit());
  ExpectComplaint(fmt::format("{:.4f}", most() + 0.02 + 0.01 * most()), unit());
  if (least() > 0) ExpectComplaint("0", unit());
}

TEST_P(EveryQuantity, NeedsWhoAndWhen) {
  const std::string right = fmt::format("{:.4f}", least() + 0.25 * (most() - least()));
  ExpectComplaint(right, unit(), "by", ",2026-11-01");
  ExpectComplaint(right, unit(), "by", "nobody,2026-11-01");
  ExpectComplaint(right, unit(), "when", "otto,");
  ExpectComplaint(right, unit(), "when", "otto,yesterday");
  ExpectComplaint(right, unit(), "when", "otto,2026-02-30");
}

INSTANTIATE_TEST_SUITE_P(Law2, EveryQuantity, ::testing::ValuesIn(QuantityNames()),
                         [](const auto& one) {
                           std::string name = one.param;
                           std::ranges::replace(name, '-', '_');
                           return name;
                         });

}  // namespace
}  // namespace chockwise::yard
