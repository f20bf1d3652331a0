// The unit of a reading never changes an answer: the demo yard's readings in metres and kilograms.
#include <gtest/gtest.h>

#include <cstdio>
#include <regex>
#include <sstream>

#include "services/survey/loading.h"
#include "tests/survey/every_question.h"

namespace chockwise::survey {
namespace {

/// A decimal number without trailing zeros; nullopt where it has more than six decimals, which no
/// reading has.
std::optional<std::string> Decimal(int64_t number, int decimals) {
  std::string digits = std::to_string(number);
  while (static_cast<int>(digits.size()) <= decimals) digits.insert(0, "0");
  std::string whole = digits.substr(0, digits.size() - static_cast<size_t>(decimals));
  std::string part = digits.substr(digits.size() - static_cast<size_t>(decimals));
  while (!part.empty() && part.back() == '0') part.pop_back();
  if (part.size() > 6 || whole.size() + part.size() > 11) return std::nullopt;
  return part.empty() ? whole : whole + "." + part;
}

/// "13 ft 6 in", "6 1/2 in", "1/2 in", "26 ft": as millimetres.
std::optional<std::string> Millimetres(const std::string& text) {
  static const std::regex tape(R"(^(?:(\d+) ft)? ?(?:(\d+) )?(?:(\d+)/(\d+) )?(?:in)?$)");
  std::smatch found;
  if (text.find_first_of(".,") != std::string::npos || !std::regex_match(text, found, tape))
    return std::nullopt;
  const auto number = [&](size_t group) -> int64_t {
    return found[group].matched ? std::stoll(found[group].str()) : 0;
  };
  const int64_t bottom = found[4].matched ? number(4) : 1;
  if (64 % bottom != 0) return std::nullopt;
  const int64_t of_64 = (number(1) * 12 + number(2)) * 64 + number(3) * (64 / bottom);
  // An inch is 25.4 mm: 254 / 640 of one for every 64th, of six decimals.
  return Decimal(of_64 * 254 * 1'000'000 / 640, 6);
}

/// "26,000 lb" as kilograms.
std::optional<std::string> Kilograms(std::string text) {
  std::erase(text, ',');
  static const std::regex scale(R"(^(\d+) lb$)");
  std::smatch found;
  if (!std::regex_match(text, found, scale)) return std::nullopt;
  return Decimal(std::stoll(found[1].str()) * 45'359'237, 8);
}

/// measurements.csv with every value in feet, inches or pounds that has an exact number in the
/// other unit written so.
std::string InSi(const std::string& csv, int& changed) {
  std::istringstream lines(csv);
  std::string all;
  static const std::regex row(R"re(^([^,]+),("[^"]*"|[^,]*),,(.*)$)re");
  for (std::string line; std::getline(lines, line);) {
    std::smatch found;
    if (std::regex_match(line, found, row)) {
      std::string value = found[2].str();
      std::erase(value, '"');
      if (const auto mm = Millimetres(value)) {
        line = fmt::format("{},{},mm,{}", found[1].str(), *mm, found[3].str());
        ++changed;
      } else if (const auto kg = Kilograms(value)) {
        line = fmt::format("{},{},kg,{}", found[1].str(), *kg, found[3].str());
        ++changed;
      }
    }
    all += line + "\n";
  }
  return all;
}

AllHeard AskAll(const yard::Yard& yard) {
  AllHeard heard = AskEverything(yard);
  heard.merge(AskRegister(yard));
  heard["onto a carrier"] = HeardIn(ClimbsOnto(
      At(yard), {.machine = yard::MachineId("DZ-701"), .carrier = yard::MachineId("CA-901")}));
  heard["into a trailer"] = HeardIn(EntersTrailer(At(yard), {.forklift = yard::MachineId("FL-501"),
                                                             .trailer = yard::MachineId("TR-951"),
                                                             .dock = yard::PlaceId("parts-dock"),
                                                             .load = fit::Pounds(2'000),
                                                             .load_length = fit::Inches(48),
                                                             .nose = fit::Kilograms()}));
  heard["axles"] = HeardIn(AxlesCarry(At(yard), {.machine = yard::MachineId("SS-601"),
                                                 .carrier = yard::MachineId("CA-901"),
                                                 .at = fit::Feet(10)}));
  return heard;
}

TEST(UnitsOfReadings, InMetresAndKilogramsEveryAnswerIsTheSame) {
  int changed = 0;
  const yard::Yard us = DemoYard();
  const yard::Yard si = DemoYard([&](std::string& text) { text = InSi(text, changed); });
  const AllHeard in_us = AskAll(us), in_si = AskAll(si);
  std::printf("%d readings written otherwise, %zu answers\n", changed, in_us.size());
  EXPECT_GT(changed, 280);
  ASSERT_EQ(in_us.size(), in_si.size());
  for (const auto& [name, was] : in_us) {
    const Heard& is = in_si.at(name);
    EXPECT_EQ(was.verdict, is.verdict) << name;
    EXPECT_EQ(was.spare, is.spare) << name;
    // A refusal may quote what somebody wrote.
    if (!was.refused) {
      EXPECT_EQ(was.line, is.line) << name;
    }
    EXPECT_EQ(was.refused, is.refused) << name;
  }
}

}  // namespace
}  // namespace chockwise::survey
