#include "services/survey/pull.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/survey/answers.h"
#include "services/survey/reading_errors.h"
#include "services/survey/train.h"
#include "services/survey/words.h"

namespace chockwise::survey {
namespace {

using fit::Grade;
using fit::Kilograms;
using fit::Newtons;

/// What was read, before anything is taken to be off.
struct ToPull {
  Kilograms mass;
  Grade grade;           // uphill above 0
  bool of_lane = false;  // either way, and read
};

Outcome<ToPull> Read(Readings& readings, const Pulled& what) {
  const auto machine = MachineOf(readings.yard(), what.machine);
  if (!machine) return tl::unexpected(machine.error());
  if (auto alone = HangsBehindNone(**machine); !alone) return tl::unexpected(alone.error());
  const auto mass = TrainMass(readings, **machine);
  if (!mass) return tl::unexpected(mass.error());
  if (const auto* typed = std::get_if<Grade>(&what.way))
    return ToPull{.mass = *mass, .grade = *typed};
  const yard::LaneId& lane = std::get<yard::LaneId>(what.way);
  const auto known = LaneOf(readings.yard(), lane);
  if (!known) return tl::unexpected(known.error());
  const auto steepest = readings.Of<Grade>(lane.value(), "grade");
  if (!steepest) return tl::unexpected(steepest.error());
  return ToPull{.mass = *mass, .grade = *steepest, .of_lane = true};
}

enum class Going { kAsTold, kDownhill };

fit::Tow TowOf(const ToPull& read, const Pulled& what, Going going, Lean lean) {
  const Grade grade = read.of_lane ? IfMoreIsWorse(read.grade, lean) : read.grade;
  return {.weight = IfMoreIsWorse(read.mass, lean),
          .grade = going == Going::kDownhill ? -grade : grade,
          .rolling = what.rolling.value_or(fit::kRollingShare),
          .rated = what.rated};
}

Outcome<Part> PartOf(const ToPull& read, const Pulled& what, Going going, fit::UnitSystem units) {
  const auto judge = [&](Lean lean) -> Outcome<Part> {
    const auto pull = fit::PullToTow(TowOf(read, what, going, lean));
    if (!pull) return tl::unexpected(NoAnswerOf(pull.error(), ""));
    Part part{.verdict = pull->verdict, .line = DriversLine(*pull, units)};
    if (pull->margin) {
      part.used = std::max(pull->pull, pull->hold_back) / *what.rated;
      part.spare = fit::SpareOf(*pull->margin);
    }
    return part;
  };
  // A rating that nobody knows is no nearer to being known for better readings.
  return what.rated ? AtBothEnds(judge) : judge(Lean::kAgainst);
}

/// Whether it would run by itself where the lane goes down: there it is held back, not pulled.
bool Runs(const ToPull& read, const Pulled& what) {
  const auto down = fit::PullToTow(TowOf(read, what, Going::kDownhill, Lean::kAgainst));
  return down && down->hold_back > down->pull;
}

/// What no reading tells.
void AddInputs(const Pulled& what, fit::UnitSystem units, std::vector<fit::Input>& inputs) {
  inputs.push_back(ScaleErrorInput());
  if (const auto* typed = std::get_if<Grade>(&what.way)) {
    inputs.push_back(AsAsked("grade", Text(*typed, units, fit::Rounding::kUp)));
  } else {
    inputs.push_back(SlopeErrorInput(units));
  }
  const double rolling = what.rolling.value_or(fit::kRollingShare);
  inputs.push_back(AskedOrDefault(what.rolling, "rolling resistance",
                                  fmt::format("{:g} % of its weight", rolling * 100)));
  if (what.rated)
    inputs.push_back(AsAsked("rated pull", Text(*what.rated, units, fit::Rounding::kDown)));
}

}  // namespace

Outcome<PartedAnswer> PullHolds(const Asked& asked, const Pulled& what) {
  Readings readings(asked.yard, asked.when);
  const auto read = Read(readings, what);
  if (!read) return tl::unexpected(read.error());
  const auto pulled = PartOf(*read, what, Going::kAsTold, asked.units);
  if (!pulled) return tl::unexpected(pulled.error());
  std::vector<Part> parts = {*pulled};
  if (read->of_lane && Runs(*read, what)) {
    const auto held = PartOf(*read, what, Going::kDownhill, asked.units);
    if (!held) return tl::unexpected(held.error());
    parts.push_back(*held);
  }
  PartedAnswer answer = PartedFrom(readings, std::move(parts), kPullSources, kPullAssumptions);
  AddInputs(what, asked.units, answer.answer.inputs);
  return answer;
}

Outcome<Newtons> ReadPull(const std::string& name, std::string_view text) {
  struct Unit {
    std::string_view symbol;
    const char* read_as;  // of a mass, whose number it is written with
    double newtons_per_kilogram;
  };
  // The longer ones first: "N" ends "kN".
  constexpr std::array<Unit, 5> kUnits = {{{"lbf", " lb", fit::kGravity},
                                           {"lb", " lb", fit::kGravity},
                                           {"kg", " kg", fit::kGravity},
                                           {"kN", " kg", 1000},
                                           {"N", " kg", 1}}};
  const auto unit =
      std::ranges::find_if(kUnits, [&](const Unit& one) { return text.ends_with(one.symbol); });
  if (unit != kUnits.end()) {
    const std::string number(text.substr(0, text.size() - unit->symbol.size()));
    const auto mass = yard::ReadMeasuredValue(number + unit->read_as);
    if (mass && std::holds_alternative<Kilograms>(*mass))
      return fit::InNewtons(std::get<Kilograms>(*mass).kilograms() * unit->newtons_per_kilogram);
  }
  return tl::unexpected(Mistyped(name, fmt::format("is '{}', which is no pull", text),
                                 "write 12,000 lbf or 53 kN; 12,000 lb on a plate is as good"));
}

}  // namespace chockwise::survey
