// Computed gates on the register and on what happens: people, machines, ground, doors, time and
// counts, each with the instant or the number at which it turns.
#include <gtest/gtest.h>

#include <cstdio>

#include "services/moves/computations.h"
#include "services/yard/computations.h"
#include "tests/moves/facts.h"

namespace chockwise::moves {
namespace {

// --- People ---

constexpr const char* kDana =
    "dana,Dana Reed,driver,service-truck until 2027-03-01; telehandler until 2027-03-01; ";
std::function<void(Files&)> DanaUntil(const std::string& date) {
  return People(kDana, "dana,Dana Reed,driver,service-truck until 2027-03-01; telehandler until " +
                           date + "; ");
}

void At(Story& story, const char* instant_of_day) {
  int hours = 0, minutes = 0;
  ASSERT_EQ(std::sscanf(instant_of_day, "%d:%d", &hours, &minutes), 2);
  const Instant wanted = kNoon - fit::Hours(12) + fit::Hours(hours) + fit::Minutes(minutes);
  story.Advance(wanted - story.now());
}

/// Another move, which the same person drives or spots.
void SendTruck(Story& story, const std::string& driver, const std::string& spotter) {
  const MoveNumber other = story.Ask({.kind = "short-hop",
                                      .machine = "ST-2",
                                      .to = "south",
                                      .driver = driver,
                                      .spotter = spotter});
  story.ClearAll(other);
  story.Release(other);
}

INSTANTIATE_TEST_SUITE_P(
    DriverAuthorised, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"in_the_register", "driver-authorised", kClear, "dana until 2027-03-01"},
        {"on_the_last_day", "driver-authorised", kClear, "until 2026-11-24",
         DanaUntil("2026-11-24")},
        {"in_the_last_instant", "driver-authorised", kClear, "until 2026-11-24",
         DanaUntil("2026-11-24"),
         [](Story& story) {
           At(story, "24:00");
           story.Advance(Duration() - kTick);
         }},
        {"one_instant_later", "driver-authorised", kNotClear, "ended on 2026-11-24",
         DanaUntil("2026-11-24"), [](Story& story) { At(story, "24:00"); }},
        {"on_the_day_after", "driver-authorised", kNotClear, "ended on 2026-11-23",
         DanaUntil("2026-11-23")},
        {"another_class", "driver-authorised", kNotClear, "not authorised for class telehandler",
         People(kDana, "dana,Dana Reed,driver,service-truck until 2027-03-01; ")},
        {"no_driver_any_more", "driver-authorised", kNotClear, "not a driver", [](Files&) {},
         Reload(People(std::string(kDana) + "wheel-loader until 2027-03-01,",
                       "dana,Dana Reed,reader,,"))},
        {"left_the_register", "driver-authorised", kNotClear, "not a driver in the register",
         [](Files&) {}, Reload([](Files& files) {
           const size_t at = files.people_csv.find("dana,");
           files.people_csv.erase(at, files.people_csv.find('\n', at) + 1 - at);
         })},
        {"law_4_drives_another", "driver-authorised", kNotClear, "dana drives move 2",
         [](Files&) {}, [](Story& story) { SendTruck(story, "dana", "sue"); }},
    }),
    FactName);

constexpr const char* kSam = "sam,Sam Pell,spotter,,2027-06-30";

INSTANTIATE_TEST_SUITE_P(
    SpotterBound, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"accepted", "spotter-bound", kClear, "sam"},
        {"nobody_named", "spotter-bound", kNotAsked, "nobody is named", [](Files&) {},
         [](Story&) {}, "machine-through-door", ""},
        {"named_only", "spotter-bound", kNotAsked, "sue has not taken the role", [](Files&) {},
         [](Story& story) {
           auto name = On<v1::NameSpotterRequest>(story, 1);
           name.set_spotter("sue");
           story.Must("dana", name);
         }},
        {"on_the_last_day", "spotter-bound", kClear, "sam",
         People(kSam, "sam,Sam Pell,spotter,,2026-11-24")},
        {"on_the_day_after", "spotter-bound", kNotClear, "ended on 2026-11-23",
         People(kSam, "sam,Sam Pell,spotter,,2026-11-23")},
        {"left_the_role", "spotter-bound", kNotAsked, "nobody is named", [](Files&) {},
         [](Story& story) { story.Must("sam", On<v1::LeaveSpottingRequest>(story, 1)); }},
        {"no_spotter_any_more", "spotter-bound", kNotClear, "not a spotter", [](Files&) {},
         Reload(People(kSam, "sam,Sam Pell,reader,,"))},
    }),
    FactName);

