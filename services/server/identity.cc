#include "services/server/identity.h"

#include <mutex>

namespace chockwise::server {

void Identities::LookUp(Holder& holder) const {
  const yard::Person* person = yard_ ? yard_->FindPerson(holder.person) : nullptr;
  holder.registered = person != nullptr;
  holder.name = person != nullptr ? person->name : "";
  holder.roles = person != nullptr ? person->roles : std::set<yard::Role>{};
}

void Identities::Reset(const moves::YardState& state) {
  const std::unique_lock lock(mutex_);
  yard_ = state.yard;
  by_hash_.clear();
  for (const auto& [number, token] : state.tokens) {
    if (!token.revoked_by.empty()) continue;
    Holder holder{.token = number,
                  .person = token.person.value(),
                  .expires = token.expires,
                  .registered = false,
                  .name = "",
                  .roles = {}};
    LookUp(holder);
    by_hash_[token.secret_hash] = std::make_shared<const Holder>(std::move(holder));
  }
}

void Identities::Apply(const std::vector<IdentityChange>& changes) {
  if (changes.empty()) return;
  const std::unique_lock lock(mutex_);
  for (const IdentityChange& change : changes) {
    switch (change.kind) {
      case IdentityChange::Kind::kIssued: {
        Holder holder = change.holder;
        LookUp(holder);
        by_hash_[change.secret_hash] = std::make_shared<const Holder>(std::move(holder));
        break;
      }
      case IdentityChange::Kind::kRevoked:
        by_hash_.erase(change.secret_hash);
        break;
      case IdentityChange::Kind::kRegister:
        yard_ = change.yard;
        for (auto& [hash, held] : by_hash_) {
          Holder holder = *held;
          LookUp(holder);
          held = std::make_shared<const Holder>(std::move(holder));
        }
        break;
    }
  }
}

absl::StatusOr<std::shared_ptr<const Holder>> Identities::Find(const std::string& secret_hash,
                                                               fit::Instant now) const {
  std::shared_ptr<const Holder> holder;
  {
    const std::shared_lock lock(mutex_);
    const auto found = by_hash_.find(secret_hash);
    if (found != by_hash_.end()) holder = found->second;
  }
  if (holder == nullptr) {
    return absl::UnauthenticatedError(
        "this token is not known here, or was revoked; ask a safety lead for a new one");
  }
  if (now >= holder->expires) {
    return absl::UnauthenticatedError("this token has expired; ask a safety lead for a new one");
  }
  return holder;
}

std::optional<IdentityChange> IdentityChangeOf(const moves::YardState& state,
                                               const v1::Entry& entry) {
  IdentityChange change;
  if (entry.has_token_issued()) {
    const v1::TokenIssued& issued = entry.token_issued();
    change.kind = IdentityChange::Kind::kIssued;
    change.secret_hash = issued.secret_hash();
    change.holder.token = issued.token();
    change.holder.person = issued.person();
    change.holder.expires = fit::Instant::FromMicros(issued.expire_time_us());
    return change;
  }
  if (entry.has_token_revoked()) {
    const auto token = state.tokens.find(entry.token_revoked().token());
    if (token == state.tokens.end()) return std::nullopt;
    change.kind = IdentityChange::Kind::kRevoked;
    change.secret_hash = token->second.secret_hash;
    return change;
  }
  if (entry.has_yard_loaded()) {
    change.kind = IdentityChange::Kind::kRegister;
    change.yard = state.yard;
    return change;
  }
  return std::nullopt;
}

}  // namespace chockwise::server
