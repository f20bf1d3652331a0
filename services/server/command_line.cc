#include "services/server/command_line.h"

#include <fmt/format.h>
#include <google/protobuf/util/time_util.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <ostream>

#include "services/ledger/keys.h"

namespace chockwise::server {
namespace {

struct Texts {
  std::string data = "data";
  std::string start_time;
  std::string ledger, head, private_key, public_key, history;
  bool rehearsal = false;
  int64_t checkpoint_seconds = std::chrono::seconds(kCheckpointPeriod).count();
};

void AddCommon(CLI::App& app, CommandLine& line, Texts& texts) {
  app.set_config("--config", "", "Read options from this file (TOML or INI); flags override it");
  app.add_option("--yard", line.serve.yard_folder, "Folder with the yard's five files");
  app.add_option("--data", texts.data, "Folder for ledger, head, keys and history")
      ->capture_default_str();
  app.add_option("--ledger", texts.ledger, "The ledger's database (default: DATA/ledger.db)");
  app.add_option("--head", texts.head,
                 "The ledger's head, best on another disk (default: DATA/ledger.head)");
  app.add_option("--key", texts.private_key,
                 "Key that signs checkpoints (default: DATA/ledger.key)");
  app.add_option("--public-key", texts.public_key, "Its public half (default: DATA/ledger.pub)");
  app.add_option("--history", texts.history,
                 "What history has read, may be deleted (default: DATA/history.db)");
  app.add_flag("--rehearsal", texts.rehearsal,
               "A rehearsal: its own clock, and marked so everywhere");
  app.add_option("--listen", line.serve.listen, "host:port (port 0: any free one) or unix:/path")
      ->capture_default_str();
  app.add_option("--tls-cert", line.serve.tls.certificate_path,
                 "PEM certificate chain; required beyond this machine");
  app.add_option("--tls-key", line.serve.tls.key_path, "PEM key of the certificate");
  app.add_option("--log-level", line.serve.log_level, "trace, debug, info, warn, error or off")
      ->check(CLI::IsMember({"trace", "debug", "info", "warn", "error", "off"}))
      ->capture_default_str();
  app.add_option("--checkpoint-entries", line.serve.checkpoints.entries,
                 "Sign a checkpoint after so many entries")
      ->check(CLI::Range(int64_t{1}, int64_t{1'000'000}))
      ->capture_default_str();
  app.add_option("--checkpoint-seconds", texts.checkpoint_seconds,
                 "Sign one this long after the last, if there is news")
      ->check(CLI::Range(int64_t{1}, int64_t{86'400}))
      ->capture_default_str();
}

DataPaths PathsOf(const Texts& texts) {
  DataPaths paths = DataIn(texts.data);
  const auto put = [](const std::string& given, std::string& path) {
    if (!given.empty()) path = given;
  };
  put(texts.ledger, paths.ledger);
  put(texts.head, paths.head);
  put(texts.private_key, paths.private_key);
  put(texts.public_key, paths.public_key);
  put(texts.history, paths.history);
  return paths;
}

// False, having said why, where something is missing or cannot be.
bool Finish(CommandLine& line, const Texts& texts, std::ostream& err) {
  line.serve.data = PathsOf(texts);
  line.serve.kind = texts.rehearsal ? ledger::LedgerKind::kRehearsal : ledger::LedgerKind::kReal;
  line.serve.checkpoints.period = std::chrono::seconds(texts.checkpoint_seconds);
  line.init.yard_folder = line.serve.yard_folder;
  line.init.data = line.serve.data;
  line.init.kind = line.serve.kind;
  if (line.task != Task::kKeys && line.serve.yard_folder.empty()) {
    err << "--yard is required: the folder with the yard's five files\n";
    return false;
  }
  if (texts.start_time.empty()) return true;
  if (!texts.rehearsal) {
    err << "--start-time is for a rehearsal; a real yard's clock is the wall\n";
    return false;
  }
  google::protobuf::Timestamp start;
  if (!google::protobuf::util::TimeUtil::FromString(texts.start_time, &start)) {
    err << fmt::format("--start-time \"{}\" is not a time like 2026-11-24T06:00:00Z\n",
                       texts.start_time);
    return false;
  }
  line.init.start =
      fit::Instant::FromMicros(google::protobuf::util::TimeUtil::TimestampToMicroseconds(start));
  return true;
}

}  // namespace

ParsedLine ParseCommandLine(int argc, const char* const* argv, std::ostream& out,
                            std::ostream& err) {
  ParsedLine parsed;
  Texts texts;
  CLI::App app{"The server of a yard: releases machines to move, and keeps the record.",
               "chockwised"};
  AddCommon(app, parsed.line, texts);
  app.require_subcommand(1);
  CLI::App* init = app.add_subcommand("init", "Check a yard, make its ledger and the first token")
                       ->fallthrough();
  init->add_option("--as", parsed.line.init.person, "The safety lead who gets the first token")
      ->required();
  init->add_option("--start-time", texts.start_time,
                   "When a rehearsal begins, like 2026-11-24T06:00:00Z");
  init->add_option("--token-file", parsed.line.init.token_file,
                   "Write the token here, mode 0600, and do not print it");
  CLI::App* serve = app.add_subcommand("serve", "Serve a yard")->fallthrough();
  CLI::App* keys =
      app.add_subcommand("keys", "Make the keys of a ledger, and a certificate if asked")
          ->fallthrough();
  keys->add_option("--dir", parsed.line.keys_folder, "Where they go")->required();
  keys->add_option("--tls", parsed.line.tls_host,
                   "Also make a self-signed certificate for this host");
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    parsed.exit = app.exit(error, out, err) == 0 ? Exit::kOk : Exit::kRefused;
    return parsed;
  }
  if (init->parsed()) parsed.line.task = Task::kInit;
  if (serve->parsed()) parsed.line.task = Task::kServe;
  if (keys->parsed()) parsed.line.task = Task::kKeys;
  parsed.go_on = Finish(parsed.line, texts, err);
  if (!parsed.go_on) parsed.exit = Exit::kRefused;
  return parsed;
}

Exit ExitFor(const absl::Status& status) {
  switch (status.code()) {
    case absl::StatusCode::kOk:
      return Exit::kOk;
    case absl::StatusCode::kInvalidArgument:
    case absl::StatusCode::kNotFound:
    case absl::StatusCode::kAlreadyExists:
    case absl::StatusCode::kFailedPrecondition:
    case absl::StatusCode::kPermissionDenied:
      return Exit::kRefused;
    default:  // absl's enumeration, not ours
      return Exit::kFailed;
  }
}

Exit RunInit(const InitOptions& options, std::ostream& out, std::ostream& err) {
  const absl::StatusOr<InitReport> report = InitYard(options);
  if (!report.ok()) {
    err << report.status().message() << "\n";
    return ExitFor(report.status());
  }
  const bool rehearsal = options.kind == ledger::LedgerKind::kRehearsal;
  out << fmt::format("{}ledger of yard {} made: {}\n", rehearsal ? "REHEARSAL: " : "", report->yard,
                     options.data.ledger);
  out << fmt::format("public key {}\n  in {}: give it to whoever checks the ledger\n",
                     report->public_key, options.data.public_key);
  if (options.token_file.empty()) {
    out << fmt::format("token of {} (shown once, kept nowhere): {}\n", options.person,
                       report->secret);
  } else {
    out << fmt::format("token of {} written to {}\n", options.person, options.token_file);
  }
  return Exit::kOk;
}

Exit RunKeys(const CommandLine& line, std::ostream& out, std::ostream& err) {
  const std::filesystem::path folder(line.keys_folder);
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (error) {
    err << fmt::format("cannot make {}: {}\n", line.keys_folder, error.message());
    return Exit::kFailed;
  }
  const ledger::KeyPaths paths{.private_path = folder / "ledger.key",
                               .public_path = folder / "ledger.pub"};
  const absl::StatusOr<ledger::SigningKey> key = ledger::LoadOrCreateKey(paths);
  if (!key.ok()) {
    err << key.status().message() << "\n";
    return ExitFor(key.status());
  }
  out << fmt::format("ledger key {}, public half {} ({})\n", paths.private_path, paths.public_path,
                     key->Public().Name());
  if (line.tls_host.empty()) return Exit::kOk;
  const SelfSigned wanted{
      .files = {.certificate_path = folder / "tls.crt", .key_path = folder / "tls.key"},
      .host_name = line.tls_host};
  if (const absl::Status made = MakeSelfSigned(wanted); !made.ok()) {
    err << made.message() << "\n";
    return ExitFor(made);
  }
  out << fmt::format("certificate {} for {}, key {}; clients need the certificate\n",
                     wanted.files.certificate_path, line.tls_host, wanted.files.key_path);
  return Exit::kOk;
}

}  // namespace chockwise::server
