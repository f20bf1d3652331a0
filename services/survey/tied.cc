// What holds a machine on a deck: the sum and the number of its tie-downs, and the forces on them.
#include <cmath>

#include "services/fit/securement_forces.h"
#include "services/survey/answers.h"
#include "services/survey/reading_errors.h"
#include "services/survey/survey.h"
#include "services/survey/train.h"

namespace chockwise::survey {
namespace {

using fit::Kilograms;
using fit::Metres;

/// Law 2: what is not named is the carrier's reading, or unknown.
Outcome<void> FillIn(Readings& readings, const TiedDown& what, std::string_view quantity,
                     std::optional<Kilograms>& limit) {
  if (limit) return {};
  if (!what.carrier) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnknown,
                                   .input = std::string(quantity) + " of a tie-down",
                                   .problem = "is unknown: it is not named, and no carrier is",
                                   .right = "name it behind the tie-down, or name the carrier"});
  }
  const auto reading = readings.Of<Kilograms>(what.carrier->value(), quantity);
  if (!reading) return tl::unexpected(reading.error());
  limit = *reading;
  return {};
}

Outcome<std::vector<fit::Tie>> WholeTies(Readings& readings, const TiedDown& what) {
  std::vector<fit::Tie> ties = what.ties;
  for (fit::Tie& tie : ties) {
    if (auto binder = FillIn(readings, what, "binder-rating", tie.binder); !binder)
      return tl::unexpected(binder.error());
    if (auto anchor = FillIn(readings, what, "anchor-rating", tie.anchor); !anchor)
      return tl::unexpected(anchor.error());
  }
  return ties;
}

struct Judged {
  fit::LoadOnDeck load;
  fit::Securement tied;
};

/// 49 CFR prints pounds and kilograms rounded apart. The reader's own column is told where both
/// judge alike, otherwise the stricter: no verdict hangs on who reads it.
template <class JudgeIn>
auto Stricter(fit::UnitSystem own, const JudgeIn& judge_in) {
  auto told = judge_in(own);
  if (!told) return told;
  auto other = judge_in(own == fit::UnitSystem::kUs ? fit::UnitSystem::kSi : fit::UnitSystem::kUs);
  if (!other) return other;
  return fit::Worse(told->verdict, other->verdict) == told->verdict ? told : other;
}

Outcome<Judged> JudgeTies(Readings& readings, const Asked& asked, const TiedDown& what, Lean lean) {
  const auto machine = MachineOf(asked.yard, what.machine);
  if (!machine) return tl::unexpected(machine.error());
  if (const auto alone = TowsNothing(**machine, "tying down"); !alone)
    return tl::unexpected(alone.error());
  if (what.carrier) {
    if (const auto there = MachineOf(asked.yard, *what.carrier); !there)
      return tl::unexpected(there.error());
  }
  const auto mass = readings.Of<Kilograms>(what.machine.value(), "mass");
  if (!mass) return tl::unexpected(mass.error());
  const auto length = readings.Of<Metres>(what.machine.value(), "carried-length");
  if (!length) return tl::unexpected(length.error());
  const auto ties = WholeTies(readings, what);
  if (!ties) return tl::unexpected(ties.error());
  fit::LoadOnDeck load = {.weight = IfMoreIsWorse(*mass, lean),
                          .length = IfMoreIsWorse(*length, lean),
                          .kind = fit::LoadKind::kMachine,
                          .articulation = what.articulation,
                          .accessories = what.accessories,
                          .ties = *ties};
  const auto tied = Stricter(asked.units, [&](fit::UnitSystem column) {
    load.column = column;
    return fit::JudgeSecurement(load);
  });
  if (!tied) return tl::unexpected(NoAnswerOf(tied.error(), what.machine.value()));
  return Judged{load, *tied};
}

