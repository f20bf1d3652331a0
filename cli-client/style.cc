#include "cli-client/style.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <iterator>

namespace chockwise::cli {
namespace {

std::string_view Ansi(Ink ink) {
  switch (ink) {
    case Ink::kPlain:
      return "";
    case Ink::kGood:
      return "\033[32m";
    case Ink::kBad:
      return "\033[1;31m";
    case Ink::kWarn:
      return "\033[33m";
    case Ink::kInfo:
      return "\033[36m";
    case Ink::kQuiet:
      return "\033[2m";
    case Ink::kLoud:
      return "\033[1m";
  }
  return "";
}

bool IsContinuation(char byte) { return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U; }

/// Bytes of the first `columns` code points.
std::size_t BytesOf(std::string_view text, int columns) {
  std::size_t bytes = 0;
  for (int seen = 0; bytes < text.size(); ++bytes) {
    if (!IsContinuation(text[bytes]) && seen++ == columns) break;
  }
  return bytes;
}

/// C1 controls are two bytes in UTF-8, C2 80 to C2 9F; some terminals obey them.
bool IsC1(std::string_view text, std::size_t at) {
  return text[at] == '\xC2' && at + 1 < text.size() &&
         static_cast<unsigned char>(text[at + 1]) < 0xA0U;
}

struct Plainer {
  std::string_view from;
  std::string_view to;
};

/// Signs that sentences use, as ASCII writes them.
constexpr std::array<Plainer, 8> kPlainer{{{"…", "..."},
                                           {"–", "-"},
                                           {"—", "-"},
                                           {"’", "'"},
                                           {"“", "\""},
                                           {"”", "\""},
                                           {"→", "->"},
                                           {"×", "x"}}};

const Plainer* PlainerAt(std::string_view text) {
  for (const Plainer& plainer : kPlainer) {
    if (text.starts_with(plainer.from)) return &plainer;
  }
  return nullptr;
}

}  // namespace

std::string Inked(const Style& style, Ink ink, std::string_view text) {
  if (style.inks == Inks::kNone || ink == Ink::kPlain) return std::string(text);
  return std::string(Ansi(ink)).append(text).append("\033[0m");
}

std::string_view Shown(const Style& style, const Mark& mark) {
  return style.glyphs == Glyphs::kUtf8 ? mark.utf8 : mark.ascii;
}

std::string Clean(const Style& style, std::string_view text) {
  std::string clean;
  clean.reserve(text.size());
  for (std::size_t at = 0; at < text.size(); ++at) {
    const auto byte = static_cast<unsigned char>(text[at]);
    if (byte == '\n' || byte == '\r' || byte == '\t') {
      clean += ' ';
    } else if (byte < 0x20U || byte == 0x7FU) {
      clean += '?';
    } else if (IsC1(text, at)) {
      clean += '?';
      ++at;
    } else if (byte >= 0x80U && style.glyphs == Glyphs::kAscii) {
      const Plainer* plainer = PlainerAt(text.substr(at));
      if (plainer != nullptr) {
        clean += plainer->to;
      } else if (!IsContinuation(text[at])) {
        clean += '?';
      }
    } else {
      clean += text[at];
    }
  }
  return clean;
}

int Columns(std::string_view text) {
  return static_cast<int>(
      std::ranges::count_if(text, [](char byte) { return !IsContinuation(byte); }));
}

std::string Cut(std::string_view text, int columns) {
  if (Columns(text) <= columns) return std::string(text);
  if (columns <= 3) return std::string(text.substr(0, BytesOf(text, std::max(columns, 0))));
  std::string cut(text.substr(0, BytesOf(text, columns - 3)));
  while (!cut.empty() && cut.back() == ' ') cut.pop_back();
  return cut + "...";
}

std::string Padded(std::string_view text, int columns) {
  std::string padded = Cut(text, columns);
  padded.append(static_cast<std::size_t>(std::max(0, columns - Columns(padded))), ' ');
  return padded;
}

Lines Wrap(std::string_view text, const WrapShape& shape) {
  Lines lines;
  std::string line;
  const auto room = [&] {
    const int indent = shape.indent + (lines.empty() ? 0 : shape.hanging);
    return std::max(8, shape.width - indent);
  };
  const auto finish = [&] {
    const int indent = shape.indent + (lines.empty() ? 0 : shape.hanging);
    lines.push_back(std::string(static_cast<std::size_t>(indent), ' ') + line);
    line.clear();
  };
  while (!text.empty()) {
    const std::size_t space = text.find(' ');
    std::string_view word = text.substr(0, space);
    text.remove_prefix(space == std::string_view::npos ? text.size() : space + 1);
    if (word.empty()) continue;
    if (!line.empty() && Columns(line) + 1 + Columns(word) > room()) finish();
    while (Columns(word) > room()) {
      const std::size_t bytes = BytesOf(word, room());
      line = word.substr(0, bytes);
      word.remove_prefix(bytes);
      finish();
    }
    if (!line.empty()) line += ' ';
    line += word;
  }
  if (!line.empty()) finish();
  return lines;
}

Lines Tagged(const Style& style, Ink ink, std::string_view tag, std::string_view text) {
  Lines lines = Wrap(text, {.width = style.width, .indent = kTagIndent + Columns(tag) + 2});
  if (lines.empty()) lines.emplace_back(static_cast<std::size_t>(kTagIndent + Columns(tag)), ' ');
  lines.front().replace(kTagIndent, static_cast<std::size_t>(Columns(tag)), Inked(style, ink, tag));
  return lines;
}

void Append(Lines& to, Lines more) {
  to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

}  // namespace chockwise::cli
