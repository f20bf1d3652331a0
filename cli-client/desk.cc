// The desk: tokens, identity, versions of the yard, the clock of a rehearsal.

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <memory>
#include <ostream>

#include "cli-client/times.h"
#include "cli-client/verbs.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

using People = v1::PeopleService::Stub;

/// Writes a secret where only its owner reads it; never over a file that is there.
bool WriteSecret(const std::string& path, const std::string& secret) {
  const int file = open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  if (file < 0) return false;
  const std::string line = secret + "\n";
  const bool written = write(file, line.data(), line.size()) == static_cast<ssize_t>(line.size());
  return close(file) == 0 && written;
}

ExitCode Issue(Cli& cli, v1::IssueTokenRequest request, const std::string& path) {
  auto yard = cli.YardName();
  if (!yard) return yard.error();
  request.set_parent(*yard);
  if (!path.empty() && std::filesystem::exists(path)) {
    return cli.Usage(fmt::format("--out {}: is there already; name a new file", path));
  }
  auto issued = cli.Record<People, v1::IssueTokenRequest, v1::IssuedToken>(
      cli.session().people(), &People::IssueToken, request, {.heading = "NO TOKEN ISSUED"});
  if (!issued) return issued.error();
  const bool kept = path.empty() || WriteSecret(path, issued->secret());
  if (!path.empty()) issued->clear_secret();
  cli.Show(*issued, [&] {
    Lines lines{fmt::format("Token {} for {}, until {}.", LastPart(issued->token().name()),
                            issued->token().person(), DateAndClock(issued->token().expire_time()))};
    if (path.empty()) {
      lines.push_back(issued->secret());
      lines.emplace_back("Hand it over now: it is shown this once and kept nowhere.");
    } else if (kept) {
      lines.push_back(fmt::format("Its secret is in {}, readable by you alone.", path));
    }
    return lines;
  });
  if (kept) return ExitCode::kOk;
  cli.io.err << fmt::format("{} could not be written: revoke this token and issue another.\n",
                            path);
  return ExitCode::kOther;
}

ExitCode ListTokens(Cli& cli) {
  auto yard = cli.YardName();
  if (!yard) return yard.error();
  v1::ListTokensRequest request;
  request.set_parent(*yard);
  request.set_page_size(200);
  v1::ListTokensResponse all;
  do {
    v1::ListTokensResponse page;
    const grpc::Status status =
        cli.session().Call(cli.session().people(), &People::ListTokens, request, page);
    if (!status.ok()) return cli.Say(ReadNo(status));
    all.mutable_tokens()->MergeFrom(page.tokens());
    request.set_page_token(page.next_page_token());
  } while (!request.page_token().empty());
  cli.Show(all, [&] {
    return TokensScreen({all.tokens().begin(), all.tokens().end()}, cli.style);
  });
  return ExitCode::kOk;
}

ExitCode Revoke(Cli& cli, const std::string& token) {
  auto name = cli.Below("tokens", token);
  if (!name) return name.error();
  v1::RevokeTokenRequest request;
  request.set_name(*name);
  return cli.Write<People, v1::RevokeTokenRequest, v1::Token>(
      cli.session().people(), &People::RevokeToken, request, {.heading = "NOT REVOKED"},
      [&](const v1::Token& revoked) { return TokensScreen({revoked}, cli.style); });
}

ExitCode Advance(Cli& cli, const std::string& span) {
  auto by = ReadSpan(span);
  if (!by) return cli.Usage(by.error());
  v1::AdvanceClockRequest request;
  *request.mutable_by() = *by;
  return cli.Read<v1::RehearsalService::Stub, v1::AdvanceClockRequest, v1::AdvanceClockResponse>(
      cli.session().rehearsals(), &v1::RehearsalService::Stub::AdvanceClock, request,
      {.heading = "CLOCK NOT MOVED"}, [&](const v1::AdvanceClockResponse& now) {
        return Lines{fmt::format("It is {}.", DateAndClock(now.time()))};
      });
}

