// Ed25519 keys (RFC 8032) that sign checkpoints, and the files that hold them.
//
// The private key is PEM (PKCS #8), mode 0600, and is refused when anybody else may read it; the
// public key is PEM (SubjectPublicKeyInfo) and is meant to be copied to whoever checks the ledger.
//
// Immutable values; safe from any thread.
//
//   auto key = LoadOrCreateKey({.private_path = "yard.key", .public_path = "yard.pub"});
//   auto signature = key->Sign(text);
//   bool good = key->Public().Verify(text, *signature);
#pragma once

#include <absl/status/statusor.h>

#include <array>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "services/ledger/sha256.h"

struct evp_pkey_st;

namespace chockwise::ledger {

/// The 32 bytes of RFC 8032 section 5.1.5 that others may know, and those that nobody may.
using RawPublicKey = std::array<uint8_t, 32>;
using RawPrivateKey = std::array<uint8_t, 32>;
/// RFC 8032 section 5.1.6.
using Signature = std::array<uint8_t, 64>;

class PublicKey {
 public:
  static absl::StatusOr<PublicKey> FromRaw(const RawPublicKey& raw);
  /// NOT_FOUND, or INVALID_ARGUMENT where the file holds something else.
  static absl::StatusOr<PublicKey> FromPemFile(const std::string& path);

  absl::Status WritePemFile(const std::string& path) const;
  [[nodiscard]] bool Verify(std::string_view message, const Signature& signature) const;
  const RawPublicKey& raw() const { return raw_; }
  /// For people: the 64 hexadecimal digits of raw().
  std::string Name() const { return ToHex(raw_); }

 private:
  friend class SigningKey;
  explicit PublicKey(std::shared_ptr<evp_pkey_st> key);
  std::shared_ptr<evp_pkey_st> key_;
  RawPublicKey raw_{};
};

class SigningKey {
 public:
  static absl::StatusOr<SigningKey> Generate();
  static absl::StatusOr<SigningKey> FromRaw(const RawPrivateKey& raw);
  /// PERMISSION_DENIED where group or others may read the file.
  static absl::StatusOr<SigningKey> FromPemFile(const std::string& path);

  /// Creates the file, mode 0600; ALREADY_EXISTS rather than overwrite a key.
  absl::Status WritePemFile(const std::string& path) const;
  absl::StatusOr<Signature> Sign(std::string_view message) const;
  const PublicKey& Public() const { return public_; }

 private:
  explicit SigningKey(std::shared_ptr<evp_pkey_st> key);
  std::shared_ptr<evp_pkey_st> key_;
  PublicKey public_;
};

struct KeyPaths {
  std::string private_path;
  std::string public_path;
};

/// Reads the private key, or makes a pair where there is none yet. The public file is written where
/// it is missing; one that belongs to another key is FAILED_PRECONDITION.
absl::StatusOr<SigningKey> LoadOrCreateKey(const KeyPaths& paths);

}  // namespace chockwise::ledger
