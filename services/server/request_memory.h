// What is remembered of requests, so that a repeat gets its first answer: person and request id →
// the entry that the request left, and a digest of the request.
//
// It holds the last kMaxRememberedRequests (the oldest are forgotten first; a repeat that comes
// later is judged anew, and the state of the move mostly refuses it then). It is rebuilt from the
// ledger, so it survives a restart. Only what left an entry is remembered: a refusal that left none
// is judged anew.
//
// About 68 bytes a request, in two arrays, no allocation per request. Threads: one owner at a time.
//
//   memory.Remember({.person = "ada", .request_id = id, .digest = digest}, 812);
//   if (auto found = memory.Find("ada", id)) ...
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "services/server/limits.h"

namespace chockwise::server {

class RequestMemory {
 public:
  explicit RequestMemory(size_t most = kMaxRememberedRequests);

  struct Request {
    std::string_view person;
    std::string_view request_id;  // 16 bytes; anything else is not remembered
    std::string_view digest;      // 16 bytes
  };
  /// Later entries win where one request is remembered twice, which a ledger of ours never does.
  void Remember(const Request& request, int64_t entry);

  struct Found {
    int64_t entry = 0;
    bool same_body = false;
  };
  std::optional<Found> Find(const Request& request) const;

  size_t size() const { return records_.size(); }

 private:
  using Bytes16 = std::array<char, 16>;
  struct Record {
    Bytes16 request_id;
    Bytes16 digest;
    int64_t entry = 0;
    uint32_t person = 0;
  };

  std::optional<uint32_t> PersonNumber(std::string_view person) const;
  size_t SlotOf(const Record& key) const;  // where it is, or the empty slot where it would be
  size_t HomeOf(const Record& record) const;
  void Empty(size_t slot);
  void Grow();

  const size_t most_;
  const uint64_t salt_;          // request ids are chosen by clients; nobody shall choose slots
  std::vector<Record> records_;  // a ring once `most_` are held
  size_t oldest_ = 0;
  std::vector<uint32_t>
      slots_;  // index of a record plus one; 0: empty. Linear probing, at most half full.
  std::unordered_map<std::string, uint32_t> people_;
};

}  // namespace chockwise::server
