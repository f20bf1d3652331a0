// The ledger as anyone may check it: verify a file offline, fetch a checkpoint, prove an entry,
// prove that the tree only grew. Every proof is checked here; the server is not taken at its word.

#include <fmt/format.h>

#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "cli-client/verbs.h"
#include "cli-client/words.h"
#include "services/ledger/checkpoint.h"
#include "services/ledger/keys.h"
#include "services/ledger/merkle.h"
#include "services/ledger/proof.h"
#include "services/ledger/verify.h"

namespace chockwise::cli {
namespace {

using Ledgers = v1::LedgerService::Stub;

struct LedgerArguments {
  std::string file, key, head, out, old;
  int64_t entry = 0;
};

ExitCode Wrong(Cli& cli, const std::string& what) {
  return cli.Say(LocalNo(grpc::StatusCode::DATA_LOSS, what), {.heading = "NOT PROVED"});
}

/// A key that cannot be had is a matter of what was typed; a signature that does not fit is not.
tl::expected<ledger::PublicKey, ExitCode> Key(Cli& cli, const std::string& path) {
  auto key = ledger::PublicKey::FromPemFile(path);
  if (key.ok()) return *key;
  const auto code = absl::IsNotFound(key.status()) ? grpc::StatusCode::NOT_FOUND
                                                   : grpc::StatusCode::INVALID_ARGUMENT;
  return tl::unexpected(
      cli.Say(LocalNo(code, std::string(key.status().message())), {.heading = "NO KEY"}));
}

std::string TextOf(const v1::Checkpoint& checkpoint) {
  return fmt::format("{}signature {}\n", checkpoint.signed_bytes(), Hex(checkpoint.signature()));
}

/// The checkpoint out of its text, with its signature judged where there is a key.
tl::expected<ledger::Checkpoint, ExitCode> Judged(Cli& cli, const std::string& text,
                                                  const std::string& key_path) {
  auto checkpoint = ledger::ParseCheckpoint(text);
  if (!checkpoint.ok())
    return tl::unexpected(Wrong(cli, std::string(checkpoint.status().message())));
  if (key_path.empty()) return *checkpoint;
  auto key = Key(cli, key_path);
  if (!key) return tl::unexpected(key.error());
  const absl::Status good = ledger::VerifyCheckpoint(*checkpoint, *key);
  if (!good.ok()) return tl::unexpected(Wrong(cli, std::string(good.message())));
  return *checkpoint;
}

tl::expected<v1::Checkpoint, ExitCode> FetchCheckpoint(Cli& cli) {
  auto yard = cli.YardName();
  if (!yard) return tl::unexpected(yard.error());
  v1::GetCheckpointRequest request;
  request.set_name(*yard);
  return cli.Fetch<Ledgers, v1::GetCheckpointRequest, v1::Checkpoint>(
      cli.session().ledger(), &Ledgers::GetCheckpoint, request);
}

tl::expected<ledger::Proof, std::string> ProofOf(
    const google::protobuf::RepeatedPtrField<std::string>& path) {
  ledger::Proof proof;
  for (const std::string& step : path) {
    ledger::Digest digest{};
    if (step.size() != digest.size())
      return tl::unexpected<std::string>("a step of the proof is not 32 bytes long");
    std::copy(step.begin(), step.end(), digest.begin());
    proof.push_back(digest);
  }
  return proof;
}

std::string SignatureNote(const std::string& key) {
  return key.empty() ? "Its signature was not judged: give --key PUB." : "Its signature is good.";
}

ExitCode Checkpoint(Cli& cli, const LedgerArguments& arguments) {
  auto checkpoint = FetchCheckpoint(cli);
  if (!checkpoint) return checkpoint.error();
  const std::string text = TextOf(*checkpoint);
  auto judged = Judged(cli, text, arguments.key);
  if (!judged) return judged.error();
  if (!arguments.out.empty()) {
    std::ofstream file(arguments.out, std::ios::binary | std::ios::trunc);
    if (!(file << text) || !file.flush()) {
      cli.io.err << arguments.out << ": could not be written\n";
      return ExitCode::kOther;
    }
  }
  cli.Show(*checkpoint, [&] {
    Lines lines = CheckpointScreen(*checkpoint, cli.style);
    lines.push_back(SignatureNote(arguments.key));
    if (!arguments.out.empty())
      lines.push_back("Kept in " + arguments.out + ". Put a copy where this server cannot reach.");
    return lines;
  });
  return ExitCode::kOk;
}

ExitCode Prove(Cli& cli, const LedgerArguments& arguments) {
  auto checkpoint = FetchCheckpoint(cli);
  if (!checkpoint) return checkpoint.error();
  auto judged = Judged(cli, TextOf(*checkpoint), arguments.key);
  if (!judged) return judged.error();
  auto name = cli.Below("entries", std::to_string(arguments.entry));
  if (!name) return name.error();
  v1::GetEntryRequest request;
  request.set_name(*name);
  request.set_tree_size(static_cast<int64_t>(judged->size));
  auto entry = cli.Fetch<Ledgers, v1::GetEntryRequest, v1::EntryWithProof>(
      cli.session().ledger(), &Ledgers::GetEntry, request);
  if (!entry) return entry.error();
  auto proof = ProofOf(entry->path());
  if (!proof) return Wrong(cli, proof.error());
  const ledger::InclusionClaim claim{.leaf = ledger::LeafHash(entry->bytes()),
                                     .index = static_cast<uint64_t>(arguments.entry),
                                     .size = judged->size,
                                     .root = judged->root};
  if (!ledger::VerifyInclusion(claim, *proof)) {
    return Wrong(cli,
                 fmt::format("entry {} is not in the tree of {} entries that the checkpoint signs",
                             arguments.entry, judged->size));
  }
  cli.Show(*entry, [&] {
    return Lines{fmt::format("Entry {} is in the tree of {} entries: proved with {} hashes.",
                             arguments.entry, judged->size, proof->size()),
                 "root " + ledger::ToHex(judged->root), SignatureNote(arguments.key)};
  });
  return ExitCode::kOk;
}

ExitCode Consistency(Cli& cli, const LedgerArguments& arguments) {
  auto text = ReadFile(arguments.old);
  if (!text) return cli.Say(LocalNo(grpc::StatusCode::NOT_FOUND, text.error()));
  auto old = Judged(cli, *text, arguments.key);
  if (!old) return old.error();
  auto checkpoint = FetchCheckpoint(cli);
  if (!checkpoint) return checkpoint.error();
  auto now = Judged(cli, TextOf(*checkpoint), arguments.key);
  if (!now) return now.error();
  if (now->id != old->id) return Wrong(cli, "the kept checkpoint is of another ledger");
  if (now->size < old->size) {
    return Wrong(cli, fmt::format("the kept checkpoint signs {} entries, the ledger has only {}",
                                  old->size, now->size));
  }
  v1::GetConsistencyProofRequest request;
  request.set_name(*cli.YardName());
  request.set_first_size(static_cast<int64_t>(old->size));
  request.set_second_size(static_cast<int64_t>(now->size));
  auto fetched = cli.Fetch<Ledgers, v1::GetConsistencyProofRequest, v1::ConsistencyProof>(
      cli.session().ledger(), &Ledgers::GetConsistencyProof, request);
  if (!fetched) return fetched.error();
  auto proof = ProofOf(fetched->path());
  if (!proof) return Wrong(cli, proof.error());
  const ledger::ConsistencyClaim claim{
      .old_size = old->size, .old_root = old->root, .new_size = now->size, .new_root = now->root};
  if (!ledger::VerifyConsistency(claim, *proof)) {
    return Wrong(cli, fmt::format("today's tree of {} entries does not extend the kept one of {}",
                                  now->size, old->size));
  }
  cli.Show(*fetched, [&] {
    return Lines{
        fmt::format("Today's tree of {} entries extends the kept one of {}.", now->size, old->size),
        "Nothing in the kept one was changed or dropped.", SignatureNote(arguments.key)};
  });
  return ExitCode::kOk;
}

nlohmann::ordered_json ToJson(const ledger::VerifyReport& report) {
  nlohmann::ordered_json json;
  json["sound"] = report.sound();
  json["entries"] = report.entries;
  json["root"] = ledger::ToHex(report.root);
  json["checkpoints"] = report.checkpoints;
  json["unsignedEntries"] = report.unsigned_entries;
  json["findings"] = nlohmann::ordered_json::array();
  for (const ledger::Finding& finding : report.findings) {
    nlohmann::ordered_json row{{"kind", ledger::FindingKindName(finding.kind)},
                               {"sentence", finding.sentence}};
    if (finding.first_seq) row["firstEntry"] = *finding.first_seq;
    if (finding.last_seq) row["lastEntry"] = *finding.last_seq;
    json["findings"].push_back(row);
  }
  json["notes"] = report.notes;
  return json;
}

ExitCode Verify(Cli& cli, const LedgerArguments& arguments) {
  if (!std::ifstream(arguments.file)) {
    return cli.Say(LocalNo(grpc::StatusCode::NOT_FOUND,
                           arguments.file + ": no such file, or it may not be read"));
  }
  auto key = Key(cli, arguments.key);
  if (!key) return key.error();
  const ledger::VerifyReport report = ledger::VerifyLedger(
      {.database_path = arguments.file, .key = &*key, .head_path = arguments.head});
  if (cli.options.json) {
    cli.PrintJson(
        ToJson(report).dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
  } else {
    cli.io.out << report.Text() << std::flush;
  }
  return report.sound() ? ExitCode::kOk : ExitCode::kLedgerWrong;
}

}  // namespace

void AddLedgerVerbs(Registry& registry) {
  auto arguments = std::make_shared<LedgerArguments>();
  CLI::App* ledger =
      registry.Add(kForDesks, "ledger", "Verify the ledger, fetch checkpoints, prove entries");
  ledger->require_subcommand(1);

  CLI::App* verify = ledger->add_subcommand(
      "verify", "Offline: a ledger file against a public key; names the first wrong entry");
  verify->add_option("file", arguments->file, "The ledger's database file")->required();
  verify->add_option("--key", arguments->key, "Public key, PEM")->required();
  verify->add_option("--head", arguments->head, "The head file kept beside the database");
  registry.Does(
      verify, [arguments](Cli& cli) { return Verify(cli, *arguments); }, Needs::kNothing);

  CLI::App* checkpoint = ledger->add_subcommand("checkpoint", "Have the tree signed as it stands");
  checkpoint->add_option("--key", arguments->key, "Public key, PEM: judges the signature");
  checkpoint->add_option("--out", arguments->out, "File to keep it in");
  registry.Does(checkpoint, [arguments](Cli& cli) { return Checkpoint(cli, *arguments); });

  CLI::App* prove =
      ledger->add_subcommand("prove", "Prove that an entry is in the tree; checked here");
  prove->add_option("entry", arguments->entry, "Number of the entry, from 0")
      ->required()
      ->check(CLI::NonNegativeNumber);
  prove->add_option("--key", arguments->key, "Public key, PEM: judges the checkpoint's signature");
  registry.Does(prove, [arguments](Cli& cli) { return Prove(cli, *arguments); });

  CLI::App* consistency = ledger->add_subcommand(
      "consistency", "Prove that today's tree extends a kept checkpoint; checked here");
  consistency
      ->add_option("checkpoint", arguments->old,
                   "File that \"ledger checkpoint --out\" wrote on an earlier day")
      ->required();
  consistency->add_option("--key", arguments->key, "Public key, PEM: judges both signatures");
  registry.Does(consistency, [arguments](Cli& cli) { return Consistency(cli, *arguments); });
}

}  // namespace chockwise::cli
