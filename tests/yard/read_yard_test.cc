// What a right yard is read as, and that nothing stops the reading of a wrong one.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <fstream>
#include <sstream>

#include "tests/yard/sample_yard.h"

namespace chockwise::yard {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

fit::Instant Day(int year, unsigned month, unsigned day) {
  const std::chrono::sys_days days =
      std::chrono::year(year) / static_cast<int>(month) / static_cast<int>(day);
  return fit::Instant() + fit::Days(days.time_since_epoch().count());
}

TEST(ReadYard, Map) {
  const auto yard = ReadSample(SampleFiles());
  ASSERT_TRUE(yard) << ComplaintsText(yard);
  const Place& bay = yard->places.at(PlaceId("bay-1"));
  EXPECT_EQ(bay.name, "Bay 1");
  EXPECT_EQ(bay.capacity, 2);
  EXPECT_EQ(bay.post_code, "B1");
  EXPECT_EQ(yard->places.at(PlaceId("wash-pad")).capacity, 1);
  const Lane& lane = yard->lanes.at(LaneId("lane-1"));
  EXPECT_FALSE(lane.one_way);
  EXPECT_TRUE(yard->lanes.at(LaneId("lane-2")).one_way);
  EXPECT_EQ(lane.name, "lane-1");
  EXPECT_NEAR(lane.length.metres(), 55.54,
              0.02);  // 0.0005° at 41° N: 111,063 m a degree; 1 m of rise adds 9 mm
  const Door& door = yard->doors.at(DoorId("door-1"));
  EXPECT_NEAR(door.along / lane.length, 0.4, 1e-6);
  EXPECT_NEAR(yard->hold_points.at(HoldPointId("corner")).along / lane.length, 0.8, 1e-6);
  const Area& exit = yard->areas.at(AreaId("exit-1"));
  EXPECT_EQ(exit.duty, Duty::kExit);
  EXPECT_THAT(exit.lanes, ElementsAre(LaneId("lane-1")));
  EXPECT_THAT(exit.places, IsEmpty());
  EXPECT_THAT(yard->areas.at(AreaId("refuge-1")).lanes, IsEmpty());
}

TEST(ReadYard, Register) {
  const auto yard = ReadSample(SampleFiles());
  ASSERT_TRUE(yard) << ComplaintsText(yard);
  const Machine* truck = yard->FindMachine("ST-01");
  ASSERT_NE(truck, nullptr);
  EXPECT_EQ(truck->machine_class, "service-truck");
  EXPECT_EQ(truck->chocks_set, 2);
  EXPECT_EQ(yard->FindMachine("TH-07")->attachment, "forks");
  EXPECT_EQ(yard->FindMachine("TH-08"), nullptr);
  const Person* maria = yard->FindPerson("maria");
  ASSERT_NE(maria, nullptr);
  EXPECT_THAT(maria->roles, ElementsAre(Role::kDriver, Role::kSpotter));
  // Authorised through the day that is written: until the next one begins.
  EXPECT_EQ(maria->may_drive.at("service-truck"), Day(2027, 3, 2));
  EXPECT_EQ(maria->may_drive.at("telehandler"), Day(2027, 1, 1));
  EXPECT_EQ(maria->may_spot_until, Day(2027, 7, 1));
  EXPECT_FALSE(yard->FindPerson("otto")->may_spot_until);
}

TEST(ReadYard, MeasurementsKeepWhatWasWritten) {
  const auto yard = ReadSample(SampleFiles());
  ASSERT_TRUE(yard) << ComplaintsText(yard);
  const Measurement* height = yard->measurements.Latest("door-1", "clear-height", "");
  ASSERT_NE(height, nullptr);
  EXPECT_EQ(std::get<fit::Metres>(height->value), fit::InMetres(4.2164));
  EXPECT_EQ(height->as_written, "13 ft 10 in");
  EXPECT_EQ(height->by, PersonId("otto"));
  EXPECT_EQ(height->when, Day(2026, 11, 1));
  const Measurement* width = yard->measurements.Latest("door-1", "clear-width", "");
  EXPECT_EQ(width->as_written, "4.20 m");
  EXPECT_EQ(width->when, Day(2026, 11, 1) + fit::Hours(14));  // 08:00 at UTC-6
  EXPECT_EQ(std::get<fit::Grade>(yard->measurements.Latest("apron", "cross-slope", "")->value),
            fit::RiseOverRun(0.015));
}

// Law 2: what was measured with the forks on says nothing about the bucket.
TEST(ReadYard, LatestAsksForTheAttachment) {
  const auto yard = ReadSample(SampleFiles());
  ASSERT_TRUE(yard) << ComplaintsText(yard);
  EXPECT_NE(yard->measurements.Latest("TH-07", "mass", "forks"), nullptr);
  EXPECT_EQ(yard->measurements.Latest("TH-07", "mass", "bucket"), nullptr);
  EXPECT_EQ(yard->measurements.Latest("TH-07", "mass", ""), nullptr);
  EXPECT_EQ(yard->measurements.Latest("ST-01", "mass", ""), nullptr);
}

TEST(ReadYard, LatestCountsByTimeAndNotByLine) {
  auto files = SampleFiles();
  files.measurements_csv +=
      "door-1 clear-height,13 ft 9 in,,,otto,2026-11-05T10:00:00Z\n"
      "door-1 clear-height,13 ft 8 in,,,otto,2026-11-05T11:30:00+02:00\n";  // 09:30 in UTC
  const auto yard = ReadSample(files);
  ASSERT_TRUE(yard) << ComplaintsText(yard);
  EXPECT_EQ(yard->measurements.Latest("door-1", "clear-height", "")->as_written, "13 ft 9 in");
}

TEST(ReadYard, ADoorWithoutReadingsIsReadAllTheSame) {
  auto files = SampleFiles();
  files.measurements_csv = "what,value,unit,with,by,when\n";
  const auto yard = ReadSample(files);
  ASSERT_TRUE(yard) << ComplaintsText(yard);
  EXPECT_EQ(yard->measurements.Latest("door-1", "clear-height", ""), nullptr);
}

TEST(ReadYard, RulesAreTheBaseWithTheLocalOnTop) {
  auto files = SampleFiles();
  files.rules_txtpb += R"(
limits { start_window { seconds: 120 } }
gates { id: "ppe" title: "vests" question: "Vests on?" remedy: "Put them on." gate_class: GATE_CLASS_HARD phases: PHASE_START
  looked_at { parties: [PARTY_DRIVER] } sources: "common practice" }
gates { id: "walk" title: "walk round" question: "Clear?" remedy: "Look." gate_class: GATE_CLASS_HARD phases: PHASE_START
  looked_at { parties: [PARTY_DRIVER, PARTY_SPOTTER] fresh_for { seconds: 60 } stale_on: HAPPENING_DRIVER_SWAP } sources: "common practice" }
gate_sets { id: "every-move" gate_ids: ["ppe", "walk", "chocks-out"] }
kinds { id: "tow" title: "a machine is towed" machine_classes: "excavator" gate_set_ids: "every-move" })";
  const auto yard = ReadSample(files);
  ASSERT_TRUE(yard) << ComplaintsText(yard);
  EXPECT_EQ(yard->id, "elm-street");
  EXPECT_EQ(yard->rules.version(), "2026-11");
  EXPECT_EQ(yard->rules.owner(), "ines");
  EXPECT_EQ(yard->rules.gates_size(), 6);
  EXPECT_EQ(yard->rules.gates(0).id(), "walk");  // a rule said again keeps its place
  EXPECT_EQ(yard->FindGate("walk")->looked_at().fresh_for().seconds(), 60);
  EXPECT_NE(yard->FindGate("ppe"), nullptr);
  EXPECT_NE(yard->FindKind("tow"), nullptr);
  EXPECT_NE(yard->FindKind("load"), nullptr);
  EXPECT_EQ(yard->FindKind("walk"), nullptr);
  EXPECT_EQ(yard->rules.limits().start_window().seconds(), 120);
  EXPECT_EQ(yard->rules.limits().before_shift_end().seconds(), 600);
  EXPECT_EQ(yard->rules.gate_sets(0).gate_ids_size(), 3);
}

