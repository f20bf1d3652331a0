// Random cases of stopping, securement, axles, loading and standing with our results, one JSON
// object a line: loads_cases SEED COUNT. loads_check.py does them again.
#include <string>

#include "services/fit/axle_loads.h"
#include "services/fit/loading_dock.h"
#include "services/fit/loading_ramp.h"
#include "services/fit/securement.h"
#include "services/fit/securement_forces.h"
#include "services/fit/standing.h"
#include "services/fit/stopping.h"
#include "tests/second_opinion/cases.h"

namespace chockwise::fit {
namespace {

void StoppingCase(Dice& dice) {
  const BrakedMotion motion = {
      .speed = InMetresPerSecond(dice.Between(0.05, 20)),
      .friction = dice.Between(0.05, 1.2),
      .wheels = {.share = dice.Between(0.2, 1), .height_over_wheelbase = dice.Between(0, 1)},
      .grade = RiseOverRun(dice.Between(-0.3, 0.3)),
      .brake_share = {},
      .response = Duration::FromMicros(dice.Whole(0, 5'000'000)),
      .lag = Duration::FromMicros(dice.Whole(0, 1'000'000))};
  Json json = {{"kind", "stopping"},
               {"speed", motion.speed.metres_per_second()},
               {"friction", motion.friction},
               {"wheels", {motion.wheels.share, motion.wheels.height_over_wheelbase}},
               {"grade", motion.grade.rise_over_run()},
               {"delay_us", (motion.response + motion.lag).micros()}};
  const auto stop = StoppingDistance(motion);
  if (stop) {
    json["distance"] = stop->distance.metres();
    const Metres seen = InMetres(dice.Between(0.1, 200));
    json["seen"] = seen.metres();
    json["cap"] = SpeedCap(motion, {.clear_ahead = seen})->metres_per_second();
  }
  Print(json);
}

/// Whole pounds and tenths of a foot, so that the other side can do it in fractions.
void SecurementCase(Dice& dice) {
  const int pounds = dice.Whole(200, 90'000), tenths = dice.Whole(10, 600);
  const bool machine = dice.Whole(0, 1) == 1, blocked = dice.Whole(0, 3) == 0;
  LoadOnDeck load = {.weight = Pounds(pounds),
                     .length = Feet(tenths / 10.0),
                     .kind = machine ? LoadKind::kMachine : LoadKind::kArticle,
                     .blocked = blocked ? Blocked::kForward : Blocked::kNot,
                     .articulation = Restraint::kRestrained,
                     .accessories = Restraint::kNoneNeeded};
  Json json = {{"kind", "securement"}, {"pounds", pounds},   {"tenths", tenths},
               {"machine", machine},   {"blocked", blocked}, {"ties", Json::array()}};
  for (int tie = dice.Whole(1, 4); tie > 0; --tie) {
    const int size = dice.Whole(0, 5), grade = dice.Whole(-1, 2),
              binder = dice.Whole(1'000, 12'000), anchor = dice.Whole(1'000, 12'000);
    const int path = dice.Whole(0, 2), count = dice.Whole(1, 4), end = dice.Whole(0, 1);
    Chain chain = {static_cast<TieSize>(size), {}};
    if (grade >= 0) chain.grade = static_cast<ChainGrade>(grade);
    load.ties.push_back({.device = chain,
                         .binder = Pounds(binder),
                         .anchor = Pounds(anchor),
                         .path = static_cast<TiePath>(path),
                         .end = static_cast<TieEnd>(end),
                         .count = count});
    json["ties"].push_back({size, grade, binder, anchor, path, count, end});
  }
  const auto tied = JudgeSecurement(load);
  json["clear"] = tied->verdict == Verdict::kClear;
  json["margin"] = tied->margin.pounds();
  json["needed"] = tied->ties_needed;
  Print(json);
}

/// Places in whole inches and weights in whole pounds.
struct InchAxles {
  Json json = Json::array();
  std::vector<RoadAxle> axles;
  void Add(Dice& dice, int inch) {
    const int tare = dice.Whole(3'000, 9'000), rating = dice.Whole(0, 9) == 0 ? 22'000 : 0;
    axles.push_back({.at = Inches(inch), .tare = Pounds(tare)});
    if (rating > 0) axles.back().rating = Pounds(rating);
    json.push_back({inch, tare, rating});
  }
};

void AxleCase(Dice& dice) {
  Json json = {{"kind", "axles"}, {"units", Json::array()}};
  LoadedVehicle vehicle = {};
  int inch = 0, coupling = 0;
  const int units = dice.Whole(1, 3);
  for (int at = 0; at < units; ++at) {
    InchAxles front, rear;
    if (at == 0) front.Add(dice, inch);
    inch += dice.Whole(140, at + 1 == units && at > 0 ? 480 : 240);
    for (int axle = dice.Whole(1, 3); axle > 0; --axle) {
      rear.Add(dice, inch);
      inch += dice.Whole(42, 75);
    }
    RoadUnit unit = {.front = front.axles, .rear = rear.axles};
    Json unit_json = {{"front", front.json}, {"rear", rear.json}};
    if (at + 1 < units) {
      coupling = inch - dice.Whole(60, 140);
      unit.coupling = Inches(coupling);
      unit_json["coupling"] = coupling;
      const int pin = dice.Whole(0, 2) == 0 ? 0 : dice.Whole(1'000, 9'000);
      if (pin > 0) unit.coupling_tare = Pounds(pin);
      unit_json["pin"] = pin;
    }
    vehicle.units.push_back(unit);
    json["units"].push_back(unit_json);
  }
  const int machine = dice.Whole(3'000, 60'000);
  const int deck_front = units == 1 ? 60 : coupling, deck_rear = inch + dice.Whole(0, 60);
  const int place = dice.Whole(deck_front, deck_rear);
  const bool planned = dice.Whole(0, 1) == 1;
  vehicle.machine = Pounds(machine);
  vehicle.machine_at = Inches(place);
  vehicle.deck_front = Inches(deck_front);
  vehicle.deck_rear = Inches(deck_rear);
  vehicle.rounding = planned ? BridgeRounding::kPlanned : BridgeRounding::kPublished;
  json.update({{"machine", machine}, {"place", place}, {"deck", {deck_front, deck_rear}}});
  json["planned"] = planned;
  const auto judged = JudgeAxles(vehicle);
  if (!judged) return;  // a unit that the dice made too short
  for (const Kilograms& axle : judged->axles) json["axles"].push_back(axle.pounds());
  json["clear"] = judged->verdict == Verdict::kClear;
  json["margin"] = judged->worst.margin.pounds();
  json["least_bad"] = judged->least_bad.margin.pounds();
  if (judged->legal) json["legal"] = {judged->legal->front.inches(), judged->legal->rear.inches()};
  Print(json);
}

void ForcesCase(Dice& dice) {
  ForcesOnLoad load = {.weight = InKilograms(dice.Between(500, 40'000)),
                       .friction = dice.Between(0, 0.5)};
  Json json = {{"kind", "forces"},
               {"weight", load.weight.kilograms()},
               {"friction", load.friction},
               {"ties", Json::array()}};
  for (int tie = dice.Whole(1, 8); tie > 0; --tie) {
    const double limit = dice.Between(300, 6'000), heading = dice.Between(-180, 180);
    const double below = dice.Between(0, 90);
    load.ties.push_back(
        {.limit = InKilograms(limit), .heading = Degrees(heading), .below_level = Degrees(below)});
    json["ties"].push_back({limit, heading, below});
  }
  const auto held = JudgeForces(load);
  for (const HeldForce& push : held->pushes) json["margins"].push_back(push.margin.kilograms());
  Print(json);
}

void RampCase(Dice& dice) {
  const double length = dice.Between(1, 10), height = length * dice.Between(0.02, 0.55);
  const Ramp ramp = {.deck_height = InMetres(height),
                     .ramp_length = InMetres(length),
                     .friction = dice.Between(0.05, 1),
                     .wheelbase = InMetres(dice.Between(0.5, length)),
                     .belly_clearance = InMetres(dice.Between(0.05, 1)),
                     .nose_overhang = InMetres(dice.Between(0.1, 2)),
                     .nose_clearance = InMetres(dice.Between(0.05, 1)),
                     .tail_overhang = {}};
  const auto climb = JudgeRamp(ramp);
  Print({{"kind", "ramp"},
         {"height", height},
         {"length", length},
         {"wheelbase", ramp.wheelbase.metres()},
         {"overhang", ramp.nose_overhang.metres()},
         {"angle", climb->angle.radians()},
         {"intrusion", (ramp.belly_clearance - kBellyReserve - climb->top_margin).metres()},
         {"drop", (ramp.nose_clearance - kBellyReserve - *climb->toe_margin).metres()}});
}

void TrailerCase(Dice& dice) {
  const NoseTip nose = {.trailer_tare = InKilograms(dice.Between(2'000, 9'000)),
                        .centre_behind_legs = InMetres(dice.Between(1, 7)),
                        .forklift = InKilograms(dice.Between(1'000, 12'000)),
                        .ahead_of_legs = InMetres(dice.Between(0, 3)),
                        .cargo = CargoAtNose::kCounted};
  const TailTip tail = {.pin_tare = InKilograms(dice.Between(1'000, 6'000)),
                        .load = InKilograms(dice.Between(1'000, 30'000)),
                        .behind_axles = InMetres(dice.Between(0, 4)),
                        .pin_to_axles = InMetres(dice.Between(6, 13))};
  Print({{"kind", "trailer"},
         {"nose",
          {nose.trailer_tare.kilograms(), nose.centre_behind_legs.metres(),
           nose.forklift.kilograms(), nose.ahead_of_legs.metres()}},
         {"tipping", JudgeNose(nose)->tipping},
         {"tail",
          {tail.pin_tare.kilograms(), tail.load.kilograms(), tail.behind_axles.metres(),
           tail.pin_to_axles.metres()}},
         {"pin_left", JudgeTail(tail)->pin_left.kilograms()}});
}

void StandingCase(Dice& dice) {
  const Parked parked = {
      .grade = RiseOverRun(dice.Between(-0.6, 0.6)),
      .friction = dice.Between(0.05, 1),
      .wheels = {.share = dice.Between(0.1, 1), .height_over_wheelbase = dice.Between(0, 1)},
      .weight = InKilograms(dice.Between(500, 40'000))};
  const double diameter = dice.Between(0.4, 2);
  const ChockedWheel wheel = {
      .diameter = InMetres(diameter),
      .contact_height = InMetres(diameter / 2 * dice.Between(0.02, 0.95)),
      .chock_friction = dice.Between(0.1, 1),
      .grade = parked.grade,
      .chocked = {.share = dice.Between(0.7, 1), .height_over_wheelbase = dice.Between(0, 1)}};
  const SideLoad side = {.track = InMetres(dice.Between(0.8, 3)),
                         .centre_height = InMetres(dice.Between(0.4, 3)),
                         .cross_slope = RiseOverRun(dice.Between(0, 0.5)),
                         .lateral_g = dice.Between(0, 0.6)};
  const auto hold = JudgeHold(parked);
  const auto chock = JudgeChock(wheel);
  const auto tip = JudgeSideTip(side);
  Print({{"kind", "standing"},
         {"grade", parked.grade.rise_over_run()},
         {"weight", parked.weight.kilograms()},
         {"friction", parked.friction},
         {"braked", {parked.wheels.share, parked.wheels.height_over_wheelbase}},
         {"slides_at", hold->slides_at.rise_over_run()},
         {"pull", hold->pull.newtons()},
         {"holds", hold->verdict == Verdict::kClear},
         {"wheel", {diameter, wheel.contact_height.metres(), wheel.chock_friction}},
         {"chocked", {wheel.chocked.share, wheel.chocked.height_over_wheelbase}},
         {"chock_holds", chock->holds},
         {"to_climb", chock->to_climb},
         {"demand", chock->demand},
         {"side",
          {side.track.metres(), side.centre_height.metres(), side.cross_slope.rise_over_run(),
           side.lateral_g}},
         {"tips_at", tip->tips_at.radians()},
         {"leans", tip->demand.radians()}});
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  using namespace chockwise::fit;
  return DrawCases(argc, argv, [](Dice& dice) {
    for (const auto draw :
         {StoppingCase, SecurementCase, AxleCase, ForcesCase, RampCase, TrailerCase, StandingCase})
      draw(dice);
  });
}