bool WriteFiles(const std::string& folder, const v1::YardVersion& version) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  for (const auto& [name, bytes] : version.files()) {
    const std::filesystem::path path =
        std::filesystem::path(folder) / std::filesystem::path(name).filename();
    std::ofstream file(path, std::ios::binary | std::ios::trunc);
    if (!(file << bytes) || !file.flush()) return false;
  }
  return true;
}

/// Law 11: what a release stood on can be shown again exactly as it was.
ExitCode Version(Cli& cli, const std::string& number, const std::string& folder) {
  auto name = cli.Below("versions", number);
  if (!name) return name.error();
  v1::GetYardVersionRequest request;
  request.set_name(*name);
  auto version = cli.Fetch<v1::YardService::Stub, v1::GetYardVersionRequest, v1::YardVersion>(
      cli.session().yards(), &v1::YardService::Stub::GetYardVersion, request);
  if (!version) return version.error();
  cli.Show(*version, [&] {
    Lines lines{fmt::format("Version {} of the yard, loaded by {} at {}", LastPart(version->name()),
                            version->loaded_by(), DateAndClock(version->load_time())),
                "SHA-256 " + version->digest()};
    for (const auto& [file, bytes] :
         std::map<std::string, std::string>(version->files().begin(), version->files().end())) {
      lines.push_back(fmt::format("  {}  {} bytes", Padded(file, 20), bytes.size()));
    }
    return lines;
  });
  if (folder.empty() || WriteFiles(folder, *version)) return ExitCode::kOk;
  cli.io.err << fmt::format("{}: could not be written\n", folder);
  return ExitCode::kOther;
}

}  // namespace

void AddDeskVerbs(Registry& registry) {
  struct Arguments {
    std::string person, out, token, span, version, folder;
    int days = 0;
  };
  auto arguments = std::make_shared<Arguments>();

  registry.Does(registry.Add(kForAll, "whoami", "Who you are to the server, and your roles"),
                [](Cli& cli) {
                  auto me = cli.Me();
                  if (!me) return me.error();
                  cli.Show(*me, [&] { return IdentityScreen(*me, cli.style); });
                  return ExitCode::kOk;
                });

  CLI::App* token = registry.Add(kForDesks, "token", "Issue, list and revoke the tokens of people");
  token->require_subcommand(1);
  CLI::App* issue = token->add_subcommand("issue", "Issue a token; its secret is shown once");
  issue->add_option("person", arguments->person, "Id of the person")->required();
  issue->add_option("--days", arguments->days, "Days until it ends, 1 to 400; left out: 180")
      ->check(CLI::Range(1, 400));
  issue->add_option("--out", arguments->out, "New file for the secret, instead of the screen");
  registry.Does(issue, [arguments](Cli& cli) {
    v1::IssueTokenRequest request;
    request.set_person(arguments->person);
    request.set_days(arguments->days);
    return Issue(cli, request, arguments->out);
  });
  registry.Does(token->add_subcommand("list", "Tokens by number, without secrets"), ListTokens);
  CLI::App* revoke = token->add_subcommand("revoke", "End a token at once");
  revoke->add_option("number", arguments->token, "Number of the token")->required();
  registry.Does(revoke, [arguments](Cli& cli) { return Revoke(cli, arguments->token); });

  CLI::App* rehearsal = registry.Add(kForDesks, "rehearsal", "The clock of a rehearsal");
  rehearsal->require_subcommand(1);
  CLI::App* advance = rehearsal->add_subcommand("advance", "Move the clock of a rehearsal forward");
  advance->add_option("by", arguments->span, "How far, with its unit: 6m, 1h30m")->required();
  registry.Does(advance, [arguments](Cli& cli) { return Advance(cli, arguments->span); });

  CLI::App* version = registry.Add(kForDesks, "yard-version",
                                   "The yard's files exactly as a release stood on them");
  version->add_option("number", arguments->version, "Number of the version, from 1")->required();
  version->add_option("--out", arguments->folder, "Folder to write the files to");
  registry.Does(version, [arguments](Cli& cli) {
    return Version(cli, arguments->version, arguments->folder);
  });
}

}  // namespace chockwise::cli
