#include "services/survey/ties.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <sstream>

#include "services/survey/words.h"

namespace chockwise::survey {
namespace {

constexpr Words<fit::TieSize, 9> kSizes = {{{"1/4", fit::TieSize::k1_4},
                                            {"5/16", fit::TieSize::k5_16},
                                            {"3/8", fit::TieSize::k3_8},
                                            {"7/16", fit::TieSize::k7_16},
                                            {"1/2", fit::TieSize::k1_2},
                                            {"5/8", fit::TieSize::k5_8},
                                            {"3/4", fit::TieSize::k3_4},
                                            {"7/8", fit::TieSize::k7_8},
                                            {"1", fit::TieSize::k1}}};
constexpr Words<std::optional<fit::ChainGrade>, 6> kGrades = {{{"30", fit::ChainGrade::k30},
                                                               {"43", fit::ChainGrade::k43},
                                                               {"70", fit::ChainGrade::k70},
                                                               {"80", fit::ChainGrade::k80},
                                                               {"100", fit::ChainGrade::k100},
                                                               {"unmarked", std::nullopt}}};
constexpr Words<fit::TiePath, 3> kPaths = {{{"direct", fit::TiePath::kDirect},
                                            {"same-side", fit::TiePath::kSameSide},
                                            {"other-side", fit::TiePath::kOtherSide}}};
// A machine's own mounting point holds no more than its end: 49 CFR 393.130(c).
constexpr Words<fit::TieEnd, 4> kEnds = {{{"front", fit::TieEnd::kFront},
                                          {"rear", fit::TieEnd::kRear},
                                          {"front-mounting-point", fit::TieEnd::kFront},
                                          {"rear-mounting-point", fit::TieEnd::kRear}}};

}  // namespace

Outcome<fit::Tie> ReadTie(std::string_view text) {
  std::istringstream in{std::string(text)};
  std::string count, by, size, inches, grade_word, grade, path, end, more;
  in >> count >> by >> size >> inches >> grade_word >> grade >> path >> end;
  fit::Tie tie;
  const auto [rest, error] = std::from_chars(count.data(), count.data() + count.size(), tie.count);
  const bool is_count = error == std::errc() && rest == count.data() + count.size();
  if (!in || (in >> more) || !is_count || by != "x" || inches != "in" || grade_word != "grade")
    return tl::unexpected(
        Mistyped("tie-down", fmt::format("cannot be read: '{}'", text), kTieForm));
  if (tie.count < 1 || tie.count > fit::kMostOfOneTie) {
    return tl::unexpected(Mistyped("tie-down, its count", "is " + count,
                                   fmt::format("write 1 to {}", fit::kMostOfOneTie)));
  }
  const auto chain_size = Word("tie-down, its size", size, kSizes);
  if (!chain_size) return tl::unexpected(chain_size.error());
  const auto chain_grade = Word("tie-down, its grade", grade, kGrades);
  if (!chain_grade) return tl::unexpected(chain_grade.error());
  const auto goes = Word("tie-down, its path", path, kPaths);
  if (!goes) return tl::unexpected(goes.error());
  const auto at = Word("tie-down, its end", end, kEnds);
  if (!at) return tl::unexpected(at.error());
  tie.device = fit::Chain{*chain_size, *chain_grade};
  tie.path = *goes;
  tie.end = *at;
  return tie;
}

Outcome<std::vector<fit::Tie>> ReadTies(std::string_view text) {
  std::vector<fit::Tie> ties;
  for (size_t from = 0; from <= text.size();) {
    const size_t to = std::min(text.find(';', from), text.size());
    const auto tie = ReadTie(text.substr(from, to - from));
    if (!tie) return tl::unexpected(tie.error());
    ties.push_back(*tie);
    from = to + 1;
  }
  return ties;
}

}  // namespace chockwise::survey
