#include "story.h"

#include <fmt/format.h>
#include <google/protobuf/text_format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <regex>
#include <sstream>

#include "services/ledger/sha256.h"
#include "small_yard.h"

namespace chockwise::history {
namespace {

void ReplaceOnce(std::string& text, std::string_view part, std::string_view by) {
  const size_t at = text.find(part);
  ASSERT_NE(at, std::string::npos) << "not there: " << part;
  text.replace(at, part.size(), by);
}

Block ReadBlock(const std::string& text) {
  Block block;
  const size_t end = text.find('\n');
  std::istringstream head(text.substr(0, end));
  head >> block.label >> block.later_s >> block.person >> block.move >> block.state;
  EXPECT_FALSE(head.fail()) << "bad block: " << text;
  block.text = end == std::string::npos ? "" : text.substr(end + 1);
  if (block.person == "-") block.person.clear();
  if (block.label.starts_with('!')) {
    block.label.erase(0, 1);
  } else {
    block.request = block.label;
  }
  return block;
}

/// clear(a b) and $+300 spelled out.
std::string Expanded(std::string text, int64_t time_us, const std::string& digest) {
  std::smatch found;
  while (std::regex_search(text, found, std::regex(R"(clear\(([^)]*)\))"))) {
    std::istringstream ids(found[1].str());
    std::string gates;
    for (std::string id; ids >> id;)
      gates += fmt::format("gates {{ gate_id: \"{}\" state: GATE_STATE_CLEAR }} ", id);
    text = found.prefix().str() + gates + found.suffix().str();
  }
  while (std::regex_search(text, found, std::regex(R"(\$\+(\d+))"))) {
    text = found.prefix().str() + std::to_string(time_us + std::stoll(found[1].str()) * 1'000'000) +
           found.suffix().str();
  }
  for (size_t at; (at = text.find("$DIGEST")) != std::string::npos;) text.replace(at, 7, digest);
  return text;
}

}  // namespace

std::string DigestOfFiles(const std::map<std::string, std::string>& files) {
  std::string all;
  for (const auto& [name, bytes] : files) {
    std::string length(8, '\0');
    for (size_t i = 0; i < 8; ++i)
      length[7 - i] = static_cast<char>((bytes.size() >> (8 * i)) & 0xff);
    all += name + std::string(1, '\0') + length + bytes;
  }
  return ledger::ToHex(ledger::Sha256({all}));
}

Story Story::Read(const std::string& path) {
  Story story;
  story.files_ = SmallYard();
  std::ifstream file(path);
  EXPECT_TRUE(file) << "no story at " << path;
  std::string text;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with('#')) continue;
    if (!line.empty()) {
      text += line + "\n";
    } else if (!text.empty()) {
      story.blocks_.push_back(ReadBlock(text));
      text.clear();
    }
  }
  if (!text.empty()) story.blocks_.push_back(ReadBlock(text));
  return story;
}

Block& Story::At(std::string_view label) {
  auto block = std::ranges::find(blocks_, label, &Block::label);
  if (block == blocks_.end()) throw std::invalid_argument("no block " + std::string(label));
  return *block;
}

void Story::Drop(std::string_view label) {
  // The time it took still passes.
  const int64_t later_s = At(label).later_s;
  auto block = blocks_.erase(std::ranges::find(blocks_, label, &Block::label));
  if (block != blocks_.end()) block->later_s += later_s;
}

void Story::Replace(std::string_view label, std::string_view text, std::string_view by) {
  ReplaceOnce(At(label).text, text, by);
}

void Story::Insert(std::string_view after, std::string_view block) {
  blocks_.insert(std::ranges::find(blocks_, At(after).label, &Block::label) + 1,
                 ReadBlock(std::string(block)));
}

void Story::ReplaceInFile(const std::string& file, std::string_view text, std::string_view by) {
  ReplaceOnce(files_.at(file), text, by);
}

std::vector<StoryEntry> Story::Entries() const {
  std::vector<StoryEntry> entries;
  int64_t time_us = kStoryBeginUs;
  const std::string digest = DigestOfFiles(files_);
  for (const Block& block : blocks_) {
    time_us += block.later_s * 1'000'000;
    StoryEntry made{.label = block.label, .entry = {}};
    const std::string text = Expanded(block.text, time_us, digest);
    EXPECT_TRUE(google::protobuf::TextFormat::ParseFromString(text, &made.entry))
        << block.label << ": " << text;
    made.entry.set_time_us(time_us);
    made.entry.set_person(block.person);
    made.entry.set_move(block.move);
    if (block.state != "-") {
      v1::MoveState state = v1::MOVE_STATE_UNSPECIFIED;
      EXPECT_TRUE(v1::MoveState_Parse("MOVE_STATE_" + block.state, &state))
          << block.label << ": " << block.state;
      made.entry.set_move_state(state);
    }
    if (!block.person.empty() && !block.request.empty()) {
      const auto id = ledger::Sha256({block.request});
      made.entry.set_request_id(std::string(ledger::AsChars(id).substr(0, 16)));
    }
    if (made.entry.has_yard_loaded() && made.entry.yard_loaded().files().empty()) {
      made.entry.mutable_yard_loaded()->mutable_files()->insert(files_.begin(), files_.end());
    }
    entries.push_back(std::move(made));
  }
  return entries;
}

}  // namespace chockwise::history
