// Tables of spoiled inputs: each row is the refusal that one spoiled input led to, and the name of
// the input that it must blame.
#pragma once

#include <gtest/gtest.h>

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "services/fit/answer.h"

namespace chockwise::fit {

struct UnusableRow {
  std::string spoiled;
  std::optional<Unusable> answer;
  std::string named;
};

template <class T>
std::optional<Unusable> UnusableOf(const Outcome<T>& outcome) {
  if (outcome) return std::nullopt;
  return outcome.error();
}

inline void ExpectNamed(const std::vector<UnusableRow>& rows) {
  for (const UnusableRow& row : rows) {
    ASSERT_TRUE(row.answer.has_value()) << row.spoiled << ": answered, and should refuse";
    EXPECT_EQ(row.answer->input, row.named) << row.spoiled;
    EXPECT_FALSE(row.answer->problem.empty()) << row.spoiled;
    EXPECT_FALSE(row.answer->right.empty()) << row.spoiled;
  }
}

}  // namespace chockwise::fit
