#include "services/history/queries.h"

#include <gmock/gmock.h>
#include <google/protobuf/text_format.h>
#include <gtest/gtest.h>

#include <functional>
#include <ostream>

#include "services/history/follower.h"
#include "test_ledger.h"

namespace chockwise::history {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

/// The good shift, read.
class QueriesTest : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    ledger_ = new TestLedger();
    ledger_->Append(Story::Read("stories/good_shift.txt").Entries());
    auto follower = Follower::Open({.path = ledger_->folder.Path("p")}, ledger_->Reader());
    ASSERT_TRUE(follower.ok()) << follower.status();
    ASSERT_TRUE((*follower)->CatchUp().ok());
  }
  static void TearDownTestSuite() {
    delete ledger_;
    ledger_ = nullptr;
  }

  static Queries Ask() { return ledger_->Ask("p"); }

  template <class Request>
  static Request Read(const std::string& text) {
    Request request;
    EXPECT_TRUE(google::protobuf::TextFormat::ParseFromString(text, &request)) << text;
    return request;
  }
  static v1::ListMoveRecordsRequest Moves(const std::string& text) {
    return Read<v1::ListMoveRecordsRequest>("parent: \"yards/small-yard\" " + text);
  }
  static v1::ListRefusalsRequest Refusals(const std::string& text) {
    return Read<v1::ListRefusalsRequest>("parent: \"yards/small-yard\" " + text);
  }

  static std::vector<std::string> Numbers(const v1::ListMoveRecordsResponse& response) {
    std::vector<std::string> numbers;
    for (const v1::MoveRecord& record : response.records()) {
      numbers.push_back(record.name().substr(record.name().rfind('/') + 1));
    }
    return numbers;
  }

  static TestLedger* ledger_;
};
TestLedger* QueriesTest::ledger_ = nullptr;

TEST_F(QueriesTest, RecordSaysWhoWhereAndHowItEnded) {
  auto answer = Ask().ListMoveRecords(Moves("machine: \"ST-01\""));
  ASSERT_TRUE(answer.ok()) << answer.status();
  ASSERT_THAT(Numbers(*answer), ElementsAre("5", "2"));
  const v1::MoveRecord& record = answer->records(1);
  EXPECT_EQ(record.name(), "yards/small-yard/moves/2");
  EXPECT_EQ(record.kind_title(), "a machine is walked through a door");
  EXPECT_EQ(record.from_place(), "apron");
  EXPECT_EQ(record.to_place(), "wash-pad");
  EXPECT_EQ(record.requester(), "cal");
  EXPECT_THAT(record.drivers(), ElementsAre("cal"));
  EXPECT_THAT(record.spotters(), ElementsAre("dot"));
  EXPECT_EQ(record.state(), v1::MOVE_STATE_CLOSED);
  EXPECT_EQ(record.releases(), 4);
  EXPECT_EQ(record.refusals(), 1);
  EXPECT_EQ(record.stops_called(), 2);  // by ted, and by the service that started again
  EXPECT_EQ(record.acceptances(), 1);
  EXPECT_TRUE(record.has_begin_time());
  EXPECT_LT(record.begin_time().seconds(), record.end_time().seconds());
  EXPECT_EQ(answer->lag_entries(), 0);
}

TEST_F(QueriesTest, DriversAndSpottersInTheOrderInWhichTheyTookTheRole) {
  auto answer =
      Ask().GetMoveRecord(Read<v1::GetMoveRecordRequest>("name: \"yards/small-yard/moves/4\""));
  ASSERT_TRUE(answer.ok()) << answer.status();
  EXPECT_THAT(answer->record().drivers(), ElementsAre("cal", "ann"));
  EXPECT_EQ(answer->record().state(), v1::MOVE_STATE_LEFT_STANDING);
}

struct FilterRow {
  const char* filter;
  std::vector<std::string> moves;
};

