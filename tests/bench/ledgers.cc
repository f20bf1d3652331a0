#include "tests/bench/ledgers.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <random>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "services/ledger/keys.h"
#include "services/ledger/ledger.h"
#include "services/server/server.h"

namespace chockwise::bench {
namespace {

void Check(const absl::Status& status) {
  if (status.ok()) return;
  fmt::print(stderr, "bench: {}\n", status.ToString());
  std::exit(1);
}

}  // namespace

void GrowLedger(const std::string& data, const std::string& yard_id, int64_t entries) {
  const server::DataPaths paths = server::DataIn(data);
  auto key = ledger::SigningKey::FromPemFile(paths.private_key);
  Check(key.status());
  int64_t last_time_us = 0, moves = 0;
  auto opened = ledger::Ledger::Open(
      {.database_path = paths.ledger,
       .head_path = paths.head,
       .yard = yard_id,
       .key = std::move(*key),
       .mode = ledger::OpenMode::kExisting},
      [&](uint64_t, std::string_view bytes) {
        v1::Entry entry;
        if (!entry.ParseFromArray(bytes.data(), static_cast<int>(bytes.size())))
          return absl::DataLossError("not an entry");
        last_time_us = std::max(last_time_us, entry.time_us());
        moves = std::max(moves, entry.move());
        return absl::OkStatus();
      });
  Check(opened.status());
  std::mt19937_64 random(42);
  std::vector<std::string> batch;
  auto size = static_cast<int64_t>((*opened)->head().size);
  while (size < entries) {
    batch.clear();
    for (int i = 0; i < 1'000 && size < entries; ++i, ++size) {
      v1::Entry entry;
      entry.set_time_us(last_time_us += 1'000);
      entry.set_person("tam");
      std::string id(16, '\0');
      for (char& byte : id) byte = static_cast<char>(random());
      entry.set_request_id(id);
      entry.set_request_digest(id);
      entry.set_move(1 + size % moves);
      entry.set_move_state(v1::MOVE_STATE_REQUESTED);
      entry.mutable_gate_confirmed()->set_gate_id("brake-and-tags");
      entry.mutable_gate_confirmed()->set_phase(v1::PHASE_START);
      entry.mutable_gate_confirmed()->add_parties(v1::PARTY_DRIVER);
      batch.push_back(entry.SerializeAsString());
    }
    Check((*opened)->Append(batch).status());
  }
  Check((*opened)->SignCheckpoint(last_time_us).status());
}

}  // namespace chockwise::bench
