// Whole shifts from printed numbers. After every step the independent audit has found nothing; over
// all of them every gate was seen in the way and every unhappy path was walked.
//
// CHOCKWISE_SEED plays one number again; CHOCKWISE_SEEDS says how many are played otherwise
// (default 14); CHOCKWISE_SHIFT_STEPS how long each is (default 6000).
#include "tests/sim/shift.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <iostream>
#include <set>

#include "services/moves/decide.h"

namespace chockwise::sim {
namespace {

uint64_t NumberIn(const char* variable, uint64_t otherwise) {
  const char* text = std::getenv(variable);
  return text == nullptr ? otherwise : std::strtoull(text, nullptr, 10);
}

/// Every gate that some kind of move of that yard asks for.
std::set<std::string> GatesOf(const moves::YardState& state) {
  std::set<std::string> gates;
  for (const auto& [kind, plan] : *state.plans) {
    for (const v1::GateRule* gate : plan.gates) gates.insert(gate->id());
  }
  return gates;
}

const std::set<std::string>& UnhappyPaths() {
  static const auto* paths = new std::set<std::string>{"a neighbour moved",
                                                       "begin found its release no longer good",
                                                       "begin without a release",
                                                       "broke down where it stands",
                                                       "chocks or cones put down",
                                                       "clock stepped",
                                                       "close refused",
                                                       "closed",
                                                       "defect",
                                                       "door moved",
                                                       "driver swapped",
                                                       "finding",
                                                       "ground cleared",
                                                       "hold lifted",
                                                       "last word too early",
                                                       "left unattended",
                                                       "lost sight",
                                                       "not theirs to do",
                                                       "one person for two",
                                                       "refused",
                                                       "release refused",
                                                       "release taken back",
                                                       "release taken back by a tag",
                                                       "release taken back by the clock",
                                                       "released",
                                                       "released after a stop",
                                                       "released at a hold point",
                                                       "restart allowed",
                                                       "restart over a release or a motion",
                                                       "shift ended over open moves",
                                                       "spotter left",
                                                       "spotter swapped",
                                                       "stopped by the system",
                                                       "stopped while held",
                                                       "stopped while parked",
                                                       "stopped while released",
                                                       "stopped while requested",
                                                       "stopped while stopped",
                                                       "stopped while under way",
                                                       "tag cleared",
                                                       "tag hung",
                                                       "taken as it stood by a lead",
                                                       "withdrawn",
                                                       "word after the release",
                                                       "word in motion",
                                                       "word of the wrong person",
                                                       "word without its count",
                                                       "word without its note",
                                                       "word without its post_code",
                                                       "yard held",
                                                       "yard reloaded"};
  return *paths;
}

TEST(WholeShift, OracleFindsNothingAfterAnyStep) {
  const bool one = std::getenv("CHOCKWISE_SEED") != nullptr;
  const uint64_t first = NumberIn("CHOCKWISE_SEED", 1);
  const uint64_t seeds = one ? 1 : NumberIn("CHOCKWISE_SEEDS", 14);
  const int steps = static_cast<int>(NumberIn("CHOCKWISE_SHIFT_STEPS", 6'000));
  Coverage all;
  std::set<std::string> gates;
  for (uint64_t seed = first; seed < first + seeds; ++seed) {
    Shift shift({.seed = seed, .steps = steps});
    const bool sound = shift.Play();
    ASSERT_TRUE(sound) << shift.trouble();
    const history::AuditReport report = shift.FinishAudit();
    EXPECT_TRUE(report.sound()) << report.Text();
    std::cout << fmt::format("seed {}: {}", seed, report.Text());
    all.Add(shift.coverage());
    gates.merge(GatesOf(shift.state()));
    for (const char* needed : {"released", "begun", "closed", "release refused"}) {
      EXPECT_GT(
          shift.coverage().happened.contains(needed) ? shift.coverage().happened.at(needed) : 0, 0)
          << needed << " in seed " << seed;
    }
  }
  for (const auto& [what, times] : all.happened)
    std::cout << fmt::format("{:>8} {}\n", times, what);
  for (const auto& [gate, times] : all.gates_not_clear)
    std::cout << fmt::format("{:>8} gate {}\n", times, gate);
  if (one || steps < 6'000) return;
  for (const std::string& gate : gates)
    EXPECT_TRUE(all.gates_not_clear.contains(gate)) << "never seen not clear: " << gate;
  for (const std::string& path : UnhappyPaths())
    EXPECT_TRUE(all.happened.contains(path)) << "never happened: " << path;
}

TEST(WholeShift, SameNumberSameShift) {
  Shift one({.seed = 99, .steps = 300});
  Shift again({.seed = 99, .steps = 300});
  Shift other({.seed = 98, .steps = 300});
  ASSERT_TRUE(one.Play()) << one.trouble();
  ASSERT_TRUE(again.Play()) << again.trouble();
  ASSERT_TRUE(other.Play()) << other.trouble();
  EXPECT_EQ(one.ledger(), again.ledger());
  EXPECT_NE(one.ledger(), other.ledger());
}

}  // namespace
}  // namespace chockwise::sim
