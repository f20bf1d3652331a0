// Random wires with machines that pass under or beside them, random turns on a circle and along a
// straight, with our closed forms, one JSON object a line: passing_cases SEED COUNT.
// passing_check.py does them again.
#include <numeric>

#include "services/fit/off_tracking.h"
#include "services/fit/power_lines.h"
#include "tests/second_opinion/cases.h"

namespace chockwise::fit {
namespace {

void Wire(Dice& dice) {
  const double wire = dice.Between(4, 14), sag = dice.Between(0, 1), bounce = dice.Between(0, 0.3);
  const double carried = dice.Between(2, 12);
  const double beside = dice.Whole(0, 2) == 0 ? 0 : dice.Between(0.01, 12);
  const double error = dice.Between(0.01, 0.3);
  const auto at = ClearanceOfLine({.voltage = Kilovolts(dice.Between(0.1, 700)),
                                   .wire_height = InMetres(wire),
                                   .beside = InMetres(beside),
                                   .carried_height = InMetres(carried),
                                   .bounce = InMetres(bounce),
                                   .sag = InMetres(sag),
                                   .reading_error = InMetres(error)},
                                  UnitSystem::kSi)
                      .value();
  Print({{"kind", "wire"},
         {"wire", wire - sag},
         {"top", carried + bounce},
         {"beside", beside},
         {"reading_error", error},
         {"gap", at.gap.metres()},
         {"needed", at.needed.metres()},
         {"error", at.error.metres()},
         {"clear", at.verdict == Verdict::kClear},
         {"conflict", at.verdict == Verdict::kConflict}});
}

void Circle(Dice& dice) {
  CircleTurn turn;
  std::vector<double> lengths = {dice.Between(2.5, 7)}, hitches;
  for (int trailer = dice.Whole(0, 3); trailer > 0; --trailer) {
    lengths.push_back(dice.Between(1.5, 12));
    hitches.push_back(dice.Between(-2, 1));
  }
  double squares = 0;
  for (const double length : lengths) {
    turn.lengths.push_back(InMetres(length));
    squares += length * length;
  }
  for (const double hitch : hitches) turn.hitch_off.push_back(InMetres(hitch));
  // From too small to run true up to gentle.
  const double radius = std::sqrt(squares) * std::exp(dice.Between(-0.3, 1.2));
  turn.front_axle_radius = InMetres(radius);
  const SteadyTurn steady = SteadyTurnOf(turn).value();
  Print({{"kind", "circle"},
         {"radius", radius},
         {"lengths", lengths},
         {"hitches", hitches},
         {"none", steady.state == SteadyState::kNone},
         {"rear_radius", steady.rear_axle_radius.metres()},
         {"off_tracking", steady.off_tracking.metres()},
         {"fold", steady.largest_fold.radians()}});
}

void J695(Dice& dice) {
  const double wheelbase = dice.Between(3, 6.5), half_track = dice.Between(0.8, 1.2);
  const double kingpin = dice.Between(0, 0.8), trailer = dice.Between(6, 13);
  const double wheel = dice.Between(8, 25);
  const auto off = MaximumOffTrack({.outer_wheel_radius = InMetres(wheel),
                                    .tractor_wheelbase = InMetres(wheelbase),
                                    .half_front_track = InMetres(half_track),
                                    .kingpin_offset = InMetres(kingpin),
                                    .trailer_wheelbase = InMetres(trailer)})
                       .value();
  Print({{"kind", "j695"},
         {"wheel", wheel},
         {"wheelbase", wheelbase},
         {"half_track", half_track},
         {"kingpin", kingpin},
         {"trailer", trailer},
         {"off", off ? Json(off->metres()) : Json(nullptr)}});
}

void Folds(Dice& dice) {
  const double length = dice.Between(1, 13), pulled = dice.Between(0, 40);
  const double fold = dice.Between(0, 3.1), radius = dice.Between(1, 60);
  const double aside = length * dice.Between(0.001, 1);
  const auto on_circle = FoldOnCircle({.hitch_radius = InMetres(radius),
                                       .length = InMetres(length),
                                       .pulled = InMetres(pulled)})
                             .value();
  Print({{"kind", "folds"},
         {"length", length},
         {"pulled", pulled},
         {"fold", fold},
         {"radius", radius},
         {"aside", aside},
         {"after",
          FoldAfter({.fold = Radians(fold), .length = InMetres(length), .pulled = InMetres(pulled)})
              ->radians()},
         {"on_circle", on_circle ? Json(on_circle->radians()) : Json(nullptr)},
         {"way", TractrixWay({.length = InMetres(length), .aside = InMetres(aside)})->metres()}});
}

void Corners(Dice& dice) {
  const double radius = dice.Between(0, 40), width = dice.Between(1, 3);
  const double front = dice.Between(0, 9), rear = dice.Between(0, 5);
  const CornerSwing swing = CornerSwingOf({.rear_axle_radius = InMetres(radius),
                                           .width = InMetres(width),
                                           .front_overhang = InMetres(front),
                                           .rear_overhang = InMetres(rear)})
                                .value();
  Print({{"kind", "corners"},
         {"radius", radius},
         {"width", width},
         {"front", front},
         {"rear", rear},
         {"inner", swing.inner_radius.metres()},
         {"outer_front", swing.outer_front_radius.metres()},
         {"tail", swing.tail_swing.metres()}});
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  using namespace chockwise::fit;
  return DrawCases(argc, argv, [](Dice& dice) {
    for (const auto draw : {Wire, Circle, J695, Folds, Corners}) draw(dice);
  });
}
