// How long from a stop call to the driver's watch, with many watchers on the same move.
#pragma once

#include <string>

namespace chockwise::bench {

struct StopWatch {
  std::string address;
  std::string token;
  std::string move;
  int watchers = 1'000;
  int stops = 50;
};

struct StopResult {
  double driver_p50_ms = 0, driver_p99_ms = 0;  // to the one watch that is the driver's
  double last_p50_ms = 0, last_p99_ms = 0;      // to the last of all watches
};

StopResult MeasureStops(const StopWatch& what);

}  // namespace chockwise::bench
