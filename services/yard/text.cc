#include "services/yard/text.h"

#include <fmt/format.h>

#include <cstdint>
#include <numeric>

#include "services/yard/limits.h"

namespace chockwise::yard {
namespace {

constexpr size_t kListedNames = 12;
constexpr size_t kSlips = 2;

bool IsLower(char c) { return c >= 'a' && c <= 'z'; }
bool IsUpper(char c) { return c >= 'A' && c <= 'Z'; }
bool IsDigit(char c) { return c >= '0' && c <= '9'; }
bool IsControl(char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; }
bool IsContinuation(char c) { return (static_cast<unsigned char>(c) & 0xc0) == 0x80; }

/// Bytes of the character that starts at `at`, or 0 where none does. Table 3-7 of the Unicode
/// Standard.
size_t CharacterBytes(std::string_view text, size_t at) {
  const auto byte = [&](size_t i) -> unsigned {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u;
  };
  const unsigned lead = byte(at);
  const unsigned second = byte(at + 1);
  const auto tail = [&](size_t i) { return i < text.size() && IsContinuation(text[i]); };
  if (lead < 0x80) return 1;
  if (lead < 0xc2 || lead > 0xf4 || !tail(at + 1)) return 0;
  if (lead < 0xe0) return 2;
  if (!tail(at + 2)) return 0;
  if (lead < 0xf0) {
    const bool overlong = lead == 0xe0 && second < 0xa0;
    const bool surrogate = lead == 0xed && second > 0x9f;
    return overlong || surrogate ? 0 : 3;
  }
  const bool overlong = lead == 0xf0 && second < 0x90;
  const bool too_large = lead == 0xf4 && second > 0x8f;
  return overlong || too_large || !tail(at + 3) ? 0 : 4;
}

size_t EditDistance(std::string_view a, std::string_view b) {
  std::vector<size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), size_t{0});
  for (size_t i = 1; i <= a.size(); ++i) {
    size_t diagonal = row[0];
    row[0] = i;
    for (size_t j = 1; j <= b.size(); ++j) {
      const size_t replaced = diagonal + (a[i - 1] == b[j - 1] ? 0u : 1u);
      diagonal = row[j];
      row[j] = std::min({replaced, row[j] + 1, row[j - 1] + 1});
    }
  }
  return row[b.size()];
}

}  // namespace

bool IsId(std::string_view text) {
  return !text.empty() && text.size() <= kIdCharacters && std::ranges::all_of(text, [](char c) {
    return IsLower(c) || IsUpper(c) || IsDigit(c) || c == '-';
  });
}

bool IsWord(std::string_view text) { return IsId(text) && std::ranges::none_of(text, IsUpper); }

bool IsLine(std::string_view text, size_t most) {
  if (text.empty() || FirstInvalidUtf8(text) || std::ranges::any_of(text, IsControl)) return false;
  const auto continued = std::ranges::count_if(text, IsContinuation);
  return text.size() - static_cast<size_t>(continued) <= most;
}

std::optional<size_t> FirstInvalidUtf8(std::string_view text) {
  for (size_t at = 0; at < text.size();) {
    const size_t bytes = CharacterBytes(text, at);
    if (bytes == 0) return at;
    at += bytes;
  }
  return std::nullopt;
}

std::string Plain(std::string_view text, size_t most_bytes) {
  std::string shown;
  for (size_t at = 0; at < text.size();) {
    if (at >= most_bytes) return shown + "…";
    const size_t bytes = CharacterBytes(text, at);
    if (bytes == 0 || IsControl(text[at])) {
      shown += '?';
      at += 1;
    } else {
      shown += text.substr(at, bytes);
      at += bytes;
    }
  }
  return shown;
}

std::string Quoted(std::string_view text) { return '"' + Plain(text) + '"'; }

std::string_view Trim(std::string_view text) {
  const size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

std::vector<std::string_view> Split(std::string_view text, char separator) {
  std::vector<std::string_view> parts;
  if (Trim(text).empty()) return parts;
  for (size_t from = 0;;) {
    const size_t end = text.find(separator, from);
    parts.push_back(Trim(text.substr(from, end - from)));
    if (end == std::string_view::npos) return parts;
    from = end + 1;
  }
}

std::string Listed(const std::vector<std::string>& names) {
  const size_t shown = std::min(names.size(), kListedNames);
  std::string text = fmt::format(
      "{}", fmt::join(names.begin(), names.begin() + static_cast<std::ptrdiff_t>(shown), ", "));
  if (names.size() > shown) text += fmt::format(" and {} more", names.size() - shown);
  return text;
}

std::string Nearest(std::string_view name, const std::vector<std::string>& names) {
  std::string nearest;
  size_t fewest = std::min(kSlips, name.size() / 2) + 1;
  for (const std::string& candidate : names) {
    const bool lengths_differ =
        candidate.size() > name.size() + kSlips || name.size() > candidate.size() + kSlips;
    if (lengths_differ) continue;
    const size_t slips = EditDistance(name, candidate);
    if (slips < fewest) {
      fewest = slips;
      nearest = candidate;
    }
  }
  return nearest;
}

std::string KnownNames(std::string_view name, const std::vector<std::string>& names) {
  if (const std::string nearest = Nearest(name, names); !nearest.empty())
    return fmt::format("did you mean \"{}\"?", nearest);
  return names.empty() ? "there is none" : "known are " + Listed(names);
}

}  // namespace chockwise::yard
