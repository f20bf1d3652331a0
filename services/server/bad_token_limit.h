// How many calls with a bad token one peer may make. It bounds the work and the log lines that a
// stranger causes; a token has 256 random bits, so guessing is hopeless anyway. A good token is
// never refused for what others sent from the same address: a whole yard may sit behind one.
//
// Safe from any thread.
#pragma once

#include <chrono>
#include <mutex>
#include <string>
#include <unordered_map>

#include "services/server/limits.h"

namespace chockwise::server {

class BadTokenLimit {
 public:
  using TimePoint = std::chrono::steady_clock::time_point;
  /// Counts a call with a bad token. False: this peer has made more than kMaxBadTokens within
  /// kBadTokenWindow.
  bool Allow(const std::string& peer, TimePoint now);

 private:
  struct Count {
    TimePoint begin;
    int calls = 0;
  };
  std::mutex mutex_;
  std::unordered_map<std::string, Count> peers_;
};

/// The address in a peer's name, without its port: "ipv4:127.0.0.1:5123" → "ipv4:127.0.0.1".
std::string PeerAddress(const std::string& peer);

}  // namespace chockwise::server