TEST(ReadYard, WrongBaseRulesAreComplaintsOfTheirOwn) {
  const auto yard = ReadYard(
      SampleFiles(), Replaced(std::string(SampleBaseRules()), "\"level\"]\n", "\"levl\"]\n"),
      SampleComputations());
  EXPECT_EQ(ComplaintsText(yard),
            "base rules:51: load: gate_ids: \"levl\" is not a gate; did you mean \"level\"?\n");
}

TEST(ReadYard, ThirtyWrongThingsAreThirtyComplaintsInOnePass) {
  auto files = SampleFiles();
  const auto wrong = [](std::string& text, std::string_view part, std::string_view by) {
    text = Replaced(text, part, by);
  };
  wrong(files.map_geojson, R"("name": "Bay 1")", R"("name": "")");                        // 1
  wrong(files.map_geojson, R"("capacity": 2)", R"("capacity": "two")");                   // 2
  wrong(files.map_geojson, R"("post-code": "B1")", R"("post-code": "B 1")");              // 3
  wrong(files.map_geojson, R"("name": "Wash pad")", R"("name": "Wash pad", "size": 3)");  // 4
  wrong(files.map_geojson, R"("one-way": true)", R"("one-way": 1)");                      // 5
  wrong(files.map_geojson, R"("from": "bay-1")", R"("from": "bay-7")");                   // 6
  wrong(files.map_geojson, "[-96.0, 41.0002]}", "[-96.0002, 41.0002]}");                  // 7
  wrong(files.map_geojson, R"("duty": "exit")", R"("duty": "way out")");                  // 8
  wrong(files.map_geojson, "[-96.0019, 41.0001], [-96.002, 41.0]",
        "[-96.0019, 41.0001], [-96.003, 41.0]");  // 9
  files.machines_csv +=
      "EX-02,,excavator,bay-1,,0\n"                 // 10
      "EX-03,Excavator,Excavator,apron,,0\n"        // 11
      "EX-04,Excavator,excavator,wash-pat,,0\n"     // 12
      "EX-05,Excavator,excavator,wash-pad,,many\n"  // 13
      "EX-05,Excavator,excavator,,,0\n"             // 14, 15
      "EX-06,Excavator,excavator\n";                // 16
  files.people_csv +=
      "a b,Anna,driver,,\n"                         // 17
      "carl,,driver,,\n"                            // 18
      "dora,Dora,pilot,,\n"                         // 19
      "emil,Emil,driver,service-truck,\n"           // 20
      "fay,Fay,driver,service-truck until soon,\n"  // 21
      "gus,Gus,spotter,,2027-02-30\n";              // 22
  files.measurements_csv +=
      "door-1 clear-height,13,,,otto,2026-11-03\n"                           // 23
      "door-1 clear-depth,13 ft,,,otto,2026-11-03\n"                         // 24
      "door-1 clear-width,3 lb,,,otto,2026-11-03\n"                          // 25
      "door-9 clear-width,3 m,,,otto,2026-11-03\n"                           // 26
      "door-1 clear-width,300 m,,,otto,2026-11-03\n"                         // 27
      "door-1 clear-width,3 m,,,otto,yesterday\n";                           // 28
  files.rules_txtpb = Replaced(files.rules_txtpb, "\"ines\"", "\"maria\"");  // 29
  files.rules_txtpb +=
      "kinds { id: \"tow\" title: \"tow\" machine_classes: \"excavator\" gate_ids: \"wlak\" }";  // 30
  const auto yard = ReadSample(files);
  ASSERT_FALSE(yard);
  EXPECT_EQ(yard.error().size(), 30u) << ComplaintsText(yard);
  for (const Complaint& complaint : yard.error()) {
    EXPECT_FALSE(complaint.file.empty());
    EXPECT_TRUE(complaint.line > 0 || !complaint.where.empty()) << complaint.Text();
    EXPECT_FALSE(complaint.field.empty() && complaint.line == 0) << complaint.Text();
    EXPECT_FALSE(complaint.problem.empty());
  }
}

