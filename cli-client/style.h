// How text becomes a screen: width, colour and marks come in as arguments, lines come out. Pure.
//
//   Style style{.width = 80, .inks = Inks::kNone, .glyphs = Glyphs::kAscii};
//   for (const std::string& line : Wrap("long text", {.width = style.width, .indent = 2})) ...
//
// Every text that a person or a server wrote goes through Clean first: it may hold bytes that steer
// a terminal. Threads: no state.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace chockwise::cli {

enum class Inks { kNone, kAnsi };
enum class Glyphs { kAscii, kUtf8 };

struct Style {
  int width = 80;   // columns
  int height = 24;  // lines, the prompt's line included
  Inks inks = Inks::kNone;
  Glyphs glyphs = Glyphs::kAscii;
};

/// What a colour means. A colour never stands alone: the word and the mark beside it say the same.
enum class Ink { kPlain, kGood, kBad, kWarn, kInfo, kQuiet, kLoud };

/// One line each, without line ends, none wider than the style it was made for.
using Lines = std::vector<std::string>;

/// A mark in both alphabets; both are one or two columns wide.
struct Mark {
  std::string_view ascii;
  std::string_view utf8;
};

std::string Inked(const Style& style, Ink ink, std::string_view text);
std::string_view Shown(const Style& style, const Mark& mark);

/// Control bytes become '?'; in ASCII style so does everything beyond ASCII. Line ends become
/// spaces.
std::string Clean(const Style& style, std::string_view text);

/// Columns of a text without colour: code points of UTF-8.
int Columns(std::string_view text);

/// The text, or its beginning and "..." where it is wider than `columns`.
std::string Cut(std::string_view text, int columns);

/// The text with spaces behind it up to `columns`; cut where it is wider.
std::string Padded(std::string_view text, int columns);

struct WrapShape {
  int width = 80;   // columns of the whole line
  int indent = 0;   // of every line
  int hanging = 0;  // of every line but the first, beyond indent
};
/// Breaks at spaces; a word wider than a line is broken hard.
Lines Wrap(std::string_view text, const WrapShape& shape);

/// The text wrapped beside a tag in its colour: "  x NOT CLEAR  text". The tag is free of colour
/// and of wide characters.
Lines Tagged(const Style& style, Ink ink, std::string_view tag, std::string_view text);
inline constexpr int kTagIndent = 2;

void Append(Lines& to, Lines more);

}  // namespace chockwise::cli
