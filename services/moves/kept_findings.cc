#include "services/moves/kept_findings.h"

#include <algorithm>
#include <set>

#include "services/moves/limits.h"
#include "services/yard/parameters.h"

namespace chockwise::moves {
namespace {

/// How long readings count, for any gate of the yard.
std::set<Duration> AgesAsked(const yard::Yard& yard) {
  std::set<Duration> ages;
  for (const v1::GateRule& gate : yard.rules.gates()) {
    if (gate.has_computed()) ages.insert(yard::AgeParameter(gate.computed().parameters()));
  }
  return ages;
}

std::vector<Instant> TurnsOf(const yard::Yard& yard) {
  std::set<Instant> turns;
  const std::set<Duration> ages = AgesAsked(yard);
  const auto add = [&](Instant taken) {
    turns.insert(taken);
    // It still counts when it is exactly as old as it may be.
    for (const Duration age : ages) turns.insert(taken + age + Duration::FromMicros(1));
  };
  for (const yard::Measurement& reading : yard.measurements.all()) add(reading.when);
  if (yard.survey) add(yard.survey->when);
  return {turns.begin(), turns.end()};
}

}  // namespace

KeptFindings::KeptFindings(std::shared_ptr<const yard::Yard> yard) : yard_(std::move(yard)) {}

ComputedFinding KeptFindings::Find(const std::string& question, Instant now,
                                   const std::function<ComputedFinding()>& ask) {
  if (!turns_) turns_ = TurnsOf(*yard_);
  const auto passed = static_cast<size_t>(std::ranges::upper_bound(*turns_, now) - turns_->begin());
  if (passed != turn_ || found_.size() >= kMaxKeptFindings) found_.clear();
  turn_ = passed;
  const auto [kept, is_new] = found_.try_emplace(question);
  if (is_new) kept->second = ask();
  return kept->second;
}

}  // namespace chockwise::moves
