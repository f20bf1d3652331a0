// Where the server listens and how calls are kept from other ears.
//
// TLS is not an option to switch on: an address that other machines can reach is refused without a
// certificate and its key. Loopback addresses and unix sockets may go without.
//
// Pure, apart from reading and writing the files named. Safe from any thread.
#pragma once

#include <absl/status/statusor.h>
#include <grpcpp/security/server_credentials.h>

#include <memory>
#include <string>

namespace chockwise::server {

/// PEM files; both or neither.
struct TlsFiles {
  std::string certificate_path;  // the chain, the server's own first
  std::string key_path;
  bool empty() const { return certificate_path.empty() && key_path.empty(); }
};

/// Whether only this machine can reach the address: 127.0.0.0/8, ::1, localhost, or a unix socket
/// ("unix:/path").
bool IsLocalOnly(const std::string& listen);

/// "127.0.0.1" of "127.0.0.1:7443", "[::1]" of "[::1]:7443".
std::string HostOf(const std::string& listen);

/// FAILED_PRECONDITION, with what to do, for an address that others can reach and no TLS; NOT_FOUND
/// or INVALID_ARGUMENT for files that are missing, unreadable, or do not belong together.
absl::StatusOr<std::shared_ptr<grpc::ServerCredentials>> CredentialsFor(const std::string& listen,
                                                                        const TlsFiles& files);

struct SelfSigned {
  TlsFiles files;         // where to write; the key with mode 0600
  std::string host_name;  // a DNS name or an address, e.g. "yard.example" or "192.0.2.7"
  int days = 400;
};
/// A P-256 key and a certificate for it, signed by itself: enough for one yard whose clients are
/// given the certificate. ALREADY_EXISTS rather than overwrite a file.
absl::Status MakeSelfSigned(const SelfSigned& wanted);

}  // namespace chockwise::server
