// 29 CFR 1910.178, powered industrial trucks: the clauses that the gates state. Read in a public
// mirror of the eCFR text, which can lag; check the text in force before quoting it.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <chrono>

#include "tests/published/clause_story.h"

namespace chockwise::published {
namespace {

// (m)(5)(ii): unattended is the operator 25 ft (7.62 m) or more away with the truck in view, or any
// distance out of view.
TEST(Osha1910_178, M5iiTwentyFiveFeetOrOutOfViewIsUnattended) {
  struct Row {
    const char* what;
    double feet;
    bool in_view;
    bool attended;
  };
  for (const Row& row :
       {Row{"24.99 ft in view", 24.99, true, true}, Row{"25.00 ft in view", 25.00, true, false},
        Row{"25.01 ft in view", 25.01, true, false}, Row{"1 ft out of view", 1.0, false, false},
        Row{"at the wheel", 0.0, true, true}}) {
    Story story = Telehandler();
    auto away = On<v1::ReportAwayRequest>(story, 1);
    away.set_distance_mm(static_cast<int64_t>(row.feet * 304.8 + 1e-6));
    away.set_in_view(row.in_view);
    story.Must("sam", away);
    EXPECT_EQ(story.Gate(1, "attended").state == v1::GATE_STATE_CLEAR, row.attended) << row.what;
  }
  EXPECT_TRUE(Cites("attended", "29 CFR 1910.178(m)(5)(ii)"));
}

// (l)(4)(iii): the operator's performance is evaluated at least once every three years. The
// register says until when; an evaluation of 2023-11-24 is good through 2026-11-24.
TEST(Osha1910_178, L4iiiAnEvaluationIsGoodForThreeYears) {
  using namespace std::chrono;
  struct Row {
    year_month_day evaluated;
    bool authorised;  // on 2026-11-24
  };
  for (const Row& row : {Row{2023y / November / 23d, false}, Row{2023y / November / 24d, true},
                         Row{2023y / November / 25d, true}, Row{2020y / November / 24d, false}}) {
    const year_month_day due = row.evaluated + years(3);
    yard::YardFiles files = moves::ReadYardFolder("tests/moves/yard_small");
    files.people_csv = moves::Replaced(
        files.people_csv,
        "dana,Dana Reed,driver,service-truck until 2027-03-01; telehandler until 2027-03-01;",
        fmt::format("dana,Dana Reed,driver,service-truck until 2027-03-01; telehandler until "
                    "{:04}-{:02}-{:02};",
                    static_cast<int>(due.year()), static_cast<unsigned>(due.month()),
                    static_cast<unsigned>(due.day())));
    Story story = Story::SmallFrom(files);
    story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
    EXPECT_EQ(story.Gate(1, "driver-authorised").state == v1::GATE_STATE_CLEAR, row.authorised)
        << story.Gate(1, "driver-authorised").reason;
    EXPECT_EQ(HoldsBack(story, "driver-authorised"), !row.authorised);
  }
  EXPECT_TRUE(Cites("driver-authorised", "29 CFR 1910.178(l)(4), (l)(6)"));
}

// (l)(6): certified by the employer; a class that the record does not name is not authorised.
TEST(Osha1910_178, L6OnlyTheClassesOfTheRecord) {
  yard::YardFiles files = moves::ReadYardFolder("tests/moves/yard_small");
  files.people_csv = moves::Replaced(
      files.people_csv,
      "dana,Dana Reed,driver,service-truck until 2027-03-01; telehandler until 2027-03-01; ",
      "dana,Dana Reed,driver,service-truck until 2027-03-01; ");
  Story story = Story::SmallFrom(files);
  story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
  EXPECT_TRUE(HoldsBack(story, "driver-authorised"));
}

// (q)(7): examined at least daily before being placed in service; round the clock, after each
// shift.
TEST(Osha1910_178, Q7ExaminedEveryShift) {
  Story story = Truck();
  EXPECT_FALSE(HoldsBack(story, "inspected-this-shift"));
  story.Advance(fit::Hours(1));
  story.Must("lee", NextShift(story));
  EXPECT_TRUE(HoldsBack(story, "inspected-this-shift")) << "looked at in the shift before";
  Inspect(story, "ST-1", "");
  EXPECT_FALSE(HoldsBack(story, "inspected-this-shift"));
  EXPECT_TRUE(Cites("inspected-this-shift", "29 CFR 1910.178(q)(7)"));
}

// (p)(1), (q)(1): a truck in need of repair is taken out of service until it has been restored;
// repairs by authorised people.
TEST(Osha1910_178, P1Q1ADefectiveTruckIsOutOfService) {
  Story story = Truck();
  Inspect(story, "ST-1", "brake soft");
  EXPECT_TRUE(HoldsBack(story, "no-tags"));
  EXPECT_TRUE(HoldsBack(story, "inspected-this-shift"));
  v1::ClearTagRequest untag;
  untag.set_name(moves::MachineName("small", "ST-1"));
  untag.set_tag(1);
  for (const char* person : {"dana", "sam", "lee", "ada"})
    story.MustRefuse(person, untag, RefusalKind::kNotAllowed);
  story.Must("tess", untag);
  EXPECT_TRUE(HoldsBack(story, "inspected-this-shift")) << "repaired is not yet inspected";
  Inspect(story, "ST-1", "");
  EXPECT_FALSE(HoldsBack(story, "inspected-this-shift"));
}

// (k)(1), (m)(7): the carrier's brakes are set and wheel chocks are placed before it is driven
// onto. Four, both ways on both sides, is common practice.
TEST(Osha1910_178, K1M7TheCarrierIsBrakedAndChocked) {
  EXPECT_TRUE(Cites("carrier-chocked", "29 CFR 1910.178(k)(1)"));
  EXPECT_TRUE(Cites("carrier-chocked", "common practice: both ways and both sides"));
  EXPECT_TRUE(Cites("carrier-held", "29 CFR 1910.178(k)(1), (m)(7)"));
  EXPECT_TRUE(HoldsBack(Onto(), "carrier-chocked"));
  EXPECT_TRUE(HoldsBack(Onto(), "carrier-held"));
  Story story = Onto();
  for (const auto& [chocks, enough] :
       {std::pair(0, false), std::pair(2, false), std::pair(3, false), std::pair(4, true)}) {
    auto word = story.WordOn(1, "carrier-chocked");
    word.set_count(chocks);
    story.Must("sam", word);
    EXPECT_EQ(story.Gate(1, "carrier-chocked").state == v1::GATE_STATE_CLEAR, enough) << chocks;
  }
}

// (m)(5)(i): left unattended, load lowered, controls neutral, power off, brakes set; wheels blocked
// on an incline.
TEST(Osha1910_178, M5iTheCloseOutAsksForBrakeAndChocks) {
  EXPECT_TRUE(Cites("parked", "29 CFR 1910.178(m)(5)"));
  EXPECT_TRUE(Cites("chocks-set", "29 CFR 1910.178(m)(5)(i)"));
  Story story = Truck();
  story.BringTo(1, v1::PHASE_CLOSE_OUT);
  EXPECT_TRUE(HoldsBack(story, "parked"));
  EXPECT_TRUE(HoldsBack(story, "chocks-set"));
}

// (m)(8): sufficient headroom. The margins of 6 in above and 24 in across are common practice, and
// the safety lead's to set.
TEST(Osha1910_178, M8HeadroomIsTapedAndUnknownIsNone) {
  EXPECT_TRUE(Cites("door-margins", "29 CFR 1910.178(m)(8)"));
  EXPECT_TRUE(Cites("door-margins", "common practice"));
  yard::YardFiles files = moves::ReadYardFolder("tests/moves/yard_small");
  files.measurements_csv =
      moves::Replaced(files.measurements_csv,
                      "TH-1 carried-height,8 ft 5 in,,forks,lee,2026-11-01T08:00:00Z\n", "");
  Story story = Story::SmallFrom(files);
  story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
  EXPECT_TRUE(HoldsBack(story, "door-margins"));
  EXPECT_TRUE(HoldsBack(story, "height-known"));
}

// (m)(14): fire aisles, access to stairways and fire equipment are kept clear.
TEST(Osha1910_178, M14FireWaysStayClear) {
  EXPECT_TRUE(Cites("path-walked", "29 CFR 1910.178(m)(14)"));
  EXPECT_TRUE(Cites("ground-left-clear", "29 CFR 1910.178(m)(14)"));
  EXPECT_TRUE(HoldsBack(Truck(), "path-walked"));
  Story story = Truck();
  story.BringTo(1, v1::PHASE_CLOSE_OUT);
  EXPECT_TRUE(HoldsBack(story, "ground-left-clear"));
}

}  // namespace
}  // namespace chockwise::published
