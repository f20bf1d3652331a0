#include "services/fit/loading_dock.h"

#include <fmt/format.h>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kRelativeError = 1e-14;
constexpr Kilograms kHeaviest = Pounds(200'000);
constexpr Metres kLongest = Feet(60);

Pascals Over(Kilograms mass, Metres length, Metres width) {
  return InPascals(mass.kilograms() * kGravity / (length.metres() * width.metres()));
}

/// A rule that is met at its limit: binary noise takes nothing away.
Bearing Bears(Kilograms actual, Kilograms allowed) {
  return {.verdict = AtLeast(allowed, actual) ? Verdict::kClear : Verdict::kConflict,
          .actual = actual,
          .allowed = allowed,
          .margin = allowed - actual};
}
Verdict Bears(Pascals actual, Pascals allowed) {
  const double noise = kRelativeError * (actual + allowed).pascals();
  return (allowed - actual).pascals() >= -noise ? Verdict::kClear : Verdict::kConflict;
}

tl::unexpected<Unusable> NoRating(std::string_view input) {
  return tl::unexpected(Unusable{.input = std::string(input),
                                 .problem = "is not known",
                                 .right = "what its plate or an engineer says"});
}

}  // namespace

Outcome<Nose> JudgeNose(const NoseTip& tip) {
  InputCheck check;
  check.Positive("tare of the trailer", tip.trailer_tare, UpTo{kHeaviest})
      .Positive("centre of mass behind the legs", tip.centre_behind_legs, UpTo{kLongest})
      .Positive("forklift with load", tip.forklift, UpTo{kHeaviest})
      .NotNegative("way ahead of the legs", tip.ahead_of_legs, UpTo{kLongest});
  if (check.failed()) return tl::unexpected(check.error());
  Nose nose;
  nose.tipping = (tip.forklift / tip.trailer_tare) * (tip.ahead_of_legs / tip.centre_behind_legs);
  nose.allowed = 1 / kTippingReserve;
  nose.cargo_unknown = tip.cargo == CargoAtNose::kUnknown;
  nose.verdict = Judge(nose.allowed - nose.tipping, kRelativeError * (1 + nose.tipping));
  if (nose.cargo_unknown) nose.verdict = Verdict::kConflict;  // Law 2.
  return nose;
}

Outcome<Tail> JudgeTail(const TailTip& tip) {
  InputCheck check;
  check.Positive("pin load, empty", tip.pin_tare, UpTo{kHeaviest})
      .Positive("load", tip.load, UpTo{kHeaviest})
      .NotNegative("load behind the axles", tip.behind_axles, UpTo{kLongest})
      .Positive("kingpin to axles", tip.pin_to_axles, UpTo{kLongest});
  if (check.failed()) return tl::unexpected(check.error());
  Tail tail;
  const Kilograms lifts = tip.load * (tip.behind_axles / tip.pin_to_axles);
  tail.pin_left = tip.pin_tare - lifts;
  tail.pin_needed = tip.pin_tare * kLeastPinShare;
  tail.margin = tail.pin_left - tail.pin_needed;
  tail.verdict =
      Judge(tail.margin.kilograms(), kRelativeError * (tip.pin_tare + lifts).kilograms());
  return tail;
}

Outcome<Bearing> JudgeBoard(const BoardLoad& board) {
  if (!board.rated) return NoRating("rating of the dock board");
  InputCheck check;
  check.Positive("gross on the dock board", board.gross, UpTo{kHeaviest})
      .Positive("rating of the dock board", *board.rated, UpTo{kHeaviest});
  if (check.failed()) return tl::unexpected(check.error());
  return Bears(board.gross, *board.rated / kBoardReserve);
}

Outcome<Floor> JudgeFloor(const FloorLoad& floor) {
  if (!floor.rated_wheel && !floor.rated_area) return NoRating("rating of the floor");
  InputCheck check;
  check.Positive("weight of the truck", floor.truck, UpTo{kHeaviest})
      .NotNegative("load", floor.load, UpTo{kHeaviest})
      .Between("share on one wheel", floor.wheel_share, Span{0.1, 1.0});
  if (floor.rated_wheel) {
    check.Positive("rated wheel load of the floor", *floor.rated_wheel, UpTo{kHeaviest});
  }
  if (floor.rated_area) {
    check.Positive("rated pressure of the floor", *floor.rated_area, UpTo{InPascals(1e7)})
        .Positive("length on the floor", floor.length, UpTo{kLongest})
        .Positive("width on the floor", floor.width, UpTo{kLongest});
  }
  if (check.failed()) return tl::unexpected(check.error());
  Floor judged;
  judged.verdict = Verdict::kClear;
  const Kilograms gross = floor.truck + floor.load;
  if (floor.rated_wheel) {
    judged.wheel = Bears(gross * floor.wheel_share, *floor.rated_wheel);
    judged.verdict = Worse(judged.verdict, judged.wheel->verdict);
  }
  if (floor.rated_area) {
    judged.pressure = Over(gross, floor.length, floor.width);
    judged.pressure_margin = *floor.rated_area - *judged.pressure;
    judged.verdict = Worse(judged.verdict, Bears(*judged.pressure, *floor.rated_area));
  }
  return judged;
}

