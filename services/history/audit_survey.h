// The gates that the survey answers, judged again on what the ledger recorded. Private to the room.
//
// The formulas are those of services/fit, which has its own second opinions in tests; what is asked
// of them, about which machine, way, place and instant, is worked out here from the entries alone.
// Pure; one thread.
#pragma once

#include <optional>

#include "services/history/audit_book.h"

namespace chockwise::history {

/// Unset where the survey does not know the computation; otherwise whether it was clear.
struct SurveyVerdict {
  std::optional<Fault> fault;
};
std::optional<SurveyVerdict> JudgeSurvey(const Moment& moment, const v1::Computed& computed);

/// The computations that JudgeSurvey knows.
std::vector<std::string_view> SurveyComputations();

}  // namespace chockwise::history
