// Facts for the computed gates: what is different in the files, what happens then, and how a gate
// stands. facts_test.cc holds each to it; the tables are in computations_*_test.cc.
#pragma once

#include <cctype>
#include <functional>
#include <ostream>
#include <string>

#include "tests/moves/story/story.h"

namespace chockwise::moves {

using Files = yard::YardFiles;

/// One fact: what is different in the files, what happens then, and how the gate of a telehandler's
/// way through a door stands.
struct Fact {
  const char* name;
  const char* gate;
  v1::GateState state;
  const char* reason;  // a part of it
  std::function<void(Files&)> files = [](Files&) {};
  std::function<void(Story&)> then = [](Story&) {};
  const char* kind = "machine-through-door";
  const char* spotter = "sam";
};
inline void PrintTo(const Fact& fact, std::ostream* out) { *out << fact.gate << " " << fact.name; }

inline std::string FactName(const testing::TestParamInfo<Fact>& info) {
  std::string name = std::string(info.param.gate) + "_" + info.param.name;
  for (char& c : name) c = std::isalnum(static_cast<unsigned char>(c)) ? c : '_';
  return name;
}

inline std::function<void(Files&)> Change(std::string Files::*file, std::string part,
                                          std::string by) {
  return [=](Files& files) { files.*file = Replaced(files.*file, part, by); };
}
inline auto People(std::string part, std::string by) {
  return Change(&Files::people_csv, std::move(part), std::move(by));
}
inline auto Measured(std::string part, std::string by) {
  return Change(&Files::measurements_csv, std::move(part), std::move(by));
}

/// Other files come into force.
inline std::function<void(Story&)> Reload(std::function<void(Files&)> change) {
  return [=](Story& story) {
    Files files = story.files();
    change(files);
    story.Must("lee", LoadOf(files, 2));
  };
}

inline constexpr v1::GateState kClear = v1::GATE_STATE_CLEAR;
inline constexpr v1::GateState kNotClear = v1::GATE_STATE_NOT_CLEAR;
inline constexpr v1::GateState kStale = v1::GATE_STATE_STALE;
inline constexpr v1::GateState kNotAsked = v1::GATE_STATE_NOT_ASKED;
inline constexpr Duration kTick = Duration::FromMicros(1);

class ComputedFact : public testing::TestWithParam<Fact> {};

}  // namespace chockwise::moves
