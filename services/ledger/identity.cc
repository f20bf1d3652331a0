#include "services/ledger/identity.h"

#include <fmt/format.h>
#include <openssl/rand.h>

#include <algorithm>

#include "services/ledger/limits.h"
#include "services/ledger/lines.h"
#include "services/ledger/sha256.h"

namespace chockwise::ledger {
namespace {

constexpr std::string_view kTitle = "chockwise ledger 1";

}  // namespace

std::string_view KindName(LedgerKind kind) {
  switch (kind) {
    case LedgerKind::kReal:
      return "REAL";
    case LedgerKind::kRehearsal:
      return "REHEARSAL";
  }
  return "";
}

absl::StatusOr<LedgerId> NewLedgerId() {
  LedgerId id;
  if (RAND_bytes(id.data(), static_cast<int>(id.size())) != 1) {
    return absl::UnavailableError("the system gave no randomness for a ledger id");
  }
  return id;
}

absl::Status CheckYardName(std::string_view yard) {
  const bool printable = std::ranges::all_of(yard, [](char c) { return c >= ' ' && c <= '~'; });
  if (yard.empty() || yard.size() > kMaxYardNameBytes || !printable) {
    return absl::InvalidArgumentError(
        fmt::format("a yard's name in the ledger is 1 to {} printable ASCII characters; this one "
                    "has {} bytes{}",
                    kMaxYardNameBytes, yard.size(), printable ? "" : ", not all printable"));
  }
  return absl::OkStatus();
}

std::string GenesisBytes(const Identity& identity) {
  return fmt::format("{}\nid {}\nyard {}\nkind {}\ncreated_micros {}\n", kTitle, ToHex(identity.id),
                     identity.yard, KindName(identity.kind), identity.created_micros);
}

std::optional<Identity> ParseGenesis(std::string_view bytes) {
  LineReader lines(bytes);
  Identity identity;
  lines.Title(kTitle);
  lines.Hex("id", identity.id);
  identity.yard = lines.Text("yard");
  identity.kind = lines.Kind("kind");
  identity.created_micros = lines.Number<int64_t>("created_micros");
  if (!lines.ok() || !CheckYardName(identity.yard).ok() || GenesisBytes(identity) != bytes)
    return std::nullopt;
  return identity;
}

}  // namespace chockwise::ledger
