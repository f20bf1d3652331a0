#include "services/history/audit.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>

#include "services/history/audit_replay.h"
#include "services/ledger/limits.h"

namespace chockwise::history {
namespace {

/// A request as its person and id: 64 bits are enough to tell a few million apart. Two that fall
/// together by chance give a finding that is wrong, at odds of 1 to 30 million for a million
/// requests.
struct SeenRequest {
  size_t hash = 0;
  int64_t entry = 0;
  auto operator<=>(const SeenRequest&) const = default;
};

}  // namespace

struct Auditor::Impl {
  Replay replay;
  v1::Entry entry;  // its memory is used again for the next one
  std::vector<SeenRequest> requests;
};

Auditor::Auditor() : impl_(std::make_unique<Impl>()) {}
Auditor::~Auditor() = default;

void Auditor::Take(int64_t number, std::string_view bytes) {
  if (number == 0) return;
  if (!impl_->entry.ParseFromArray(bytes.data(), static_cast<int>(bytes.size()))) {
    impl_->replay.NoEntry(number);
    return;
  }
  const v1::Entry& entry = impl_->entry;
  if (!entry.request_id().empty()) {
    impl_->requests.push_back(
        {std::hash<std::string>{}(entry.person() + '\0' + entry.request_id()), number});
  }
  impl_->replay.Take(number, entry);
}

const std::vector<AuditFinding>& Auditor::FindingsSoFar() const { return impl_->replay.findings(); }

AuditReport Auditor::Finish() {
  std::ranges::sort(impl_->requests);
  for (size_t i = 1; i < impl_->requests.size(); ++i) {
    const SeenRequest& before = impl_->requests[i - 1];
    const SeenRequest& again = impl_->requests[i];
    if (before.hash != again.hash) continue;
    impl_->replay.Add(
        {.entry = again.entry,
         .move = 0,
         .rule = "request ids",
         .gate_id = "",
         .sentence = fmt::format("the same request of the same person as entry {}, recorded again",
                                 before.entry)});
  }
  AuditReport report;
  report.findings = impl_->replay.TakeFindings();
  report.findings_left_out = impl_->replay.findings_left_out();
  report.counts = impl_->replay.counts();
  std::ranges::stable_sort(report.findings, {}, &AuditFinding::entry);
  return report;
}

std::string AuditReport::Text() const {
  std::string text;
  for (const AuditFinding& finding : findings) {
    text += fmt::format("entry {}", finding.entry);
    if (finding.move != 0) text += fmt::format(", move {}", finding.move);
    text += ": " + finding.rule;
    if (!finding.gate_id.empty()) text += ", gate " + finding.gate_id;
    text += ": " + finding.sentence + "\n";
  }
  if (findings_left_out != 0) text += fmt::format("and {} more findings\n", findings_left_out);
  text += fmt::format(
      "{}: {} entries, {} yard versions, {} moves, {} words, {} releases, {} first motions, {} "
      "closes, {} stops, {} gates "
      "judged\n",
      sound() ? "nothing found"
              : fmt::format("{} found", static_cast<int64_t>(findings.size()) + findings_left_out),
      counts.entries, counts.yard_versions, counts.moves, counts.words, counts.releases,
      counts.first_motions, counts.closes, counts.stops, counts.gates_judged);
  return text;
}

absl::StatusOr<AuditReport> AuditLedger(ledger::Reader& reader) {
  Auditor auditor;
  uint64_t next = 0;
  while (true) {
    auto page = reader.Read(next, ledger::kMaxReadEntries);
    if (!page.ok()) return page.status();
    if (page->empty()) break;
    for (const ledger::Entry& entry : *page)
      auditor.Take(static_cast<int64_t>(entry.seq), entry.bytes);
    next = page->back().seq + 1;
  }
  return auditor.Finish();
}

}  // namespace chockwise::history