TEST_F(QueriesTest, Filters) {
  // Noon is 1795521600.
  const std::vector<FilterRow> rows = {
      {"", {"5", "4", "3", "2", "1"}},
      {"kinds: \"through-door\"", {"5", "4", "3", "2", "1"}},
      {"kinds: \"load\"", {}},
      {"machine: \"TH-07\"", {"4", "3", "1"}},
      {"carrier: \"LB-2\"", {}},
      {"person: \"ann\"", {"4", "3", "1"}},
      {"person: \"bob\"", {"4", "3", "1"}},
      {"person: \"lee\"", {"3"}},  // asked for it
      {"place: \"bay-1\"", {"4", "1"}},
      {"place: \"wash-pad\"", {"5", "3", "2"}},
      {"door: \"door-1\"", {"4", "1"}},
      {"states: MOVE_STATE_REFUSED states: MOVE_STATE_WITHDRAWN", {"5", "3"}},
      {"with_refusals: true", {"2", "1"}},
      {"with_stops: true", {"2"}},
      {"with_stops: true person: \"ann\"", {}},
      {"from_time { seconds: 1795521781 } to_time { seconds: 1795521782 }", {"1"}},
      {"from_time { seconds: 1795521782 }", {"5", "4", "3", "2"}},
      {"to_time { seconds: 1795521781 }", {}},
      {"place: \"' OR 1=1 --\"", {}},
  };
  for (const FilterRow& row : rows) {
    auto answer = Ask().ListMoveRecords(Moves(row.filter));
    ASSERT_TRUE(answer.ok()) << row.filter << ": " << answer.status();
    EXPECT_EQ(Numbers(*answer), row.moves) << row.filter;
    EXPECT_THAT(answer->next_page_token(), IsEmpty());
  }
}

TEST_F(QueriesTest, PagesAreWholeAndInOrder) {
  std::vector<std::string> all;
  std::string token;
  for (int page = 0; page < 3; ++page) {
    v1::ListMoveRecordsRequest request = Moves("page_size: 2");
    request.set_page_token(token);
    auto answer = Ask().ListMoveRecords(request);
    ASSERT_TRUE(answer.ok()) << answer.status();
    for (const std::string& number : Numbers(*answer)) all.push_back(number);
    token = answer->next_page_token();
    EXPECT_EQ(token.empty(), page == 2);
  }
  EXPECT_THAT(all, ElementsAre("5", "4", "3", "2", "1"));
}

TEST_F(QueriesTest, APageThatIsJustFullIsTheLast) {
  EXPECT_THAT(Ask().ListMoveRecords(Moves("page_size: 5"))->next_page_token(), IsEmpty());
}

TEST_F(QueriesTest, TokensAreBoundToTheirQuery) {
  const std::string token = Ask().ListMoveRecords(Moves("page_size: 2"))->next_page_token();
  ASSERT_FALSE(token.empty());
  auto status_of = [](v1::ListMoveRecordsRequest request, const std::string& page_token) {
    request.set_page_token(page_token);
    return Ask().ListMoveRecords(request).status().code();
  };
  constexpr auto kInvalid = absl::StatusCode::kInvalidArgument;
  EXPECT_EQ(status_of(Moves("page_size: 3"), token), absl::StatusCode::kOk);
  EXPECT_EQ(status_of(Moves("page_size: 2 machine: \"TH-07\""), token), kInvalid);
  EXPECT_EQ(status_of(Moves("page_size: 2 kinds: \"through-door\""), token), kInvalid);
  EXPECT_EQ(status_of(Moves("with_stops: true"), token), kInvalid);
  for (const char* bad : {"x", "00", "0123456789abcdef0123456789abcdef", "\xff"}) {
    EXPECT_EQ(status_of(Moves(""), bad), kInvalid) << bad;
  }
  // A token of one list is none of another.
  v1::ListRefusalsRequest refusals = Refusals("page_size: 2");
  refusals.set_page_token(token);
  EXPECT_EQ(Ask().ListRefusals(refusals).status().code(), kInvalid);
  // Nor one of another ledger's list.
  TestLedger other(9);
  other.Append(Story::Read("stories/good_shift.txt").Entries());
  auto follower = Follower::Open({.path = other.folder.Path("p")}, other.Reader());
  ASSERT_TRUE((*follower)->CatchUp().ok());
  v1::ListMoveRecordsRequest request = Moves("page_size: 2");
  request.set_page_token(token);
  EXPECT_EQ(other.Ask("p").ListMoveRecords(request).status().code(), kInvalid);
}

