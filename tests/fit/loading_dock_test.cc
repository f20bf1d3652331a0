#include "services/fit/loading_dock.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

NoseTip Pup() {
  return {.trailer_tare = Pounds(7'000),
          .centre_behind_legs = Feet(8),
          .forklift = Pounds(15'000),
          .ahead_of_legs = Feet(5),
          .cargo = CargoAtNose::kCounted};
}

TEST(Nose, StandsWhereItTipsOrNobodyKnows) {
  EXPECT_EQ(DriversLine(*JudgeNose(Pup()), UnitSystem::kUs),
            "NEEDS NOSE STANDS: 2.0 times what is allowed");
  NoseTip mild = Pup();
  mild.ahead_of_legs = Feet(2);
  EXPECT_EQ(DriversLine(*JudgeNose(mild), UnitSystem::kUs),
            "NOSE STAYS DOWN: at 80 % of what is allowed");
  mild.cargo = CargoAtNose::kUnknown;
  EXPECT_EQ(JudgeNose(mild)->verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(*JudgeNose(mild), UnitSystem::kUs),
            "NEEDS NOSE STANDS: cargo at the nose is not known");
}

TEST(Tail, ThePinKeepsAQuarter) {
  TailTip tip = {.pin_tare = Pounds(8'000),
                 .load = Pounds(42'000),
                 .behind_axles = Feet(4),
                 .pin_to_axles = Feet(38)};
  EXPECT_EQ(DriversLine(*JudgeTail(tip), UnitSystem::kUs), "PIN KEEPS 3,578 lb: 1,578 lb to spare");
  tip.behind_axles = Feet(7);
  EXPECT_EQ(DriversLine(*JudgeTail(tip), UnitSystem::kUs),
            "NEEDS TAIL STANDS: 1,737 lb short on the pin");
}

TEST(Board, TheLineNamesWhatIsOver) {
  const auto board = JudgeBoard({.gross = Pounds(15'500), .rated = Pounds(12'000)});
  EXPECT_EQ(BoardLine(*board, UnitSystem::kUs), "BOARD TAKES 9,600 lb: you are 5,900 lb over. NO");
  EXPECT_EQ(JudgeBoard({.gross = Pounds(9'600), .rated = Pounds(12'000)})->verdict,
            Verdict::kClear);
  EXPECT_EQ(JudgeBoard({.gross = Pounds(9'601), .rated = Pounds(12'000)})->verdict,
            Verdict::kConflict);
}

TEST(Floor, WheelAndArea) {
  FloorLoad floor = {.truck = Pounds(9'000), .load = Pounds(3'000), .rated_wheel = Pounds(5'400)};
  EXPECT_EQ(DriversLine(*JudgeFloor(floor), UnitSystem::kUs), "FLOOR BEARS: wheel 0 lb to spare");
  floor.load = Pounds(3'010);
  EXPECT_EQ(DriversLine(*JudgeFloor(floor), UnitSystem::kUs),
            "KEEP OFF: wheel 5 lb over the floor's rating");
  floor.rated_wheel.reset();
  floor.rated_area = PoundsPerSquareFoot(250);
  floor.load = Pounds(3'000);
  floor.length = Feet(12);
  floor.width = Feet(4);
  EXPECT_EQ(DriversLine(*JudgeFloor(floor), UnitSystem::kUs), "FLOOR BEARS: 0 psf to spare");
  floor.width = Feet(3);
  EXPECT_EQ(JudgeFloor(floor)->verdict, Verdict::kConflict);
}

TEST(Stand, RatingAndGround) {
  StandLoad stand = {.share = Pounds(10'000),
                     .rated = Pounds(15'000),
                     .pad_length = Feet(2),
                     .pad_width = Feet(2),
                     .ground = PoundsPerSquareFoot(4'000)};
  EXPECT_EQ(DriversLine(*JudgeStand(stand), UnitSystem::kUs), "STAND HOLDS: 0 lb to spare");
  EXPECT_NEAR(JudgeStand(stand)->pressure.pounds_per_square_foot(), 3'750, 1e-9);
  stand.ground = PoundsPerSquareFoot(3'000);
  EXPECT_EQ(DriversLine(*JudgeStand(stand), UnitSystem::kUs),
            "BIGGER PAD: 750 psf over what the ground bears");
  stand.rated = Pounds(14'000);
  EXPECT_EQ(DriversLine(*JudgeStand(stand), UnitSystem::kUs), "STAND TOO WEAK by 1,000 lb");
}

TEST(Dock, AnInputOutOfItsDomainIsNamed) {
  const auto nose = [](auto spoil) {
    NoseTip tip = Pup();
    spoil(tip);
    return UnusableOf(JudgeNose(tip));
  };
  const auto tail = [](auto spoil) {
    TailTip tip = {Pounds(8'000), Pounds(42'000), Feet(4), Feet(38)};
    spoil(tip);
    return UnusableOf(JudgeTail(tip));
  };
  const auto floor = [](auto spoil) {
    FloorLoad load = {.truck = Pounds(9'000),
                      .load = Pounds(3'000),
                      .rated_wheel = Pounds(9'000),
                      .rated_area = PoundsPerSquareFoot(300),
                      .length = Feet(12),
                      .width = Feet(4)};
    spoil(load);
    return UnusableOf(JudgeFloor(load));
  };
  const auto stand = [](auto spoil) {
    StandLoad load = {Pounds(9'000), Pounds(20'000), Feet(2), Feet(2), PoundsPerSquareFoot(5'000)};
    spoil(load);
    return UnusableOf(JudgeStand(load));
  };
  using N = NoseTip;
  using T = TailTip;
  using F = FloorLoad;
  using S = StandLoad;
  ExpectNamed({
      {"no trailer", nose([](N& n) { n.trailer_tare = {}; }), "tare of the trailer"},
      {"absurd trailer", nose([](N& n) { n.trailer_tare = Pounds(2e6); }), "tare of the trailer"},
      {"no centre", nose([](N& n) { n.centre_behind_legs = {}; }),
       "centre of mass behind the legs"},
      {"centre ahead", nose([](N& n) { n.centre_behind_legs = Feet(-1); }),
       "centre of mass behind the legs"},
      {"no forklift", nose([](N& n) { n.forklift = {}; }), "forklift with load"},
      {"negative way", nose([](N& n) { n.ahead_of_legs = Feet(-1); }), "way ahead of the legs"},
      {"no pin", tail([](T& t) { t.pin_tare = {}; }), "pin load, empty"},
      {"no load", tail([](T& t) { t.load = Pounds(-1); }), "load"},
      {"ahead of axles", tail([](T& t) { t.behind_axles = Feet(-1); }), "load behind the axles"},
      {"no length", tail([](T& t) { t.pin_to_axles = {}; }), "kingpin to axles"},
      {"absurd length", tail([](T& t) { t.pin_to_axles = Feet(61); }), "kingpin to axles"},
      {"no plate", UnusableOf(JudgeBoard({.gross = Pounds(1'000), .rated = {}})),
       "rating of the dock board"},
      {"zero plate", UnusableOf(JudgeBoard({.gross = Pounds(1'000), .rated = Pounds(0)})),
       "rating of the dock board"},
      {"no gross", UnusableOf(JudgeBoard({.gross = {}, .rated = Pounds(1)})),
       "gross on the dock board"},
      {"no rating", floor([](F& f) { f.rated_wheel.reset(), f.rated_area.reset(); }),
       "rating of the floor"},
      {"no truck", floor([](F& f) { f.truck = {}; }), "weight of the truck"},
      {"negative load", floor([](F& f) { f.load = Pounds(-1); }), "load"},
      {"no share", floor([](F& f) { f.wheel_share = 0; }), "share on one wheel"},
      {"share in percent", floor([](F& f) { f.wheel_share = 45; }), "share on one wheel"},
      {"zero wheel", floor([](F& f) { f.rated_wheel = Pounds(0); }),
       "rated wheel load of the floor"},
      {"zero area", floor([](F& f) { f.rated_area = Pascals(); }), "rated pressure of the floor"},
      {"no length", floor([](F& f) { f.length = {}; }), "length on the floor"},
      {"no width", floor([](F& f) { f.width = Feet(-1); }), "width on the floor"},
      {"no stand rating", stand([](S& s) { s.rated.reset(); }), "rating of the stand"},
      {"no ground", stand([](S& s) { s.ground.reset(); }), "bearing of the ground"},
      {"no share", stand([](S& s) { s.share = Kilograms(); }), "share on the stand"},
      {"no pad", stand([](S& s) { s.pad_length = {}; }), "length of the pad"},
      {"absurd pad", stand([](S& s) { s.pad_width = Feet(21); }), "width of the pad"},
  });
}

TEST(Dock, AShareThatNobodyKnowsIsOnNoStand) {
  const auto stand = JudgeStand({.share = std::nullopt,
                                 .rated = Pounds(100'000),
                                 .pad_length = Feet(2),
                                 .pad_width = Feet(2),
                                 .ground = PoundsPerSquareFoot(100'000)});
  EXPECT_EQ(stand->verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(*stand, UnitSystem::kUs),
            "LOOK INTO THE TRAILER: cargo at the nose is not known");
}

RC_GTEST_PROP(DockProperty, LessForkliftNeverTipsMore, ()) {
  NoseTip tip = Pup();
  tip.forklift = Pounds(*rc::gen::inRange(1'000, 30'000));
  tip.ahead_of_legs = Inches(*rc::gen::inRange(0, 120));
  const auto before = JudgeNose(tip);
  tip.forklift = tip.forklift * 0.9;
  const auto after = JudgeNose(tip);
  RC_ASSERT(after->tipping <= before->tipping);
  if (before->verdict == Verdict::kClear) RC_ASSERT(after->verdict == Verdict::kClear);
}

}  // namespace
}  // namespace chockwise::fit
