// What the survey found, kept: a screen, a list or a tick asks the same gates of the same moves
// again and again, and a ride over a whole way costs milliseconds of the writer's time, which a
// stop may be waiting for.
//
//   const ComputedFinding finding = kept.Find(question, now, [&] { return GoesUnder(...); });
//
// An answer of the survey depends on the yard's files and, through the age of readings, on time. So
// it is kept for one version of the yard, and no longer than until the next instant at which any
// reading of the yard begins or ceases to count. What depends on anything else does not belong
// here.
//
// Threads: one owner, that of the state; copies of a state share it.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "services/moves/computations.h"
#include "services/moves/state.h"

namespace chockwise::moves {

class KeptFindings {
 public:
  explicit KeptFindings(std::shared_ptr<const yard::Yard> yard);

  /// The kept finding on that question, or what `ask` finds, which is kept from now on.
  ComputedFinding Find(const std::string& question, Instant now,
                       const std::function<ComputedFinding()>& ask);

 private:
  std::shared_ptr<const yard::Yard> yard_;
  // At each, some reading begins or ceases to count; in order. Not worked out before the first
  // question: a replay passes many versions of a yard that nobody asks about.
  std::optional<std::vector<Instant>> turns_;
  size_t turn_ = 0;  // how many had passed when `found_` was found
  std::map<std::string, ComputedFinding, std::less<>> found_;
};

}  // namespace chockwise::moves