/// Half of the ties of a kind to each side. An odd one is taken to pull to neither and no harder
/// than its share along the deck, so that it holds no more in any direction than it may.
void AddTie(const fit::Tie& tie, Kilograms limit, const Pull& pull,
            std::vector<fit::AngledTie>& onto) {
  const double toward = tie.end == fit::TieEnd::kFront ? 0 : 180;
  const double aside = pull.aside.degrees();
  fit::AngledTie one = {.limit = limit, .below_level = pull.below_level, .count = tie.count / 2};
  if (one.count > 0) {
    for (const double heading : {toward + aside, toward - aside}) {
      one.heading = fit::Degrees(heading);
      onto.push_back(one);
    }
  }
  if (tie.count % 2 == 0) return;
  onto.push_back({.limit = limit * std::cos(pull.aside.radians()),
                  .heading = fit::Degrees(toward),
                  .below_level = pull.below_level});
}

Part TiesPart(const Judged& judged, fit::UnitSystem units) {
  return {.verdict = judged.tied.verdict,
          .used = judged.tied.needed / judged.tied.effective,
          .line = DriversLine(judged.tied, units),
          .spare = fit::SpareOf(judged.tied.margin)};
}

Outcome<Part> ForcesPart(const Asked& asked, const Judged& judged, const Pull& pull,
                         fit::UnitSystem column) {
  fit::ForcesOnLoad forces = {.weight = judged.load.weight, .friction = pull.friction};
  for (const fit::Tie& tie : judged.load.ties) {
    // What goes over or around pulls elsewhere than its end says, so nothing is credited to it.
    if (tie.path != fit::TiePath::kDirect) continue;
    const auto limit = fit::LimitOf(tie, column);
    if (!limit) return tl::unexpected(NoAnswerOf(limit.error(), ""));
    AddTie(tie, *limit, pull, forces.ties);
  }
  const auto held = fit::JudgeForces(forces);
  if (!held) return tl::unexpected(NoAnswerOf(held.error(), ""));
  return Part{.verdict = held->verdict,
              .used = held->worst.needed / held->worst.held,
              .line = "49 CFR 393.102: " + DriversLine(*held, asked.units),
              .spare = fit::SpareOf(held->worst.margin, held->error)};
}

}  // namespace

Outcome<fit::Answer> LoadHolds(const Asked& asked, const TiedDown& what) {
  const auto parted = TiesHold(asked, what, std::nullopt);
  if (!parted) return tl::unexpected(parted.error());
  return parted->answer;
}

Outcome<PartedAnswer> TiesHold(const Asked& asked, const TiedDown& what,
                               const std::optional<Pull>& pull) {
  Readings readings(asked.yard, asked.when);
  const auto with = [&](auto part_of) {
    return AtBothEnds([&, part_of](Lean lean) -> Outcome<Part> {
      const auto judged = JudgeTies(readings, asked, what, lean);
      if (!judged) return tl::unexpected(judged.error());
      return part_of(*judged);
    });
  };
  const auto ties =
      with([&](const Judged& judged) -> Outcome<Part> { return TiesPart(judged, asked.units); });
  if (!ties) return tl::unexpected(ties.error());
  std::vector<Part> parts = {*ties};
  if (pull) {
    const auto forces = with([&](const Judged& judged) {
      return Stricter(asked.units, [&](fit::UnitSystem column) {
        return ForcesPart(asked, judged, *pull, column);
      });
    });
    if (!forces) return tl::unexpected(forces.error());
    parts.push_back(*forces);
  }
  PartedAnswer answer =
      PartedFrom(readings, std::move(parts), fit::kSecurementSources, fit::kSecurementAssumptions);
  std::vector<fit::Input>& inputs = answer.answer.inputs;
  inputs.push_back(ScaleErrorInput());
  if (!pull) {
    inputs.push_back(Default("forces of 49 CFR 393.102", "not judged: nobody has said the angles"));
    return answer;
  }
  for (const std::string_view source : fit::kForcesSources)
    answer.answer.sources.emplace_back(source);
  return answer;
}

}  // namespace chockwise::survey
