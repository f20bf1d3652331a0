// The words of a failure, for messages and the log: fmt does not know absl's own string_view.
#pragma once

#include <absl/status/status.h>

#include <string>

namespace chockwise::server {

inline std::string Why(const absl::Status& failure) { return std::string(failure.message()); }

}  // namespace chockwise::server
