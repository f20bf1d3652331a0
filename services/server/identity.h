// Who is calling: tokens by the hash of their secret, and what the register says of their holders.
//
// The table holds what is committed, no more and no less: the completer changes it before it
// answers whoever issued or revoked, so a revoked token is dead when its revoker is told. Look-ups
// come with every call from the transport's threads and share a lock that is taken alone only when
// tokens or the register change.
//
//   absl::StatusOr<std::shared_ptr<const Holder>> caller = identities.Find(SecretHash(secret),
//   clock.Now());
#pragma once

#include <absl/status/statusor.h>

#include <memory>
#include <set>
#include <shared_mutex>
#include <string>
#include <unordered_map>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "services/fit/instant.h"
#include "services/moves/state.h"
#include "services/yard/yard.h"

namespace chockwise::server {

/// The holder of a good token.
struct Holder {
  int64_t token = 0;
  std::string person;
  fit::Instant expires;
  bool registered = false;  // still in the register; without it only a stop is theirs
  std::string name;         // from the register
  std::set<yard::Role> roles;
  bool HasRole(yard::Role role) const { return roles.count(role) > 0; }
};

/// What a batch of entries changes about who is who.
struct IdentityChange {
  enum class Kind { kIssued, kRevoked, kRegister };
  Kind kind = Kind::kRegister;
  std::string secret_hash;                 // kIssued, kRevoked
  Holder holder;                           // kIssued: token, person, expires
  std::shared_ptr<const yard::Yard> yard;  // kRegister
};

class Identities {
 public:
  /// Everything anew, from a state that was rebuilt.
  void Reset(const moves::YardState& state);
  void Apply(const std::vector<IdentityChange>& changes);

  /// UNAUTHENTICATED where no good token has this hash at `now`.
  absl::StatusOr<std::shared_ptr<const Holder>> Find(const std::string& secret_hash,
                                                     fit::Instant now) const;

 private:
  void LookUp(Holder& holder) const;

  mutable std::shared_mutex mutex_;
  std::unordered_map<std::string, std::shared_ptr<const Holder>> by_hash_;
  std::shared_ptr<const yard::Yard> yard_;
};

/// The change that an entry makes, if it makes one; `state` is the yard after it.
std::optional<IdentityChange> IdentityChangeOf(const moves::YardState& state,
                                               const v1::Entry& entry);

}  // namespace chockwise::server
