// What is carried: the axles under a machine on a deck.
#include <fmt/format.h>

#include "services/fit/axle_loads.h"
#include "services/survey/answers.h"
#include "services/survey/reading_errors.h"
#include "services/survey/survey.h"
#include "services/survey/train.h"

namespace chockwise::survey {
namespace {

using fit::Kilograms;
using fit::Metres;

/// A tractor and semitrailer of single axle groups from the register, the machine not yet on it.
Outcome<fit::LoadedVehicle> VehicleOf(Readings& readings, const yard::MachineId& carrier) {
  const std::string& id = carrier.value();
  Metres wheelbase, offset, to_axle, deck_front, deck_length, drive_spacing, trailer_spacing;
  const auto lengths =
      ReadAll<Metres>(readings, {{id, "wheelbase", &wheelbase},
                                 {id, "coupling-offset", &offset},
                                 {id, "coupling-to-axle", &to_axle},
                                 {id, "deck-front", &deck_front},
                                 {id, "deck-length", &deck_length},
                                 {id, "drive-tandem-spacing", &drive_spacing},
                                 {id, "trailer-tandem-spacing", &trailer_spacing}});
  if (!lengths) return tl::unexpected(lengths.error());
  Kilograms steer, drive, trailer;
  const auto masses = ReadAll<Kilograms>(readings, {{id, "steer-axle-mass", &steer},
                                                    {id, "drive-axle-mass", &drive},
                                                    {id, "trailer-axle-mass", &trailer}});
  if (!masses) return tl::unexpected(masses.error());
  const auto pin = readings.Of<Kilograms>(id, "coupling-mass");
  if (!pin) return tl::unexpected(pin.error());

  const auto tandem = [](Metres middle, Metres spacing, Kilograms mass) {
    return std::vector<fit::RoadAxle>{{.at = middle - spacing / 2, .tare = mass / 2},
                                      {.at = middle + spacing / 2, .tare = mass / 2}};
  };
  const Metres coupling = wheelbase - offset;
  fit::LoadedVehicle vehicle;
  vehicle.units = {{.front = {{.at = Metres(), .tare = steer}},
                    .rear = tandem(wheelbase, drive_spacing, drive),
                    .coupling = coupling,
                    .coupling_tare = *pin},
                   {.rear = tandem(coupling + to_axle, trailer_spacing, trailer)}};
  vehicle.deck_front = coupling + deck_front;
  vehicle.deck_rear = vehicle.deck_front + deck_length;
  vehicle.machine_at = vehicle.deck_front;
  vehicle.errors = {.ticket = kTicketError, .tape = kLongTapeError};
  return vehicle;
}

/// The carrier with the machine still to be put somewhere, and what both stand on.
struct Loading {
  Readings readings;
  fit::LoadedVehicle vehicle;
};
Outcome<Loading> LoadingOf(const Asked& asked, const ForDeck& what) {
  for (const yard::MachineId& id : {what.machine, what.carrier}) {
    const auto there = MachineOf(asked.yard, id);
    if (!there) return tl::unexpected(there.error());
    if (const auto alone = TowsNothing(**there, "the load on the axles"); !alone)
      return tl::unexpected(alone.error());
  }
  Readings readings(asked.yard, asked.when);
  const auto mass = readings.Of<Kilograms>(what.machine.value(), "mass");
  if (!mass) return tl::unexpected(mass.error());
  auto vehicle = VehicleOf(readings, what.carrier);
  if (!vehicle) return tl::unexpected(vehicle.error());
  vehicle->machine = *mass;
  return Loading{std::move(readings), *vehicle};
}

/// Where the centre of mass is behind each end of the machine.
struct Ends {
  Metres front, rear;
};
Outcome<Ends> EndsOf(Readings& readings, const yard::MachineId& machine) {
  const auto centre = readings.Of<Metres>(machine.value(), "centre-behind-front");
  if (!centre) return tl::unexpected(centre.error());
  const auto length = readings.Of<Metres>(machine.value(), "carried-length");
  if (!length) return tl::unexpected(length.error());
  if (*centre > *length) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                                   .input = "centre-behind-front of " + machine.value(),
                                   .problem = "is more than its carried-length",
                                   .right = "put one of the two readings right"});
  }
  return Ends{*centre, *length - *centre};
}
Metres BehindEnd(const Ends& ends, NearEnd end) {
  return end == NearEnd::kFront ? ends.front : ends.rear;
}

/// The tape of the deck's front, of the place, and of the centre where that is a reading of its
/// own.
constexpr double kTapesOfACentre = 2, kTapesOfAnEnd = 3;

/// The centre of mass behind the deck's front, with how it is told.
struct Centre {
  Metres behind_deck_front;
  Metres error;
  std::vector<fit::Input> inputs;
};
Outcome<Centre> CentreOf(Readings& readings, const Asked& asked, const OnDeck& what) {
  const std::string& id = what.machine.value();
  const auto shown = [&](Metres length) { return Shown(length, asked.units); };
  if (const auto* centre = std::get_if<Metres>(&what.at)) {
    return Centre{*centre,
                  kLongTapeError * kTapesOfACentre,
                  {AsAsked("centre of " + id + " behind the deck's front", shown(*centre))}};
  }
  const StoodAt& stood = std::get<StoodAt>(what.at);
  const auto ends = EndsOf(readings, what.machine);
  if (!ends) return tl::unexpected(ends.error());
  const Metres centre = stood.behind_deck_front + BehindEnd(*ends, stood.end);
  return Centre{centre,
                kLongTapeError * kTapesOfAnEnd,
                {AsAsked("place of " + id + " on the deck", StoodText(stood, asked.units)),
                 Computed("centre of " + id + " behind the deck's front", shown(centre))}};
}

