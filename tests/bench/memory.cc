#include "tests/bench/memory.h"

#include <fmt/format.h>
#include <malloc.h>
#include <unistd.h>

#include <fstream>

#include "services/moves/apply.h"

namespace chockwise::bench {
namespace {

double ResidentBytes() {
  std::ifstream statm("/proc/self/statm");
  long pages = 0, resident = 0;
  statm >> pages >> resident;
  return static_cast<double>(resident) * static_cast<double>(sysconf(_SC_PAGESIZE));
}

v1::Entry About(int move, const char* person) {
  v1::Entry entry;
  entry.set_time_us(1'795'561'200'000'000 + move);
  entry.set_person(person);
  entry.set_move(move);
  entry.set_move_state(v1::MOVE_STATE_REQUESTED);
  return entry;
}

v1::Entry Asked(int move) {
  v1::Entry entry = About(move, "tam");
  v1::MoveRequested& asked = *entry.mutable_move_requested();
  asked.set_kind("service-truck-reverses-out");
  asked.set_machine(fmt::format("BT-{}", move));
  asked.set_from_place("truck-row");
  asked.set_to_place("street-gate");
  asked.set_driver("tam");
  asked.add_lanes("row-way");
  for (const char* ground :
       {"place/truck-row", "lane/row-way", "place/street-gate", "area/fire-way"})
    asked.add_ground(ground);
  return entry;
}

}  // namespace

double BytesPerOpenMove(int moves) {
  const double before = ResidentBytes();
  moves::YardState state;
  state.yard = std::make_shared<const yard::Yard>();
  for (int move = 1; move <= moves; ++move) {
    moves::Apply(state, Asked(move));
    v1::Entry accepted = About(move, "mika");
    accepted.mutable_spotting_accepted()->set_spotter("mika");
    moves::Apply(state, accepted);
    for (const char* gate : {"brake-and-tags", "walk-around", "path-walked", "horn-heard"}) {
      v1::Entry word = About(move, "tam");
      word.mutable_gate_confirmed()->set_gate_id(gate);
      word.mutable_gate_confirmed()->set_phase(v1::PHASE_START);
      word.mutable_gate_confirmed()->add_parties(v1::PARTY_DRIVER);
      moves::Apply(state, word);
    }
  }
  return (ResidentBytes() - before) / moves;
}

}  // namespace chockwise::bench
