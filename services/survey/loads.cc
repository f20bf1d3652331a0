// What is carried: the axles under a machine on a deck.
#include <fmt/format.h>

#include "services/fit/axle_loads.h"
#include "services/survey/answers.h"
#include "services/survey/survey.h"

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

  const auto tandem = [](Metres middle, Metres spacing, Kilograms mass) {
    return std::vector<fit::RoadAxle>{{.at = middle - spacing / 2, .tare = mass / 2},
                                      {.at = middle + spacing / 2, .tare = mass / 2}};
  };
  const Metres coupling = wheelbase - offset;
  fit::LoadedVehicle vehicle;
  vehicle.units = {{.front = {{.at = Metres(), .tare = steer}},
                    .rear = tandem(wheelbase, drive_spacing, drive),
                    .coupling = coupling},
                   {.rear = tandem(coupling + to_axle, trailer_spacing, trailer)}};
  vehicle.deck_front = coupling + deck_front;
  vehicle.deck_rear = vehicle.deck_front + deck_length;
  return vehicle;
}

}  // namespace

Outcome<fit::Answer> AxlesCarry(const Asked& asked, const OnDeck& what) {
  for (const yard::MachineId& id : {what.machine, what.carrier}) {
    if (const auto there = MachineOf(asked.yard, id); !there) return tl::unexpected(there.error());
  }
  Readings readings(asked.yard, asked.when);
  const auto mass = readings.Of<Kilograms>(what.machine.value(), "mass");
  if (!mass) return tl::unexpected(mass.error());
  auto vehicle = VehicleOf(readings, what.carrier);
  if (!vehicle) return tl::unexpected(vehicle.error());
  vehicle->machine = *mass;
  vehicle->machine_at = vehicle->deck_front + what.centre_behind_deck_front.value_or(fit::Metres());
  auto judged = fit::JudgeAxles(*vehicle);
  const bool advise = judged && !what.centre_behind_deck_front && judged->legal;
  if (advise) {
    vehicle->machine_at = (judged->legal->front + judged->legal->rear) / 2;
    judged = fit::JudgeAxles(*vehicle);
  }
  if (!judged) return tl::unexpected(NoAnswerOf(judged.error(), what.carrier.value()));
  const Metres centre = vehicle->machine_at - vehicle->deck_front;
  std::string line = DriversLine(*judged, asked.units);
  if (advise) {
    line = fmt::format("STAND with the centre {} behind the deck's front: {}",
                       Text(centre, asked.units, fit::Rounding::kDown), line);
  }
  fit::Answer answer = AnswerFrom(readings, {.verdict = judged->verdict, .line = std::move(line)},
                                  fit::kAxleSources, fit::kAxleAssumptions);
  answer.inputs.push_back(
      AsAsked(fmt::format("centre of {} behind the deck's front", what.machine.value()),
              Text(centre, asked.units, fit::Rounding::kDown)));
  return answer;
}

}  // namespace chockwise::survey
