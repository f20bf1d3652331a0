#include "services/server/bad_token_limit.h"

namespace chockwise::server {

bool BadTokenLimit::Allow(const std::string& peer, TimePoint now) {
  const std::lock_guard lock(mutex_);
  if (peers_.size() >= kMaxPeersRemembered && peers_.count(peer) == 0) {
    std::erase_if(peers_,
                  [&](const auto& held) { return now - held.second.begin >= kBadTokenWindow; });
    // More addresses than this within one window are no people of a yard: all of them together are
    // over the limit.
    if (peers_.size() >= kMaxPeersRemembered) return false;
  }
  Count& count = peers_.try_emplace(peer, Count{.begin = now, .calls = 0}).first->second;
  if (now - count.begin >= kBadTokenWindow) count = {.begin = now, .calls = 0};
  if (count.calls >= kMaxBadTokens) return false;
  ++count.calls;
  return true;
}

std::string PeerAddress(const std::string& peer) {
  if (peer.rfind("ipv4:", 0) != 0 && peer.rfind("ipv6:", 0) != 0) return peer;
  const size_t port = peer.rfind(':');
  return port > 4 ? peer.substr(0, port) : peer;
}

}  // namespace chockwise::server
