#include "services/yard/notes.h"

#include <fmt/format.h>

#include <cstdint>

#include "services/yard/text.h"

namespace chockwise::yard {

std::string Complaint::Text() const { return fmt::format("{}: {}", Place(), What()); }

std::string Complaint::Place() const { return line > 0 ? fmt::format("{}:{}", file, line) : file; }

std::string Complaint::What() const {
  std::string text;
  for (const std::string* part : {&where, &field}) {
    if (!part->empty()) text += *part + ": ";
  }
  text += problem;
  if (!right.empty()) text += "; " + right;
  return text;
}

void Notes::Add(Complaint complaint) {
  complaint.file = file_;
  complaint.where = Plain(complaint.where);
  complaint.field = Plain(complaint.field);
  complaint.problem = Plain(complaint.problem, SIZE_MAX);
  complaint.right = Plain(complaint.right, SIZE_MAX);
  complaints_.push_back(std::move(complaint));
}

int LineAt(std::string_view text, size_t offset) {
  return 1 + static_cast<int>(std::ranges::count(text.substr(0, offset), '\n'));
}

std::optional<std::string_view> ReadText(std::string_view bytes, size_t most_bytes, Notes& notes) {
  if (bytes.size() > most_bytes) {
    notes.Add({.problem = fmt::format("has {} bytes", bytes.size()),
               .right = fmt::format("at most {} are read", most_bytes)});
    return std::nullopt;
  }
  constexpr std::string_view kByteOrderMark = "\xef\xbb\xbf";
  std::string_view text = bytes;
  if (text.starts_with(kByteOrderMark)) text.remove_prefix(kByteOrderMark.size());
  if (const auto invalid = FirstInvalidUtf8(text)) {
    notes.Add({.line = LineAt(text, *invalid),
               .problem = fmt::format("byte 0x{:02x} is not UTF-8",
                                      static_cast<unsigned char>(text[*invalid])),
               .right = "save the file as UTF-8"});
    return std::nullopt;
  }
  if (const size_t nul = text.find('\0'); nul != std::string_view::npos) {
    notes.Add({.line = LineAt(text, nul),
               .problem = "holds a NUL byte",
               .right = "save the file as plain UTF-8 text"});
    return std::nullopt;
  }
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    notes.Add({.problem = "is empty", .right = "a yard has five files, and each says something"});
    return std::nullopt;
  }
  return text;
}

}  // namespace chockwise::yard