TEST(ComputedFacts, Law4OneSpotterOneMachine) {
  Story story = Story::Small();
  const MoveNumber first = story.Ask({.kind = "short-hop", .machine = "ST-2", .to = "south"});
  const MoveNumber second = story.Ask(
      {.kind = "short-hop", .machine = "TH-1", .to = "apron", .driver = "eli", .spotter = ""});
  auto accept = On<v1::AcceptSpottingRequest>(story, second);
  accept.set_machine("TH-1");
  EXPECT_EQ(story.MustRefuse("sam", accept, RefusalKind::kPrecondition).rule, "law 4");
  EXPECT_EQ(story.MustRefuse("eli", accept, RefusalKind::kNotAllowed).rule, "roles");
  // Pat may do both, and does one: who spots does not drive.
  auto swap = On<v1::SwapDriverRequest>(story, first);
  swap.set_driver("pat");
  story.Must("pat", swap);
  story.Must("pat", accept);
  EXPECT_EQ(story.Gate(second, "law-spotter-bound").state, kClear);
  EXPECT_EQ(story.Gate(first, "law-driver-authorised").reason, "pat spots move 2");
}

// --- The machine ---

void Inspect(Story& story, const std::string& person, const std::string& defect = "") {
  v1::RecordInspectionRequest inspection;
  inspection.set_name(MachineName("small", "TH-1"));
  inspection.set_defect(defect);
  story.Must(person, inspection);
}

void NewShift(Story& story, Duration from_now) {
  story.Advance(from_now);
  v1::BeginShiftRequest shift;
  shift.set_name(YardName("small"));
  shift.set_title("late");
  shift.mutable_end_time()->set_seconds((story.now() + fit::Hours(8)).micros() / 1'000'000);
  story.Must("lee", shift);
}

void Untag(Story& story, const std::string& person, const std::string& machine, int64_t tag) {
  v1::ClearTagRequest untag;
  untag.set_name(MachineName("small", machine));
  untag.set_tag(tag);
  story.Must(person, untag);
}

void Tag(Story& story, const std::string& person, const std::string& machine) {
  v1::HangTagRequest tag;
  tag.set_name(MachineName("small", machine));
  tag.set_text("under it");
  story.Must(person, tag);
}

INSTANTIATE_TEST_SUITE_P(
    Inspection, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"this_shift", "inspected-this-shift", kClear, ""},
        {"the_shift_before", "inspected-this-shift", kStale, "before this shift", [](Files&) {},
         [](Story& story) { NewShift(story, fit::Hours(1)); }},
        {"in_the_first_instant_of_the_shift", "inspected-this-shift", kClear, "", [](Files&) {},
         [](Story& story) {
           NewShift(story, fit::Hours(1));
           Inspect(story, "tess");
         }},
        {"one_instant_before_the_shift", "inspected-this-shift", kStale, "before this shift",
         [](Files&) {},
         [](Story& story) {
           story.Advance(fit::Hours(1));
           Inspect(story, "tess");
           NewShift(story, kTick);
         }},
        {"a_defect", "inspected-this-shift", kNotAsked, "no inspection without a defect",
         [](Files&) {}, [](Story& story) { Inspect(story, "dana", "horn weak"); }},
        {"a_defect_whose_tag_is_gone", "inspected-this-shift", kNotAsked, "no inspection",
         [](Files&) {},
         [](Story& story) {
           Inspect(story, "dana", "horn weak");
           Untag(story, "tess", "TH-1", 1);
         }},
        {"repaired_and_inspected_again", "inspected-this-shift", kClear, "", [](Files&) {},
         [](Story& story) {
           Inspect(story, "dana", "horn weak");
           Untag(story, "tess", "TH-1", 1);
           Inspect(story, "tess");
         }},
    }),
    FactName);

