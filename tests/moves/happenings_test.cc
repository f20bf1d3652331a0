// What makes words stale: for every looked-at gate and every happening, the words are undone where
// the rules list it, where the person who gave them is no longer on the move, and nowhere else.
#include <gtest/gtest.h>

#include <algorithm>
#include <set>

#include "services/moves/apply.h"
#include "services/moves/parties.h"
#include "tests/moves/gate_rows.h"

namespace chockwise::moves {
namespace {

/// Somebody else of the register with that role whom the computed gates take.
std::string Another(const Story& story, yard::Role role, const PersonId& than) {
  for (const auto& [id, person] : story.state().yard->people) {
    const bool on_it = id == story.move(1).driver || id == story.move(1).spotter || id == than;
    if (person.roles.contains(role) && !on_it) return id.value();
  }
  throw std::runtime_error("nobody else");
}

std::string LeadOf(const Story& story) { return story.PersonFor(1, v1::PARTY_YARD_LEAD); }

yard::YardFiles OtherVersion(const Story& story) {
  yard::YardFiles files = story.files();
  files.rules_txtpb = "# read again\n" + files.rules_txtpb;
  return files;
}

/// Lets it happen to move 1. False: it cannot happen there.
bool Happen(Story& story, v1::Happening happening) {
  const std::string yard = YardName(story.state().yard->id);
  switch (happening) {
    case v1::HAPPENING_DRIVER_SWAP: {
      auto swap = On<v1::SwapDriverRequest>(story, 1);
      swap.set_driver(Another(story, yard::Role::kDriver, story.move(1).driver));
      story.Must(LeadOf(story), swap);
      return true;
    }
    case v1::HAPPENING_SPOTTER_SWAP: {
      auto name = On<v1::NameSpotterRequest>(story, 1);
      name.set_spotter(Another(story, yard::Role::kSpotter, story.move(1).spotter));
      story.Must(story.move(1).driver.value(), name);
      return true;
    }
    case v1::HAPPENING_LEFT_UNATTENDED: {
      auto away = On<v1::ReportAwayRequest>(story, 1);
      away.set_distance_mm(30'000);
      away.set_in_view(true);
      story.Must(story.move(1).driver.value(), away);
      return true;
    }
    case v1::HAPPENING_DOOR_MOVED: {
      if (story.move(1).way->doors.empty()) return false;
      v1::ReportDoorRequest door;
      door.set_name(DoorName(story.state().yard->id, *story.move(1).way->doors.begin()));
      door.set_report(v1::DOOR_REPORT_MOVED);
      story.Must(story.move(1).spotter.value(), door);
      return true;
    }
    case v1::HAPPENING_SHIFT_END: {
      v1::EndShiftRequest end;
      end.set_name(yard);
      story.Must(LeadOf(story), end);
      return true;
    }
    case v1::HAPPENING_YARD_RELOADED:
      story.Must(LeadOf(story), LoadOf(OtherVersion(story), 2));
      return true;
    case v1::HAPPENING_NEIGHBOUR_MOVED:
    default:
      return false;
  }
}

/// Whether the machine waits at a line and this has everything looked at again, the line's words
/// and all others.
bool StopsAtTheLine(v1::Happening happening) {
  return happening == v1::HAPPENING_DRIVER_SWAP || happening == v1::HAPPENING_SPOTTER_SWAP ||
         happening == v1::HAPPENING_LEFT_UNATTENDED || happening == v1::HAPPENING_SHIFT_END;
}

/// Whether somebody gave a word as what they no longer are: a tech who has taken the wheel.
bool SpokeAsAnother(const Story& story, const GateRow& row) {
  const GateWords* words = story.move(1).FindWords(row.gate_id, row.phase);
  return std::any_of(words->words.begin(), words->words.end(), [&](const Word& word) {
    return !ActsAs(story.state(), story.move(1), word.person, word.party);
  });
}

bool Undone(const GateRow& row, const v1::GateRule& rule, v1::Happening happening) {
  if (row.phase == v1::PHASE_HOLD_POINT && StopsAtTheLine(happening)) return true;
  const auto& stale_on = rule.looked_at().stale_on();
  // A gate that a law added has no list of its own and outlives nothing.
  return rule.id().starts_with("law-") ||
         std::find(stale_on.begin(), stale_on.end(), happening) != stale_on.end();
}

class Happening : public testing::TestWithParam<GateRow> {};

TEST_P(Happening, UndoesTheWordsThatTheRulesSayAndNoOthers) {
  for (int number = v1::HAPPENING_DRIVER_SWAP; number <= v1::HAPPENING_YARD_RELOADED; ++number) {
    const auto happening = static_cast<v1::Happening>(number);
    Story story = StoryAt(GetParam());
    story.ClearAll(1);
    const v1::GateRule rule = *story.Gate(1, GetParam().gate_id).rule;
    if (!Happen(story, happening)) continue;
    const GateStatus after = GateAt(story.state(), GetParam(), story.now());
    if (Undone(GetParam(), rule, happening) || SpokeAsAnother(story, GetParam())) {
      EXPECT_EQ(after.state, v1::GATE_STATE_STALE)
          << v1::Happening_Name(happening) << ": " << after.reason;
    } else {
      EXPECT_EQ(after.state, v1::GATE_STATE_CLEAR)
          << v1::Happening_Name(happening) << ": " << after.reason;
    }
  }
}

TEST_P(Happening, ANeighbourThatMovesUndoesWhatTheRulesSay) {
  Story story = StoryAt(GetParam());
  story.ClearAll(1);
  const v1::GateRule rule = *story.Gate(1, GetParam().gate_id).rule;
  v1::Entry entry;
  entry.set_time_us(story.now().micros());
  entry.set_move(1);
  entry.set_move_state(story.move(1).state);
  entry.mutable_gates_staled()->set_happening(v1::HAPPENING_NEIGHBOUR_MOVED);
  YardState state = story.state();
  Apply(state, entry);
  const bool undone = Undone(GetParam(), rule, v1::HAPPENING_NEIGHBOUR_MOVED);
  EXPECT_EQ(GateAt(state, GetParam(), story.now()).state,
            undone ? v1::GATE_STATE_STALE : v1::GATE_STATE_CLEAR);
}

INSTANTIATE_TEST_SUITE_P(Rules, Happening, testing::ValuesIn(RowsOf(Sort::kLookedAt)), RowName);

TEST(Happenings, AReloadThatAsksSomethingElseUndoesTheWord) {
  Story story = Story::Small();
  const MoveNumber move = story.Ask({.kind = "short-hop", .machine = "WL-1", .to = "south"});
  story.ClearAll(move);
  EXPECT_EQ(story.Gate(move, "hop-look").state, v1::GATE_STATE_CLEAR);
  yard::YardFiles files = story.files();
  files.rules_txtpb =
      Replaced(files.rules_txtpb, "Nobody near it, nothing in its way?", "Nobody under it either?");
  story.Must("lee", LoadOf(files, 2));
  EXPECT_EQ(story.Gate(move, "hop-look").state, v1::GATE_STATE_STALE)
      << "law 11: they answered another question";
  EXPECT_EQ(story.Gate(move, "hop-ground").state, v1::GATE_STATE_CLEAR);
}

// Law 6, and what moves next to a move: words on shared ground do not outlive another move's
// release, first motion and parking there.
TEST(Happenings, ANeighbourIsReleasedBeginsAndParks) {
  Story story = Story::Small();
  const MoveNumber first = story.Ask({.kind = "short-hop", .machine = "ST-1", .to = "apron"});
  const MoveNumber second = story.Ask(
      {.kind = "short-hop", .machine = "TH-1", .to = "apron", .driver = "eli", .spotter = "sue"});
  const MoveNumber far = story.Ask(
      {.kind = "short-hop", .machine = "WL-1", .to = "south", .driver = "pat", .spotter = ""});
  v1::RecordPutDownRequest none;
  none.set_name(MachineName("small", "ST-1"));
  none.set_item("chocks");
  none.set_count(0);
  story.MustRefuse("dana", none, RefusalKind::kPrecondition);  // the first of two
  story.Must("sam", none);
  const auto look = [&] {
    for (const auto& [move, who] : {std::pair(second, "eli"), std::pair(far, "pat")}) {
      story.Must(who, story.WordOn(move, "hop-look"));
    }
  };
  const auto stale = [&](MoveNumber move) {
    const GateWords* words = story.move(move).FindWords("hop-look", v1::PHASE_START);
    return words->words.front().stale;
  };
  story.ClearAll(first);
  for (const char* step : {"release", "begin", "park"}) {
    look();
    EXPECT_FALSE(stale(second)) << step;
    if (std::string(step) == "release") story.Release(first);
    if (std::string(step) == "begin") story.Begin(first);
    if (std::string(step) == "park") story.Park(first);
    EXPECT_TRUE(stale(second)) << step;
    EXPECT_FALSE(stale(far)) << step << ": it shares no ground";
  }
}

}  // namespace
}  // namespace chockwise::moves
