#include "services/server/transport.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/rand.h>
#include <openssl/x509.h>
#include <openssl/x509v3.h>

#include <functional>

#include "services/ledger/files.h"

namespace chockwise::server {
namespace {

struct Frees {
  void operator()(BIO* bio) const { BIO_free(bio); }
  void operator()(EVP_PKEY* key) const { EVP_PKEY_free(key); }
  void operator()(X509* certificate) const { X509_free(certificate); }
  void operator()(X509_EXTENSION* extension) const { X509_EXTENSION_free(extension); }
};
template <class T>
using Owned = std::unique_ptr<T, Frees>;

Owned<BIO> Memory(const std::string& text) {
  return Owned<BIO>(BIO_new_mem_buf(text.data(), static_cast<int>(text.size())));
}

std::string TextOf(BIO* bio) {
  char* data = nullptr;
  const long size = BIO_get_mem_data(bio, &data);
  return {data, static_cast<size_t>(size)};
}

// gRPC only logs what is wrong with a pair and then refuses every handshake; the person at the
// console learns it here.
absl::Status CheckPair(const TlsFiles& files, const std::string& certificate_pem,
                       const std::string& key_pem) {
  const Owned<X509> certificate(
      PEM_read_bio_X509(Memory(certificate_pem).get(), nullptr, nullptr, nullptr));
  if (!certificate) {
    return absl::InvalidArgumentError(
        fmt::format("{} holds no PEM certificate", files.certificate_path));
  }
  const Owned<EVP_PKEY> key(
      PEM_read_bio_PrivateKey(Memory(key_pem).get(), nullptr, nullptr, nullptr));
  if (!key)
    return absl::InvalidArgumentError(fmt::format("{} holds no PEM private key", files.key_path));
  if (X509_check_private_key(certificate.get(), key.get()) != 1) {
    return absl::InvalidArgumentError(
        fmt::format("the key {} does not belong to the certificate {}", files.key_path,
                    files.certificate_path));
  }
  return absl::OkStatus();
}

bool IsAddress(const std::string& host) {
  in6_addr parsed{};
  return inet_pton(AF_INET, host.c_str(), &parsed) == 1 ||
         inet_pton(AF_INET6, host.c_str(), &parsed) == 1;
}

bool AddExtension(X509* certificate, int kind, const std::string& value) {
  const Owned<X509_EXTENSION> extension(X509V3_EXT_conf_nid(nullptr, nullptr, kind, value.c_str()));
  return extension && X509_add_ext(certificate, extension.get(), -1) == 1;
}

bool FillCertificate(X509* certificate, EVP_PKEY* key, const SelfSigned& wanted) {
  uint64_t serial = 0;
  if (RAND_bytes(reinterpret_cast<unsigned char*>(&serial), sizeof serial) != 1) return false;
  X509_NAME* name = X509_get_subject_name(certificate);
  const auto* host = reinterpret_cast<const unsigned char*>(wanted.host_name.c_str());
  const std::string kind = IsAddress(wanted.host_name) ? "IP:" : "DNS:";
  return X509_set_version(certificate, 2) == 1 &&  // 2 means version 3 (RFC 5280 section 4.1.2.1)
         ASN1_INTEGER_set_uint64(X509_get_serialNumber(certificate), serial >> 1) == 1 &&
         X509_gmtime_adj(X509_getm_notBefore(certificate), -3'600) != nullptr &&
         X509_gmtime_adj(X509_getm_notAfter(certificate), 86'400L * wanted.days) != nullptr &&
         X509_NAME_add_entry_by_txt(name, "CN", MBSTRING_UTF8, host, -1, -1, 0) == 1 &&
         X509_set_issuer_name(certificate, name) == 1 && X509_set_pubkey(certificate, key) == 1 &&
         AddExtension(certificate, NID_subject_alt_name, kind + wanted.host_name) &&
         AddExtension(certificate, NID_basic_constraints, "critical,CA:TRUE") &&
         X509_sign(certificate, key, EVP_sha256()) > 0;
}

}  // namespace

std::string HostOf(const std::string& listen) {
  const size_t port = listen.rfind(':');
  return port == std::string::npos ? listen : listen.substr(0, port);
}

bool IsLocalOnly(const std::string& listen) {
  if (listen.rfind("unix:", 0) == 0 || listen.rfind("unix-abstract:", 0) == 0) return true;
  const std::string host = HostOf(listen);
  if (host == "localhost" || host == "[::1]" || host == "::1") return true;
  in_addr address{};
  return inet_pton(AF_INET, host.c_str(), &address) == 1 && (ntohl(address.s_addr) >> 24) == 127;
}

absl::StatusOr<std::shared_ptr<grpc::ServerCredentials>> CredentialsFor(const std::string& listen,
                                                                        const TlsFiles& files) {
  if (files.empty()) {
    if (IsLocalOnly(listen)) return grpc::InsecureServerCredentials();
    return absl::FailedPreconditionError(
        fmt::format("other machines can reach {}, and tokens would travel in the clear: give a "
                    "certificate and its key with "
                    "--tls-cert and --tls-key (`chockwised keys --dir DIR --tls HOST` makes a "
                    "pair), or listen on 127.0.0.1 or a "
                    "unix socket",
                    listen));
  }
  if (files.certificate_path.empty() || files.key_path.empty()) {
    return absl::InvalidArgumentError("TLS needs both --tls-cert and --tls-key");
  }
  const absl::StatusOr<std::string> certificate = ledger::ReadSmallFile(files.certificate_path);
  if (!certificate.ok()) return certificate.status();
  const absl::StatusOr<std::string> key = ledger::ReadSmallFile(files.key_path);
  if (!key.ok()) return key.status();
  if (absl::Status pair = CheckPair(files, *certificate, *key); !pair.ok()) return pair;
  grpc::SslServerCredentialsOptions options;
  options.pem_key_cert_pairs.push_back({.private_key = *key, .cert_chain = *certificate});
  return grpc::SslServerCredentials(options);
}

absl::Status MakeSelfSigned(const SelfSigned& wanted) {
  const Owned<EVP_PKEY> key(EVP_EC_gen("P-256"));
  const Owned<X509> certificate(X509_new());
  if (!key || !certificate || !FillCertificate(certificate.get(), key.get(), wanted)) {
    return absl::InvalidArgumentError(fmt::format(
        "no certificate can be made for \"{}\"; give a DNS name or an address", wanted.host_name));
  }
  const Owned<BIO> key_text(BIO_new(BIO_s_mem()));
  const Owned<BIO> certificate_text(BIO_new(BIO_s_mem()));
  if (!key_text || !certificate_text ||
      PEM_write_bio_PrivateKey(key_text.get(), key.get(), nullptr, nullptr, 0, nullptr, nullptr) !=
          1 ||
      PEM_write_bio_X509(certificate_text.get(), certificate.get()) != 1) {
    return absl::InternalError("the certificate could not be written as PEM");
  }
  if (absl::Status written = ledger::WriteNewFile({.path = wanted.files.key_path, .mode = 0600},
                                                  TextOf(key_text.get()));
      !written.ok()) {
    return written;
  }
  return ledger::WriteNewFile({.path = wanted.files.certificate_path, .mode = 0644},
                              TextOf(certificate_text.get()));
}

}  // namespace chockwise::server
