// Small scopes tried in full: every order of every order over two machines behind one door, and
// wrong hearts that it has to catch.
//
// CHOCKWISE_EXHAUSTION_SECONDS says how long the true heart is tried; default 60.
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <functional>
#include <iostream>
#include <string>

#include "services/moves/apply.h"
#include "tests/sim/explore.h"
#include "tests/support/sanitized.h"

namespace chockwise::sim {
namespace {

using moves::Entries;
using moves::Instant;
using moves::Outcome;
using moves::YardState;

double SecondsToSpend() {
  const char* text = std::getenv("CHOCKWISE_EXHAUSTION_SECONDS");
  return text == nullptr ? 60.0 : std::strtod(text, nullptr);
}

std::string Told(const Explored& explored) {
  std::string text;
  for (const Broken& broken : explored.breaks)
    text += fmt::format("{}: {}\n", broken.law, broken.what);
  return text + fmt::format("after: {}\n", fmt::join(explored.path, ", "));
}

std::string Sizes(const Explored& explored) {
  return fmt::format(
      "{} stations, {} states, {} expanded, {} transitions, {} refusals, {} orders deep in full, "
      "{:.1f} s",
      explored.stations, explored.states, explored.expanded, explored.transitions, explored.refused,
      explored.depth, explored.seconds);
}

TEST(Exhaustion, NoOrderOfOrdersBreaksALaw) {
  const double seconds = SecondsToSpend();
  const Explored explored = Explore(TrueHeart(), {.seconds = seconds});
  std::cout << Sizes(explored) << "\n";
  for (const auto& [what, count] : explored.entries) {
    std::cout << fmt::format("  {:>9} {}\n", count,
                             v1::Entry::descriptor()->FindFieldByNumber(what)->name());
  }
  EXPECT_TRUE(explored.breaks.empty()) << Told(explored);
  // It must not be able to do nothing: so much is reached in a few seconds on one slow core.
  EXPECT_GE(explored.states, seconds < 5 ? 1'000 : 20'000);
  EXPECT_GE(explored.stations, 100);
  EXPECT_GE(explored.depth, 1);
  if (seconds < 5 || testing::Sanitized()) return;
  for (const Order& order : AllOrders()) {
    const auto accepted = explored.accepted.find(order.label);
    const bool for_refusal = order.label == "at-line elsewhere 1 sid" ||
                             order.label == "at-line elsewhere 2 sid" ||
                             order.label == "word 1 ann" || order.label == "word 2 bob" ||
                             order.label == "walk 1 sid" || order.label == "walk 2 sid";
    EXPECT_EQ(accepted == explored.accepted.end(), for_refusal) << order.label;
  }
}

// --- Wrong hearts ---

struct WrongHeart {
  std::string name;
  std::string law;  // that it breaks
  std::function<Heart()> heart;
};
void PrintTo(const WrongHeart& wrong, std::ostream* out) { *out << wrong.name; }

/// A heart that is shown a yard which is not the true one.
Heart Deceived(std::function<void(YardState&, const v1::Command&, Instant)> deceive) {
  Heart heart = TrueHeart();
  heart.decide = [deceive, decide = heart.decide](const YardState& yard, const v1::Command& command,
                                                  Instant now) -> Outcome<Entries> {
    YardState shown = yard;
    deceive(shown, command, now);
    return decide(shown, command, now);
  };
  return heart;
}

void MakeWordsFresh(YardState& yard, Instant now) {
  for (auto& [number, move] : yard.moves) {
    for (moves::GateWords& gate : move.words) {
      for (moves::Word& word : gate.words) {
        word.stale = false;
        word.time = now;
      }
    }
  }
}

/// A heart for which a gate is not in the rules.
Heart WithoutGate(const std::string& gate_id) {
  return Deceived([gate_id](YardState& yard, const v1::Command&, Instant) {
    if (!yard.plans) return;
    auto plans = *yard.plans;
    for (auto& [kind, plan] : plans) {
      std::erase_if(plan.gates, [&](const v1::GateRule* gate) { return gate->id() == gate_id; });
    }
    yard.plans = std::make_shared<const std::map<std::string, moves::KindPlan, std::less<>>>(
        std::move(plans));
  });
}

/// A heart that forgets to do what an entry says, or does more.
Heart Forgetful(std::function<bool(YardState&, const v1::Entry&)> instead) {
  Heart heart = TrueHeart();
  heart.apply = [instead, apply = heart.apply](YardState& yard, const v1::Entry& entry) {
    if (!instead(yard, entry)) apply(yard, entry);
  };
  return heart;
}

/// Where a command of that verb is refused, it is taken all the same, as that entry.
Heart TakesAllTheSame(v1::Command::VerbCase verb,
                      std::function<void(const YardState&, const v1::Command&, v1::Entry&)> as) {
  Heart heart = TrueHeart();
  heart.decide = [verb, as, decide = heart.decide](const YardState& yard,
                                                   const v1::Command& command,
                                                   Instant now) -> Outcome<Entries> {
    Outcome<Entries> outcome = decide(yard, command, now);
    if (outcome || command.verb_case() != verb) return outcome;
    v1::Entry entry;
    entry.set_time_us(now.micros());
    entry.set_person(command.person());
    as(yard, command, entry);
    if (entry.what_case() == v1::Entry::WHAT_NOT_SET) return outcome;
    return Entries{entry};
  };
  return heart;
}

Heart StopsOnlyFromThoseOnTheMove() {
  Heart heart = TrueHeart();
  heart.decide = [decide = heart.decide](const YardState& yard, const v1::Command& command,
                                         Instant now) -> Outcome<Entries> {
    if (command.has_stop_move() && command.person() == "rex")
      return moves::RefuseNotAllowed({"roles", "readers only read", ""});
    return decide(yard, command, now);
  };
  return heart;
}

/// A clock that begins what was released, by itself.
Heart TickBegins() {
  Heart heart = TrueHeart();
  heart.decide = [decide = heart.decide](const YardState& yard, const v1::Command& command,
                                         Instant now) -> Outcome<Entries> {
    if (command.has_tick()) {
      for (const auto& [number, move] : yard.moves) {
        if (move.state != v1::MOVE_STATE_RELEASED) continue;
        v1::Entry entry;
        entry.set_time_us(now.micros());
        entry.set_move(number);
        entry.set_move_state(v1::MOVE_STATE_UNDER_WAY);
        entry.mutable_move_begun();
        return Entries{entry};
      }
    }
    return decide(yard, command, now);
  };
  return heart;
}

/// What a heart that is shown a prettier yard would have to be caught at.
std::vector<WrongHeart> DeceivedHearts() {
  using Shown = std::function<void(YardState&, const v1::Command&, Instant)>;
  const auto shown = [](Shown deceive) { return [deceive] { return Deceived(deceive); }; };
  return {
      {"ignores age", "law 1", shown([](YardState& yard, const v1::Command&, Instant now) {
         for (auto& [number, move] : yard.moves) {
           for (moves::GateWords& gate : move.words) {
             for (moves::Word& word : gate.words) word.time = now;
           }
         }
       })},
      {"ignores what makes words stale", "law 1",
       shown([](YardState& yard, const v1::Command&, Instant now) { MakeWordsFresh(yard, now); })},
      {"lets two moves share the door", "law 6",
       shown([](YardState& yard, const v1::Command&, Instant) {
         yard.taken.clear();
         for (auto& [id, machine] : yard.machines) machine.place = moves::PlaceId("south");
       })},
      {"lets a spotter serve two machines", "law 4",
       shown([](YardState& yard, const v1::Command&, Instant) { yard.spotting.clear(); })},
      {"sees no hold", "law 1",
       shown([](YardState& yard, const v1::Command&, Instant) { yard.hold.reset(); })},
      {"sees no tag", "law 1", shown([](YardState& yard, const v1::Command&, Instant) {
         for (auto& [id, machine] : yard.machines) machine.tags.clear();
       })},
      {"sees no door out of service", "law 1",
       shown([](YardState& yard, const v1::Command&, Instant) { yard.doors_out.clear(); })},
      {"lets a release be used for ever", "law 1",
       shown([](YardState& yard, const v1::Command&, Instant now) {
         for (auto& [number, move] : yard.moves) {
           if (move.release) move.release->start_by = now + fit::Hours(1);
         }
       })},
      {"believes any count", "law 9", shown([](YardState& yard, const v1::Command&, Instant) {
         for (auto& [number, move] : yard.moves) {
           const moves::GateWords* words = move.FindWords("chocks-in", v1::PHASE_START);
           if (words == nullptr) continue;
           yard.machines[move.machine].put_down["chocks"] = words->words.front().count;
         }
       })},
      {"restarts without the word of whoever stopped it", "law 5",
       shown([](YardState& yard, const v1::Command& command, Instant) {
         if (command.has_allow_restart()) return;
         for (auto& [number, move] : yard.moves) move.stops.clear();
       })},
  };
}

std::vector<WrongHeart> WrongHearts() {
  std::vector<WrongHeart> all = DeceivedHearts();
  const std::vector<WrongHeart> others = {
      {"drops one gate", "law 1", [] { return WithoutGate("path"); }},
      {"drops the inspection", "law 1", [] { return WithoutGate("inspected"); }},
      {"drops the second word", "law 1", [] { return WithoutGate("word"); }},
      {"drops the word at the line", "law 1", [] { return WithoutGate("at-line"); }},
      {"drops the count at the close", "law 9", [] { return WithoutGate("chocks-set"); }},
      {"keeps words over a stop", "law 5",
       [] {
         return Forgetful([](YardState& yard, const v1::Entry& entry) {
           if (!entry.has_move_stopped()) return false;
           const moves::Move kept = yard.moves.at(entry.move());
           moves::Apply(yard, entry);
           yard.moves.at(entry.move()).words = kept.words;
           return true;
         });
       }},
      {"takes stops only from those on the move", "law 5", StopsOnlyFromThoseOnTheMove},
      {"comes back from a restart released", "law 7",
       [] {
         return Forgetful([](YardState&, const v1::Entry& entry) { return entry.has_restarted(); });
       }},
      {"comes back from a clock step with words that count", "law 7",
       [] {
         return Forgetful([](YardState& yard, const v1::Entry& entry) {
           if (!entry.has_clock_stepped()) return false;
           moves::Apply(yard, entry);
           MakeWordsFresh(yard, yard.last_time);
           return true;
         });
       }},
      {"begins by itself", "law 3", TickBegins},
      {"takes a word in motion", "law 10",
       [] {
         return TakesAllTheSame(
             v1::Command::kConfirm,
             [](const YardState& yard, const v1::Command& command, v1::Entry& entry) {
               const moves::MoveNumber number = command.confirm().name().back() - '0';
               const auto move = yard.moves.find(number);
               if (move == yard.moves.end() || move->second.state != v1::MOVE_STATE_UNDER_WAY)
                 return;
               entry.set_move(number);
               entry.set_move_state(v1::MOVE_STATE_UNDER_WAY);
               entry.mutable_gate_confirmed()->set_gate_id(command.confirm().gate_id());
               entry.mutable_gate_confirmed()->set_phase(v1::PHASE_HOLD_POINT);
               entry.mutable_gate_confirmed()->add_parties(v1::PARTY_SPOTTER);
             });
       }},
      {"lets anyone allow a restart", "law 5",
       [] {
         return TakesAllTheSame(
             v1::Command::kAllowRestart,
             [](const YardState& yard, const v1::Command& command, v1::Entry& entry) {
               const moves::MoveNumber number = command.allow_restart().name().back() - '0';
               const auto move = yard.moves.find(number);
               if (move == yard.moves.end() || !move->second.StopStands()) return;
               entry.set_move(number);
               entry.set_move_state(move->second.state);
               entry.mutable_restart_allowed();
             });
       }},
      {"frees the ground under a machine left standing", "law 6",
       [] {
         return Forgetful([](YardState& yard, const v1::Entry& entry) {
           if (!entry.has_broke_down()) return false;
           moves::Apply(yard, entry);
           yard.taken.clear();
           return true;
         });
       }},
  };
  all.insert(all.end(), others.begin(), others.end());
  return all;
}

class WrongHeartTest : public ::testing::TestWithParam<WrongHeart> {};

TEST_P(WrongHeartTest, IsCaught) {
  // A few orders behind a station are enough for each; a minute only where the machine is busy with
  // other things.
  const Explored explored = Explore(GetParam().heart(), {.seconds = 60, .depth = 2});
  ASSERT_FALSE(explored.breaks.empty()) << "nobody noticed; " << Sizes(explored);
  std::cout << GetParam().name << ": " << explored.breaks.front().law << ": "
            << explored.breaks.front().what << "; " << explored.path.size() << " orders, "
            << explored.transitions << " transitions\n";
  EXPECT_THAT(explored.breaks, ::testing::Contains(::testing::Field(&Broken::law, GetParam().law)))
      << Told(explored);
}

INSTANTIATE_TEST_SUITE_P(
    Exhaustion, WrongHeartTest, ::testing::ValuesIn(WrongHearts()), [](const auto& instance) {
      std::string name = instance.param.name;
      std::replace_if(
          name.begin(), name.end(),
          [](char c) { return std::isalnum(static_cast<unsigned char>(c)) == 0; }, '_');
      return name;
    });

}  // namespace
}  // namespace chockwise::sim
