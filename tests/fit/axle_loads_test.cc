#include "services/fit/axle_loads.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

RoadAxle At(double feet, double tare_lb) { return {.at = Feet(feet), .tare = Pounds(tare_lb)}; }

/// A tractor with two drive axles and a lowboy with two axles 38 ft behind its kingpin.
LoadedVehicle Lowboy(double machine_lb, double machine_at_ft) {
  return {.units = {{.front = {At(0, 11'000)},
                     .rear = {At(18, 5'500), At(22, 5'500)},
                     .coupling = Feet(19)},
                    {.rear = {At(55, 4'500), At(59, 4'500)}}},
          .machine = Pounds(machine_lb),
          .machine_at = Feet(machine_at_ft),
          .deck_front = Feet(25),
          .deck_rear = Feet(56)};
}

Kilograms TrailerOf(const AxleJudgement& judged) { return judged.axles[3] + judged.axles[4]; }

TEST(AxleLoads, ForcesAndMomentsBalance) {
  const LoadedVehicle lowboy = Lowboy(42'000, 40);
  const auto judged = JudgeAxles(lowboy);
  EXPECT_NEAR(judged->gross.pounds(), 31'000 + 42'000, 1e-6);
  double moment = 0, tare_moment = 0;
  const std::vector<double> places = {0, 18, 22, 55, 59},
                            tares = {11'000, 5'500, 5'500, 4'500, 4'500};
  for (size_t at = 0; at < places.size(); ++at) {
    moment += judged->axles[at].pounds() * places[at];
    tare_moment += tares[at] * places[at];
  }
  EXPECT_NEAR(moment - tare_moment, 42'000.0 * 40, 1e-3);
}

TEST(AxleLoads, TheDriverReadsWhereToMoveIt) {
  // Far forward the drive tandem is over 34,000 lb.
  const auto forward = JudgeAxles(Lowboy(42'000, 30));
  EXPECT_EQ(forward->verdict, Verdict::kConflict);
  ASSERT_TRUE(forward->move.has_value());
  const std::string line = DriversLine(*forward, UnitSystem::kUs);
  EXPECT_TRUE(line.starts_with("MOVE MACHINE ")) << line;
  // 42,000 x 27/38 lb on the pin, 19/20 of them and 11,000 lb on the tandem: 39,350 lb.
  EXPECT_NE(line.find(" BACK: axles 2 to 3 5,35"), std::string::npos) << line;
  // Far back the trailer's tandem is.
  const auto back = JudgeAxles(Lowboy(42'000, 52));
  const std::string backward = DriversLine(*back, UnitSystem::kUs);
  EXPECT_TRUE(backward.find(" FORWARD: axles 4 to 5 ") != std::string::npos) << backward;
  const auto between = JudgeAxles(Lowboy(40'000, 38));
  EXPECT_EQ(between->verdict, Verdict::kClear) << DriversLine(*between, UnitSystem::kUs);
  EXPECT_TRUE(DriversLine(*between, UnitSystem::kUs).starts_with("AXLES WITHIN LIMITS: axle"));
}

TEST(AxleLoads, NothingHelpsAgainstTheGross) {
  const auto heavy = JudgeAxles(Lowboy(60'000, 40));
  EXPECT_FALSE(heavy->legal.has_value());
  EXPECT_FALSE(heavy->move.has_value());
  EXPECT_TRUE(
      DriversLine(*heavy, UnitSystem::kUs).starts_with("NO PLACE ON THE DECK HELPS: at best "));
}

TEST(AxleLoads, AStretchNarrowerThanAnInchIsNoPlace) {
  LoadedVehicle lowboy = Lowboy(48'000, 25);
  lowboy.units[0].front[0].tare = Pounds(9'000);
  // Heavier by steps until both tandems leave less than an inch between their limits.
  auto judged = JudgeAxles(lowboy);
  while (judged->legal && judged->legal->rear - judged->legal->front >= Inches(0.9)) {
    lowboy.machine += Pounds(1);
    judged = JudgeAxles(lowboy);
  }
  ASSERT_TRUE(judged->legal.has_value());
  bool narrow = false;  // the whole inches from the front may hit the stretch, or step over it
  for (double inches = 0; inches < 1; inches += 0.1) {
    lowboy.machine_at = lowboy.deck_front + Inches(inches);
    judged = JudgeAxles(lowboy);
    const auto move = MoveToSay(*judged, UnitSystem::kUs);
    narrow |= !move;
    const std::string line = DriversLine(*judged, UnitSystem::kUs);
    EXPECT_EQ(line.ends_with("the legal stretch is narrower than 1 in"), !move) << line;
  }
  EXPECT_TRUE(narrow);
}

TEST(AxleLoads, RatingsOfTheMakersCountToo) {
  LoadedVehicle lowboy = Lowboy(40'000, 38);
  lowboy.units[1].rear[0].rating = Pounds(10'000);
  EXPECT_EQ(JudgeAxles(lowboy)->worst.rule, AxleRule::kAxleRating);
  lowboy = Lowboy(40'000, 38);
  lowboy.units[0].coupling_rating = Pounds(10'000);
  const auto judged = JudgeAxles(lowboy);
  EXPECT_EQ(judged->worst.rule, AxleRule::kCouplingRating);
  EXPECT_NEAR(judged->worst.margin.pounds(), 10'000 - judged->couplings[0].pounds(), 1e-6);
}

TEST(AxleLoads, ALiftedSteeringAxleIsNoPlace) {
  LoadedVehicle truck = {
      .units = {{.front = {At(0, 9'000)}, .rear = {At(18, 4'500), At(22, 4'500)}}},
      .machine = Pounds(10'000),
      .machine_at = Feet(37),
      .deck_front = Feet(10),
      .deck_rear = Feet(40)};
  EXPECT_EQ(JudgeAxles(truck)->verdict, Verdict::kClear) << "500 lb are left on it";
  truck.machine_at = Feet(40);
  truck.machine = Pounds(10'999);
  const auto lifted = JudgeAxles(truck);
  EXPECT_EQ(lifted->verdict, Verdict::kConflict);
  EXPECT_LT(lifted->axles[0], Kilograms());
}

/// 42,000 lb whose centre is `behind_ft` behind the trailer's axles, 38 ft behind the pin.
LoadedVehicle TailLoad(double behind_ft) {
  LoadedVehicle lowboy = Lowboy(42'000, 57 + behind_ft);
  lowboy.deck_rear = Feet(70);
  // Wide apart and light, so that nothing but the pin is asked.
  lowboy.units[1].rear = {At(49, 2'000), At(57, 2'000), At(65, 2'000)};
  return lowboy;
}

const AxleLimit& PinOf(const AxleJudgement& judged) {
  return *std::ranges::find(judged.groups, AxleRule::kCouplingStaysDown, &AxleLimit::rule);
}

// Computed from the rule by an independent script: 8,000 - 42,000 x 4/38 = 3,579 lb of pin load are
// left, 45 %; of 7 ft behind 263 lb. A quarter is asked for: default, the safety lead's to set.
TEST(AxleLoads, ThePinKeepsAQuarterOfItsEmptyLoad) {
  LoadedVehicle lowboy = TailLoad(4);
  lowboy.units[0].coupling_tare = Pounds(8'000);
  EXPECT_NEAR(PinOf(*JudgeAxles(lowboy)).actual.pounds(), 3'579, 0.5);
  EXPECT_NEAR(PinOf(*JudgeAxles(lowboy)).margin.pounds(), 1'579, 0.5);
  lowboy.machine_at = Feet(64);
  const auto lifts = JudgeAxles(lowboy);
  EXPECT_NEAR(PinOf(*lifts).actual.pounds(), 263, 0.5);
  EXPECT_NEAR(PinOf(*lifts).allowed.pounds(), 2'000, 1e-6);
  EXPECT_EQ(lifts->verdict, Verdict::kConflict);
  ASSERT_TRUE(lifts->legal.has_value());
  // What the pin may lose is 6,000 lb: 6,000 x 38 / 42,000 = 5.43 ft behind the axles.
  EXPECT_LE(lifts->legal->rear, Feet(57 + 6'000.0 * 38 / 42'000) + Millimetres(1e-6));
}

TEST(AxleLoads, APinThatNobodyWeighedMayNotBeLifted) {
  EXPECT_GE(PinOf(*JudgeAxles(TailLoad(0))).margin, Pounds(-1e-6));
  const auto lifts = JudgeAxles(TailLoad(1));
  EXPECT_LT(PinOf(*lifts).margin, Kilograms());
  EXPECT_NE(lifts->verdict, Verdict::kClear);
}

/// As a yard's own readings have it.
constexpr AxleErrors kErrors = {.ticket = Pounds(50), .tape = Inches(1), .place = Inches(2)};

const AxleLimit& GrossOf(const AxleJudgement& judged) {
  return *std::ranges::find(judged.groups, AxleRule::kGross, &AxleLimit::rule);
}

TEST(AxleLoads, CloserToALimitThanItsErrorIsUndecided) {
  LoadedVehicle lowboy = Lowboy(42'000, 40);
  EXPECT_EQ(GrossOf(*JudgeAxles(lowboy)).error, Kilograms());
  lowboy.errors = kErrors;
  // Three groups of axles and the machine, each off by 50 lb.
  EXPECT_NEAR(GrossOf(*JudgeAxles(lowboy)).error.pounds(), 200, 1e-6);
  lowboy.machine = Pounds(49'000);  // 31,000 + 49,000: at the limit
  lowboy.units[0].front[0].tare = Pounds(10'900);
  const auto near = JudgeAxles(lowboy);
  EXPECT_NEAR(GrossOf(*near).margin.pounds(), 100, 1e-6);
  EXPECT_NE(near->verdict, Verdict::kClear);
  EXPECT_FALSE(near->legal.has_value()) << "nowhere on the deck is 100 lb more than 200";
}

TEST(AxleLoads, TheErrorsOfTheTapeCountWithTheirLevers) {
  LoadedVehicle lowboy = Lowboy(42'000, 40);
  lowboy.errors = {.ticket = Kilograms(), .tape = Metres(), .place = Inches(1)};
  const auto trailer = [&] {
    const auto judged = JudgeAxles(lowboy);
    for (const AxleLimit& group : judged->groups)
      if (group.first == 4 && group.last == 5 && group.rule == AxleRule::kTandem) return group;
    return AxleLimit{};
  };
  // An inch of 38 ft moves 42,000 / 456 lb.
  EXPECT_NEAR(trailer().error.pounds(), 42'000 / 456.0, 1e-6);
  lowboy.errors = {.ticket = Kilograms(), .tape = Inches(1), .place = Metres()};
  // An inch less of the 38 ft between pin and axles, the machine 21 ft behind the pin; an axle or a
  // coupling of the tractor that is off takes machine and trailer along.
  EXPECT_NEAR(trailer().error.pounds(), 42'000 * 21.0 * (1 / (38 - 1 / 12.0) - 1 / 38.0), 1e-6);
}

// 36 ft 0 in between two tandems is the exception's own limit: an inch less is not.
TEST(AxleLoads, ASpanIsTakenAtItsShortest) {
  LoadedVehicle lowboy = Lowboy(42'000, 40);
  lowboy.units[0].rear = {At(18, 5'500), At(22, 5'500)};
  lowboy.units[1].rear = {At(50, 4'500), At(54, 4'500)};
  lowboy.deck_rear = Feet(52);
  const auto pair = [&] {
    const auto judged = JudgeAxles(lowboy);
    for (const AxleLimit& group : judged->groups)
      if (group.first == 2 && group.last == 5) return group;
    return AxleLimit{};
  };
  EXPECT_EQ(pair().rule, AxleRule::kTandemPair);
  lowboy.errors.tape = Inches(1);
  // 35 ft and 4 axles: 500 (35 x 4/3 + 48 + 36) = 65,333, so 65,000 of 68,000 lb.
  EXPECT_GE(pair().error, Pounds(3'000));
}

TEST(AxleLoads, TheLineNamesWhatIsTightAndHowFarItMayBeOff) {
  LoadedVehicle lowboy = Lowboy(40'000, 38);
  lowboy.errors = kErrors;
  const auto judged = JudgeAxles(lowboy);
  ASSERT_EQ(judged->verdict, Verdict::kClear) << DriversLine(*judged, UnitSystem::kUs);
  EXPECT_EQ(DriversLine(*judged, UnitSystem::kUs),
            "AXLES WITHIN LIMITS: " +
                std::string(judged->worst.first == judged->worst.last ? "axle " : "axles ") +
                std::to_string(judged->worst.first) + " to " + std::to_string(judged->worst.last) +
                " " + Text(judged->worst.margin, UnitSystem::kUs, Rounding::kDown) +
                " to spare, of it " + Text(judged->worst.error, UnitSystem::kUs, Rounding::kUp) +
                " may be error");
  lowboy.machine_at = judged->legal->rear + Inches(0.5);
  const std::string line = DriversLine(*JudgeAxles(lowboy), UnitSystem::kUs);
  EXPECT_TRUE(line.starts_with("MOVE MACHINE 1 in FORWARD: axles 4 to 5 ")) << line;
  EXPECT_TRUE(line.ends_with(": weigh it")) << line;
}

TEST(AxleLoads, ThroughAJeepEachCouplingCarriesTheNext) {
  LoadedVehicle jeep = Lowboy(60'000, 60);
  jeep.units = {
      {.front = {At(0, 11'000)}, .rear = {At(18, 5'500), At(22, 5'500)}, .coupling = Feet(19)},
      {.rear = {At(33, 4'000), At(37.5, 4'000)}, .coupling = Feet(31)},
      {.rear = {At(75, 4'500), At(79.5, 4'500), At(84, 4'500)}}};
  jeep.deck_rear = Feet(80);
  const auto judged = JudgeAxles(jeep);
  ASSERT_EQ(judged->couplings.size(), 2u);
  // 60,000 lb at 60 ft between a pin at 31 and axles at 79.5; that pin between 19 and 35.25.
  const double pin = 60'000 * (79.5 - 60) / (79.5 - 31);
  EXPECT_NEAR(judged->couplings[1].pounds(), pin, 1e-6);
  EXPECT_NEAR(judged->couplings[0].pounds(), pin * (35.25 - 31) / (35.25 - 19), 1e-6);
}

TEST(AxleLoads, AnInputOutOfItsDomainIsNamed) {
  const auto with = [](auto spoil) {
    LoadedVehicle vehicle = Lowboy(42'000, 40);
    spoil(vehicle);
    return UnusableOf(JudgeAxles(vehicle));
  };
  using V = LoadedVehicle;
  ExpectNamed({
      {"no units", with([](V& v) { v.units.clear(); }), "number of units"},
      {"no steer", with([](V& v) { v.units[0].front.clear(); }), "front axles"},
      {"steer on trailer", with([](V& v) { v.units[1].front = {At(50, 1)}; }), "front axles"},
      {"no rear", with([](V& v) { v.units[1].rear.clear(); }), "rear axles"},
      {"no coupling", with([](V& v) { v.units[0].coupling.reset(); }), "coupling"},
      {"coupling to nothing", with([](V& v) { v.units[1].coupling = Feet(60); }), "coupling"},
      {"coupling far off", with([](V& v) { v.units[0].coupling = Feet(201); }), "coupling"},
      {"zero pin load", with([](V& v) { v.units[0].coupling_tare = Pounds(0); }),
       "pin load of the empty trailer"},
      {"negative error", with([](V& v) { v.errors.ticket = Pounds(-1); }), "error of a ticket"},
      {"absurd tape", with([](V& v) { v.errors.tape = Feet(2); }), "error of a tape"},
      {"negative place", with([](V& v) { v.errors.place = Feet(-1); }),
       "error of the machine's place"},
      {"zero rating", with([](V& v) { v.units[0].coupling_rating = Pounds(0); }),
       "coupling rating"},
      {"first axle not at 0", with([](V& v) { v.units[0].front[0].at = Feet(1); }),
       "place of the first axle"},
      {"axle far off", with([](V& v) { v.units[1].rear[1].at = Feet(201); }), "place of an axle"},
      {"axles crossed", with([](V& v) { v.units[0].rear[0].at = Feet(23); }), "place of an axle"},
      {"axles as one", with([](V& v) { v.units[0].rear[0].at = Feet(19); }), "place of an axle"},
      {"axles 40 in apart", with([](V& v) { v.units[0].rear[0].at = Feet(22) - Inches(40); }),
       "place of an axle"},
      {"no wheelbase", with([](V& v) { v.units[0].coupling = Feet(55); }), "place of an axle"},
      {"zero tare", with([](V& v) { v.units[0].rear[0].tare = {}; }), "tare of an axle"},
      {"negative tare", with([](V& v) { v.units[0].rear[0].tare = Pounds(-1); }),
       "tare of an axle"},
      {"absurd tare", with([](V& v) { v.units[0].rear[0].tare = Pounds(60'001); }),
       "tare of an axle"},
      {"zero axle rating", with([](V& v) { v.units[0].rear[0].rating = Pounds(0); }),
       "rating of an axle"},
      {"no machine", with([](V& v) { v.machine = {}; }), "mass of the machine"},
      {"negative machine", with([](V& v) { v.machine = Pounds(-1); }), "mass of the machine"},
      {"absurd machine", with([](V& v) { v.machine = Pounds(500'001); }), "mass of the machine"},
      {"deck far off", with([](V& v) { v.deck_front = Feet(-21); }), "front of the deck"},
      {"deck turned", with([](V& v) { v.deck_rear = Feet(24); }), "rear of the deck"},
      {"off the deck", with([](V& v) { v.machine_at = Feet(57); }), "place of the machine"},
      {"ahead of the deck", with([](V& v) { v.machine_at = Feet(24); }), "place of the machine"},
  });
}

LoadedVehicle AnyLowboy() {
  LoadedVehicle vehicle =
      Lowboy(*rc::gen::inRange(5'000, 60'000), *rc::gen::inRange(25 * 12, 56 * 12) / 12.0);
  vehicle.units[0].coupling = Feet(*rc::gen::inRange(17 * 12, 21 * 12) / 12.0);
  if (*rc::gen::inRange(0, 2) == 1) vehicle.units[1].rear.push_back(At(63.5, 4'500));
  vehicle.rounding = *rc::gen::element(BridgeRounding::kPlanned, BridgeRounding::kPublished);
  return vehicle;
}

RC_GTEST_PROP(AxleLoadsProperty, MovingForwardLoadsThePinAndUnloadsTheTrailer, ()) {
  LoadedVehicle vehicle = AnyLowboy();
  const auto before = JudgeAxles(vehicle);
  vehicle.machine_at = std::max(vehicle.deck_front, vehicle.machine_at - Inches(7));
  RC_PRE(vehicle.machine_at > vehicle.deck_front);
  const auto after = JudgeAxles(vehicle);
  RC_ASSERT(after->couplings[0] > before->couplings[0]);
  RC_ASSERT(TrailerOf(*after) < TrailerOf(*before));
}

RC_GTEST_PROP(AxleLoadsProperty, WhereItSaysToMoveIsLegalAndAnInchShortIsNot, ()) {
  LoadedVehicle vehicle = AnyLowboy();
  const auto judged = JudgeAxles(vehicle);
  RC_ASSERT((judged->verdict == Verdict::kClear) == (judged->worst.margin >= Pounds(-1e-6)));
  if (!judged->move) return;
  const Metres wanted = vehicle.machine_at + *judged->move;
  vehicle.machine_at = std::clamp(wanted, vehicle.deck_front, vehicle.deck_rear);
  RC_ASSERT(JudgeAxles(vehicle)->verdict == Verdict::kClear);
  vehicle.machine_at = wanted - (*judged->move > Metres() ? Inches(1) : Inches(-1));
  // Where it has to move by less than an inch, an inch short may be off the deck.
  if (vehicle.machine_at < vehicle.deck_front || vehicle.machine_at > vehicle.deck_rear) return;
  const auto too_short = JudgeAxles(vehicle);
  RC_ASSERT(too_short.has_value());
  RC_ASSERT(too_short->verdict == Verdict::kConflict);
}

RC_GTEST_PROP(AxleLoadsProperty, TheMoveAsItIsSaidIsLegal, ()) {
  LoadedVehicle vehicle = AnyLowboy();
  const auto judged = JudgeAxles(vehicle);
  for (UnitSystem system : {UnitSystem::kUs, UnitSystem::kSi}) {
    const auto move = MoveToSay(*judged, system);
    if (!move) continue;
    LoadedVehicle moved = vehicle;
    moved.machine_at = vehicle.machine_at + *move;
    RC_ASSERT(JudgeAxles(moved)->verdict == Verdict::kClear);
  }
}

RC_GTEST_PROP(AxleLoadsProperty, NoPlaceOnTheDeckIsBetterThanTheLeastBad, ()) {
  LoadedVehicle vehicle = AnyLowboy();
  vehicle.machine = vehicle.machine + Pounds(20'000);
  const auto judged = JudgeAxles(vehicle);
  for (int inch = 0; inch <= 31 * 12; inch += 3) {
    vehicle.machine_at = Feet(25) + Inches(inch);
    RC_ASSERT(JudgeAxles(vehicle)->worst.margin <= judged->least_bad.margin + Pounds(1e-6));
  }
}

double AnyPart() { return *rc::gen::inRange(-100, 101) / 100.0; }

/// Every input off by some part of its error.
LoadedVehicle OffSomehow(const LoadedVehicle& vehicle) {
  LoadedVehicle off = vehicle;
  const AxleErrors& errors = vehicle.errors;
  off.errors = {};
  Metres shift, deck;
  for (RoadUnit& unit : off.units) {
    const Kilograms front = errors.ticket * AnyPart(), rear = errors.ticket * AnyPart();
    for (RoadAxle& axle : unit.front) axle.tare += front / static_cast<double>(unit.front.size());
    shift += errors.tape * AnyPart();
    for (RoadAxle& axle : unit.rear) {
      axle.tare += rear / static_cast<double>(unit.rear.size());
      axle.at += shift;
    }
    if (!unit.coupling) continue;
    shift += errors.tape * AnyPart();
    *unit.coupling += shift;
    deck = shift;
    if (unit.coupling_tare) *unit.coupling_tare += errors.ticket * AnyPart();
  }
  off.machine += errors.ticket * AnyPart();
  off.machine_at += deck + errors.place * AnyPart();
  off.deck_front = Feet(-20);
  off.deck_rear = Feet(100);
  return off;
}

// What the errors are for: whatever the tickets and tapes were off by, clear is within the law.
RC_GTEST_PROP(AxleLoadsProperty, ClearStaysWithinTheLawWhateverIsOff, ()) {
  LoadedVehicle vehicle = AnyLowboy();
  vehicle.units[0].coupling_tare = Pounds(*rc::gen::inRange(2'000, 9'000));
  vehicle.errors = kErrors;
  const auto judged = JudgeAxles(vehicle);
  if (!judged->legal) return;
  // At the very edge, where it is tightest.
  vehicle.machine_at = *rc::gen::element(judged->legal->front, judged->legal->rear);
  RC_ASSERT(JudgeAxles(vehicle)->verdict == Verdict::kClear);
  const auto off = JudgeAxles(OffSomehow(vehicle));
  RC_ASSERT(off->worst.margin >= judged->worst.error * -0.01);
}

RC_GTEST_PROP(AxleLoadsProperty, ALighterMachineNeverTurnsClearIntoConflict, ()) {
  LoadedVehicle vehicle = AnyLowboy();
  const auto before = JudgeAxles(vehicle);
  RC_PRE(before->verdict == Verdict::kClear);
  vehicle.machine = vehicle.machine * 0.9;
  RC_ASSERT(JudgeAxles(vehicle)->verdict == Verdict::kClear);
}

RC_GTEST_PROP(AxleLoadsProperty, TheUnitOfInputNeverChangesTheAnswer, ()) {
  const LoadedVehicle us = AnyLowboy();
  LoadedVehicle si = us;
  si.machine = InKilograms(us.machine.pounds() * 0.45359237);
  si.machine_at = Millimetres(us.machine_at.feet() * 304.8);
  const auto a = JudgeAxles(us), b = JudgeAxles(si);
  RC_ASSERT(a->verdict == b->verdict);
  RC_ASSERT(std::abs((a->worst.margin - b->worst.margin).pounds()) < 1e-6);
}

}  // namespace
}  // namespace chockwise::fit
