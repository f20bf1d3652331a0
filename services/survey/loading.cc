// Up a ramp onto a carrier.
#include "services/survey/loading.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/loading_ride.h"
#include "services/survey/loading_parts.h"
#include "services/survey/machines.h"
#include "services/survey/train.h"

namespace chockwise::survey {
namespace {

using fit::Kilograms;
using fit::Metres;
using fit::Verdict;

struct Friction {
  double value = 0;
  bool is_tried = false;
};
/// The caller's word before what was tried, and what was tried before what is least. What was tried
/// too long ago is refused rather than passed over.
Outcome<Friction> FrictionOf(Readings& readings, const std::string& subject, const char* grip,
                             std::optional<double> asked, double least) {
  if (asked) return Friction{.value = *asked};
  const auto tried = readings.IfThere<fit::Grade>(subject, grip);
  if (!tried) return tl::unexpected(tried.error());
  return *tried ? Friction{.value = (*tried)->rise_over_run(), .is_tried = true}
                : Friction{.value = least};
}

Outcome<Friction> GroundUnder(Readings& readings, const OntoCarrier& what,
                              const yard::PlaceId& at) {
  const auto on_tyres = [](fit::Surface surface) {
    return fit::PlanningFriction(surface, fit::Running::kTruckTyres);
  };
  std::optional<double> asked;
  if (what.surface) asked = on_tyres(*what.surface);
  return FrictionOf(readings, at.value(), "ground-grip", asked,
                    on_tyres(fit::Surface::kWetUnknown));
}

/// What the closed forms stand on: as low everywhere between its axles as at its lowest.
Outcome<void> ReadForForms(Readings& readings, const std::string& machine, fit::Ramp& ramp) {
  Metres length;
  const auto read = ReadAll<Metres>(readings, {{machine, "wheelbase", &ramp.wheelbase},
                                               {machine, "belly-clearance", &ramp.belly_clearance},
                                               {machine, "front-overhang", &ramp.nose_overhang},
                                               {machine, "carried-length", &length}});
  if (!read) return read;
  ramp.tail_overhang = length - ramp.nose_overhang - ramp.wheelbase;
  std::vector<Wanted<Metres>> ends;
  if (ramp.nose_overhang > Metres())
    ends.push_back({machine, "nose-clearance", &ramp.nose_clearance});
  if (ramp.tail_overhang > Metres())
    ends.push_back({machine, "tail-clearance", &ramp.tail_clearance});
  return ReadAll(readings, ends);
}

/// The ramp, and what the ride over it found where its belly is read along it. A ramp that is
/// steeper than any ground is not ridden.
struct RampFound {
  fit::Ramp ramp;
  std::optional<fit::RampRidden> ridden = {};
  Metres lowest = {};  // of the belly that was ridden
};

Outcome<void> RideIfRead(Readings& readings, const yard::Machine& machine, RampFound& found) {
  const fit::Ramp& ramp = found.ramp;
  const double most_sine = std::sin(std::atan(fit::kSteepestGround.rise_over_run()));
  if (!(ramp.deck_height / ramp.ramp_length < most_sine)) return {};
  const auto belly = readings.Along(machine.id.value(), "belly-clearance");
  if (!belly) return tl::unexpected(belly.error());
  if (belly->empty()) return {};
  const auto riding = Riding(readings, machine);
  if (!riding) {
    // What the ride alone needs and nobody measured leaves the closed forms.
    if (riding.error().sort == NoAnswer::Sort::kUnknown) return {};
    return tl::unexpected(riding.error());
  }
  const auto ridden = fit::RideRamp({.machine = *riding,
                                     .deck_height = ramp.deck_height,
                                     .ramp_length = ramp.ramp_length,
                                     .reading_error = kHeightError});
  if (!ridden) return tl::unexpected(NoAnswerOf(ridden.error(), machine.id.value()));
  found.ridden = *ridden;
  found.ramp.ridden_clearance = ridden->clearance;
  found.lowest = std::ranges::min(*belly, {}, &Readings::Spot::value).value;
  return {};
}

Outcome<RampFound> RampOf(Readings& readings, const yard::Machine& machine,
                          const std::string& carrier, const yard::PlaceId& at) {
  RampFound found;
  fit::Ramp& ramp = found.ramp;
  const auto read = ReadAll<Metres>(readings, {{carrier, "deck-height", &ramp.deck_height},
                                               {carrier, "ramp-length", &ramp.ramp_length}});
  if (!read) return tl::unexpected(read.error());
  // Spots alone may miss what hangs lowest: the ride is asked besides, never instead.
  if (auto forms = ReadForForms(readings, machine.id.value(), ramp); !forms)
    return tl::unexpected(forms.error());
  if (auto ridden = RideIfRead(readings, machine, found); !ridden)
    return tl::unexpected(ridden.error());
  const auto slope = readings.Of<fit::Grade>(at.value(), "long-slope");
  if (!slope) return tl::unexpected(slope.error());
  ramp.ground = *slope;
  return found;
}

Part GripPart(const fit::RampClimb& climb, fit::UnitSystem units) {
  fit::RampClimb grip = climb;
  const bool grips = grip.worst != fit::RampTrouble::kGrip;
  if (grips) grip.worst = fit::RampTrouble::kNone;
  return {.verdict = grips ? Verdict::kClear : grip.verdict,
          .used = grip.grade / grip.grips_to,
          .line = DriversLine(grip, units),
          .spare = fit::SpareOf(grip.grips_to - grip.grade)};
}

/// The lesser of what is left under it at the ramp's top and at its toe.
Part ClearancePart(const fit::Ramp& ramp, const fit::RampClimb& climb, fit::UnitSystem units) {
  const Metres toe = climb.toe_margin.value_or(climb.top_margin);
  const bool at_top = climb.top_margin <= toe;
  const Metres margin = at_top ? climb.top_margin : toe;
  const Metres nose = ramp.nose_overhang > Metres() ? ramp.nose_clearance : ramp.tail_clearance;
  const Metres tail = ramp.tail_overhang > Metres() ? ramp.tail_clearance : ramp.nose_clearance;
  const Metres clearance = at_top ? ramp.belly_clearance : std::min(nose, tail);
  constexpr double kNanometre = 1e-9;  // above every error of the closed forms
  Part part{.verdict = fit::Judge(margin.metres(), kNanometre),
            .used = 1 - margin / clearance,
            .line = fmt::format("CLEARS the ramp: {} to spare at its {}", Shown(margin, units),
                                at_top ? "top" : "toe"),
            .spare = fit::SpareOf(margin)};
  if (part.verdict != Verdict::kClear) {
    fit::RampClimb grounds = climb;
    grounds.worst = at_top ? fit::RampTrouble::kTop : fit::RampTrouble::kToe;
    part.line = DriversLine(grounds, units);
  }
  return part;
}

/// What is sure of it, in the same words.
Part RiddenPart(const RampFound& found, fit::UnitSystem units) {
  const fit::RampRidden& ridden = *found.ridden;
  const Metres margin = ridden.clearance - fit::kBellyReserve, read = margin + ridden.error;
  const bool at_top = ridden.at == fit::RampEnd::kTop;
  Part part{.verdict = fit::Judge(read.metres(), ridden.error.metres()),
            .used = 1 - margin / found.lowest,
            .line = fmt::format("CLEARS the ramp: {} to spare at its {}", Shown(margin, units),
                                at_top ? "top" : "toe"),
            .spare = fit::SpareOf(read, ridden.error)};
  if (part.verdict == Verdict::kClear) return part;
  fit::RampClimb grounds;
  grounds.worst = at_top ? fit::RampTrouble::kTop : fit::RampTrouble::kToe;
  grounds.top_margin = margin;
  grounds.toe_margin = margin;
  part.line = DriversLine(grounds, units);
  if (part.verdict == Verdict::kUndecided) part.line += kOrNot;
  return part;
}

/// The deck's plate against what goes onto it, by a scale that may be off.
Outcome<Part> DeckPart(Readings& readings, const std::string& carrier, Kilograms mass,
                       fit::UnitSystem units) {
  const auto capacity = readings.Of<Kilograms>(carrier, "deck-capacity");
  if (!capacity) return tl::unexpected(capacity.error());
  return AtBothEnds([&](Lean lean) -> Outcome<Part> {
    const Kilograms weight = IfMoreIsWorse(mass, lean);
    const Kilograms margin = *capacity - weight;
    const bool carries = fit::AtLeast(*capacity, weight);
    return Part{.verdict = carries ? Verdict::kClear : Verdict::kConflict,
                .used = weight / *capacity,
                .line = carries ? fmt::format("DECK CARRIES: {} to spare",
                                              Text(margin, units, fit::Rounding::kDown))
                                : fmt::format("TOO HEAVY for the deck: {} over",
                                              Text(-margin, units, fit::Rounding::kUp)),
                .spare = fit::SpareOf(margin)};
  });
}

/// The carrier's brakes against the push of the climb.
struct Pushed {
  fit::RampClimb climb;
  fit::Grade slope;  // under the carrier
  Kilograms machine;
  Kilograms lifted;  // off the coupling
  double friction = 0;
};

Outcome<Part> HoldPart(Readings& readings, const std::string& carrier, const Pushed& pushed,
                       fit::UnitSystem units) {
  Kilograms mass, braked;
  const auto read =
      ReadAll<Kilograms>(readings, {{carrier, "mass", &mass}, {carrier, "braked-mass", &braked}});
  if (!read) return tl::unexpected(read.error());
  const double push_n =
      pushed.machine.kilograms() * fit::kGravity * pushed.climb.grade.rise_over_run();
  const auto held =
      fit::JudgeCarrierHold({.friction = pushed.friction,
                             .braked_weight = std::max(Kilograms(), braked - pushed.lifted),
                             .weight = mass + pushed.machine,
                             .push = fit::InNewtons(std::max(0.0, push_n)),
                             .grade = pushed.slope});
  if (!held) return tl::unexpected(NoAnswerOf(held.error(), carrier));
  // Brakes that hold nothing have used all, and a thousandfold is all there is to tell.
  constexpr double kMost = 1'000;
  const bool none = held->holds <= held->pushes / kMost;
  return Part{.verdict = held->verdict,
              .used = none ? kMost : held->pushes / held->holds,
              .line = DriversLine(*held, units),
              .spare = fit::SpareOf(held->margin)};
}

}  // namespace

Outcome<TailFound> TailUnder(Readings& readings, const TailLoad& what, fit::UnitSystem units) {
  const std::string& id = what.trailer.value();
  const auto pin = readings.Of<Kilograms>(id, "coupling-mass");
  if (!pin) return tl::unexpected(pin.error());
  fit::TailTip tip{.pin_tare = IfLessIsWorse(*pin, what.lean),
                   .load = what.load,
                   .behind_axles = {},
                   .pin_to_axles = {}};
  const auto read = ReadAll<Metres>(readings, {{id, "trailer-rear-overhang", &tip.behind_axles},
                                               {id, "coupling-to-axle", &tip.pin_to_axles}});
  if (!read) return tl::unexpected(read.error());
  tip.behind_axles = IfMoreIsWorse(tip.behind_axles, what.lean);
  tip.pin_to_axles = IfLessIsWorse(tip.pin_to_axles, what.lean);
  const auto tail = fit::JudgeTail(tip);
  if (!tail) return tl::unexpected(NoAnswerOf(tail.error(), id));
  const Kilograms lifted = tip.pin_tare - tail->pin_left;
  return TailFound{.part = {.verdict = tail->verdict,
                            .used = lifted / (tip.pin_tare - tail->pin_needed),
                            .line = DriversLine(*tail, units),
                            .spare = fit::SpareOf(tail->margin)},
                   .lifted = lifted};
}

Outcome<PartedAnswer> ClimbsOnto(const Asked& asked, const OntoCarrier& what) {
  const auto machine = MachineOf(asked.yard, what.machine);
  if (!machine) return tl::unexpected(machine.error());
  const auto carrier = MachineOf(asked.yard, what.carrier);
  if (!carrier) return tl::unexpected(carrier.error());
  for (const yard::Machine* one : {*machine, *carrier}) {
    if (const auto alone = TowsNothing(*one, "driving onto a deck"); !alone)
      return tl::unexpected(alone.error());
  }
  const yard::PlaceId at = what.at.value_or((*carrier)->place);
  if (const auto place = PlaceOf(asked.yard, at); !place) return tl::unexpected(place.error());
  Readings readings(asked.yard, asked.when);
  const auto grip = FrictionOf(readings, what.carrier.value(), "ramp-grip", what.ramp_friction,
                               fit::kSteelOnWetSteel);
  if (!grip) return tl::unexpected(grip.error());
  auto found = RampOf(readings, **machine, what.carrier.value(), at);
  if (!found) return tl::unexpected(found.error());
  found->ramp.friction = grip->value;
  const fit::Ramp& ramp = found->ramp;
  const auto climb = fit::JudgeRamp(ramp);
  if (!climb) return tl::unexpected(NoAnswerOf(climb.error(), what.machine.value()));
  const auto mass = readings.Of<Kilograms>(what.machine.value(), "mass");
  if (!mass) return tl::unexpected(mass.error());
  const auto tail = TailUnder(
      readings, {.trailer = what.carrier, .load = *mass, .lean = Lean::kAsRead}, asked.units);
  if (!tail) return tl::unexpected(tail.error());
  const auto ground = GroundUnder(readings, what, at);
  if (!ground) return tl::unexpected(ground.error());
  const auto hold = HoldPart(readings, what.carrier.value(),
                             {.climb = *climb,
                              .slope = ramp.ground,
                              .machine = *mass,
                              .lifted = tail->lifted,
                              .friction = ground->value},
                             asked.units);
  if (!hold) return tl::unexpected(hold.error());
  const auto deck = DeckPart(readings, what.carrier.value(), *mass, asked.units);
  if (!deck) return tl::unexpected(deck.error());
  const Part clears =
      found->ridden ? RiddenPart(*found, asked.units) : ClearancePart(ramp, *climb, asked.units);
  PartedAnswer climbs =
      PartedFrom(readings, {GripPart(*climb, asked.units), clears, *deck, *hold, tail->part},
                 kClimbSources, found->ridden ? kRiddenClimbAssumptions : kClimbAssumptions);
  std::vector<fit::Input>& inputs = climbs.answer.inputs;
  // What was tried is among the readings.
  if (!grip->is_tried)
    inputs.push_back(AskedOrDefault(what.ramp_friction, "friction on the ramp",
                                    fmt::format("{:.2f}", grip->value)));
  if (!ground->is_tried)
    inputs.push_back(AskedOrDefault(what.surface, "friction under the carrier",
                                    fmt::format("{:.2f}", ground->value)));
  inputs.push_back(AskedOrDefault(what.at, "carrier stands at", at.value()));
  if (found->ridden) inputs.push_back(HeightErrorInput(asked.units));
  return climbs;
}

}  // namespace chockwise::survey