INSTANTIATE_TEST_SUITE_P(
    Tags, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"none", "no-tags", kClear, ""},
        {"on_the_machine", "no-tags", kNotClear, "tag 1 on TH-1 by tess: under it", [](Files&) {},
         [](Story& story) { Tag(story, "tess", "TH-1"); }},
        {"on_another_machine", "no-tags", kClear, "", [](Files&) {},
         [](Story& story) { Tag(story, "tess", "ST-1"); }},
        {"on_the_carrier", "no-tags", kNotClear, "tag 1 on CA-1", [](Files&) {},
         [](Story& story) { Tag(story, "roy", "CA-1"); }, "load-onto-carrier"},
        {"one_of_two_cleared", "no-tags", kNotClear, "tag 2 on TH-1 by roy", [](Files&) {},
         [](Story& story) {
           Tag(story, "tess", "TH-1");
           Tag(story, "roy", "TH-1");
           Untag(story, "tess", "TH-1", 1);
         }},
        {"cleared", "no-tags", kClear, "", [](Files&) {},
         [](Story& story) {
           Tag(story, "tess", "TH-1");
           Untag(story, "tess", "TH-1", 1);
         }},
        {"a_defect", "no-tags", kNotClear, "defect: horn weak", [](Files&) {},
         [](Story& story) { Inspect(story, "dana", "horn weak"); }},
    }),
    FactName);

// --- Ground ---

void Report(Story& story, v1::DoorReport report) {
  v1::ReportDoorRequest door;
  door.set_name(DoorName("small", "door-1"));
  door.set_report(report);
  story.Must("vic", door);
}

v1::ReturnDoorRequest ReturnDoor() {
  v1::ReturnDoorRequest door;
  door.set_name(DoorName("small", "door-1"));
  return door;
}

std::function<void(Files&)> Map(std::string part, std::string by) {
  return Change(&Files::map_geojson, std::move(part), std::move(by));
}
const char kNewDoor[] = R"({"type": "Feature", "id": "door-2",
     "properties": {"type": "door", "name": "New door", "lane": "line-way"},
     "geometry": {"type": "Point", "coordinates": [-39.9999, 20.0005]}},
    {"type": "Feature", "id": "corner")";

INSTANTIATE_TEST_SUITE_P(
    Ground, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"free", "ground-free", kClear, ""},
        {"law_6_held_by_another", "ground-free", kNotClear, "is held by move 2 (ST-1)",
         [](Files&) {},
         [](Story& story) {
           v1::RecordPutDownRequest none;
           none.set_name(MachineName("small", "ST-1"));
           none.set_item("chocks");
           none.set_count(0);
           story.MustRefuse("eli", none, RefusalKind::kPrecondition);  // the first of two
           story.Must("sue", none);
           const MoveNumber other = story.Ask({.kind = "short-hop",
                                               .machine = "ST-1",
                                               .to = "apron",
                                               .driver = "eli",
                                               .spotter = "sue"});
           story.ClearAll(other);
           story.Release(other);
         }},
        {"full", "ground-free", kNotClear, "place line is full",
         [](Files& files) {
           files.map_geojson = Replaced(files.map_geojson, R"("name": "Ready line", "capacity": 3)",
                                        R"("name": "Ready line", "capacity": 1)");
           files.machines_csv =
               Replaced(files.machines_csv, "service-truck,bay", "service-truck,line");
         }},
        {"its_carrier_is_not_in_the_way", "ground-free", kClear, "", [](Files&) {}, [](Story&) {},
         "load-onto-carrier"},
        {"a_door_was_drawn_across_it", "ground-free", kNotClear, "door-2 is on its way now",
         [](Files&) {}, Reload(Map(R"({"type": "Feature", "id": "corner")", kNewDoor))},
        {"its_hold_point_is_gone", "ground-free", kNotClear, "corner", [](Files&) {},
         Reload(Map(R"("name": "Blind corner", "lane": "line-way", "post-code": "CO8"},
     "geometry": {"type": "Point", "coordinates": [-39.9998, 20.0005]}})",
                    R"("name": "Blind corner", "lane": "pad-way", "post-code": "CO8"},
     "geometry": {"type": "Point", "coordinates": [-40.0002, 20.0005]}})"))},
        {"a_fire_way_was_drawn_over_it", "ground-free", kNotClear, "refuge is on its way now",
         [](Files&) {},
         [](Story& story) {
           Reload(Map(R"("name": "Refuge", "duty": "refuge"},
     "geometry": {"type": "Polygon", "coordinates": [[[-40.0006, 20.0006], [-40.0005, 20.0006],
       [-40.0005, 20.0007], [-40.0006, 20.0006]]]}})",
                      R"("name": "Exit", "duty": "exit"},
     "geometry": {"type": "Polygon", "coordinates": [[[-40.0001, 20.0001], [-39.9999, 20.0001],
       [-39.9999, 20.0002], [-40.0001, 20.0001]]]}})"))(story);
         }},
    }),
    FactName);

