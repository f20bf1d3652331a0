// A closed loop of callers that confirm: each sends its next word when the last was answered.
#pragma once

#include <chrono>
#include <string>
#include <vector>

namespace chockwise::bench {

struct Load {
  std::string address;
  std::string token;               // empty: none is sent
  std::vector<std::string> moves;  // names; callers take them in turn
  std::string gate_id;
  int callers = 1;
  std::chrono::milliseconds time{2'000};
};

struct LoadResult {
  double calls_per_second = 0;
  double p50_us = 0, p99_us = 0;
  long failed = 0;
  std::string first_failure;
};

/// Two client threads with a connection each (one of each for one caller): the best shape for the
/// client on two cores.
LoadResult RunLoad(const Load& load);

double Median(std::vector<double> values);

}  // namespace chockwise::bench
