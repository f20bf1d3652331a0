// Reads texts made of "name value" lines in a fixed order. Private to the room.
#pragma once

#include <charconv>
#include <optional>
#include <span>
#include <string_view>

#include "services/ledger/identity.h"
#include "services/ledger/sha256.h"

namespace chockwise::ledger {

/// After the first line that is not as asked for, ok() stays false and every value is empty.
/// Callers compare the text with what they would have written themselves, so that one meaning has
/// one spelling.
class LineReader {
 public:
  explicit LineReader(std::string_view text) : rest_(text) {}

  void Title(std::string_view title) {
    if (NextLine() != title) ok_ = false;
  }
  std::string_view Text(std::string_view name) {
    const std::string_view line = NextLine();
    if (!ok_ || line.size() <= name.size() || line.substr(0, name.size()) != name ||
        line[name.size()] != ' ') {
      ok_ = false;
      return {};
    }
    return line.substr(name.size() + 1);
  }
  template <class Integer>
  Integer Number(std::string_view name) {
    const std::string_view text = Text(name);
    Integer value{};
    const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
    if (result.ec != std::errc() || result.ptr != text.data() + text.size()) ok_ = false;
    return value;
  }
  void Hex(std::string_view name, std::span<uint8_t> bytes) {
    if (!FromHex(Text(name), bytes)) ok_ = false;
  }
  LedgerKind Kind(std::string_view name) {
    const std::string_view text = Text(name);
    if (text == KindName(LedgerKind::kRehearsal)) return LedgerKind::kRehearsal;
    if (text != KindName(LedgerKind::kReal)) ok_ = false;
    return LedgerKind::kReal;
  }
  bool ok() const { return ok_; }

 private:
  std::string_view NextLine() {
    const size_t end = rest_.find('\n');
    if (end == std::string_view::npos) {
      ok_ = false;
      return {};
    }
    const std::string_view line = rest_.substr(0, end);
    rest_.remove_prefix(end + 1);
    return line;
  }

  std::string_view rest_;
  bool ok_ = true;
};

}  // namespace chockwise::ledger
