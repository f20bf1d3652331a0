// Small questions about text, shared by the readers of a yard's files.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace chockwise::yard {

/// 1 to 40 characters of a–z, A–Z, 0–9 and '-'.
bool IsId(std::string_view text);

/// 1 to 40 characters of a–z, 0–9 and '-': what rules and classes are called.
bool IsWord(std::string_view text);

/// Valid UTF-8 without control characters, of 1 to `most` characters.
bool IsLine(std::string_view text, size_t most);

/// Offset of the first byte that is not valid UTF-8 (RFC 3629: no overlong forms, no surrogates),
/// if there is one.
std::optional<size_t> FirstInvalidUtf8(std::string_view text);

constexpr size_t kShownBytes = 60;

/// Text of a file, fit for a complaint and a terminal: control characters and bytes that are not
/// UTF-8 shown as '?', cut behind `most_bytes` at a character's edge.
std::string Plain(std::string_view text, size_t most_bytes = kShownBytes);

/// The same in quotes.
std::string Quoted(std::string_view text);

/// Without blanks and tabs at both ends.
std::string_view Trim(std::string_view text);

/// The trimmed parts between separators; an empty text has no parts.
std::vector<std::string_view> Split(std::string_view text, char separator);

/// "a, b, c"; after twelve names "and 5 more".
std::string Listed(const std::vector<std::string>& names);

/// The name that is at most two slips of the pen away, or empty.
std::string Nearest(std::string_view name, const std::vector<std::string>& names);

/// What to say beside a name that is not known: `did you mean "bay-1"?`, or the names there are.
std::string KnownNames(std::string_view name, const std::vector<std::string>& names);

/// The keys of a map or the elements of a set, as strings in order.
template <class Container>
std::vector<std::string> Names(const Container& container) {
  std::vector<std::string> names;
  for (const auto& element : container) {
    if constexpr (requires { element.first; }) {
      names.emplace_back(element.first);
    } else {
      names.emplace_back(element);
    }
  }
  return names;
}

}  // namespace chockwise::yard
