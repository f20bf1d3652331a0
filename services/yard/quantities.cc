#include "services/yard/quantities.h"

#include <algorithm>
#include <array>

namespace chockwise::yard {
namespace {

using fit::Degrees;
using fit::Feet;
using fit::Inches;
using fit::InDecibels;
using fit::InLux;
using fit::InVolts;
using fit::Kilovolts;
using fit::Percent;
using fit::Pounds;
using fit::PoundsPerSquareFoot;

constexpr std::string_view kBearing =
    "0 deg to 360 deg, to its middle from the driver's eye, clockwise from straight ahead";
constexpr std::string_view kLooksWide =
    "0.5 deg to 180 deg, from edge to edge as the driver's eye sees it";

// The bounds catch slips of the pen and of the unit, not unusual machines. Common practice: from
// the smallest pallet truck to the largest machine that still travels a yard. Slopes are steepness,
// without a sign: "at most 2 %" must hold whichever way the ground falls.
const std::array<QuantityRow, 97> kQuantities = {{
    // What passes, and what it passes through.
    {"clear-height", Subject::kDoor, Feet(2), Feet(60), "2 ft to 60 ft (0.61 m to 18.28 m)"},
    {"clear-width", Subject::kDoor, Feet(2), Feet(120), "2 ft to 120 ft (0.61 m to 36.57 m)"},
    {"sill-height", Subject::kDoor, Inches(0), Feet(2), "0 in to 2 ft (0 m to 0.60 m)"},
    {"headroom", Subject::kOverhead, Feet(5), Feet(200), "5 ft to 200 ft (1.53 m to 60.96 m)"},
    {"voltage", Subject::kOverhead, InVolts(0), Kilovolts(1'200), "0 V to 1,200 kV"},
    {"carried-height", Subject::kMachine, Feet(1), Feet(60), "1 ft to 60 ft (0.31 m to 18.28 m)"},
    {"outline-height", Subject::kMachine, Inches(1), Feet(60), "1 in to 60 ft (0.03 m to 18.28 m)",
     Spot::kOne},
    {"carried-width", Subject::kMachine, Feet(1), Feet(40), "1 ft to 40 ft (0.31 m to 12.19 m)"},
    {"carried-length", Subject::kMachine, Feet(1), Feet(200), "1 ft to 200 ft (0.31 m to 60.96 m)"},
    {"belly-clearance", Subject::kMachine, Inches(0.5), Feet(8),
     "1/2 in to 8 ft (0.02 m to 2.43 m)", Spot::kEither},
    // How it stands and turns. A machine with a "coupling-to-axle" tows a semitrailer. Of a unit
    // that another machine's row in machines.csv "tows", the same words are of the unit itself:
    // survey/train.h.
    {"wheelbase", Subject::kMachine, Feet(1), Feet(60), "1 ft to 60 ft (0.31 m to 18.28 m)"},
    {"front-overhang", Subject::kMachine, Feet(0), Feet(40), "0 ft to 40 ft (0 m to 12.19 m)"},
    {"wheel-radius", Subject::kMachine, Inches(2), Feet(7), "2 in to 7 ft (0.06 m to 2.13 m)"},
    {"track-width", Subject::kMachine, Feet(1), Feet(30), "1 ft to 30 ft (0.31 m to 9.14 m)"},
    {"turning-radius", Subject::kMachine, Feet(1), Feet(200), "1 ft to 200 ft (0.31 m to 60.96 m)"},
    {"hinge-to-rear-axle", Subject::kMachine, Feet(1), Feet(40),
     "1 ft to 40 ft (0.31 m to 12.19 m)"},
    {"crab-angle", Subject::kMachine, Degrees(1), Degrees(85),
     "1 deg to 85 deg, that all its wheels turn off straight ahead when they stay parallel"},
    {"tail-radius", Subject::kMachine, Feet(1), Feet(40), "1 ft to 40 ft (0.31 m to 12.19 m)"},
    {"coupling-offset", Subject::kMachine, Feet(-10), Feet(20),
     "-10 ft to 20 ft (-3.05 m to 6.09 m), ahead of the rear axle is above 0"},
    {"coupling-to-axle", Subject::kMachine, Feet(2), Feet(80), "2 ft to 80 ft (0.61 m to 24.38 m)"},
    {"hitch-behind-axle", Subject::kMachine, Feet(-20), Feet(30),
     "-20 ft to 30 ft (-6.09 m to 9.14 m), where what it tows hangs, from the middle of the "
     "hindmost axles of this row; ahead of them is below 0"},
    {"coupling-height", Subject::kMachine, Inches(6), Feet(8), "6 in to 8 ft (0.16 m to 2.43 m)"},
    {"lead-rear-overhang", Subject::kMachine, Feet(0), Feet(40), "0 ft to 40 ft (0 m to 12.19 m)"},
    {"drive-tandem-spacing", Subject::kMachine, Feet(3), Feet(12),
     "3 ft to 12 ft (0.92 m to 3.65 m)"},
    {"trailer-tandem-spacing", Subject::kMachine, Feet(3), Feet(12),
     "3 ft to 12 ft (0.92 m to 3.65 m)"},
    {"trailer-front-overhang", Subject::kMachine, Feet(0), Feet(20),
     "0 ft to 20 ft (0 m to 6.09 m)"},
    {"trailer-rear-overhang", Subject::kMachine, Feet(0), Feet(40),
     "0 ft to 40 ft (0 m to 12.19 m)"},
    {"trailer-belly-clearance", Subject::kMachine, Inches(0.5), Feet(8),
     "1/2 in to 8 ft (0.02 m to 2.43 m)"},
    {"centre-height", Subject::kMachine, Inches(6), Feet(20), "6 in to 20 ft (0.16 m to 6.09 m)"},
    // What it weighs and carries.
    {"mass", Subject::kMachine, Pounds(100), Pounds(1'000'000),
     "100 lb to 1,000,000 lb (46 kg to 453,592 kg)"},
    {"deck-capacity", Subject::kMachine, Pounds(100), Pounds(1'000'000),
     "100 lb to 1,000,000 lb (46 kg to 453,592 kg)"},
    {"deck-height", Subject::kMachine, Inches(2), Feet(8), "2 in to 8 ft (0.06 m to 2.43 m)"},
    {"deck-length", Subject::kMachine, Feet(4), Feet(80), "4 ft to 80 ft (1.22 m to 24.38 m)"},
    {"deck-front", Subject::kMachine, Feet(-10), Feet(60),
     "-10 ft to 60 ft (-3.05 m to 18.28 m), behind the coupling is above 0"},
    {"centre-behind-front", Subject::kMachine, Feet(0), Feet(100),
     "0 ft to 100 ft (0 m to 30.48 m)"},
    {"steer-axle-mass", Subject::kMachine, Pounds(100), Pounds(100'000),
     "100 lb to 100,000 lb (46 kg to 45,359 kg)"},
    {"drive-axle-mass", Subject::kMachine, Pounds(100), Pounds(100'000),
     "100 lb to 100,000 lb (46 kg to 45,359 kg)"},
    {"trailer-axle-mass", Subject::kMachine, Pounds(100), Pounds(200'000),
     "100 lb to 200,000 lb (46 kg to 90,718 kg)"},
    {"ramp-length", Subject::kMachine, Feet(1), Feet(40), "1 ft to 40 ft (0.31 m to 12.19 m)"},
    {"nose-clearance", Subject::kMachine, Inches(0.5), Feet(10),
     "1/2 in to 10 ft (0.02 m to 3.04 m), under all that is ahead of the front axle or track"},
    {"tail-clearance", Subject::kMachine, Inches(0.5), Feet(10),
     "1/2 in to 10 ft (0.02 m to 3.04 m), under all that is behind the rear axle or track"},
    // How it stays where it is put. A scale's ticket each: what stands on the wheels or tracks that
    // the parking brake holds, on those that its chocks go under, on the coupling of a trailer.
    {"stance-width", Subject::kMachine, Inches(6), Feet(30),
     "6 in to 30 ft (0.16 m to 9.14 m), that it tips about; on three points the less"},
    {"braked-mass", Subject::kMachine, Pounds(100), Pounds(500'000),
     "100 lb to 500,000 lb (46 kg to 226,796 kg)"},
    {"chocked-mass", Subject::kMachine, Pounds(100), Pounds(500'000),
     "100 lb to 500,000 lb (46 kg to 226,796 kg)"},
    {"chock-contact-height", Subject::kMachine, Inches(1), Feet(4),
     "1 in to 4 ft (0.03 m to 1.21 m), where the chock touches the wheel"},
    {"chock-grade", Subject::kMachine, Percent(1), Percent(100),
     "1 % to 100 %, the steepest that its chocks alone held it on, tried on wet ground"},
    {"parking-brake-grade", Subject::kMachine, Percent(1), Percent(100),
     "1 % to 100 %, the steepest that it was tried on or that its maker says"},
    {"coupling-mass", Subject::kMachine, Pounds(100), Pounds(100'000),
     "100 lb to 100,000 lb (46 kg to 45,359 kg), of the empty trailer on its coupling"},
    // What was tried with a pull gauge on the wetted surface, not read from a table.
    {"ramp-grip", Subject::kMachine, Percent(5), Percent(100),
     "5 % to 100 % of a machine's weight, at which it slipped on this carrier's wet ramps"},
    {"ground-grip", Subject::kPlace, Percent(5), Percent(100),
     "5 % to 100 % of the load on a braked wheel, at which it slid on this wet ground"},
    {"binder-rating", Subject::kMachine, Pounds(100), Pounds(200'000),
     "100 lb to 200,000 lb (46 kg to 90,718 kg), of the weakest binder that the carrier brings"},
    {"anchor-rating", Subject::kMachine, Pounds(100), Pounds(200'000),
     "100 lb to 200,000 lb (46 kg to 90,718 kg), of the weakest anchor point of its deck"},
    // A trailer on its legs, and a forklift that goes into it.
    {"legs-behind-front", Subject::kMachine, Feet(0), Feet(40), "0 ft to 40 ft (0 m to 12.19 m)"},
    {"centre-behind-legs", Subject::kMachine, Inches(1), Feet(60),
     "1 in to 60 ft (0.03 m to 18.28 m), of the empty trailer's centre of mass"},
    {"floor-wheel-rating", Subject::kMachine, Pounds(100), Pounds(100'000),
     "100 lb to 100,000 lb (46 kg to 45,359 kg), on one wheel"},
    {"lift-rating", Subject::kMachine, Pounds(100), Pounds(200'000),
     "100 lb to 200,000 lb (46 kg to 90,718 kg), on its plate"},
    {"lift-centre", Subject::kMachine, Inches(1), Feet(20),
     "1 in to 20 ft (0.03 m to 6.09 m), from the forks' face, on its plate"},
    {"board-rating", Subject::kPlace, Pounds(100), Pounds(200'000),
     "100 lb to 200,000 lb (46 kg to 90,718 kg), on the dock board's plate"},
    {"floor-rating", Subject::kPlace, PoundsPerSquareFoot(10), PoundsPerSquareFoot(100'000),
     "10 psf to 100,000 psf (0.5 kPa to 4,788.0 kPa)"},
    {"ground-bearing", Subject::kPlace, PoundsPerSquareFoot(100), PoundsPerSquareFoot(1'000'000),
     "100 psf to 1,000,000 psf (4.8 kPa to 47,880.2 kPa)"},
    {"stand-rating", Subject::kPlace, Pounds(100), Pounds(200'000),
     "100 lb to 200,000 lb (46 kg to 90,718 kg), of one stand that is kept there"},
    {"stand-pad-length", Subject::kPlace, Inches(1), Feet(20), "1 in to 20 ft (0.03 m to 6.09 m)"},
    {"stand-pad-width", Subject::kPlace, Inches(1), Feet(20), "1 in to 20 ft (0.03 m to 6.09 m)"},
    // What is heard and seen.
    {"horn-level-2m", Subject::kMachine, InDecibels(50), InDecibels(140), "50 dB to 140 dB"},
    {"alarm-level-2m", Subject::kMachine, InDecibels(50), InDecibels(140), "50 dB to 140 dB"},
    {"ambient-level", Subject::kPlace, InDecibels(20), InDecibels(140), "20 dB to 140 dB"},
    {"light-level", Subject::kPlace, InLux(0), InLux(150'000), "0 lx to 150,000 lx"},
    {"eye-height", Subject::kMachine, Feet(2), Feet(30), "2 ft to 30 ft (0.61 m to 9.14 m)"},
    {"eye-behind-front", Subject::kMachine, Inches(1), Feet(60),
     "1 in to 60 ft (0.03 m to 18.28 m)"},
    {"eye-left-of-middle", Subject::kMachine, Feet(-10), Feet(10),
     "-10 ft to 10 ft (-3.04 m to 3.04 m), right of the middle is below 0"},
    {"ground-seen-front", Subject::kMachine, Inches(0), Feet(150),
     "0 in to 150 ft (0 m to 45.72 m)"},
    {"ground-seen-left", Subject::kMachine, Inches(0), Feet(150),
     "0 in to 150 ft (0 m to 45.72 m)"},
    {"ground-seen-rear", Subject::kMachine, Inches(0), Feet(150),
     "0 in to 150 ft (0 m to 45.72 m)"},
    {"ground-seen-right", Subject::kMachine, Inches(0), Feet(150),
     "0 in to 150 ft (0 m to 45.72 m)"},
    // What hides all behind it at the height of the driver's eye, in pairs: survey/seeing.h.
    {"boom-bearing", Subject::kMachine, Degrees(0), Degrees(360), kBearing},
    {"boom-width", Subject::kMachine, Degrees(0.5), Degrees(180), kLooksWide},
    {"mast-bearing", Subject::kMachine, Degrees(0), Degrees(360), kBearing},
    {"mast-width", Subject::kMachine, Degrees(0.5), Degrees(180), kLooksWide},
    {"stack-bearing", Subject::kMachine, Degrees(0), Degrees(360), kBearing},
    {"stack-width", Subject::kMachine, Degrees(0.5), Degrees(180), kLooksWide},
    {"left-front-post-bearing", Subject::kMachine, Degrees(0), Degrees(360), kBearing},
    {"left-front-post-width", Subject::kMachine, Degrees(0.5), Degrees(180), kLooksWide},
    {"right-front-post-bearing", Subject::kMachine, Degrees(0), Degrees(360), kBearing},
    {"right-front-post-width", Subject::kMachine, Degrees(0.5), Degrees(180), kLooksWide},
    {"left-rear-post-bearing", Subject::kMachine, Degrees(0), Degrees(360), kBearing},
    {"left-rear-post-width", Subject::kMachine, Degrees(0.5), Degrees(180), kLooksWide},
    {"right-rear-post-bearing", Subject::kMachine, Degrees(0), Degrees(360), kBearing},
    {"right-rear-post-width", Subject::kMachine, Degrees(0.5), Degrees(180), kLooksWide},
    {"perimeter", Subject::kMachine, Feet(4), Feet(500), "4 ft to 500 ft (1.22 m to 152.40 m)"},
    // The ground.
    {"cross-slope", Subject::kPlace, Percent(0), Percent(50), "0 % to 50 %, without a sign"},
    {"long-slope", Subject::kPlace, Percent(0), Percent(50), "0 % to 50 %, without a sign"},
    {"grade", Subject::kLane, Percent(0), Percent(50), "0 % to 50 %, without a sign"},
    {"width", Subject::kLane, Feet(2), Feet(200), "2 ft to 200 ft (0.61 m to 60.96 m)"},
    {"lane-light-level", Subject::kLane, InLux(0), InLux(150'000),
     "0 lx to 150,000 lx, where it is darkest"},
    {"rated-mass", Subject::kLane, Pounds(1'000), Pounds(2'000'000),
     "1,000 lb to 2,000,000 lb (454 kg to 907,184 kg)"},
    {"marked-width", Subject::kArea, Inches(6), Feet(500),
     "6 in to 500 ft (0.16 m to 152.40 m), at its narrowest"},
    {"panel-voltage", Subject::kArea, InVolts(1), InVolts(600), "1 V to 600 V, to ground"},
}};

}  // namespace

const QuantityRow* FindQuantity(std::string_view name) {
  const auto row = std::ranges::find(kQuantities, name, &QuantityRow::name);
  return row == kQuantities.end() ? nullptr : &*row;
}

std::span<const QuantityRow> Quantities() { return kQuantities; }

std::vector<std::string> QuantityNames() {
  std::vector<std::string> names;
  for (const QuantityRow& row : kQuantities) names.emplace_back(row.name);
  return names;
}

std::string_view SubjectName(Subject subject) {
  switch (subject) {
    case Subject::kDoor:
      return "a door";
    case Subject::kMachine:
      return "a machine";
    case Subject::kPlace:
      return "a place";
    case Subject::kLane:
      return "a lane";
    case Subject::kOverhead:
      return "something overhead";
    case Subject::kArea:
      return "an area";
  }
  return "";
}

std::string_view DimensionName(const MeasuredValue& value) {
  struct Namer {
    std::string_view operator()(fit::Metres) const { return "a length"; }
    std::string_view operator()(fit::Kilograms) const { return "a mass"; }
    std::string_view operator()(fit::Grade) const { return "a grade in %"; }
    std::string_view operator()(fit::Decibels) const { return "a level in dB"; }
    std::string_view operator()(fit::MetresPerSecond) const { return "a speed"; }
    std::string_view operator()(fit::Angle) const { return "an angle in deg"; }
    std::string_view operator()(fit::Volts) const { return "a voltage"; }
    std::string_view operator()(fit::Lux) const { return "a light level"; }
    std::string_view operator()(fit::Pascals) const { return "a pressure"; }
  };
  return std::visit(Namer(), value);
}

bool HasDimension(const QuantityRow& row, const MeasuredValue& value) {
  return row.least.index() == value.index();
}

bool IsWithinBounds(const QuantityRow& row, const MeasuredValue& value) {
  return row.least <= value && value <= row.most;
}
}  // namespace chockwise::yard
