// Tie-downs as people write them.
#include "services/survey/ties.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;

TEST(ReadTies, EachKindWithAllThatIsWritten) {
  const auto ties = ReadTies(
      "2 x 3/8 in grade 70 direct front; 4 x 1 in grade unmarked other-side rear-mounting-point");
  ASSERT_TRUE(ties) << ties.error().Text();
  ASSERT_EQ(ties->size(), 2u);
  const fit::Tie& first = ties->front();
  EXPECT_EQ(first.count, 2);
  EXPECT_EQ(std::get<fit::Chain>(first.device).size, fit::TieSize::k3_8);
  EXPECT_EQ(std::get<fit::Chain>(first.device).grade, fit::ChainGrade::k70);
  EXPECT_EQ(first.path, fit::TiePath::kDirect);
  EXPECT_EQ(first.end, fit::TieEnd::kFront);
  const fit::Tie& second = ties->back();
  EXPECT_EQ(second.count, 4);
  EXPECT_EQ(std::get<fit::Chain>(second.device).grade, std::nullopt) << "nobody has read a mark";
  EXPECT_EQ(second.path, fit::TiePath::kOtherSide);
  EXPECT_EQ(second.end, fit::TieEnd::kRear);
}

TEST(ReadTies, StrapsMarksBindersAndAnchors) {
  const auto ties = ReadTies(
      "2 x 4 in webbing direct front anchor 5,000 lb; 1 x 1-3/4 in webbing other-side rear; "
      "2 x marked 5,400 lb direct rear; "
      "4 x 1/2 in grade 80 direct rear anchor 12,000 lb binder 4,170 kg");
  ASSERT_TRUE(ties) << ties.error().Text();
  ASSERT_EQ(ties->size(), 4u);
  EXPECT_EQ(std::get<fit::Webbing>((*ties)[0].device).width, fit::WebbingWidth::k4);
  EXPECT_EQ((*ties)[0].binder, std::nullopt) << "nobody has named it";
  EXPECT_EQ((*ties)[0].anchor, fit::Pounds(5'000));
  EXPECT_EQ(std::get<fit::Webbing>((*ties)[1].device).width, fit::WebbingWidth::k1_3_4);
  EXPECT_EQ(std::get<fit::Marked>((*ties)[2].device).limit, fit::Pounds(5'400));
  EXPECT_EQ((*ties)[3].anchor, fit::Pounds(12'000));
  EXPECT_EQ((*ties)[3].binder, fit::InKilograms(4'170));
}

struct Spoiled {
  const char* text;
  const char* why;
};

TEST(ReadTies, WhatIsWrongIsNamedWithWhatWouldBeRight) {
  for (const Spoiled& row : std::vector<Spoiled>{
           {"", "COUNT x SIZE"},
           {"four chains", "cannot be read: 'four chains'"},
           {"4 x 3/8 in grade 70 direct", "COUNT x SIZE"},
           {"4 x 3/8 in grade 70 direct front and one more", "COUNT x SIZE"},
           {"4 x 3/8 grade 70 direct front", "COUNT x SIZE"},
           {"4.5 x 3/8 in grade 70 direct front", "COUNT x SIZE"},
           {"0 x 3/8 in grade 70 direct front", "write 1 to 50"},
           {"51 x 3/8 in grade 70 direct front", "write 1 to 50"},
           {"99999999999 x 3/8 in grade 70 direct front", "COUNT x SIZE"},
           {"4 x 9/16 in grade 70 direct front", "its size is '9/16'"},
           {"4 x 3/8 in grade 71 direct front", "30, 43, 70, 80, 100, unmarked"},
           {"4 x 3/8 in grade 70 around front", "direct, same-side, other-side"},
           {"4 x 3/8 in grade 70 direct middle", "front, rear, front-mounting-point"},
           {"4 x 3/8 in grade 70 direct mounting-point",
            "front-mounting-point, rear-mounting-point"},
           {"4 x 3/8 in grade 70 direct front;", "COUNT x SIZE"},
           {"4 x 3/8 in chain direct front", "COUNT x SIZE"},
           {"4 x 5 in webbing direct front", "1-3/4, 2, 3, 4"},
           {"4 x marked 5400 direct front", "write marked 6,600 lb"},
           {"4 x marked 5 ft direct front", "write marked 6,600 lb"},
           {"4 x 3/8 in grade 70 direct front binder", "write binder 6,600 lb"},
           {"4 x 3/8 in grade 70 direct front anchor strong", "write anchor 6,600 lb"},
           {"4 x 3/8 in grade 70 direct front hook 1,000 lb", "COUNT x SIZE"},
           {"4 x 3/8 in grade 70 direct front binder 1 lb binder 9,000 lb", "COUNT x SIZE"}}) {
    const auto ties = ReadTies(row.text);
    ASSERT_FALSE(ties) << row.text;
    EXPECT_THAT(ties.error().Text(), HasSubstr(row.why)) << row.text;
  }
}

}  // namespace
}  // namespace chockwise::survey
