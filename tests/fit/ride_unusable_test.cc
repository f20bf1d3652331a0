// Each input of a ride spoiled, one at a time: the answer names it. Law 2.

#include <functional>

#include "services/fit/ride.h"
#include "tests/fit/ride_machines.h"
#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

struct Asked {
  RidingMachine machine = TractorAndSemitrailer();
  LaneProfile lane = {.ground = {{InMetres(0), InMetres(0)}, {InMetres(50), InMetres(1)}},
                      .sills = {{"sill-1", InMetres(20), InMetres(21), Inches(2)}},
                      .overheads = {{"door-1", InMetres(20), InMetres(21), Feet(15)}}};
  RideAllowances allow = kOnTyres;

  RidingUnit& tractor() { return machine.units[0]; }
  RidingUnit& trailer() { return machine.units[1]; }
};

using Spoil = std::function<void(Asked&)>;

UnusableRow Row(const char* named, const char* spoiled, const Spoil& spoil) {
  Asked asked;
  spoil(asked);
  return {std::string(named) + " " + spoiled,
          UnusableOf(RideOver({asked.machine, asked.lane, asked.allow})), named};
}

TEST(RideUnusable, NothingSpoiledIsAnswered) {
  const Asked asked;
  EXPECT_TRUE(RideOver({asked.machine, asked.lane, asked.allow}));
}

TEST(RideUnusable, Lane) {
  ExpectNamed({
      Row("profile", "blank", [](Asked& a) { a.lane.ground.clear(); }),
      Row("profile point 2 distance", "again", [](Asked& a) { a.lane.ground[1].along = Metres(); }),
      Row("profile point 2 distance", "absurd",
          [](Asked& a) { a.lane.ground[1].along = InMetres(2e5); }),
      Row("profile point 1 elevation", "absurd",
          [](Asked& a) { a.lane.ground[0].elevation = InMetres(-1e5); }),
      Row("grade before profile point 2", "a wall",
          [](Asked& a) { a.lane.ground[1].elevation = InMetres(26); }),
      Row("sill", "without id", [](Asked& a) { a.lane.sills[0].id = ""; }),
      Row("sill-1 height", "0", [](Asked& a) { a.lane.sills[0].height = Metres(); }),
      Row("sill-1 height", "negative", [](Asked& a) { a.lane.sills[0].height = Inches(-1); }),
      Row("sill-1 height", "absurd", [](Asked& a) { a.lane.sills[0].height = Feet(2); }),
      Row("sill-1 to", "before from", [](Asked& a) { a.lane.sills[0].to = InMetres(19); }),
      Row("sill-1 from", "off the lane", [](Asked& a) { a.lane.sills[0].from = InMetres(-1); }),
      Row("sill-1 to", "off the lane", [](Asked& a) { a.lane.sills[0].to = InMetres(51); }),
      Row("sill-2 from", "on the other",
          [](Asked& a) {
            a.lane.sills.push_back({"sill-2", InMetres(21.01), InMetres(22), Inches(2)});
          }),
      Row("overhead", "without id", [](Asked& a) { a.lane.overheads[0].id = ""; }),
      Row("door-1 clear height", "0",
          [](Asked& a) { a.lane.overheads[0].clear_height = Metres(); }),
      Row("door-1 clear height", "negative",
          [](Asked& a) { a.lane.overheads[0].clear_height = Feet(-13); }),
      Row("door-1 clear height", "absurd",
          [](Asked& a) { a.lane.overheads[0].clear_height = InMetres(51); }),
      Row("door-1 to", "before from", [](Asked& a) { a.lane.overheads[0].to = InMetres(19); }),
      Row("door-1 from", "off the lane", [](Asked& a) { a.lane.overheads[0].from = InMetres(-1); }),
      Row("door-1 to", "off the lane", [](Asked& a) { a.lane.overheads[0].to = InMetres(51); }),
  });
}

TEST(RideUnusable, Allowances) {
  ExpectNamed({
      Row("bounce", "0", [](Asked& a) { a.allow.bounce = Metres(); }),
      Row("bounce", "negative", [](Asked& a) { a.allow.bounce = Inches(-3); }),
      Row("bounce", "absurd", [](Asked& a) { a.allow.bounce = InMetres(3); }),
      Row("needed clearance", "0", [](Asked& a) { a.allow.needed_clearance = Metres(); }),
      Row("needed clearance", "negative", [](Asked& a) { a.allow.needed_clearance = Inches(-1); }),
      Row("needed clearance", "absurd", [](Asked& a) { a.allow.needed_clearance = Feet(3); }),
      Row("profile error", "negative", [](Asked& a) { a.allow.profile_error = Inches(-1); }),
      Row("profile error", "absurd", [](Asked& a) { a.allow.profile_error = Feet(3); }),
      Row("reading error", "negative", [](Asked& a) { a.allow.reading_error = Inches(-1); }),
      Row("reading error", "absurd", [](Asked& a) { a.allow.reading_error = Feet(3); }),
  });
}

