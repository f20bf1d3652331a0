#include "services/fit/wll_tables.h"

#include <gtest/gtest.h>

namespace chockwise::fit {
namespace {

TEST(WllTables, WhatIsNotPrintedHasNoLimit) {
  EXPECT_FALSE(ChainLimit(ChainGrade::k80, TieSize::k7_16).has_value());
  EXPECT_FALSE(ChainLimit(ChainGrade::k100, TieSize::k7_16).has_value());
  EXPECT_FALSE(ChainLimit(ChainGrade::k70, TieSize::k3_4).has_value());
  EXPECT_FALSE(ChainLimit(ChainGrade::k30, TieSize::k1).has_value());
  EXPECT_FALSE(RopeLimit(RopeKind::kManila, TieSize::k1_4).has_value());
  EXPECT_FALSE(RopeLimit(RopeKind::kNylon, TieSize::k7_8).has_value());
}

TEST(WllTables, NamesAsPeopleSayThem) {
  EXPECT_EQ(SizeText(TieSize::k1_4), "1/4 in");
  EXPECT_EQ(SizeText(TieSize::k1), "1 in");
  EXPECT_EQ(GradeText(ChainGrade::k30), "grade 30");
  EXPECT_EQ(GradeText(ChainGrade::k100), "grade 100");
}

}  // namespace
}  // namespace chockwise::fit
