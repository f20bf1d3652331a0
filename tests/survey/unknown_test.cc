// Law 2, for every question and every reading that it stands on: missing, too old, still to come.
// The refusal names the reading.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <functional>
#include <regex>
#include <string>
#include <vector>

#include "services/survey/loading.h"
#include "services/survey/standing.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

struct Question {
  std::string name;
  std::function<Outcome<fit::Answer>(const Asked&)> ask;
  std::vector<std::string> readings;  // "ST-101 wheelbase"
};
void PrintTo(const Question& question, std::ostream* out) { *out << question.name; }

Outcome<fit::Answer> WholeOf(const Outcome<PartedAnswer>& parted) {
  if (!parted) return tl::unexpected(parted.error());
  return parted->answer;
}

/// The questions whose answers have parts.
std::vector<Question> PartedQuestions() {
  const auto stand = [](const char* machine, const char* place) {
    return [parking = Parking{.machine = yard::MachineId(machine), .place = yard::PlaceId(place)}](
               const Asked& asked) { return WholeOf(Stands(asked, parking)); };
  };
  const auto dock = [](Trailer coupled, NoseStands stands) {
    return [=](const Asked& asked) {
      return WholeOf(EntersTrailer(asked, {.forklift = yard::MachineId("FL-501"),
                                           .trailer = yard::MachineId("TR-951"),
                                           .dock = yard::PlaceId("parts-dock"),
                                           .load = fit::Pounds(2'000),
                                           .load_length = fit::Inches(48),
                                           .coupled = coupled,
                                           .stands = stands,
                                           .nose = fit::Kilograms()}));
    };
  };
  return {
      {"truck_stands",
       stand("ST-101", "s1-apron"),
       {"ST-101 mass", "ST-101 carried-length", "ST-101 carried-width", "ST-101 stance-width",
        "ST-101 centre-height", "ST-101 wheelbase", "ST-101 braked-mass",
        "ST-101 parking-brake-grade", "ST-101 wheel-radius", "ST-101 chock-contact-height",
        "ST-101 chocked-mass", "s1-apron long-slope", "s1-apron cross-slope"}},
      {"dozer_stands",
       stand("DZ-701", "carrier-pad-1"),
       {"DZ-701 braked-mass", "DZ-701 stance-width", "fire-way marked-width"}},
      {"dozer_climbs",
       [](const Asked& asked) {
         return WholeOf(ClimbsOnto(
             asked, {.machine = yard::MachineId("DZ-701"), .carrier = yard::MachineId("CA-901")}));
       },
       {"DZ-701 mass", "DZ-701 wheelbase", "DZ-701 belly-clearance", "DZ-701 front-overhang",
        "DZ-701 carried-length", "DZ-701 nose-clearance", "DZ-701 tail-clearance",
        "CA-901 deck-height", "CA-901 ramp-length", "CA-901 mass", "CA-901 braked-mass",
        "CA-901 coupling-mass", "CA-901 trailer-rear-overhang", "CA-901 coupling-to-axle",
        "carrier-pad-1 long-slope"}},
      {"on_its_legs",
       dock(Trailer::kOnItsLegs, NoseStands::kNone),
       {"FL-501 mass", "FL-501 lift-rating", "FL-501 lift-centre", "FL-501 carried-length",
        "FL-501 carried-width", "TR-951 mass", "TR-951 centre-behind-legs",
        "TR-951 legs-behind-front", "TR-951 floor-wheel-rating", "TR-951 coupling-mass",
        "TR-951 trailer-rear-overhang", "TR-951 coupling-to-axle", "parts-dock board-rating",
        "parts-dock floor-rating"}},
      {"on_stands",
       dock(Trailer::kOnItsLegs, NoseStands::kUnderNose),
       {"TR-951 coupling-mass", "parts-dock stand-rating", "parts-dock ground-bearing",
        "parts-dock stand-pad-length", "parts-dock stand-pad-width"}},
      {"coupled", dock(Trailer::kCoupled, NoseStands::kNone), {"TR-951 coupling-mass"}},
  };
}

const std::vector<Question>& Questions() {
  static const Trip truck = TripOf("ST-101", "s1-bay-1", "s1-apron");
  static const Trip digger = TripOf("EX-301", "s2-bay-1", "yard-cross");
  static const Trip lowboy = TripOf("CA-901", "street-gate", "s1-apron");
  static const std::vector<Question> questions = {
      {"truck_under",
       [](const Asked& asked) { return GoesUnder(asked, truck, fit::Travel::kForwards); },
       {"ST-101 carried-height", "ST-101 carried-length", "ST-101 front-overhang",
        "ST-101 wheelbase", "ST-101 wheel-radius", "ST-101 belly-clearance", "door-1 clear-height",
        "door-1 clear-width", "door-1 sill-height"}},
      {"truck_ground",
       [](const Asked& asked) { return ClearsGround(asked, truck, fit::Travel::kForwards); },
       {"ST-101 belly-clearance", "ST-101 wheelbase", "door-1 sill-height"}},
      {"digger_ground",
       [](const Asked& asked) { return ClearsGround(asked, digger, fit::Travel::kForwards); },
       {"EX-301 centre-behind-front", "EX-301 centre-height", "EX-301 wheelbase"}},
      {"lowboy_under",
       [](const Asked& asked) { return GoesUnder(asked, lowboy, fit::Travel::kForwards); },
       {"CA-901 coupling-offset", "CA-901 coupling-height", "CA-901 trailer-front-overhang",
        "CA-901 trailer-rear-overhang", "CA-901 trailer-belly-clearance",
        "CA-901 lead-rear-overhang"}},
      {"carries",
       [](const Asked& asked) { return GroundCarries(asked, truck); },
       {"ST-101 mass", "bay-1-way rated-mass"}},
      {"wires",
       [](const Asked& asked) {
         return WiresAreClear(asked, TripOf("WL-402", "wash-pad", "ready-line"),
                              fit::Travel::kForwards);
       },
       {"ring-wire headroom", "WL-402 carried-height", "WL-402 wheelbase", "WL-402 wheel-radius"}},
      {"horn",
       [](const Asked& asked) {
         return HornIsHeard(asked, {.machine = yard::MachineId("ST-101"),
                                    .place = yard::PlaceId("s1-apron"),
                                    .distance = fit::Feet(60)});
       },
       {"ST-101 horn-level-2m", "s1-apron ambient-level"}},
      {"alarm",
       [](const Asked& asked) {
         return AlarmIsHeard(asked, {.machine = yard::MachineId("ST-101"),
                                     .place = yard::PlaceId("s1-apron"),
                                     .distance = fit::Feet(60)});
       },
       {"ST-101 alarm-level-2m", "s1-apron ambient-level"}},
      {"axles",
       [](const Asked& asked) {
         return AxlesCarry(asked, {.machine = yard::MachineId("DZ-701"),
                                   .carrier = yard::MachineId("CA-901"),
                                   .at = fit::Feet(10)});
       },
       {"DZ-701 mass", "CA-901 wheelbase", "CA-901 coupling-offset", "CA-901 coupling-to-axle",
        "CA-901 deck-front", "CA-901 deck-length", "CA-901 steer-axle-mass",
        "CA-901 drive-axle-mass", "CA-901 trailer-axle-mass", "CA-901 drive-tandem-spacing",
        "CA-901 trailer-tandem-spacing", "CA-901 coupling-mass"}},
      {"axles_as_stood",
       [](const Asked& asked) {
         return AxlesCarry(asked, {.machine = yard::MachineId("DZ-701"),
                                   .carrier = yard::MachineId("CA-901"),
                                   .at = StoodAt{NearEnd::kRear, fit::Inches(1)}});
       },
       {"DZ-701 centre-behind-front", "DZ-701 carried-length"}},
      {"axles_have_place",
       [](const Asked& asked) {
         return AxlesHavePlace(
             asked, {.machine = yard::MachineId("DZ-701"), .carrier = yard::MachineId("CA-901")});
       },
       {"DZ-701 mass", "DZ-701 centre-behind-front", "DZ-701 carried-length",
        "CA-901 coupling-mass"}},
      {"ties",
       [](const Asked& asked) {
         const fit::Chain chain{fit::TieSize::k3_8, fit::ChainGrade::k70};
         return LoadHolds(asked, {.machine = yard::MachineId("DZ-701"),
                                  .carrier = yard::MachineId("CA-901"),
                                  .ties = {{.device = chain, .count = 4}},
                                  .articulation = fit::Restraint::kNoneNeeded,
                                  .accessories = fit::Restraint::kRestrained});
       },
       {"DZ-701 mass", "DZ-701 carried-length", "CA-901 binder-rating", "CA-901 anchor-rating"}},
  };
  return questions;
}

/// Every row of measurements.csv whose first cell is `what`.
std::regex RowsOf(const std::string& what) { return std::regex("\n" + what + ",[^\n]*"); }

std::string InWords(const std::string& what) {
  const size_t space = what.find(' ');
  return what.substr(space + 1) + " of " + what.substr(0, space);
}

class UnknownReadings : public ::testing::TestWithParam<Question> {};

TEST_P(UnknownReadings, AnswerWhereAllIsThere) {
  const auto answer = GetParam().ask(At(DemoYard()));
  ASSERT_TRUE(answer) << answer.error().Text();
  EXPECT_FALSE(answer->line.empty());
  EXPECT_FALSE(answer->sources.empty());
  EXPECT_LE(answer->assumptions.size(), 2u);
  for (const std::string& what : GetParam().readings) {
    const bool shown = std::ranges::any_of(answer->inputs, [&](const fit::Input& input) {
      return input.name.starts_with(InWords(what)) && !input.by.empty() && input.when;
    });
    EXPECT_TRUE(shown) << what << " is not among the inputs of: " << answer->line;
  }
}

TEST_P(UnknownReadings, RefuseWhereOneIsMissing) {
  for (const std::string& what : GetParam().readings) {
    const yard::Yard yard =
        DemoYard([&](std::string& text) { text = std::regex_replace(text, RowsOf(what), ""); });
    const auto answer = GetParam().ask(At(yard));
    ASSERT_FALSE(answer) << what << " is missing, and the answer is: " << answer->line;
    EXPECT_EQ(answer.error().sort, NoAnswer::Sort::kUnknown);
    EXPECT_TRUE(answer.error().input.starts_with(InWords(what))) << answer.error().Text();
  }
}

TEST_P(UnknownReadings, RefuseWhereOneIsThirteenMonthsOld) {
  for (const std::string& what : GetParam().readings) {
    const yard::Yard yard = DemoYard([&](std::string& text) {
      const std::regex date("(\n" + what + ",[^\n]*,)20[0-9-]+T[0-9:]+Z");
      text = std::regex_replace(text, date, "$012025-10-20T08:00:00Z");
    });
    const auto answer = GetParam().ask(At(yard));
    ASSERT_FALSE(answer) << what << " is old, and the answer is: " << answer->line;
    EXPECT_EQ(answer.error().sort, NoAnswer::Sort::kStale);
    EXPECT_TRUE(answer.error().input.starts_with(InWords(what))) << answer.error().Text();
  }
}

TEST_P(UnknownReadings, RefuseWhereOneIsStillToCome) {
  for (const std::string& what : GetParam().readings) {
    const yard::Yard yard = DemoYard([&](std::string& text) {
      const std::regex date("(\n" + what + ",[^\n]*,)20[0-9-]+T[0-9:]+Z");
      text = std::regex_replace(text, date, "$012026-11-25T08:00:00Z");
    });
    const auto answer = GetParam().ask(At(yard));
    ASSERT_FALSE(answer) << what << " is to come, and the answer is: " << answer->line;
    EXPECT_TRUE(answer.error().input.starts_with(InWords(what))) << answer.error().Text();
  }
}

INSTANTIATE_TEST_SUITE_P(Law2, UnknownReadings, ::testing::ValuesIn(Questions()),
                         [](const auto& row) { return row.param.name; });
INSTANTIATE_TEST_SUITE_P(Law2Parts, UnknownReadings, ::testing::ValuesIn(PartedQuestions()),
                         [](const auto& row) { return row.param.name; });

}  // namespace
}  // namespace chockwise::survey
