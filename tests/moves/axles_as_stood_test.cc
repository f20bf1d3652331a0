// The start of a loading says where to stand the machine; its close-out asks where it was taped.
#include <gmock/gmock.h>

#include "tests/moves/taped.h"

namespace chockwise::moves {
namespace {

using ::testing::HasSubstr;

/// 24,600 lb on a deck whose drive axles bear 10,000 lb more: the centre, 10 ft behind the front of
/// the telehandler, has to be 30 (1 - 10,000 / 24,600) = 17.8 ft behind the pin or farther, which
/// is 10.3 ft behind the deck's front.
Story Loading() {
  Files files = ReadYardFolder("tests/moves/yard_small");
  files.rules_txtpb += R"(kinds {
  id: "load-on-axles" title: "a machine is loaded, and its axles asked"
  machine_classes: ["telehandler"]
  gate_set_ids: ["carrier-computed"]
  gate_ids: ["hop-look"]
  needs_carrier: true
  carrier_classes: ["carrier"]
}
)";
  AddReadings(files, {"TH-1 centre-behind-front,10 ft,,forks", "CA-1 wheelbase,15 ft 6 in,,",
                      "CA-1 coupling-offset,1 ft 6 in,,", "CA-1 coupling-to-axle,30 ft,,",
                      "CA-1 deck-front,7 ft 6 in,,", "CA-1 deck-length,20 ft,,",
                      "CA-1 steer-axle-mass,11200 lb,,", "CA-1 drive-axle-mass,24000 lb,,",
                      "CA-1 trailer-axle-mass,9300 lb,,", "CA-1 drive-tandem-spacing,4 ft 4 in,,",
                      "CA-1 trailer-tandem-spacing,4 ft 6 in,,", "CA-1 coupling-mass,9400 lb,,"});
  return Story::SmallFrom(files);
}

class OnAxles : public ::testing::Test {
 protected:
  OnAxles() : story_(Loading()) {
    move_ =
        story_.Ask({.kind = "load-on-axles", .machine = "TH-1", .to = "pad", .carrier = "CA-1"});
  }
  Outcome<Entries> Tell(const std::string& place) {
    auto word = On<v1::ConfirmRequest>(story_, move_);
    word.set_gate_id("stands-on-deck");
    word.set_note(place);
    return story_.Do("sam", word);
  }
  GateStatus Gate(const char* id) const { return story_.Gate(move_, id); }
  void Park() { story_.BringTo(move_, v1::PHASE_CLOSE_OUT); }

  Story story_;
  MoveNumber move_ = 0;
};

TEST_F(OnAxles, TheStartSaysWhereAndStandsOnNothingElse) {
  EXPECT_EQ(Gate("axles-legal").state, v1::GATE_STATE_CLEAR) << Gate("axles-legal").reason;
  EXPECT_THAT(Gate("axles-legal").reason, HasSubstr("TAPE IT: front "));
}

TEST_F(OnAxles, IsNotAskedBeforeSomebodyHasTapedIt) {
  Park();
  EXPECT_EQ(Gate("axles-as-stood").state, v1::GATE_STATE_NOT_ASKED);
  EXPECT_THAT(Gate("axles-as-stood").reason, HasSubstr("nobody has taped"));
  EXPECT_FALSE(story_.Do("dana", On<v1::CloseMoveRequest>(story_, move_)));
}

TEST_F(OnAxles, WhereItStandsIsWhatCounts) {
  Park();
  ASSERT_TRUE(Tell("front 2 ft 0 in ahead"));
  EXPECT_EQ(Gate("axles-as-stood").state, v1::GATE_STATE_NOT_CLEAR);
  EXPECT_THAT(Gate("axles-as-stood").reason, HasSubstr(" BACK: axles 2 to 3 "));
  EXPECT_FALSE(story_.Do("dana", On<v1::CloseMoveRequest>(story_, move_)));
  ASSERT_TRUE(Tell("front 2 ft 0 in behind"));
  EXPECT_EQ(Gate("axles-as-stood").state, v1::GATE_STATE_CLEAR) << Gate("axles-as-stood").reason;
  story_.ClearAll(move_);
  story_.Close(move_);
}

TEST_F(OnAxles, WhatCannotBeReadIsNotTaken) {
  Park();
  for (const char* place : {"", "in the middle", "2 ft", "front 2 ft", "front 2 behind"}) {
    const auto told = Tell(place);
    ASSERT_FALSE(told) << place;
    EXPECT_EQ(told.error().kind, RefusalKind::kInvalid) << place;
  }
  EXPECT_EQ(Gate("axles-as-stood").state, v1::GATE_STATE_NOT_ASKED);
}

TEST_F(OnAxles, ClearAtTheStartIsNoWordOnThePlace) {
  Park();
  ASSERT_TRUE(Tell("front 60 ft 0 in behind"));
  EXPECT_EQ(Gate("axles-as-stood").state, v1::GATE_STATE_NOT_CLEAR);
  EXPECT_THAT(Gate("axles-as-stood").reason, HasSubstr("the deck of CA-1 is 20 ft long"));
}

}  // namespace
}  // namespace chockwise::moves
