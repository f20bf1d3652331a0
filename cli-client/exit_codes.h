// What the exit code of `chockwise` means. Scripts trust these numbers: they are never given
// another meaning, and new ones are only added behind the last. `chockwise help exit-codes` prints
// this table.
//
//   chockwise release 14; case $? in 0) ...;; 1) ...;; esac
#pragma once

#include <array>
#include <string_view>

namespace chockwise::cli {

enum class ExitCode {
  kOk = 0,
  kRefused = 1,
  kUsage = 2,
  kNotFound = 3,
  kNotAllowed = 4,
  kServerAway = 5,
  kLedgerWrong = 6,
  kOther = 7,
};

struct ExitCodeMeaning {
  ExitCode code;
  std::string_view name;     // in --json, as "exitName"
  std::string_view meaning;  // at most 60 columns
};

inline constexpr std::array<ExitCodeMeaning, 8> kExitCodes{{
    {ExitCode::kOk, "ok", "done"},
    {ExitCode::kRefused, "refused", "the rules say no: gates not clear, or not now, or not so"},
    {ExitCode::kUsage, "usage", "what was typed cannot be read; nothing was recorded"},
    {ExitCode::kNotFound, "not-found", "no such move, machine, door, person, entry or file"},
    {ExitCode::kNotAllowed, "not-allowed", "no valid token, or not this person's to do"},
    {ExitCode::kServerAway, "server-away",
     "the server is away, too busy or too late: no new release"},
    {ExitCode::kLedgerWrong, "ledger-wrong",
     "the ledger or a proof is wrong, or entries are missing"},
    {ExitCode::kOther, "other", "anything else"},
}};

constexpr const ExitCodeMeaning& Meaning(ExitCode code) {
  return kExitCodes.at(static_cast<std::size_t>(code));
}

}  // namespace chockwise::cli
