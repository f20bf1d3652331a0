#include "services/ledger/keys.h"

#include <fmt/format.h>
#include <openssl/bio.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <sys/stat.h>

#include <cerrno>

#include "services/ledger/files.h"
#include "services/ledger/status.h"

namespace chockwise::ledger {
namespace {

using Bio = std::unique_ptr<BIO, decltype(&BIO_free)>;
using Context = std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)>;

std::shared_ptr<EVP_PKEY> Own(EVP_PKEY* key) { return {key, EVP_PKEY_free}; }

const unsigned char* Bytes(std::string_view text) {
  return reinterpret_cast<const unsigned char*>(text.data());
}

std::string Content(BIO* bio) {
  char* data = nullptr;
  const long size = BIO_get_mem_data(bio, &data);
  return std::string(data, size > 0 ? static_cast<size_t>(size) : 0);
}

// A null callback would make OpenSSL ask for a passphrase on the terminal.
int NoPassphrase(char*, int, int, void*) { return -1; }

absl::Status NotAKey(const std::string& path, std::string_view wanted) {
  return absl::InvalidArgumentError(
      fmt::format("{} is not an Ed25519 {} key in PEM", path, wanted));
}

}  // namespace

PublicKey::PublicKey(std::shared_ptr<evp_pkey_st> key) : key_(std::move(key)) {
  size_t size = raw_.size();
  EVP_PKEY_get_raw_public_key(key_.get(), raw_.data(), &size);
}

absl::StatusOr<PublicKey> PublicKey::FromRaw(const RawPublicKey& raw) {
  auto key = Own(EVP_PKEY_new_raw_public_key(EVP_PKEY_ED25519, nullptr, raw.data(), raw.size()));
  if (key == nullptr) return absl::InvalidArgumentError("not an Ed25519 public key");
  return PublicKey(std::move(key));
}

absl::StatusOr<PublicKey> PublicKey::FromPemFile(const std::string& path) {
  absl::StatusOr<std::string> pem = ReadSmallFile(path);
  if (!pem.ok()) return pem.status();
  Bio bio(BIO_new_mem_buf(pem->data(), static_cast<int>(pem->size())), BIO_free);
  auto key = Own(PEM_read_bio_PUBKEY(bio.get(), nullptr, NoPassphrase, nullptr));
  if (key == nullptr || EVP_PKEY_get_id(key.get()) != EVP_PKEY_ED25519)
    return NotAKey(path, "public");
  return PublicKey(std::move(key));
}

absl::Status PublicKey::WritePemFile(const std::string& path) const {
  Bio bio(BIO_new(BIO_s_mem()), BIO_free);
  if (PEM_write_bio_PUBKEY(bio.get(), key_.get()) != 1)
    return absl::InternalError("cannot encode the public key");
  return WriteNewFile({.path = path, .mode = 0644}, Content(bio.get()));
}

bool PublicKey::Verify(std::string_view message, const Signature& signature) const {
  Context context(EVP_MD_CTX_new(), EVP_MD_CTX_free);
  return EVP_DigestVerifyInit(context.get(), nullptr, nullptr, nullptr, key_.get()) == 1 &&
         EVP_DigestVerify(context.get(), signature.data(), signature.size(), Bytes(message),
                          message.size()) == 1;
}

SigningKey::SigningKey(std::shared_ptr<evp_pkey_st> key) : key_(key), public_(std::move(key)) {}

absl::StatusOr<SigningKey> SigningKey::Generate() {
  auto key = Own(EVP_PKEY_Q_keygen(nullptr, nullptr, "ED25519"));
  if (key == nullptr) return absl::InternalError("OpenSSL could not make an Ed25519 key");
  return SigningKey(std::move(key));
}

absl::StatusOr<SigningKey> SigningKey::FromRaw(const RawPrivateKey& raw) {
  auto key = Own(EVP_PKEY_new_raw_private_key(EVP_PKEY_ED25519, nullptr, raw.data(), raw.size()));
  if (key == nullptr) return absl::InvalidArgumentError("not an Ed25519 private key");
  return SigningKey(std::move(key));
}

absl::StatusOr<SigningKey> SigningKey::FromPemFile(const std::string& path) {
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0) return ErrnoStatus("read", path, errno);
  if ((status.st_mode & 077) != 0) {
    return absl::PermissionDeniedError(
        fmt::format("{} can be read by others (mode {:04o}): whoever reads it can sign in this "
                    "yard's name. Wanted: chmod 600",
                    path, status.st_mode & 07777));
  }
  absl::StatusOr<std::string> pem = ReadSmallFile(path);
  if (!pem.ok()) return pem.status();
  Bio bio(BIO_new_mem_buf(pem->data(), static_cast<int>(pem->size())), BIO_free);
  auto key = Own(PEM_read_bio_PrivateKey(bio.get(), nullptr, NoPassphrase, nullptr));
  if (key == nullptr || EVP_PKEY_get_id(key.get()) != EVP_PKEY_ED25519)
    return NotAKey(path, "private");
  return SigningKey(std::move(key));
}

absl::Status SigningKey::WritePemFile(const std::string& path) const {
  Bio bio(BIO_new(BIO_s_mem()), BIO_free);
  if (PEM_write_bio_PKCS8PrivateKey(bio.get(), key_.get(), nullptr, nullptr, 0, nullptr, nullptr) !=
      1) {
    return absl::InternalError("cannot encode the private key");
  }
  return WriteNewFile({.path = path, .mode = 0600}, Content(bio.get()));
}

absl::StatusOr<Signature> SigningKey::Sign(std::string_view message) const {
  Context context(EVP_MD_CTX_new(), EVP_MD_CTX_free);
  Signature signature;
  size_t size = signature.size();
  if (EVP_DigestSignInit(context.get(), nullptr, nullptr, nullptr, key_.get()) != 1 ||
      EVP_DigestSign(context.get(), signature.data(), &size, Bytes(message), message.size()) != 1 ||
      size != signature.size()) {
    return absl::InternalError("OpenSSL could not sign");
  }
  return signature;
}

absl::StatusOr<SigningKey> LoadOrCreateKey(const KeyPaths& paths) {
  absl::StatusOr<SigningKey> key = SigningKey::FromPemFile(paths.private_path);
  if (absl::IsNotFound(key.status())) {
    key = SigningKey::Generate();
    if (!key.ok()) return key;
    CW_RETURN_IF_ERROR(key->WritePemFile(paths.private_path));
  }
  if (!key.ok()) return key;
  absl::StatusOr<PublicKey> shown = PublicKey::FromPemFile(paths.public_path);
  if (absl::IsNotFound(shown.status())) {
    CW_RETURN_IF_ERROR(key->Public().WritePemFile(paths.public_path));
    return key;
  }
  if (!shown.ok()) return shown.status();
  if (shown->raw() != key->Public().raw()) {
    return absl::FailedPreconditionError(
        fmt::format("{} is not the public half of {}: they are a pair or nothing",
                    paths.public_path, paths.private_path));
  }
  return key;
}

}  // namespace chockwise::ledger
