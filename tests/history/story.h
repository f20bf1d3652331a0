// A story: the entries of a ledger, written down by hand, and changed in one place at a time.
//
// A block is a line "label later person move STATE" and the text of what happened, up to an empty
// line:
//
//   m1.begin 20 ann 1 UNDER_WAY
//   move_begun {}
//
// `later` is in seconds after the block before; person "-" is the system; move 0 is the whole yard,
// with STATE "-". A label that begins with '!' carries no request id, as what follows from another
// entry. In the text, $+300 is the entry's time and 300 seconds, in microseconds; $DIGEST is the
// small yard's digest; clear(a b) is a gate recorded as clear for each id.
//
//   Story story = Story::Read("stories/good_shift.txt");
//   story.Drop("m1.walk");
//   auto entries = story.Entries();  // the first one is entry 1
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "chockwise/v1/entries.pb.h"

namespace chockwise::history {

struct Block {
  std::string label;
  int64_t later_s = 0;
  std::string person;  // empty: the system
  int64_t move = 0;
  std::string state;
  std::string text;
  std::string request;  // what the request id is made from; empty: none
};

struct StoryEntry {
  std::string label;
  v1::Entry entry;
};

class Story {
 public:
  static Story Read(const std::string& path);

  /// Each changes the story in one place; a label or a text that is not there fails the test.
  void Drop(std::string_view label);
  void Replace(std::string_view label, std::string_view text, std::string_view by);
  void Insert(std::string_view after, std::string_view block);
  Block& At(std::string_view label);
  /// A file of the small yard as loaded in the block "load", changed.
  void ReplaceInFile(const std::string& file, std::string_view text, std::string_view by);

  std::vector<StoryEntry> Entries() const;

 private:
  std::vector<Block> blocks_;
  std::map<std::string, std::string> files_;
};

/// Noon of 24 November 2026, in microseconds since 1970: when stories begin.
inline constexpr int64_t kStoryBeginUs = 1'795'521'600'000'000;

/// The digest of a yard's files, hex.
std::string DigestOfFiles(const std::map<std::string, std::string>& files);

}  // namespace chockwise::history
