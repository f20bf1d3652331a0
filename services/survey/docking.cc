// A forklift into a trailer at a dock.
#include <fmt/format.h>

#include "services/fit/loading_forklift.h"
#include "services/survey/loading.h"
#include "services/survey/loading_parts.h"
#include "services/survey/reading_errors.h"
#include "services/survey/train.h"

namespace chockwise::survey {
namespace {

using fit::Kilograms;
using fit::Metres;
using fit::Verdict;

/// A driver with tools. Default: the safety lead's to set.
constexpr Kilograms kDriver = fit::Pounds(250);

/// The question with what weighs on everything that it rolls over.
struct Entry {
  const IntoTrailer& what;
  Kilograms truck;  // with its driver
  Kilograms gross;  // and with its load
  fit::UnitSystem units;
  Lean lean = Lean::kAgainst;  // of the readings
};

Part BearingPart(const fit::Bearing& bearing, std::string line) {
  return {.verdict = bearing.verdict,
          .used = bearing.actual / bearing.allowed,
          .line = std::move(line),
          .spare = fit::SpareOf(bearing.margin)};
}

Outcome<Part> LiftPart(Readings& readings, const Entry& entry) {
  const std::string& id = entry.what.forklift.value();
  const auto rated = readings.Of<Kilograms>(id, "lift-rating");
  if (!rated) return tl::unexpected(rated.error());
  const auto centre = readings.Of<Metres>(id, "lift-centre");
  if (!centre) return tl::unexpected(centre.error());
  const auto allowed = fit::ForkliftAllows(
      {.rated = *rated, .rated_centre = *centre, .centre = entry.what.load_length / 2});
  if (!allowed) return tl::unexpected(NoAnswerOf(allowed.error(), id));
  const Kilograms margin = *allowed - entry.what.load;
  const bool lifts = fit::AtLeast(*allowed, entry.what.load);
  return Part{.verdict = lifts ? Verdict::kClear : Verdict::kConflict,
              .used = entry.what.load / *allowed,
              .line = lifts ? fmt::format("LIFTS it: {} to spare",
                                          Text(margin, entry.units, fit::Rounding::kDown))
                            : fmt::format("TOO HEAVY for the forks: {} over at that length",
                                          Text(-margin, entry.units, fit::Rounding::kUp)),
              .spare = fit::SpareOf(margin)};
}

Outcome<Part> BoardPart(Readings& readings, const Entry& entry) {
  const std::string& dock = entry.what.dock.value();
  const auto rated = readings.Of<Kilograms>(dock, "board-rating");
  if (!rated) return tl::unexpected(rated.error());
  const auto board = fit::JudgeBoard({.gross = entry.gross, .rated = *rated});
  if (!board) return tl::unexpected(NoAnswerOf(board.error(), dock));
  return BearingPart(*board, BoardLine(*board, entry.units));
}

Outcome<Part> TrailerFloorPart(Readings& readings, const Entry& entry) {
  const std::string& trailer = entry.what.trailer.value();
  const auto rated = readings.Of<Kilograms>(trailer, "floor-wheel-rating");
  if (!rated) return tl::unexpected(rated.error());
  const auto floor =
      fit::JudgeFloor({.truck = entry.truck, .load = entry.what.load, .rated_wheel = *rated});
  if (!floor) return tl::unexpected(NoAnswerOf(floor.error(), trailer));
  return BearingPart(*floor->wheel, DriversLine(*floor, entry.units) + ", in the trailer");
}

Outcome<Part> DockFloorPart(Readings& readings, const Entry& entry) {
  const std::string& dock = entry.what.dock.value();
  const std::string& forklift = entry.what.forklift.value();
  const auto rated = readings.Of<fit::Pascals>(dock, "floor-rating");
  if (!rated) return tl::unexpected(rated.error());
  fit::FloorLoad load{.truck = entry.truck, .load = entry.what.load, .rated_area = *rated};
  const auto read = ReadAll<Metres>(readings, {{forklift, "carried-length", &load.length},
                                               {forklift, "carried-width", &load.width}});
  if (!read) return tl::unexpected(read.error());
  load.length = IfLessIsWorse(load.length, entry.lean);
  load.width = IfLessIsWorse(load.width, entry.lean);
  const auto floor = fit::JudgeFloor(load);
  if (!floor) return tl::unexpected(NoAnswerOf(floor.error(), dock));
  return Part{.verdict = floor->verdict,
              .used = *floor->pressure / *rated,
              .line = DriversLine(*floor, entry.units) + ", at the dock",
              .spare = fit::SpareOf(*floor->pressure_margin)};
}

/// Whatever stands there lies at the front wall, as far ahead of the legs as the forklift goes.
Outcome<Part> NosePart(Readings& readings, const Entry& entry) {
  const std::string& trailer = entry.what.trailer.value();
  const auto tare = readings.Of<Kilograms>(trailer, "mass");
  if (!tare) return tl::unexpected(tare.error());
  const auto& cargo = entry.what.nose;
  fit::NoseTip tip{.trailer_tare = IfLessIsWorse(*tare, entry.lean),
                   .centre_behind_legs = {},
                   .forklift = entry.gross + cargo.value_or(Kilograms()),
                   .ahead_of_legs = {},
                   .cargo = cargo ? fit::CargoAtNose::kCounted : fit::CargoAtNose::kUnknown};
  const auto read =
      ReadAll<Metres>(readings, {{trailer, "centre-behind-legs", &tip.centre_behind_legs},
                                 {trailer, "legs-behind-front", &tip.ahead_of_legs}});
  if (!read) return tl::unexpected(read.error());
  tip.centre_behind_legs = IfLessIsWorse(tip.centre_behind_legs, entry.lean);
  tip.ahead_of_legs = IfMoreIsWorse(tip.ahead_of_legs, entry.lean);
  const auto nose = fit::JudgeNose(tip);
  if (!nose) return tl::unexpected(NoAnswerOf(nose.error(), trailer));
  return Part{.verdict = nose->verdict,
              .used = nose->tipping / nose->allowed,
              .line = DriversLine(*nose, entry.units),
              .spare = fit::Spare{.value = nose->allowed - nose->tipping, .unit = "1"}};
}

/// Stands take the nose off the legs: the forklift with its load and what lies there, all over
/// them, and of the empty trailer what its coupling bore.
Outcome<Part> StandPart(Readings& readings, const Entry& entry) {
  const std::string& dock = entry.what.dock.value();
  const auto rated = readings.Of<Kilograms>(dock, "stand-rating");
  if (!rated) return tl::unexpected(rated.error());
  const auto ground = readings.Of<fit::Pascals>(dock, "ground-bearing");
  if (!ground) return tl::unexpected(ground.error());
  const auto own = readings.Of<Kilograms>(entry.what.trailer.value(), "coupling-mass");
  if (!own) return tl::unexpected(own.error());
  fit::StandLoad load{
      .share = std::nullopt, .rated = *rated, .pad_length = {}, .pad_width = {}, .ground = *ground};
  if (entry.what.nose)
    load.share = entry.gross + *entry.what.nose + IfMoreIsWorse(*own, entry.lean);
  const auto read = ReadAll<Metres>(readings, {{dock, "stand-pad-length", &load.pad_length},
                                               {dock, "stand-pad-width", &load.pad_width}});
  if (!read) return tl::unexpected(read.error());
  load.pad_length = IfLessIsWorse(load.pad_length, entry.lean);
  load.pad_width = IfLessIsWorse(load.pad_width, entry.lean);
  const auto stand = fit::JudgeStand(load);
  if (!stand) return tl::unexpected(NoAnswerOf(stand.error(), dock));
  constexpr double kWorst = 1'000;  // of what nobody knows
  std::optional<fit::Spare> spare;
  if (!stand->share_unknown) {
    const bool pad = stand->stand.verdict == Verdict::kClear && stand->verdict != Verdict::kClear;
    spare = pad ? fit::SpareOf(stand->pressure_margin) : fit::SpareOf(stand->stand.margin);
  }
  return Part{.verdict = stand->verdict,
              .used = stand->share_unknown ? kWorst
                                           : std::max(stand->stand.actual / stand->stand.allowed,
                                                      stand->pressure / *ground),
              .line = DriversLine(*stand, entry.units),
              .spare = std::move(spare)};
}

Outcome<Part> TailPart(Readings& readings, const Entry& entry) {
  const auto tail =
      TailUnder(readings, {.trailer = entry.what.trailer, .load = entry.gross, .lean = entry.lean},
                entry.units);
  if (!tail) return tl::unexpected(tail.error());
  return tail->part;
}

using JudgePart = Outcome<Part> (*)(Readings&, const Entry&);

std::vector<JudgePart> PartsOf(const IntoTrailer& what) {
  std::vector<JudgePart> parts = {BoardPart, TrailerFloorPart, DockFloorPart, TailPart};
  if (what.load > Kilograms()) parts.push_back(LiftPart);
  if (what.coupled == Trailer::kOnItsLegs)
    parts.push_back(what.stands == NoseStands::kUnderNose ? StandPart : NosePart);
  return parts;
}

std::string NoseText(const std::optional<Kilograms>& cargo, fit::UnitSystem units) {
  if (!cargo) return "nobody has looked";
  return *cargo > Kilograms() ? Text(*cargo, units, fit::Rounding::kUp) : "no cargo";
}

void TellAsked(const IntoTrailer& what, fit::UnitSystem units, std::vector<fit::Input>& inputs) {
  inputs.push_back(AsAsked("load", Text(what.load, units, fit::Rounding::kUp)));
  if (what.load > Kilograms()) {
    inputs.push_back(
        AsAsked("length of the load", Text(what.load_length, units, fit::Rounding::kUp)));
  }
  inputs.push_back(Default("driver", Text(kDriver, units, fit::Rounding::kUp)));
  for (const fit::Input& error : ErrorInputs(units)) inputs.push_back(error);
  const bool coupled = what.coupled == Trailer::kCoupled;
  inputs.push_back(AsAsked("trailer", coupled ? "coupled" : "on its legs"));
  if (coupled) return;
  inputs.push_back(
      AsAsked("under the nose", what.stands == NoseStands::kUnderNose ? "stands" : "nothing"));
  inputs.push_back(AsAsked("cargo at the nose", NoseText(what.nose, units)));
}

}  // namespace

Outcome<PartedAnswer> EntersTrailer(const Asked& asked, const IntoTrailer& what) {
  for (const yard::MachineId& id : {what.forklift, what.trailer}) {
    const auto there = MachineOf(asked.yard, id);
    if (!there) return tl::unexpected(there.error());
    if (const auto alone = TowsNothing(**there, "going into a trailer"); !alone)
      return tl::unexpected(alone.error());
  }
  if (const auto dock = PlaceOf(asked.yard, what.dock); !dock) return tl::unexpected(dock.error());
  if (what.nose && *what.nose < Kilograms()) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                                   .input = "cargo at the nose",
                                   .problem = "is less than nothing",
                                   .right = "0 for none, or what lies there"});
  }
  Readings readings(asked.yard, asked.when);
  const auto mass = readings.Of<Kilograms>(what.forklift.value(), "mass");
  if (!mass) return tl::unexpected(mass.error());
  std::vector<Part> parts;
  for (const JudgePart judge : PartsOf(what)) {
    const auto part = AtBothEnds([&](Lean lean) {
      const Kilograms truck = IfMoreIsWorse(*mass, lean) + kDriver;
      return judge(readings, {.what = what,
                              .truck = truck,
                              .gross = truck + what.load,
                              .units = asked.units,
                              .lean = lean});
    });
    if (!part) return tl::unexpected(part.error());
    parts.push_back(*part);
  }
  PartedAnswer enters =
      PartedFrom(readings, std::move(parts), fit::kDockSources, fit::kDockAssumptions);
  TellAsked(what, asked.units, enters.answer.inputs);
  return enters;
}

}  // namespace chockwise::survey
