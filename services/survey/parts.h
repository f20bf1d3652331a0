// An answer of several parts that must all be clear: each says its own line, and the worst speaks
// for the whole.
//
//   Outcome<PartedAnswer> stands = Stands(asked, {.machine = id, .place = place});
//   Show(stands->answer.line);                                   // of the worst part
//   for (const Part& part : stands->parts) Show(part.line);      // of all, the worst first
//
// Threads: values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "services/fit/answer.h"

namespace chockwise::survey {

struct Part {
  fit::Verdict verdict = fit::Verdict::kUndecided;
  double used = 0;  // of what it may take: nothing is left at 1
  std::string line;
  std::optional<fit::Spare> spare = {};  // as in fit::Answer
};

struct PartedAnswer {
  fit::Answer answer;
  std::vector<Part> parts;  // the worst first
};

}  // namespace chockwise::survey
