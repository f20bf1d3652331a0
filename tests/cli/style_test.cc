// Text on a screen: width, cutting, wrapping, and bytes that would steer a terminal.

#include "cli-client/style.h"

#include <gtest/gtest.h>

#include <string>

namespace chockwise::cli {
namespace {

constexpr Style kAscii{.width = 80, .inks = Inks::kNone, .glyphs = Glyphs::kAscii};
constexpr Style kUtf8{.width = 80, .inks = Inks::kAnsi, .glyphs = Glyphs::kUtf8};

TEST(Style, ColumnsCountCodePointsNotBytes) {
  EXPECT_EQ(Columns("bay"), 3);
  EXPECT_EQ(Columns("b\u00e4y"), 3);
  EXPECT_EQ(Columns("\u25b6"), 1);
}

TEST(Style, CutNeverSplitsACodePoint) {
  EXPECT_EQ(Cut("walk-around", 11), "walk-around");
  EXPECT_EQ(Cut("walk-around", 10), "walk-ar...");
  EXPECT_EQ(Cut("\u00e4\u00e4\u00e4\u00e4\u00e4", 4), "\u00e4...");
  EXPECT_EQ(Cut("walk", 2), "wa");
  EXPECT_EQ(Cut("walk", 0), "");
}

TEST(Style, PaddedIsExactlyAsWideAsAsked) {
  for (const std::string text : {"", "a", "abcdef", "\u00e4\u00e4\u00e4\u00e4\u00e4\u00e4\u00e4"}) {
    for (int columns : {0, 1, 3, 5, 6, 9})
      EXPECT_EQ(Columns(Padded(text, columns)), columns) << text;
  }
}

TEST(Style, WrapStaysInsideItsWidthAndLosesNoWord) {
  const std::string text =
      "walk all the way round, look under and above, " + std::string(60, 'x') + " end";
  for (int width : {20, 33, 40, 80}) {
    std::string joined;
    for (const std::string& line : Wrap(text, {.width = width, .indent = 2, .hanging = 3})) {
      EXPECT_LE(Columns(line), width) << line;
      joined += line.substr(line.find_first_not_of(' '));
    }
    std::string want = text;
    std::erase(want, ' ');
    std::erase(joined, ' ');
    EXPECT_EQ(joined, want);
  }
}

// A finding is typed by anyone and shown to everyone: it must not be able to paint over the screen.
TEST(Style, CleanDisarmsTerminalSequences) {
  EXPECT_EQ(Clean(kUtf8, "a\033[2Jb"), "a?[2Jb");
  EXPECT_EQ(Clean(kUtf8,
                  "a\xC2\x9B"
                  "2Jb"),
            "a?2Jb");
  EXPECT_EQ(Clean(kUtf8, "two\nlines\x7f\x07"), "two lines??");
  EXPECT_EQ(Clean(kUtf8, "Zo\u00eb"), "Zo\u00eb");
  EXPECT_EQ(Clean(kAscii, "Zo\u00eb"), "Zo?");
  EXPECT_EQ(Clean(kAscii, "cut\u2026 \u2192 \u2019s"), "cut... -> 's");
}

TEST(Style, NoInkWithoutColourAndAlwaysAReset) {
  EXPECT_EQ(Inked(kAscii, Ink::kBad, "NOT CLEAR"), "NOT CLEAR");
  EXPECT_EQ(Inked(kUtf8, Ink::kBad, "NOT CLEAR"), "\033[1;31mNOT CLEAR\033[0m");
  EXPECT_EQ(Inked(kUtf8, Ink::kPlain, "x"), "x");
}

}  // namespace
}  // namespace chockwise::cli
