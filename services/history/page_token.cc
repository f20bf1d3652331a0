#include "services/history/page_token.h"

#include <google/protobuf/io/coded_stream.h>
#include <google/protobuf/io/zero_copy_stream_impl_lite.h>

#include <algorithm>
#include <array>
#include <limits>
#include <memory>

#include "services/ledger/sha256.h"

namespace chockwise::history {
namespace {

constexpr size_t kHalf = 8;
using TokenBytes = std::array<uint8_t, 2 * kHalf>;

/// What the token is bound to. Names and filters count; how much is shown at once, and from where,
/// does not.
ledger::Digest BindingOf(const google::protobuf::Message& request, std::string_view ledger_id) {
  std::unique_ptr<google::protobuf::Message> query(request.New());
  query->CopyFrom(request);
  for (const char* field : {"page_size", "page_token"}) {
    query->GetReflection()->ClearField(query.get(), query->GetDescriptor()->FindFieldByName(field));
  }
  std::string bytes;
  {
    google::protobuf::io::StringOutputStream stream(&bytes);
    google::protobuf::io::CodedOutputStream coded(&stream);
    coded.SetSerializationDeterministic(true);
    query->SerializeToCodedStream(&coded);
  }
  return ledger::Sha256(
      {query->GetDescriptor()->full_name(), std::string_view("\0", 1), ledger_id, bytes});
}

}  // namespace

std::string MakePageToken(int64_t last, const google::protobuf::Message& request,
                          std::string_view ledger_id) {
  TokenBytes token{};
  for (size_t i = 0; i < kHalf; ++i)
    token[i] = static_cast<uint8_t>(static_cast<uint64_t>(last) >> (56 - 8 * i));
  const ledger::Digest binding = BindingOf(request, ledger_id);
  std::copy_n(binding.begin(), kHalf, token.begin() + kHalf);
  return ledger::ToHex(token);
}

absl::StatusOr<std::optional<int64_t>> ReadPageToken(const std::string& token,
                                                     const google::protobuf::Message& request,
                                                     std::string_view ledger_id) {
  if (token.empty()) return std::nullopt;
  TokenBytes bytes{};
  const ledger::Digest binding = BindingOf(request, ledger_id);
  if (!ledger::FromHex(token, bytes) ||
      !std::equal(bytes.begin() + kHalf, bytes.end(), binding.begin())) {
    return absl::InvalidArgumentError(
        "page_token: it is not from the page before of this request; give the same filters, or "
        "none to begin anew");
  }
  uint64_t last = 0;
  for (size_t i = 0; i < kHalf; ++i) last = last << 8 | bytes[i];
  if (last > static_cast<uint64_t>(std::numeric_limits<int64_t>::max())) {
    return absl::InvalidArgumentError("page_token: it is no token of this service");
  }
  return static_cast<int64_t>(last);
}

}  // namespace chockwise::history