INSTANTIATE_TEST_SUITE_P(
    DoorsAndHolds, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"in_service", "doors-in-service", kClear, ""},
        {"moved", "doors-in-service", kNotClear, "door-1 is out of service: it moved (vic)",
         [](Files&) {}, [](Story& story) { Report(story, v1::DOOR_REPORT_MOVED); }},
        {"faulty", "doors-in-service", kNotClear, "it is faulty", [](Files&) {},
         [](Story& story) { Report(story, v1::DOOR_REPORT_FAULTY); }},
        {"given_back", "doors-in-service", kClear, "", [](Files&) {},
         [](Story& story) {
           Report(story, v1::DOOR_REPORT_FAULTY);
           story.MustRefuse("vic", ReturnDoor(), RefusalKind::kNotAllowed);
           story.Must("max", ReturnDoor());
         }},
        {"not_held", "no-yard-hold", kClear, ""},
        {"held", "no-yard-hold", kNotClear, "the yard is held by vic: smoke", [](Files&) {},
         [](Story& story) {
           v1::HoldYardRequest hold;
           hold.set_name(YardName("small"));
           hold.set_reason("smoke");
           story.Must("vic", hold);
         }},
        {"lifted", "no-yard-hold", kClear, "", [](Files&) {},
         [](Story& story) {
           v1::HoldYardRequest hold;
           hold.set_name(YardName("small"));
           story.Must("vic", hold);
           v1::LiftHoldRequest lift;
           lift.set_name(YardName("small"));
           story.MustRefuse("vic", lift, RefusalKind::kNotAllowed);
           story.Must("lee", lift);
         }},
    }),
    FactName);

// --- Time. The shift ends at 22:00; a release wants 10 min of it (base rules).

std::function<void(Story&)> BeforeTheEnd(Duration left) {
  return [left](Story& story) { story.Advance(kNoon + fit::Hours(10) - left - story.now()); };
}

std::function<void(Story&)> Away(int64_t distance_mm, bool in_view) {
  return [=](Story& story) {
    auto away = On<v1::ReportAwayRequest>(story, 1);
    away.set_distance_mm(distance_mm);
    away.set_in_view(in_view);
    story.Must("sam", away);
  };
}