TEST(RideUnusable, Machine) {
  ExpectNamed({
      Row("machine", "blank", [](Asked& a) { a.machine.units.clear(); }),
      Row("machine", "a train",
          [](Asked& a) { a.machine.units = std::vector<RidingUnit>(13, a.trailer()); }),
      Row("unit 2", "without id", [](Asked& a) { a.trailer().id = ""; }),
      Row("tractor top", "blank", [](Asked& a) { a.tractor().top.clear(); }),
      Row("tractor top", "without length",
          [](Asked& a) { a.tractor().top = Straight(Feet(1), Feet(1), Feet(9)); }),
      Row("trailer bottom", "a point", [](Asked& a) { a.trailer().bottom.resize(1); }),
      Row("tractor top point 1 height", "0",
          [](Asked& a) { a.tractor().top[0].height = Metres(); }),
      Row("tractor top point 1 height", "absurd",
          [](Asked& a) { a.tractor().top[0].height = InMetres(51); }),
      Row("trailer bottom point 2 height", "negative",
          [](Asked& a) { a.trailer().bottom[1].height = Inches(-4); }),
      Row("tractor top point 1", "negative",
          [](Asked& a) { a.tractor().top[0].behind_front = Feet(-1); }),
      Row("tractor top point 3", "out of order",
          [](Asked& a) { a.tractor().top[1].behind_front = InMetres(5); }),
      Row("trailer top point 2", "absurd",
          [](Asked& a) { a.trailer().top[1].behind_front = InMetres(61); }),
      Row("tractor axle groups", "blank", [](Asked& a) { a.tractor().groups.clear(); }),
      Row("trailer axle groups", "two",
          [](Asked& a) { a.trailer().groups.push_back(Tandem(InMetres(13))); }),
      Row("tractor axle group 1", "negative",
          [](Asked& a) { a.tractor().groups[0].behind_front = InMetres(-1); }),
      Row("tractor axle group 1 wheel radius", "negative",
          [](Asked& a) { a.tractor().groups[0].wheel_radius = InMetres(-1); }),
      Row("tractor axle group 1 wheel radius", "absurd",
          [](Asked& a) { a.tractor().groups[0].wheel_radius = InMetres(5); }),
      Row("tractor axle group 2 axles", "0", [](Asked& a) { a.tractor().groups[1].axles = 0; }),
      Row("tractor axle group 2 axles", "absurd",
          [](Asked& a) { a.tractor().groups[1].axles = 40; }),
      Row("tractor axle group 2 spacing", "0",
          [](Asked& a) { a.tractor().groups[1].spacing = Metres(); }),
      Row("tractor axle group 1 spacing", "of one axle",
          [](Asked& a) { a.tractor().groups[0].spacing = InMetres(1); }),
      Row("tractor wheelbase", "0",
          [](Asked& a) { a.tractor().groups[1].behind_front = InMetres(1.2); }),
      Row("trailer wheelbase", "negative",
          [](Asked& a) { a.trailer().groups[0].behind_front = InMetres(0.5); }),
      Row("trailer coupled by", "blank", [](Asked& a) { a.trailer().coupled_by.reset(); }),
      Row("trailer coupled by height", "0",
          [](Asked& a) { a.trailer().coupled_by->height = Metres(); }),
      Row("tractor next hangs at", "blank", [](Asked& a) { a.tractor().next_hangs_at.reset(); }),
      Row("tractor next hangs at", "negative",
          [](Asked& a) { a.tractor().next_hangs_at->behind_front = Feet(-1); }),
      Row("trailer next hangs at", "on the last unit",
          [](Asked& a) {
            a.trailer().next_hangs_at = Coupling{Feet(40), Feet(4)};
          }),
      Row("tractor wheel radius", "a point before a sill",
          [](Asked& a) { a.tractor().groups[0].wheel_radius = Metres(); }),
      Row("trailer wheel radius", "small before a sill",
          [](Asked& a) { a.trailer().groups[0].wheel_radius = Inches(3); }),
      Row("sill-1", "a step on a steep lane",
          [](Asked& a) {
            a.lane.ground[1].elevation = InMetres(24);
            a.lane.sills[0].height = InMetres(0.25);
          }),
  });
}

TEST(RideUnusable, Tracks) {
  const auto tracks = [](const char* named, const char* spoiled,
                         const std::function<void(Tracks&)>& spoil) {
    return Row(named, spoiled, [&](Asked& a) {
      a.machine = Excavator();
      spoil(*a.machine.units[0].tracks);
    });
  };
  ExpectNamed({
      tracks("excavator tracks front end", "negative",
             [](Tracks& t) { t.front_end = InMetres(-1); }),
      tracks("excavator tracks rear end", "absurd", [](Tracks& t) { t.rear_end = InMetres(99); }),
      tracks("excavator tracks rear end", "at the front",
             [](Tracks& t) { t.rear_end = t.front_end; }),
      tracks("excavator centre of mass", "ahead of the track",
             [](Tracks& t) { t.centre_of_mass = InMetres(2); }),
      tracks("excavator centre of mass height", "0",
             [](Tracks& t) { t.centre_of_mass_high = Metres(); }),
      tracks("excavator centre of mass height", "tips on a grade",
             [](Tracks& t) { t.centre_of_mass_high = InMetres(4.1); }),
      Row("sill-1 height", "a step for tracks",
          [](Asked& a) {
            a.machine = Excavator();
            a.machine.units[0].tracks->centre_of_mass_high = InMetres(1.8);
            a.lane.sills[0].height = InMetres(0.45);
          }),
      Row("excavator tracks", "and wheels",
          [](Asked& a) {
            a.machine = Excavator();
            a.machine.units[0].groups = {Tandem(InMetres(4))};
          }),
      Row("tractor tracks", "with a trailer",
          [](Asked& a) { a.tractor().tracks = Excavator().units[0].tracks; }),
  });
}

}  // namespace
}  // namespace chockwise::fit
