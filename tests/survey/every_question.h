// What a yard answers to every question about the trips of some machines, by name: for properties
// that hold whatever is asked.
#pragma once

#include <fmt/format.h>

#include <map>
#include <string>

#include "services/survey/fit_register.h"
#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/seeing.h"
#include "services/survey/standing.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {

struct Heard {
  bool refused = false;
  fit::Verdict verdict = fit::Verdict::kUndecided;
  std::optional<fit::Spare> spare = {};
  std::string line = {};
};
using AllHeard = std::map<std::string, Heard>;

inline Heard HeardIn(const Outcome<fit::Answer>& answer) {
  if (!answer) return {.refused = true, .line = answer.error().Text()};
  return {.verdict = answer->verdict, .spare = answer->spare, .line = answer->line};
}
inline Heard HeardIn(const Outcome<PartedAnswer>& parted) {
  if (!parted) return {.refused = true, .line = parted.error().Text()};
  return {.verdict = parted->answer.verdict,
          .spare = parted->answer.spare,
          .line = parted->answer.line};
}

/// Machines of every way of steering, with a trailer and without, from where they stand and back.
inline std::vector<Trip> ManyTrips() {
  std::vector<Trip> trips;
  const auto there_and_back = [&](const char* machine, const char* place,
                                  const std::vector<const char*>& others) {
    for (const char* other : others) {
      trips.push_back(TripOf(machine, place, other));
      trips.push_back(TripOf(machine, other, place));
    }
  };
  there_and_back("ST-101", "s1-bay-1", {"s1-apron", "truck-row", "wash-pad", "street-gate"});
  there_and_back("ST-104", "truck-row", {"yard-cross", "s1-bay-2"});
  there_and_back("TH-201", "s2-bay-1", {"yard-cross", "wash-pad", "ready-line"});
  there_and_back("EX-301", "s2-bay-2", {"yard-cross", "parts-dock"});
  there_and_back("WL-401", "s2-bay-3", {"wash-pad", "yard-cross"});
  there_and_back("WL-402", "ready-line", {"wash-pad", "s2-bay-3"});
  there_and_back("FL-501", "parts-dock", {"yard-cross"});
  there_and_back("SS-601", "ready-line", {"loading-ground", "yard-cross", "carrier-pad-1"});
  there_and_back("CA-901", "carrier-pad-1", {"loading-ground", "ready-line"});
  return trips;
}

/// Of a trip, in either direction of travel.
inline void AskTrip(const Asked& asked, const Trip& trip, AllHeard& heard) {
  const std::string of =
      fmt::format("{} {} to {}", trip.machine.value(), trip.from.value(), trip.to.value());
  const auto hear = [&](const char* question, const auto& answer) {
    heard[fmt::format("{}: {}", question, of)] = HeardIn(answer);
  };
  hear("carries", GroundCarries(asked, trip));
  hear("route", FindsWay(asked, trip, {}));
  hear("see", SpotterIsSeen(asked, trip, {}));
  hear("under", GoesUnder(asked, trip, fit::Travel::kForwards));
  hear("under, reversing", GoesUnder(asked, trip, fit::Travel::kReversing));
  hear("ground", ClearsGround(asked, trip, fit::Travel::kForwards));
  hear("ground, reversing", ClearsGround(asked, trip, fit::Travel::kReversing));
  hear("wires", WiresAreClear(asked, trip, fit::Travel::kForwards));
  hear("path", KeepsClear(asked, trip, {}));
  hear("path, reversing", KeepsClear(asked, trip, {.travel = fit::Travel::kReversing}));
  hear("leaves", LeavesFree(asked, trip, {}));
  hear("stands", Stands(asked, {.machine = trip.machine, .place = trip.to}));
}

inline AllHeard AskEverything(const yard::Yard& yard) {
  AllHeard heard;
  for (const Trip& trip : ManyTrips()) AskTrip(At(yard), trip, heard);
  return heard;
}

/// A row of the register for each of its three numbers.
inline AllHeard AskRegister(const yard::Yard& yard) {
  AllHeard heard;
  for (const FitRow& row : RegisterOf(At(yard), [](Progress) {}).rows) {
    const auto hear = [&](const char* number, const std::optional<fit::Metres>& value) {
      Heard one = {.refused = row.fits == Fits::kUnknown};
      if (row.fits == Fits::kGo) one.verdict = fit::Verdict::kClear;
      if (row.fits == Fits::kNo) one.verdict = fit::Verdict::kConflict;
      if (value) one.spare = fit::SpareOf(*value);
      heard[fmt::format("register, {}: {} {} {}", number, row.machine, row.attachment, row.door)] =
          one;
    };
    hear("above", row.above);
    hear("each side", row.each_side);
    hear("below", row.below);
  }
  return heard;
}

}  // namespace chockwise::survey
