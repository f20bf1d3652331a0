// Page tokens: where a list went on, bound to the list that was asked for. The server's own lists
// use them too.
//
// A token holds the last number that was shown and 8 bytes of a hash over the request (all but
// page_size and page_token) and the ledger's id. It is no secret: whoever makes one up sees what
// the list would have shown anyway.
#pragma once

#include <absl/status/statusor.h>
#include <google/protobuf/message.h>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace chockwise::history {

/// The last number shown, and the request that was answered.
std::string MakePageToken(int64_t last, const google::protobuf::Message& request,
                          std::string_view ledger_id);

/// The last number shown; unset where there is no token. INVALID_ARGUMENT for a token of another
/// request.
absl::StatusOr<std::optional<int64_t>> ReadPageToken(const std::string& token,
                                                     const google::protobuf::Message& request,
                                                     std::string_view ledger_id);

}  // namespace chockwise::history
