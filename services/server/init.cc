#include "services/server/init.h"

#include <fmt/format.h>

#include <filesystem>

#include "services/ledger/files.h"
#include "services/moves/apply.h"
#include "services/moves/decide.h"
#include "services/server/secrets.h"
#include "services/server/yard_folder.h"
#include "services/server/yard_loading.h"
#include "services/yard/computations.h"

namespace chockwise::server {
namespace {

constexpr int kFirstTokenDays = 180;

absl::StatusOr<yard::Yard> CheckYard(const yard::YardFiles& files) {
  auto yard = yard::ReadYard(files, yard::BaseRulesText(), yard::KnownComputations());
  if (yard) return *std::move(yard);
  std::string text = fmt::format("the yard has {} complaint{}:", yard.error().size(),
                                 yard.error().size() == 1 ? "" : "s");
  for (const yard::Complaint& complaint : yard.error()) text += "\n" + complaint.Text();
  return absl::InvalidArgumentError(text);
}

absl::Status CheckPerson(const yard::Yard& yard, const std::string& id) {
  const yard::Person* person = yard.FindPerson(id);
  if (person != nullptr && person->roles.count(yard::Role::kSafetyLead) > 0)
    return absl::OkStatus();
  std::string leads;
  for (const auto& [other, held] : yard.people) {
    if (held.roles.count(yard::Role::kSafetyLead) > 0)
      leads += (leads.empty() ? "" : ", ") + other.value();
  }
  return absl::FailedPreconditionError(fmt::format(
      "\"{}\" is not a safety lead of this yard; the first token goes to one: {}", id, leads));
}

absl::Status CheckNothingThere(const InitOptions& options) {
  for (const std::string& path : {options.data.ledger, options.data.head, options.token_file}) {
    if (!path.empty() && ledger::FileExists(path)) {
      return absl::AlreadyExistsError(
          fmt::format("there is a {} already; nothing was changed. A ledger is never begun anew on "
                      "its old files",
                      path));
    }
  }
  return absl::OkStatus();
}

absl::Status MakeFolders(const DataPaths& data) {
  for (const std::string& path :
       {data.ledger, data.head, data.private_key, data.public_key, data.history}) {
    const std::filesystem::path folder = std::filesystem::path(path).parent_path();
    std::error_code error;
    if (!folder.empty()) std::filesystem::create_directories(folder, error);
    if (error)
      return absl::UnavailableError(
          fmt::format("cannot make {}: {}", folder.string(), error.message()));
  }
  return absl::OkStatus();
}

// Judges, applies and serialises one command of the new yard's safety lead.
absl::Status Take(moves::YardState& state, v1::Command command, fit::Instant now,
                  std::vector<std::string>& entries) {
  const moves::Outcome<moves::Entries> outcome = moves::Decide(state, command, now);
  if (!outcome) {
    const auto& violations = outcome.error().violations;
    return absl::FailedPreconditionError(violations.empty() ? outcome.error().problem
                                                            : violations.front().problem());
  }
  for (const v1::Entry& entry : *outcome) {
    moves::Apply(state, entry);
    entries.push_back(entry.SerializeAsString());
  }
  return absl::OkStatus();
}

absl::Status WriteFirst(const ledger::LedgerOptions& options,
                        const std::vector<std::string>& entries, fit::Instant now) {
  ledger::LedgerOptions create = options;
  create.mode = ledger::OpenMode::kCreateIfMissing;
  auto made =
      ledger::Ledger::Open(create, [](uint64_t, std::string_view) { return absl::OkStatus(); });
  if (!made.ok()) return made.status();
  const absl::StatusOr<ledger::Head> head = (*made)->Append(entries);
  if (!head.ok()) return head.status();
  if (absl::Status written = (*made)->WriteHead(*head); !written.ok()) return written;
  return (*made)->SignCheckpoint(now.micros()).status();
}

}  // namespace

absl::StatusOr<InitReport> InitYard(const InitOptions& options) {
  const absl::StatusOr<yard::YardFiles> files = ReadYardFolder(options.yard_folder);
  if (!files.ok()) return files.status();
  const absl::StatusOr<yard::Yard> yard = CheckYard(*files);
  if (!yard.ok()) return yard.status();
  if (absl::Status person = CheckPerson(*yard, options.person); !person.ok()) return person;
  if (absl::Status nothing = CheckNothingThere(options); !nothing.ok()) return nothing;
  const absl::StatusOr<std::string> secret = NewSecret();
  if (!secret.ok()) return secret.status();

  const fit::Instant now = options.start.value_or(MachineReadings().wall());
  InitReport report{.yard = yard->id,
                    .secret = *secret,
                    .token_expires = now + fit::Days(kFirstTokenDays),
                    .public_key = ""};
  moves::YardState state;
  std::vector<std::string> entries;
  v1::Command load;
  load.set_person(options.person);
  PutFilesInto(*files, *load.mutable_load_yard());
  if (absl::Status taken = Take(state, load, now, entries); !taken.ok()) return taken;
  v1::Command issue;
  issue.set_person(options.person);
  issue.mutable_issue_token()->set_person(options.person);
  issue.mutable_issue_token()->set_secret_hash(SecretHash(*secret));
  issue.mutable_issue_token()->set_expire_time_us(report.token_expires.micros());
  if (absl::Status taken = Take(state, issue, now, entries); !taken.ok()) return taken;

  // Nothing is written before everything that a person can have got wrong was looked at.
  if (absl::Status made = MakeFolders(options.data); !made.ok()) return made;
  absl::StatusOr<ledger::SigningKey> key = ledger::LoadOrCreateKey(
      {.private_path = options.data.private_key, .public_path = options.data.public_key});
  if (!key.ok()) return key.status();
  report.public_key = key->Public().Name();
  if (!options.token_file.empty()) {
    absl::Status kept =
        ledger::WriteNewFile({.path = options.token_file, .mode = 0600}, *secret + "\n");
    if (!kept.ok()) return kept;
  }
  ledger::LedgerOptions made;
  made.database_path = options.data.ledger;
  made.head_path = options.data.head;
  made.yard = yard->id;
  made.kind = options.kind;
  made.key = *std::move(key);
  made.now_micros = now.micros();
  if (absl::Status written = WriteFirst(made, entries, now); !written.ok()) return written;
  return report;
}

}  // namespace chockwise::server