Outcome<Stand> JudgeStand(const StandLoad& stand) {
  if (!stand.rated) return NoRating("rating of the stand");
  if (!stand.ground) return NoRating("bearing of the ground");
  InputCheck check;
  if (stand.share) check.Positive("share on the stand", *stand.share, UpTo{kHeaviest});
  check.Positive("rating of the stand", *stand.rated, UpTo{kHeaviest})
      .Positive("length of the pad", stand.pad_length, UpTo{Feet(20)})
      .Positive("width of the pad", stand.pad_width, UpTo{Feet(20)})
      .Positive("bearing of the ground", *stand.ground, UpTo{InPascals(1e8)});
  if (check.failed()) return tl::unexpected(check.error());
  Stand judged;
  judged.share_unknown = !stand.share;
  if (judged.share_unknown) {
    judged.verdict = Verdict::kConflict;  // Law 2.
    judged.stand.allowed = *stand.rated;
    return judged;
  }
  const Kilograms load = *stand.share * kTippingReserve;
  judged.stand = Bears(load, *stand.rated);
  judged.pressure = Over(load, stand.pad_length, stand.pad_width);
  judged.pressure_margin = *stand.ground - judged.pressure;
  judged.verdict = Worse(judged.stand.verdict, Bears(judged.pressure, *stand.ground));
  return judged;
}

std::string DriversLine(const Nose& nose, UnitSystem) {
  if (nose.cargo_unknown) return "NEEDS NOSE STANDS: cargo at the nose is not known";
  const double share = nose.tipping / nose.allowed;
  if (nose.verdict == Verdict::kClear) {
    return fmt::format("NOSE STAYS DOWN: at {:.0f} % of what is allowed", share * 100);
  }
  return fmt::format("NEEDS NOSE STANDS: {:.1f} times what is allowed", share);
}

std::string DriversLine(const Tail& tail, UnitSystem system) {
  if (tail.verdict == Verdict::kClear) {
    return fmt::format("PIN KEEPS {}: {} to spare", Text(tail.pin_left, system, Rounding::kDown),
                       Text(tail.margin, system, Rounding::kDown));
  }
  return fmt::format("NEEDS TAIL STANDS: {} short on the pin",
                     Text(-tail.margin, system, Rounding::kUp));
}

std::string BoardLine(const Bearing& board, UnitSystem system) {
  const std::string takes = Text(board.allowed, system, Rounding::kDown);
  if (board.verdict == Verdict::kClear) {
    return fmt::format("BOARD TAKES {}: {} to spare", takes,
                       Text(board.margin, system, Rounding::kDown));
  }
  return fmt::format("BOARD TAKES {}: you are {} over. NO", takes,
                     Text(-board.margin, system, Rounding::kUp));
}

std::string DriversLine(const Floor& floor, UnitSystem system) {
  if (floor.wheel && floor.wheel->verdict != Verdict::kClear) {
    return fmt::format("KEEP OFF: wheel {} over the floor's rating",
                       Text(-floor.wheel->margin, system, Rounding::kUp));
  }
  if (floor.verdict != Verdict::kClear) {
    return fmt::format("KEEP OFF: {} over the floor's rating",
                       Text(-*floor.pressure_margin, system, Rounding::kUp));
  }
  if (floor.wheel) {
    return fmt::format("FLOOR BEARS: wheel {} to spare",
                       Text(floor.wheel->margin, system, Rounding::kDown));
  }
  return fmt::format("FLOOR BEARS: {} to spare",
                     Text(*floor.pressure_margin, system, Rounding::kDown));
}

std::string DriversLine(const Stand& stand, UnitSystem system) {
  if (stand.share_unknown) return "LOOK INTO THE TRAILER: cargo at the nose is not known";
  if (stand.stand.verdict != Verdict::kClear) {
    return fmt::format("STAND TOO WEAK by {}", Text(-stand.stand.margin, system, Rounding::kUp));
  }
  if (stand.verdict != Verdict::kClear) {
    return fmt::format("BIGGER PAD: {} over what the ground bears",
                       Text(-stand.pressure_margin, system, Rounding::kUp));
  }
  return fmt::format("STAND HOLDS: {} to spare", Text(stand.stand.margin, system, Rounding::kDown));
}

}  // namespace chockwise::fit