TEST_F(QueriesTest, BadFieldsAreNamed) {
  const std::vector<std::pair<const char*, const char*>> rows = {
      {"page_size: -1", "page_size"},
      {"from_time { seconds: 5 } to_time { seconds: 5 }", "to_time"},
      {"from_time { seconds: 5 nanos: -1 }", "from_time"},
      {"to_time { seconds: 999999999999 }", "to_time"}};
  for (const auto& [text, field] : rows) {
    const absl::Status status = Ask().ListMoveRecords(Moves(text)).status();
    EXPECT_EQ(status.code(), absl::StatusCode::kInvalidArgument) << text;
    EXPECT_THAT(std::string(status.message()), testing::StartsWith(field));
  }
  v1::ListMoveRecordsRequest many = Moves("");
  for (int i = 0; i <= kMaxFilterValues; ++i) many.add_kinds("k" + std::to_string(i));
  EXPECT_EQ(Ask().ListMoveRecords(many).status().code(), absl::StatusCode::kInvalidArgument);
  many = Moves("");
  many.set_door(std::string(kMaxFilterBytes + 1, 'd'));
  EXPECT_EQ(Ask().ListMoveRecords(many).status().code(), absl::StatusCode::kInvalidArgument);
}

TEST_F(QueriesTest, WhatIsNotThereIsNotFound) {
  for (const char* name : {"yards/small-yard/moves/6", "yards/small-yard/moves/0",
                           "yards/small-yard/moves/1x", "yards/other/moves/1", "moves/1", ""}) {
    v1::GetMoveRecordRequest request;
    request.set_name(name);
    EXPECT_EQ(Ask().GetMoveRecord(request).status().code(), absl::StatusCode::kNotFound) << name;
  }
  v1::ListMoveRecordsRequest request;
  request.set_parent("yards/other");
  EXPECT_EQ(Ask().ListMoveRecords(request).status().code(), absl::StatusCode::kNotFound);
}

TEST_F(QueriesTest, WithoutAProjectionUnavailable) {
  EXPECT_EQ(ledger_->Ask("nowhere").ListMoveRecords(Moves("")).status().code(),
            absl::StatusCode::kUnavailable);
}

TEST_F(QueriesTest, Refusals) {
  auto answer = Ask().ListRefusals(Refusals(""));
  ASSERT_TRUE(answer.ok()) << answer.status();
  ASSERT_EQ(answer->refusals_size(), 2);
  const v1::RefusalRecord& close = answer->refusals(0);
  EXPECT_EQ(close.phase(), v1::PHASE_CLOSE_OUT);
  EXPECT_EQ(close.move(), "yards/small-yard/moves/1");
  EXPECT_EQ(close.person(), "ann");
  const v1::RefusalRecord& release = answer->refusals(1);
  EXPECT_EQ(release.phase(), v1::PHASE_START);
  EXPECT_EQ(release.machine(), "ST-01");
  ASSERT_EQ(release.gates_size(), 2);
  EXPECT_EQ(release.gates(0).gate_id(), "walk-around");
  EXPECT_EQ(release.gates(0).reason(), "nobody has given a word");

  const std::vector<std::pair<const char*, int>> rows = {{"gate_id: \"chocks-in\"", 1},
                                                         {"gate_id: \"chocks-set\"", 1},
                                                         {"gate_id: \"fits\"", 0},
                                                         {"machine: \"TH-07\"", 1},
                                                         {"person: \"cal\"", 1},
                                                         {"person: \"ann\"", 1},
                                                         {"door: \"door-1\"", 1},
                                                         {"place: \"apron\"", 2},
                                                         {"kinds: \"x\"", 0},
                                                         {"from_time { seconds: 1795521600 }", 2},
                                                         {"to_time { seconds: 1795521600 }", 0}};
  for (const auto& [filter, count] : rows) {
    EXPECT_EQ(Ask().ListRefusals(Refusals(filter))->refusals_size(), count) << filter;
  }
  v1::ListRefusalsRequest page = Refusals("page_size: 1");
  page.set_page_token(Ask().ListRefusals(page)->next_page_token());
  answer = Ask().ListRefusals(page);
  ASSERT_EQ(answer->refusals_size(), 1);
  EXPECT_EQ(answer->refusals(0).phase(), v1::PHASE_START);
  EXPECT_THAT(answer->next_page_token(), IsEmpty());
}

