// Small things made of random and hashed bytes: tokens' secrets, request ids, digests.
//
// Safe from any thread.
#pragma once

#include <absl/status/statusor.h>
#include <google/protobuf/map.h>
#include <google/protobuf/message.h>

#include <optional>
#include <string>
#include <string_view>

namespace chockwise::server {

/// 256 random bits as 43 characters of base64url (RFC 4648 section 5, no padding).
absl::StatusOr<std::string> NewSecret();

/// RFC 4648 section 5 without padding.
std::string Base64Url(std::string_view bytes);

/// SHA-256 of the secret's text, 32 bytes: what is kept instead of it.
std::string SecretHash(std::string_view secret);

/// The 16 bytes of a UUID in its usual text form (RFC 4122 section 3: 8-4-4-4-12 hexadecimal
/// digits, either case).
std::optional<std::string> UuidBytes(std::string_view text);
/// Random ones (RFC 4122 section 4.4), for a stop that came without.
std::string RandomUuidBytes();

/// The first 16 bytes of the SHA-256 of a request as it came in.
std::string RequestDigest(const google::protobuf::Message& request);

/// The digest over a version's files, as v1::LoadYard states it: lower-case hexadecimal.
std::string FilesDigest(const google::protobuf::Map<std::string, std::string>& files);

}  // namespace chockwise::server