TEST(ReadYard, ComplaintsAreBoundedAndSayHowManyMore) {
  auto files = SampleFiles();
  for (int i = 0; i < 5'000; ++i)
    files.machines_csv += fmt::format("EX-{},Excavator,excavator,nowhere,,0\n", i);
  const auto yard = ReadSample(files);
  ASSERT_FALSE(yard);
  ASSERT_EQ(yard.error().size(), 1'000u);
  EXPECT_THAT(yard.error().back().problem, HasSubstr("4001 more"));
}

TEST(ReadYard, FilesThatAreTooLargeAreNotRead) {
  auto files = SampleFiles();
  files.rules_txtpb.append(2 << 20, '\n');
  files.machines_csv.append(9 << 20, '\n');
  EXPECT_THAT(
      ComplaintsText(ReadSample(files)),
      testing::AllOf(HasSubstr("machines.csv: has 9437"), HasSubstr("rules.txtpb: has 2097")));
}

TEST(ReadYard, EmptyFilesAreOneComplaintEach) {
  const auto yard = ReadSample({});
  ASSERT_FALSE(yard);
  EXPECT_EQ(yard.error().size(), 5u) << ComplaintsText(yard);
  for (const Complaint& complaint : yard.error()) EXPECT_EQ(complaint.problem, "is empty");
}

TEST(BaseRules, AreShippedAndParse) {
  EXPECT_THAT(std::string(BaseRulesText()), HasSubstr("gates {"));
  std::ifstream file("../../services/yard/base_rules.txtpb");
  std::stringstream on_disk;
  on_disk << file.rdbuf();
  EXPECT_EQ(BaseRulesText(), on_disk.str());
}

}  // namespace
}  // namespace chockwise::yard