TEST_F(QueriesTest, TimeLineShowsEveryEntryAndWhatEveryReleaseStoodOn) {
  auto answer =
      Ask().GetMoveRecord(Read<v1::GetMoveRecordRequest>("name: \"yards/small-yard/moves/2\""));
  ASSERT_TRUE(answer.ok()) << answer.status();
  std::vector<std::string> lines;
  for (const v1::TimeLineEntry& line : answer->time_line()) lines.push_back(line.text());
  EXPECT_THAT(lines.front(), HasSubstr("asked for: through-door, ST-01 from apron to wash-pad"));
  EXPECT_THAT(lines.back(), HasSubstr("closed: 4 gates clear"));
  EXPECT_THAT(lines, testing::Contains("the service started: nothing is released"));
  EXPECT_THAT(lines, testing::Contains("STOP: called: \"wait\""));
  // What happened on the door of another move is not this one's.
  EXPECT_THAT(lines, testing::Not(testing::Contains(HasSubstr("door-1"))));
  EXPECT_EQ(answer->entries_left_out(), 0);

  ASSERT_EQ(answer->releases_size(), 4);
  EXPECT_THAT(answer->releases(0).void_reason(), HasSubstr("STOP"));
  EXPECT_EQ(answer->releases(1).void_reason(), "nobody began within 5 min");
  EXPECT_TRUE(answer->releases(2).has_begin_time());
  EXPECT_FALSE(answer->releases(2).has_void_time());
  EXPECT_TRUE(answer->releases(3).has_begin_time());
  const v1::ReleaseRecord& first = answer->releases(0);
  EXPECT_EQ(first.driver(), "cal");
  EXPECT_EQ(first.spotter(), "dot");
  EXPECT_EQ(first.release().yard_version(), 1);
  ASSERT_EQ(first.gates_size(), 19);
  auto gate = [&first](std::string_view id) {
    for (const v1::StoodOn& stood_on : first.gates()) {
      if (stood_on.basis().gate_id() == id) return stood_on;
    }
    return v1::StoodOn();
  };
  EXPECT_EQ(gate("weather").basis().accepted_by(), "lee");
  EXPECT_EQ(gate("weather").title(), "weather");
  EXPECT_EQ(gate("weather").gate_class(), v1::GATE_CLASS_LEAD_MAY_ACCEPT);
  ASSERT_EQ(gate("weather").words_size(), 1);
  EXPECT_EQ(gate("weather").words(0).finding(), "soft by the pad");
  ASSERT_EQ(gate("chocks-in").words_size(), 2);
  EXPECT_EQ(gate("chocks-in").words(0).person(), "cal");
  EXPECT_EQ(gate("chocks-in").words(1).person(), "dot");
  EXPECT_EQ(gate("fits").words_size(), 0);
}

TEST_F(QueriesTest, TimeLineOfAMoveHasItsDoorAndItsMachineWhileItWasOpen) {
  TestLedger ledger;
  Story story = Story::Read("stories/good_shift.txt");
  story.Insert("m1.walk",
               "x 0 ted 0 -\ndoor_reported { door: \"door-1\" report: DOOR_REPORT_MOVED }");
  story.Insert("x", "y 0 lee 0 -\ndoor_returned { door: \"door-1\" }");
  story.Insert("y", "z 0 bob 0 -\nput_down { machine: \"TH-07\" item: \"cones\" count: 2 }");
  ledger.Append(story.Entries());
  auto follower = Follower::Open({.path = ledger.folder.Path("p")}, ledger.Reader());
  ASSERT_TRUE((*follower)->CatchUp().ok());
  auto answer = ledger.Ask("p").GetMoveRecord(
      Read<v1::GetMoveRecordRequest>("name: \"yards/small-yard/moves/1\""));
  ASSERT_TRUE(answer.ok()) << answer.status();
  std::string text;
  for (const v1::TimeLineEntry& line : answer->time_line()) text += line.text() + "\n";
  EXPECT_THAT(text, HasSubstr("door-1: moved\ndoor-1: looked at and given back\n"
                              "TH-07: 2 cones stand there now\npath-walked"));
  // The later report is after its end, and tag 1 belongs to another move.
  EXPECT_THAT(text, testing::Not(HasSubstr("dropped a foot")));
}

