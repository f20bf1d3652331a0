#include <algorithm>

#include "services/survey/answers.h"

namespace chockwise::survey {
namespace {

int RankOf(fit::Verdict verdict) {
  switch (verdict) {
    case fit::Verdict::kConflict:
      return 0;
    case fit::Verdict::kUndecided:
      return 1;
    case fit::Verdict::kClear:
      return 2;
  }
  return 0;
}

bool IsWorse(const Part& a, const Part& b) {
  if (RankOf(a.verdict) != RankOf(b.verdict)) return RankOf(a.verdict) < RankOf(b.verdict);
  return a.used > b.used;
}

}  // namespace

Said WorstOf(std::vector<Part>& parts) {
  std::ranges::stable_sort(parts, IsWorse);
  const Part& worst = parts.front();
  return {.verdict = worst.verdict, .line = worst.line, .spare = worst.spare};
}

}  // namespace chockwise::survey
