// What every verb takes: which server, whose token, how to print. Flags stand before the
// environment.
//
//   auto target = ResolveTarget(options, environment);
//   if (!target) ...  // target.error() says what is wrong and what would be right
//
// Threads: plain data.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>

namespace chockwise::cli {

/// The value of an environment variable, or empty.
using Environment = std::function<std::string(const char* name)>;

inline constexpr std::string_view kDefaultServer = "127.0.0.1:7443";
inline constexpr double kDefaultTimeoutS = 5.0;
inline constexpr double kMostTimeoutS = 600.0;

struct GlobalOptions {
  std::string server;      // host:port or unix:PATH; CHOCKWISE_SERVER
  std::string token_file;  // else CHOCKWISE_TOKEN
  std::string yard;        // id of the yard; CHOCKWISE_YARD; else the yard of the token
  std::string ca_file;  // PEM of the authority that signed the server's certificate; CHOCKWISE_CA
  bool plaintext = false;
  bool json = false;
  bool no_color = false;
  double timeout_s = kDefaultTimeoutS;
  std::string request_id;  // given by the caller to ask again without doing it twice
};

/// Where to go, and how.
struct Target {
  std::string address;
  bool tls = true;
  std::string ca_pem;  // empty: the system's authorities
};

/// Loopback and unix sockets go without TLS unless a CA is given; everything else goes with it,
/// always.
tl::expected<Target, std::string> ResolveTarget(const GlobalOptions& options,
                                                const Environment& environment);

/// The secret behind "Bearer ", without white space. Errors: none given, file unreadable or empty.
tl::expected<std::string, std::string> ResolveToken(const GlobalOptions& options,
                                                    const Environment& environment);

/// Whether the address never leaves this machine.
bool IsLocal(std::string_view address);

tl::expected<std::string, std::string> ReadFile(const std::string& path);

}  // namespace chockwise::cli
