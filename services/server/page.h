// Page tokens of the lists that are read from the live yard: the number of the last one shown,
// bound to the query (services/history/page_token.h).
//
//   const moves::Outcome<int64_t> after = AfterToken(request, yard_id);
//   ...
//   page.set_next_page_token(TokenAfter(last, request, yard_id));
#pragma once

#include <string>

#include "services/history/page_token.h"
#include "services/moves/refusal.h"

namespace chockwise::server {

/// 0 for the first page. INVALID_ARGUMENT for a token of another query.
template <class Request>
moves::Outcome<int64_t> AfterToken(const Request& request, const std::string& yard_id) {
  const auto last = history::ReadPageToken(request.page_token(), request, yard_id);
  if (last.ok()) return last->value_or(0);
  return moves::RefuseField("page_token",
                            "is not from the page before of this query; give the same filters, or "
                            "none to begin anew");
}

template <class Request>
std::string TokenAfter(int64_t last, const Request& request, const std::string& yard_id) {
  return history::MakePageToken(last, request, yard_id);
}

}  // namespace chockwise::server