// Counted by hand in the story.
TEST_F(QueriesTest, Summary) {
  auto answer =
      Ask().SummariseMoves(Read<v1::SummariseMovesRequest>("parent: \"yards/small-yard\""));
  ASSERT_TRUE(answer.ok()) << answer.status();
  EXPECT_EQ(answer->moves(), 5);
  EXPECT_EQ(answer->moves_released(), 3);
  EXPECT_EQ(answer->moves_begun(), 3);
  EXPECT_EQ(answer->moves_with_refusals(), 2);
  EXPECT_EQ(answer->moves_stopped(), 1);
  EXPECT_EQ(answer->releases(), 7);
  EXPECT_EQ(answer->releases_refused(), 1);
  EXPECT_EQ(answer->releases_voided(), 1);
  EXPECT_EQ(answer->closes_refused(), 1);
  ASSERT_EQ(answer->kinds_size(), 1);
  EXPECT_EQ(answer->kinds(0).moves(), 5);
  EXPECT_EQ(answer->kinds(0).closed(), 2);
  EXPECT_EQ(answer->kinds(0).withdrawn(), 1);
  EXPECT_EQ(answer->kinds(0).refused(), 1);
  EXPECT_EQ(answer->kinds(0).left_standing(), 1);
  ASSERT_EQ(answer->stops_size(), 2);
  EXPECT_EQ(answer->stops(0).cause(), v1::STOP_CAUSE_CALLED);
  EXPECT_EQ(answer->stops(0).by_people(), 1);
  EXPECT_EQ(answer->stops(1).cause(), v1::STOP_CAUSE_SERVICE_RESTARTED);
  EXPECT_EQ(answer->stops(1).by_system(), 1);
  // Most kept back first, then by id.
  EXPECT_EQ(answer->gates(0).gate_id(), "chocks-in");
  EXPECT_EQ(answer->gates(1).gate_id(), "chocks-set");
  EXPECT_EQ(answer->gates(2).gate_id(), "walk-around");
  EXPECT_EQ(answer->gates(0).kept_back(), 1);
  EXPECT_EQ(answer->gates(0).not_asked(), 1);
  EXPECT_EQ(answer->gates(0).asked(), 7);  // six starts released, one refused
  EXPECT_EQ(answer->gates(1).not_clear(), 1);
  ASSERT_EQ(answer->count_mismatches_size(), 1);
  EXPECT_EQ(answer->count_mismatches(0).item(), "chocks");
  EXPECT_EQ(answer->count_mismatches(0).times(), 1);
  ASSERT_EQ(answer->hours_size(), 2);
  EXPECT_EQ(answer->hours(0).hour(), 12);
}

TEST_F(QueriesTest, SummaryByTheClockOnTheWall) {
  auto request = Read<v1::SummariseMovesRequest>(
      "parent: \"yards/small-yard\" utc_offset_minutes: -840 from_time { seconds: 1795521600 } "
      "to_time { seconds: 1795521800 }");
  auto answer = Ask().SummariseMoves(request);
  ASSERT_TRUE(answer.ok()) << answer.status();
  ASSERT_EQ(answer->hours_size(), 1);
  EXPECT_EQ(answer->hours(0).hour(), 22);
  EXPECT_EQ(answer->moves(), 1);
  request.set_utc_offset_minutes(841);
  EXPECT_EQ(Ask().SummariseMoves(request).status().code(), absl::StatusCode::kInvalidArgument);
}

}  // namespace
}  // namespace chockwise::history
