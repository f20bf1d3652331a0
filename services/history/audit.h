// The audit: every release judged again from the ledger alone, by a second implementation of the
// laws that shares no code with the one that gave the release. It is slow and obvious on purpose;
// where the two disagree, one of them is wrong.
//
// What a finding's rule may be: "law 1" … "law 11", or one of "states" (a step that the life of a
// move does not have), "right people" (a word that was not this person's to give), "time" (an entry
// before its predecessor), "request ids" (one request recorded twice), "record" (bytes that are no
// entry).
//
// An Auditor belongs to one thread. Memory: the open moves, one version of the yard, 16 bytes a
// request id, and at most kMaxFindings findings. Time: a few seconds per million entries.
//
//   Auditor auditor;
//   for (...) auditor.Take(number, bytes);
//   AuditReport report = auditor.Finish();
//   std::cout << report.Text();
//
// It does not check hashes and signatures: ledger verify does.
#pragma once

#include <absl/status/statusor.h>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "services/ledger/reader.h"

namespace chockwise::history {

/// Findings kept; further ones are counted.
inline constexpr size_t kMaxFindings = 1000;

struct AuditFinding {
  int64_t entry = 0;     ///< the entry that should not have been recorded as it was
  int64_t move = 0;      ///< 0: the whole yard
  std::string rule;      ///< see above
  std::string gate_id;   ///< empty where no gate is meant
  std::string sentence;  ///< for a safety lead: what was wrong, with the numbers behind it
  bool operator==(const AuditFinding&) const = default;
};

/// What was looked at, so that "no finding" has a size.
struct AuditCounts {
  int64_t entries = 0;  ///< the genesis not counted
  int64_t yard_versions = 0;
  int64_t moves = 0;
  int64_t words = 0;
  int64_t releases = 0;
  int64_t first_motions = 0;
  int64_t closes = 0;
  int64_t stops = 0;
  int64_t gates_judged = 0;  ///< once for each release, first motion and close
};

struct AuditReport {
  bool sound() const { return findings.empty(); }
  std::vector<AuditFinding> findings;  ///< by entry
  int64_t findings_left_out = 0;
  AuditCounts counts;

  /// One line a finding, and a last line that says what was looked at.
  std::string Text() const;
};

class Auditor {
 public:
  Auditor();
  ~Auditor();
  Auditor(const Auditor&) = delete;
  Auditor& operator=(const Auditor&) = delete;

  /// The entries in order, from 0 or from 1. Entry 0 is the genesis and says nothing about moves.
  void Take(int64_t number, std::string_view bytes);
  /// What was found until now, in the order found. Requests recorded twice are only found at the
  /// end. Good until the next Take().
  const std::vector<AuditFinding>& FindingsSoFar() const;
  /// Once, at the end.
  AuditReport Finish();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

/// All entries of a ledger. Errors: those of the reader.
absl::StatusOr<AuditReport> AuditLedger(ledger::Reader& reader);

}  // namespace chockwise::history
