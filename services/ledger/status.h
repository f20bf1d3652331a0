// Handing a failure up unchanged, and its words.
#pragma once

#include <absl/status/status.h>

#include <string_view>

namespace chockwise::ledger {

/// Debian's absl::string_view is not std::string_view, and fmt does not know it.
inline std::string_view Words(const absl::Status& status) {
  return {status.message().data(), status.message().size()};
}

}  // namespace chockwise::ledger

#define CW_RETURN_IF_ERROR(expression)                                            \
  do {                                                                            \
    if (absl::Status cw_status = (expression); !cw_status.ok()) return cw_status; \
  } while (false)
