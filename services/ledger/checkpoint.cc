#include "services/ledger/checkpoint.h"

#include <fmt/format.h>

#include "services/ledger/limits.h"
#include "services/ledger/lines.h"

namespace chockwise::ledger {
namespace {

constexpr std::string_view kTitle = "chockwise checkpoint 1";

std::string SignedText(const Checkpoint& checkpoint) {
  return fmt::format(
      "{}\nid {}\nyard {}\nkind {}\nnumber {}\nsize {}\nroot {}\ntime_micros {}\nkey {}\n", kTitle,
      ToHex(checkpoint.id), checkpoint.yard, KindName(checkpoint.kind), checkpoint.number,
      checkpoint.size, ToHex(checkpoint.root), checkpoint.time_micros, ToHex(checkpoint.key));
}

}  // namespace

absl::StatusOr<Checkpoint> SignCheckpoint(Checkpoint checkpoint, const SigningKey& key) {
  checkpoint.key = key.Public().raw();
  absl::StatusOr<Signature> signature = key.Sign(SignedText(checkpoint));
  if (!signature.ok()) return signature.status();
  checkpoint.signature = *signature;
  return checkpoint;
}

std::string CheckpointText(const Checkpoint& checkpoint) {
  return fmt::format("{}signature {}\n", SignedText(checkpoint), ToHex(checkpoint.signature));
}

absl::StatusOr<Checkpoint> ParseCheckpoint(std::string_view text) {
  LineReader lines(text.substr(0, kMaxCheckpointBytes));
  Checkpoint checkpoint;
  lines.Title(kTitle);
  lines.Hex("id", checkpoint.id);
  checkpoint.yard = lines.Text("yard");
  checkpoint.kind = lines.Kind("kind");
  checkpoint.number = lines.Number<uint64_t>("number");
  checkpoint.size = lines.Number<uint64_t>("size");
  lines.Hex("root", checkpoint.root);
  checkpoint.time_micros = lines.Number<int64_t>("time_micros");
  lines.Hex("key", checkpoint.key);
  lines.Hex("signature", checkpoint.signature);
  if (!lines.ok() || !CheckYardName(checkpoint.yard).ok() || CheckpointText(checkpoint) != text) {
    return absl::InvalidArgumentError("not the text of a checkpoint");
  }
  return checkpoint;
}

absl::Status VerifyCheckpoint(const Checkpoint& checkpoint, const PublicKey& key) {
  if (checkpoint.key != key.raw()) {
    return absl::FailedPreconditionError(
        fmt::format("it is signed with the key {}, and the key given is {}", ToHex(checkpoint.key),
                    key.Name()));
  }
  if (!key.Verify(SignedText(checkpoint), checkpoint.signature)) {
    return absl::DataLossError(
        "its signature is not of its text: the text or the signature was changed");
  }
  return absl::OkStatus();
}

}  // namespace chockwise::ledger
