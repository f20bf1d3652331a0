// The unit of an input never changes the answer: the same numbers by the other tape, for the
// computations that do not say it beside their other properties.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "services/fit/blind_zone.h"
#include "services/fit/hearing.h"
#include "services/fit/light.h"
#include "services/fit/loading_dock.h"
#include "services/fit/off_tracking.h"
#include "services/fit/power_lines.h"
#include "services/fit/route_search.h"
#include "services/fit/standing.h"
#include "tests/fit/retaped.h"

namespace chockwise::fit {
namespace {

/// Odd numbers: none stands on a limit.
double Between(double low, double high) {
  return low + (high - low) * (*rc::gen::inRange(0, 100'000) + 0.37) / 100'001;
}
Metres Length(double low_m, double high_m) { return InMetres(Between(low_m, high_m)); }
Kilograms Mass(double low_kg, double high_kg) { return InKilograms(Between(low_kg, high_kg)); }

void MustAgree(double a, double b) { RC_ASSERT(std::abs(a - b) <= 1e-11 * (1 + std::abs(a))); }
template <class Unit>
void MustAgree(Quantity<Unit> a, Quantity<Unit> b) {
  MustAgree((a / QuantityFactory::Make<Quantity<Unit>>(1)),
            (b / QuantityFactory::Make<Quantity<Unit>>(1)));
}
void MustAgree(Decibels a, Decibels b) { MustAgree(a.decibels(), b.decibels()); }

RC_GTEST_PROP(UnitsOfInput, BlindZone, ()) {
  const Point eye{Between(-1, 1), Between(-1, 1)};
  const auto side = [] { return SideSill{Length(0.5, 3), Length(0.3, 1.4)}; };
  BlindQuestion metric{
      .seat = {.eye = eye,
               .eye_height = Length(1.5, 3),
               .sills = SillsOfSides(
                   eye, {.front = side(), .left = side(), .rear = side(), .right = side()}),
               .masks = {}},
      .object_height = Length(0, 1.2),
      .reach = Length(5, 40),
      .reading_error = Length(0, 0.02)};
  const double from = Between(-3, 3);
  metric.seat.masks = {{.from = Radians(from), .to = Radians(from + Between(0.01, 1))}};
  BlindQuestion other = metric;
  Retape(other.seat.eye_height, other.object_height, other.reach, other.reading_error);
  for (Sill& sill : other.seat.sills) Retape(sill.height);
  for (Mask& mask : other.seat.masks) Retape(mask.from, mask.to);
  const BlindZone a = BlindZoneOf(metric).value(), b = BlindZoneOf(other).value();
  MustAgree(a.farthest_border, b.farthest_border);
  MustAgree(a.never_seen, b.never_seen);
}

RC_GTEST_PROP(UnitsOfInput, Hearing, ()) {
  Listening metric{.name = "Horn",
                   .sources = {{InDecibels(Between(80, 120)), Length(1, 3), InDecibels(5)}},
                   .distance = Length(1, 100),
                   .ambient = InDecibels(Between(40, 100)),
                   .ambient_error = InDecibels(2),
                   .loss = InDecibels(Between(0, 20))};
  Listening other = metric;
  Retape(other.distance, other.sources[0].at);
  const Hearing a = HeardAt(metric).value(), b = HeardAt(other).value();
  MustAgree(a.margin, b.margin);
  MustAgree(a.surely_heard_to, b.surely_heard_to);
  RC_ASSERT(a.verdict == b.verdict);
}

RC_GTEST_PROP(UnitsOfInput, Light, ()) {
  const Lux average = InLux(Between(1, 300));
  Lighting metric{.place = {.latitude = Degrees(43), .longitude = Degrees(-96)},
                  .when = Instant::FromMicros(1'795'521'600'000'000),
                  .measured = LightReading{average, average * Between(0.1, 0.9), InLux(3)},
                  .leg_headings = {Radians(Between(-3, 3))}};
  Lighting other = metric;
  Retape(other.place.latitude, other.place.longitude, other.leg_headings[0]);
  Retape(other.measured->average, other.measured->least, other.measured->meter_error);
  const struct Light a = LightAt(metric).value(), b = LightAt(other).value();
  MustAgree(*a.margin, *b.margin);
  RC_ASSERT(a.verdict == b.verdict);
}

RC_GTEST_PROP(UnitsOfInput, PowerLines, ()) {
  LineCrossing metric{.voltage = Kilovolts(Between(1, 700)),
                      .wire_height = Length(4, 30),
                      .beside = *rc::gen::element(Metres(), Length(1, 30)),
                      .carried_height = Length(1, 8),
                      .bounce = Length(0.01, 0.2),
                      .sag = Length(0.1, 2),
                      .reading_error = Length(0.01, 0.3)};
  LineCrossing other = metric;
  Retape(*other.voltage, other.wire_height, other.beside, other.carried_height, other.bounce,
         other.sag, other.reading_error);
  for (const UnitSystem column : {UnitSystem::kUs, UnitSystem::kSi}) {
    const LineClearance a = ClearanceOfLine(metric, column).value();
    const LineClearance b = ClearanceOfLine(other, column).value();
    MustAgree(a.margin, b.margin);
    MustAgree(a.error, b.error);
    RC_ASSERT(a.verdict == b.verdict && a.rule == b.rule);
  }
}

RC_GTEST_PROP(UnitsOfInput, Standing, ()) {
  Parked parked{.grade = Percent(Between(-20, 20)),
                .friction = Between(0.1, 1),
                .wheels = {.share = Between(0.2, 1)},
                .weight = Mass(1'000, 50'000),
                .brake_holds = Percent(Between(1, 30))};
  ChockedWheel wheel{.diameter = Length(0.6, 1.5),
                     .contact_height = Length(0.05, 0.25),
                     .chock_friction = Between(0.2, 0.8),
                     .grade = parked.grade,
                     .chocked = {.share = Between(0.2, 1)}};
  SideLoad side{.track = Length(1, 3),
                .centre_height = Length(0.5, 3),
                .cross_slope = Percent(Between(0, 30)),
                .lateral_g = Between(0, 0.3)};
  const HoldOnGrade hold = JudgeHold(parked).value();
  const ChockHold chock = JudgeChock(wheel).value();
  const SideTip tip = JudgeSideTip(side).value();
  Retape(parked.grade, parked.weight, *parked.brake_holds);
  Retape(wheel.diameter, wheel.contact_height, wheel.grade);
  Retape(side.track, side.centre_height, side.cross_slope);
  MustAgree(hold.margin, JudgeHold(parked)->margin);
  MustAgree(hold.pull, JudgeHold(parked)->pull);
  MustAgree(chock.holds, JudgeChock(wheel)->holds);
  MustAgree(chock.demand, JudgeChock(wheel)->demand);
  MustAgree(tip.margin, JudgeSideTip(side)->margin);
  RC_ASSERT(hold.verdict == JudgeHold(parked)->verdict);
  RC_ASSERT(chock.verdict == JudgeChock(wheel)->verdict);
  RC_ASSERT(tip.verdict == JudgeSideTip(side)->verdict);
}

RC_GTEST_PROP(UnitsOfInput, Dock, ()) {
  NoseTip nose{.trailer_tare = Mass(3'000, 9'000),
               .centre_behind_legs = Length(1, 6),
               .forklift = Mass(2'000, 9'000),
               .ahead_of_legs = Length(0.1, 3),
               .cargo = CargoAtNose::kCounted};
  TailTip tail{.pin_tare = Mass(1'000, 4'000),
               .load = Mass(500, 9'000),
               .behind_axles = Length(0.1, 3),
               .pin_to_axles = Length(5, 12)};
  FloorLoad floor{.truck = Mass(2'000, 6'000),
                  .load = Mass(100, 3'000),
                  .rated_wheel = Mass(1'000, 6'000),
                  .rated_area = InPascals(Between(2'000, 30'000)),
                  .length = Length(1.5, 3),
                  .width = Length(0.8, 1.6)};
  StandLoad stand{.share = Mass(1'000, 20'000),
                  .rated = Mass(1'000, 40'000),
                  .pad_length = Length(0.2, 1),
                  .pad_width = Length(0.2, 1),
                  .ground = InPascals(Between(50'000, 900'000))};
  const Nose nose_before = JudgeNose(nose).value();
  const Tail tail_before = JudgeTail(tail).value();
  const Floor floor_before = JudgeFloor(floor).value();
  const Stand stand_before = JudgeStand(stand).value();
  Retape(nose.trailer_tare, nose.centre_behind_legs, nose.forklift, nose.ahead_of_legs);
  Retape(tail.pin_tare, tail.load, tail.behind_axles, tail.pin_to_axles);
  Retape(floor.truck, floor.load, *floor.rated_wheel, *floor.rated_area, floor.length, floor.width);
  Retape(*stand.share, *stand.rated, stand.pad_length, stand.pad_width, *stand.ground);
  MustAgree(nose_before.tipping, JudgeNose(nose)->tipping);
  MustAgree(tail_before.margin, JudgeTail(tail)->margin);
  MustAgree(floor_before.wheel->margin, JudgeFloor(floor)->wheel->margin);
  MustAgree(*floor_before.pressure_margin, *JudgeFloor(floor)->pressure_margin);
  MustAgree(stand_before.pressure_margin, JudgeStand(stand)->pressure_margin);
  RC_ASSERT(nose_before.verdict == JudgeNose(nose)->verdict);
  RC_ASSERT(tail_before.verdict == JudgeTail(tail)->verdict);
  RC_ASSERT(floor_before.verdict == JudgeFloor(floor)->verdict);
  RC_ASSERT(stand_before.verdict == JudgeStand(stand)->verdict);
}

RC_GTEST_PROP(UnitsOfInput, OffTracking, ()) {
  CircleTurn circle{.front_axle_radius = Length(14, 60),
                    .lengths = {Length(3, 6), Length(4, 9)},
                    .hitch_off = {Length(-1, 0.5)}};
  StraightPull pull{.fold = Degrees(Between(1, 170)), .length = Length(2, 12)};
  pull.pulled = Length(0, 40);
  const SteadyTurn turn = SteadyTurnOf(circle).value();
  const Angle left = FoldAfter(pull).value();
  Retape(circle.front_axle_radius, circle.lengths[0], circle.lengths[1], circle.hitch_off[0],
         circle.most_fold);
  Retape(pull.fold, pull.length, pull.pulled);
  MustAgree(turn.off_tracking, SteadyTurnOf(circle)->off_tracking);
  MustAgree(turn.largest_fold, SteadyTurnOf(circle)->largest_fold);
  RC_ASSERT(turn.state == SteadyTurnOf(circle)->state);
  MustAgree(left, *FoldAfter(pull));
}

RC_GTEST_PROP(UnitsOfInput, RouteSearch, ()) {
  RouteQuestion question{.places = 5, .from = 0, .to = 4};
  question.needs = {.height = Length(2, 5),
                    .width = Length(2, 4),
                    .turn_radius = Length(0, 15),
                    .turn_radius_reversing = Length(0, 15),
                    .most_grade = Percent(Between(2, 20)),
                    .load = Mass(1'000, 40'000)};
  for (size_t from = 0; from < 5; ++from) {
    for (size_t to = from + 1; to < 5; ++to)
      question.lanes.push_back(
          {.id = "lane",
           .from = from,
           .to = to,
           .length = Millimetres(*rc::gen::inRange(1'000, 90'000)),
           .clear_height = Length(2, 6),
           .clear_width = Length(2, 6),
           .bend_radius = Length(2, 40),
           .steepest = Percent(Between(0, 15)),
           .rated_load = Mass(1'000, 90'000),
           .at_from = LaneEnd{.at = {100.0 * static_cast<double>(question.lanes.size()), 0},
                              .leaves = {1, 0},
                              .straight = InMetres(1)},
           .at_to = LaneEnd{.at = {0, 100.0 * static_cast<double>(1 + question.lanes.size())},
                            .leaves = {0, 1},
                            .straight = InMetres(1)}});
  }
  const FoundRoute before = SearchRoute(question).value();
  RouteNeeds& needs = question.needs;
  Retape(needs.height, needs.width, needs.turn_radius, needs.turn_radius_reversing,
         needs.most_grade, needs.load);
  for (RouteLane& lane : question.lanes)
    Retape(lane.length, *lane.clear_height, *lane.clear_width, *lane.bend_radius, *lane.steepest,
           *lane.rated_load);
  const FoundRoute after = SearchRoute(question).value();
  RC_ASSERT(before.route.has_value() == after.route.has_value());
  if (before.route) RC_ASSERT(before.route->legs == after.route->legs);
  RC_ASSERT(before.changes.size() == after.changes.size());
  for (size_t i = 0; i < before.changes.size(); ++i) {
    RC_ASSERT(before.changes[i].lane == after.changes[i].lane);
    RC_ASSERT(before.changes[i].limit == after.changes[i].limit);
  }
}

}  // namespace
}  // namespace chockwise::fit