/// Law 2: said in the terms of whoever asked.
std::optional<NoAnswer> OffTheDeck(const fit::LoadedVehicle& vehicle, const Asked& asked,
                                   const OnDeck& what, Metres centre) {
  const Metres deck = vehicle.deck_rear - vehicle.deck_front;
  if (centre >= Metres() && centre <= deck) return std::nullopt;
  const bool ahead = centre < Metres();
  return NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                  .input = fmt::format("centre of {}", what.machine.value()),
                  .problem = fmt::format("is {} {} the deck's front",
                                         Shown(ahead ? -centre : centre, asked.units),
                                         ahead ? "ahead of" : "behind"),
                  .right = fmt::format("the deck of {} is {} long: 0 to that behind its front",
                                       what.carrier.value(), Shown(deck, asked.units))};
}

void AddErrors(const Asked& asked, const fit::LoadedVehicle& vehicle, fit::Answer& answer) {
  answer.inputs.push_back(Default("error of each scale ticket",
                                  Text(vehicle.errors.ticket, asked.units, fit::Rounding::kUp)));
  answer.inputs.push_back(Default("error of each taped length",
                                  Text(vehicle.errors.tape, asked.units, fit::Rounding::kUp)));
}

/// Either end first, in the words that the place is told in later.
std::string StretchText(const fit::LoadedVehicle& vehicle, const fit::DeckStretch& legal,
                        const Ends& ends, fit::UnitSystem units) {
  std::string text;
  for (const NearEnd end : {NearEnd::kFront, NearEnd::kRear}) {
    const Metres off = vehicle.deck_front + BehindEnd(ends, end);
    const auto said = fit::StretchToSay({legal.front - off, legal.rear - off}, units);
    if (!said) continue;
    text += fmt::format("{}{} to {}", text.empty() ? "" : "; or ",
                        StoodText({end, said->front}, units), StoodText({end, said->rear}, units));
  }
  return text;
}

}  // namespace

Outcome<fit::Answer> AxlesCarry(const Asked& asked, const OnDeck& what) {
  auto loading = LoadingOf(asked, {what.machine, what.carrier});
  if (!loading) return tl::unexpected(loading.error());
  fit::LoadedVehicle& vehicle = loading->vehicle;
  const auto centre = CentreOf(loading->readings, asked, what);
  if (!centre) return tl::unexpected(centre.error());
  if (auto off = OffTheDeck(vehicle, asked, what, centre->behind_deck_front))
    return tl::unexpected(*off);
  vehicle.machine_at = vehicle.deck_front + centre->behind_deck_front;
  vehicle.errors.place = centre->error;
  const auto judged = fit::JudgeAxles(vehicle);
  if (!judged) return tl::unexpected(NoAnswerOf(judged.error(), what.carrier.value()));
  fit::Answer answer =
      AnswerFrom(loading->readings,
                 {.verdict = judged->verdict,
                  .line = DriversLine(*judged, asked.units),
                  .spare = fit::SpareOf(judged->worst.margin, judged->worst.error)},
                 fit::kAxleSources, fit::kAxleAssumptions);
  for (const fit::Input& input : centre->inputs) answer.inputs.push_back(input);
  AddErrors(asked, vehicle, answer);
  return answer;
}

Outcome<fit::Answer> AxlesHavePlace(const Asked& asked, const ForDeck& what) {
  auto loading = LoadingOf(asked, what);
  if (!loading) return tl::unexpected(loading.error());
  fit::LoadedVehicle& vehicle = loading->vehicle;
  const auto ends = EndsOf(loading->readings, what.machine);
  if (!ends) return tl::unexpected(ends.error());
  vehicle.errors.place = kLongTapeError * kTapesOfAnEnd;
  const auto judged = fit::JudgeAxles(vehicle);
  if (!judged) return tl::unexpected(NoAnswerOf(judged.error(), what.carrier.value()));
  Said said = {.verdict = fit::Verdict::kConflict, .line = DriversLine(*judged, asked.units)};
  if (judged->legal) {
    const auto told_in = [&](fit::UnitSystem units) {
      return StretchText(vehicle, *judged->legal, *ends, units);
    };
    // One too short to be told in whole inches or whole centimetres is none, whoever reads it.
    const bool any =
        !told_in(fit::UnitSystem::kUs).empty() && !told_in(fit::UnitSystem::kSi).empty();
    said.line = any ? "STAND IT OFF THE DECK'S FRONT, AND TAPE IT: " + told_in(asked.units)
                    : fit::NoStretchLine(asked.units);
    if (any) said.verdict = fit::Verdict::kClear;
  }
  fit::Answer answer =
      AnswerFrom(loading->readings, std::move(said), fit::kAxleSources, fit::kAxleAssumptions);
  AddErrors(asked, vehicle, answer);
  return answer;
}

}  // namespace chockwise::survey
