// Every order of orders over the tiny yard, breadth first, from every station of the lives in
// orders.h. After each step the reference is asked. The heart enters as two functions, so that a
// test can hand in a wrong one and see it caught.
#pragma once

#include <functional>
#include <map>
#include <string>
#include <vector>

#include "services/moves/refusal.h"
#include "tests/sim/reference.h"

namespace chockwise::sim {

struct Heart {
  std::function<moves::Outcome<moves::Entries>(const moves::YardState&, const v1::Command&,
                                               moves::Instant)>
      decide;
  std::function<void(moves::YardState&, const v1::Entry&)> apply;
};

Heart TrueHeart();

struct Bounds {
  double seconds = 60;
  int depth = 1'000;  // orders after a station
};

struct Explored {
  int64_t stations = 0;
  int64_t states = 0;       // different ones
  int64_t expanded = 0;     // those from which every order was tried
  int64_t transitions = 0;  // orders accepted and judged
  int64_t refused = 0;
  int depth = 0;  // orders after a station that were tried in full
  double seconds = 0;
  std::map<std::string, int64_t> accepted;  // by order
  std::map<v1::Entry::WhatCase, int64_t> entries;
  std::vector<Broken> breaks;     // of the first step that broke a law; empty: none did
  std::vector<std::string> path;  // to it, as labels
};

Explored Explore(const Heart& heart, const Bounds& bounds);

}  // namespace chockwise::sim
