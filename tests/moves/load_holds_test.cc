// What ties a machine down is named by the spotter, and the sum is the computation's: too few, too
// weak, not named, not read, and enough.
#include <gmock/gmock.h>

#include "tests/moves/taped.h"

namespace chockwise::moves {
namespace {

using ::testing::HasSubstr;

/// The yard's kind of loading, with the tie-downs by name; the telehandler weighs 24,600 lb, so
/// 12,300 lb are asked for.
Story Loading(const std::function<void(Files&)>& change = {}) {
  Files files = ReadYardFolder("tests/moves/yard_small");
  files.rules_txtpb += R"(kinds {
  id: "load-and-tie" title: "a machine is loaded and tied down"
  machine_classes: ["telehandler"]
  gate_set_ids: ["carrier-tied"]
  gate_ids: ["hop-look", "secured"]
  needs_carrier: true
  carrier_classes: ["carrier"]
}
)";
  AddReadings(files, {"CA-1 binder-rating,9200 lb,,", "CA-1 anchor-rating,12000 lb,,"});
  if (change) change(files);
  return Story::SmallFrom(files);
}

/// Parked on the deck, everything else of the close-out said; `ties` are what the spotter names.
class OnDeck {
 public:
  explicit OnDeck(const std::function<void(Files&)>& change = {}) : story_(Loading(change)) {
    move_ = story_.Ask({.kind = "load-and-tie", .machine = "TH-1", .to = "pad", .carrier = "CA-1"});
    story_.BringTo(move_, v1::PHASE_CLOSE_OUT);
  }
  Outcome<Entries> Name(const std::string& ties) {
    auto word = On<v1::ConfirmRequest>(story_, move_);
    word.set_gate_id("ties-named");
    word.set_note(ties);
    return story_.Do("sam", word);
  }
  void Secured() { story_.Clear(move_, *story_.Gate(move_, "secured").rule); }
  GateStatus Holds() const { return story_.Gate(move_, "load-holds"); }
  Story& story() { return story_; }
  MoveNumber move() const { return move_; }

 private:
  Story story_;
  MoveNumber move_ = 0;
};

TEST(LoadHolds, IsNotAskedBeforeSomebodyHasNamedTheTies) {
  const OnDeck deck;
  EXPECT_EQ(deck.Holds().state, v1::GATE_STATE_NOT_ASKED);
  EXPECT_THAT(deck.Holds().reason, HasSubstr("nobody has named"));
}

TEST(LoadHolds, FourOfThreeEighthsAreEnoughForHalfTheMachine) {
  // 4 x 6,600 lb / 2 = 13,200 lb. 49 CFR 393.108 and 393.106(d).
  OnDeck deck;
  deck.Secured();
  ASSERT_TRUE(deck.Name("2 x 3/8 in grade 70 direct front; 2 x 3/8 in grade 70 direct rear"));
  EXPECT_EQ(deck.Holds().state, v1::GATE_STATE_CLEAR) << deck.Holds().reason;
  deck.story().ClearAll(deck.move());
  deck.story().Close(deck.move());
}

TEST(LoadHolds, TooWeakSaysHowManyMoreOfWhat) {
  // 4 x 4,700 lb / 2 = 9,400 lb of 12,423 (half of 24,600 lb and the 1 % of a scale): 3,023 lb
  // short, so two more of 2,350 lb each.
  OnDeck deck;
  deck.Secured();
  ASSERT_TRUE(deck.Name("2 x 5/16 in grade 70 direct front; 2 x 5/16 in grade 70 direct rear"));
  EXPECT_EQ(deck.Holds().state, v1::GATE_STATE_NOT_CLEAR);
  EXPECT_THAT(deck.Holds().reason, HasSubstr("SHORT 3,023 lb. Add 2 more of 4,700 lb"));
  EXPECT_FALSE(deck.story().Do("dana", On<v1::CloseMoveRequest>(deck.story(), deck.move())));
}

// 49 CFR 393.108(a): the weakest part governs, and one that nobody has read is not a strong one.
TEST(LoadHolds, BindersAndAnchorsAreTheCarriersUnlessTheyAreNamed) {
  OnDeck deck([](Files& files) {
    files.measurements_csv = Replaced(files.measurements_csv, "CA-1 anchor-rating,12000 lb",
                                      "CA-1 anchor-rating,5000 lb");
  });
  deck.Secured();
  // 4 x 5,000 lb / 2 = 10,000 lb of 12,423.
  ASSERT_TRUE(deck.Name("2 x 3/8 in grade 70 direct front; 2 x 3/8 in grade 70 direct rear"));
  EXPECT_EQ(deck.Holds().state, v1::GATE_STATE_NOT_CLEAR);
  EXPECT_THAT(deck.Holds().reason, HasSubstr("SHORT 2,423 lb, held back by its anchor point"));
  ASSERT_TRUE(
      deck.Name("2 x 3/8 in grade 70 direct front anchor 8,000 lb; 2 x 3/8 in grade 70 direct rear "
                "anchor 8,000 lb"));
  EXPECT_EQ(deck.Holds().state, v1::GATE_STATE_CLEAR) << deck.Holds().reason;
}

TEST(LoadHolds, ABinderThatNobodyHasReadRefuses) {
  OnDeck deck([](Files& files) {
    files.measurements_csv = Replaced(
        files.measurements_csv, "CA-1 binder-rating,9200 lb,,,lee,2026-11-01T08:00:00Z\n", "");
  });
  deck.Secured();
  ASSERT_TRUE(deck.Name(kTiesEnough));
  EXPECT_EQ(deck.Holds().state, v1::GATE_STATE_NOT_CLEAR);
  EXPECT_THAT(deck.Holds().reason, HasSubstr("binder-rating of CA-1 is unknown"));
}

TEST(LoadHolds, TheJointAndTheAttachmentAreLookedAtFirst) {
  OnDeck deck;
  ASSERT_TRUE(deck.Name(kTiesEnough));
  EXPECT_EQ(deck.Holds().state, v1::GATE_STATE_NOT_CLEAR) << "law 2: nobody has said they are tied";
  EXPECT_THAT(deck.Holds().reason, HasSubstr("articulation of TH-1"));
}

TEST(LoadHolds, WhatCannotBeReadIsNotTaken) {
  OnDeck deck;
  for (const char* ties : {"four good ones", "4 x 3/8 in grade 71 direct front", "",
                           "4 x 3/8 in grade 70 direct front;", "-1 x 3/8 grade 70 direct front"}) {
    const auto named = deck.Name(ties);
    ASSERT_FALSE(named) << ties;
    EXPECT_EQ(named.error().kind, RefusalKind::kInvalid) << ties;
  }
  EXPECT_EQ(deck.Holds().state, v1::GATE_STATE_NOT_ASKED);
}

TEST(LoadHolds, AFindingOnTheTiesKeepsItBack) {
  OnDeck deck;
  deck.Secured();
  ASSERT_TRUE(deck.Name(kTiesEnough));
  auto word = On<v1::ConfirmRequest>(deck.story(), deck.move());
  word.set_gate_id("ties-named");
  word.set_finding("one binder is bent");
  deck.story().Must("sam", word);
  EXPECT_NE(deck.Holds().state, v1::GATE_STATE_CLEAR);
}

}  // namespace
}  // namespace chockwise::moves