INSTANTIATE_TEST_SUITE_P(
    Time, ComputedFact,
    testing::ValuesIn(std::vector<Fact>{
        {"shift_runs", "shift-running", kClear, ""},
        {"just_enough_of_the_shift", "shift-running", kClear, "", [](Files&) {},
         BeforeTheEnd(fit::Minutes(10))},
        {"one_instant_too_little", "shift-running", kNotClear, "the shift ends in 9 min",
         [](Files&) {}, BeforeTheEnd(fit::Minutes(10) - kTick)},
        {"at_its_end", "shift-running", kNotClear, "no shift runs", [](Files&) {},
         BeforeTheEnd(Duration())},
        {"ended", "shift-running", kNotClear, "no shift runs", [](Files&) {},
         [](Story& story) {
           v1::EndShiftRequest end;
           end.set_name(YardName("small"));
           story.Must("lee", end);
         }},
        {"with_it", "attended", kClear, ""},
        // 29 CFR 1910.178(m)(5)(ii): 25 ft is 7,620 mm.
        {"24_99_ft_in_view", "attended", kClear, "", [](Files&) {}, Away(7'616, true)},
        {"one_mm_less_than_25_ft_in_view", "attended", kClear, "", [](Files&) {},
         Away(7'619, true)},
        {"25_ft_in_view", "attended", kNotClear, "dana was 25 ft or more away", [](Files&) {},
         Away(7'620, true)},
        {"1_ft_out_of_view", "attended", kNotClear, "or out of its sight", [](Files&) {},
         Away(305, false)},
        {"back_again", "attended", kClear, "", [](Files&) {},
         [](Story& story) {
           Away(7'620, true)(story);
           Away(0, true)(story);
         }},
        {"back_to_look", "attended", kClear, "", [](Files&) {},
         [](Story& story) {
           Away(7'620, true)(story);
           story.Must("dana", story.WordOn(1, "walk-around"));
         }},
        {"somebody_else_looked", "attended", kNotClear, "", [](Files&) {},
         [](Story& story) {
           Away(7'620, true)(story);
           story.Must("sam", story.WordOn(1, "path-walked"));
         }},
        {"not_released", "start-window", kClear, ""},
    }),
    FactName);

TEST(ComputedFacts, TheStartWindowTurnsAfterItsLastInstant) {
  Story story = Story::Small();
  const MoveNumber move =
      story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
  story.ClearAll(move);
  story.Release(move);
  const Duration window = ToDuration(story.state().yard->rules.limits().start_window());
  EXPECT_EQ(story.move(move).release->start_by, story.now() + window);
  story.Advance(window);
  EXPECT_EQ(story.Gate(move, "start-window").state, kClear);
  story.Advance(kTick);
  EXPECT_EQ(story.Gate(move, "start-window").state, kStale);
}

// --- Counts ---

TEST(ComputedFacts, Law9CountsBalanceAtTheEnd) {
  Story story = Story::Small();
  const MoveNumber move =
      story.Ask({.kind = "load-onto-carrier", .machine = "TH-1", .to = "pad", .carrier = "CA-1"});
  story.BringTo(move, v1::PHASE_CLOSE_OUT);
  EXPECT_EQ(story.move(move).put_down.at("people"), 2);
  EXPECT_EQ(story.move(move).put_down.at("carrier-chocks"), 4);
  EXPECT_EQ(story.Gate(move, "counts-balance").state, kNotClear);
  EXPECT_EQ(story.Gate(move, "counts-balance").reason,
            "carrier-chocks put down: 4, not counted in yet");
  story.Clear(move, *story.Gate(move, "carrier-chocks-in").rule);
  EXPECT_EQ(story.Gate(move, "counts-balance").reason, "people put down: 2, not counted in yet");
  story.Clear(move, *story.Gate(move, "people-counted-again").rule);
  EXPECT_EQ(story.Gate(move, "counts-balance").state, kClear);
}

TEST(ComputedFacts, EveryComputationThatRulesMayNameIsRunAndNoOther) {
  std::vector<std::string> may_be_named;
  for (const auto& [name, takes] : yard::KnownComputations()) may_be_named.push_back(name);
  EXPECT_EQ(ComputationNames(), may_be_named);
}

TEST(ComputedFacts, AComputationThatNobodyKnowsIsNotClear) {
  Story story = Story::Small();
  story.Ask({.kind = "short-hop", .machine = "WL-1", .to = "south"});
  v1::Computed computed;
  computed.set_computation("crystal-ball");
  EXPECT_EQ(Compute({.state = story.state(),
                     .yard = *story.state().yard,
                     .move = story.move(1),
                     .now = story.now()},
                    computed, v1::PHASE_START)
                .state,
            kNotClear);
}

}  // namespace
}  // namespace chockwise::moves
