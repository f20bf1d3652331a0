#include "cli-client/options.h"

#include <fmt/format.h>

#include <fstream>
#include <sstream>

namespace chockwise::cli {
namespace {

std::string_view Trimmed(std::string_view text) {
  constexpr std::string_view kWhite = " \t\r\n";
  const std::size_t first = text.find_first_not_of(kWhite);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kWhite) - first + 1);
}

std::string_view Host(std::string_view address) {
  if (address.starts_with('[')) return address.substr(1, address.find(']') - 1);
  return address.substr(0, address.rfind(':'));
}

bool HasPort(std::string_view address) {
  const std::size_t colon = address.rfind(':');
  if (colon == std::string_view::npos || colon + 1 == address.size()) return false;
  return address.find_first_not_of("0123456789", colon + 1) == std::string_view::npos;
}

std::string FirstGiven(const std::string& flag, const std::string& variable,
                       std::string_view otherwise) {
  if (!flag.empty()) return flag;
  return variable.empty() ? std::string(otherwise) : variable;
}

}  // namespace

tl::expected<std::string, std::string> ReadFile(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream bytes;
  if (!file || !(bytes << file.rdbuf())) {
    return tl::unexpected(
        fmt::format("{}: cannot be read, or is empty; give a file that you may read", path));
  }
  return bytes.str();
}

bool IsLocal(std::string_view address) {
  if (address.starts_with("unix:")) return true;
  const std::string_view host = Host(address);
  if (host == "localhost" || host == "::1") return true;
  // 127.0.0.0/8 only as numbers: a name such as 127.example.org may lead anywhere.
  return host.starts_with("127.") &&
         host.find_first_not_of("0123456789.") == std::string_view::npos;
}

tl::expected<Target, std::string> ResolveTarget(const GlobalOptions& options,
                                                const Environment& environment) {
  Target target{
      .address = FirstGiven(options.server, environment("CHOCKWISE_SERVER"), kDefaultServer),
      .ca_pem = {}};
  if (!target.address.starts_with("unix:") && !HasPort(target.address)) {
    return tl::unexpected(fmt::format(
        "--server {}: no port; give HOST:PORT, [IPv6]:PORT or unix:PATH", target.address));
  }
  const std::string ca_file = FirstGiven(options.ca_file, environment("CHOCKWISE_CA"), "");
  const bool local = IsLocal(target.address);
  if (options.plaintext && !local) {
    return tl::unexpected(fmt::format(
        "--plaintext: {} is not on this machine, and a token is never sent there in the clear; "
        "leave --plaintext out and give --ca FILE",
        target.address));
  }
  target.tls = !options.plaintext && (!local || !ca_file.empty());
  if (!target.tls || ca_file.empty()) return target;
  auto pem = ReadFile(ca_file);
  if (!pem) return tl::unexpected("--ca " + pem.error());
  if (pem->find("-----BEGIN CERTIFICATE-----") == std::string::npos) {
    return tl::unexpected(fmt::format("--ca {}: no certificate in it; give a PEM file", ca_file));
  }
  target.ca_pem = std::move(*pem);
  return target;
}

tl::expected<std::string, std::string> ResolveToken(const GlobalOptions& options,
                                                    const Environment& environment) {
  std::string secret = environment("CHOCKWISE_TOKEN");
  if (!options.token_file.empty()) {
    auto bytes = ReadFile(options.token_file);
    if (!bytes) return tl::unexpected("--token-file " + bytes.error());
    secret = std::move(*bytes);
  }
  const std::string_view token = Trimmed(secret);
  if (token.empty()) {
    return tl::unexpected<std::string>(
        "no token: give --token-file FILE or set CHOCKWISE_TOKEN; a safety lead issues one with "
        "\"chockwise token issue PERSON\"");
  }
  // What is no header value never reaches the wire.
  for (const char byte : token) {
    if (byte > 0x20 && byte <= 0x7e) continue;
    return tl::unexpected<std::string>(
        "the token holds a space or an unprintable byte; copy it again");
  }
  return std::string(token);
}

}  // namespace chockwise::cli
