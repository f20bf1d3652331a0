// Arrows between rooms run one way: server -> moves, history, ledger -> yard, fit. The inner rooms
// do no I/O, read no clock, start no thread and know no gRPC. Read from the #include lines, so that
// a wrong arrow fails the build's tests.

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;

const fs::path kRoot = fs::path("../..");

/// What each room may include from other rooms.
const std::map<std::string, std::set<std::string>> kArrows = {
    {"fit", {}},
    {"yard", {"fit"}},
    {"survey", {"fit", "yard"}},
    {"moves", {"fit", "yard", "survey"}},
    {"ledger", {}},
    {"history", {"fit", "yard", "survey", "ledger"}},
    {"server", {"fit", "yard", "moves", "ledger", "history"}},
};

/// Rooms that compute only, and what they may not include.
const std::set<std::string> kPureRooms = {"fit", "yard", "survey", "moves"};
const std::vector<std::string> kImpureHeaders = {
    "fstream", "iostream", "filesystem", "thread", "mutex", "condition_variable",
    "atomic",  "future",   "unistd.h",   "random", "grpc",  "sqlite3.h",
    "spdlog/", "openssl/", "fcntl.h"};

struct Include {
  fs::path file;
  int line = 0;
  std::string header;
};

std::vector<Include> IncludesOf(const fs::path& folder) {
  static const std::regex kInclude(R"(^\s*#\s*include\s*[<"]([^>"]+)[>"])");
  std::vector<Include> includes;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    const std::string extension = entry.path().extension().string();
    if (extension != ".h" && extension != ".cc") continue;
    std::ifstream in(entry.path());
    std::string text;
    for (int line = 1; std::getline(in, text); ++line) {
      std::smatch match;
      if (std::regex_search(text, match, kInclude))
        includes.push_back({entry.path(), line, match[1]});
    }
  }
  return includes;
}

std::string RoomOf(const std::string& header) {
  constexpr std::string_view kServices = "services/";
  if (!header.starts_with(kServices)) return "";
  return header.substr(kServices.size(), header.find('/', kServices.size()) - kServices.size());
}

TEST(Arrows, RoomsIncludeOnlyWhatTheyMay) {
  for (const auto& [room, allowed] : kArrows) {
    const std::vector<Include> includes = IncludesOf(kRoot / "services" / room);
    ASSERT_FALSE(includes.empty()) << room << " has no sources";
    for (const Include& include : includes) {
      const std::string other = RoomOf(include.header);
      if (other.empty() || other == room) continue;
      EXPECT_TRUE(allowed.contains(other)) << include.file << ":" << include.line << ": " << room
                                           << " may not include " << include.header;
    }
  }
}

TEST(Arrows, InnerRoomsComputeOnly) {
  for (const std::string& room : kPureRooms) {
    for (const Include& include : IncludesOf(kRoot / "services" / room)) {
      for (const std::string& impure : kImpureHeaders) {
        const bool folder = impure.ends_with('/') || impure == "grpc";
        const bool hit = folder ? include.header.starts_with(impure) : include.header == impure;
        EXPECT_FALSE(hit) << include.file << ":" << include.line << ": " << room
                          << " may not include " << include.header;
      }
      EXPECT_EQ(include.header.find(".grpc.pb.h"), std::string::npos)
          << include.file << ":" << include.line;
    }
  }
}

TEST(Arrows, FitKnowsNoProtobufAndYardOnlyTheRules) {
  for (const Include& include : IncludesOf(kRoot / "services" / "fit")) {
    EXPECT_EQ(include.header.find(".pb.h"), std::string::npos)
        << include.file << ":" << include.line;
  }
  for (const Include& include : IncludesOf(kRoot / "services" / "yard")) {
    const bool generated =
        include.header.ends_with(".pb.h") && include.header.starts_with("chockwise/");
    EXPECT_TRUE(!generated || include.header == "chockwise/v1/rules.pb.h")
        << include.file << ":" << include.line << ": " << include.header;
  }
}

TEST(Arrows, TheAuditSharesNothingWithTheHeart) {
  for (const Include& include : IncludesOf(kRoot / "services" / "history")) {
    EXPECT_NE(RoomOf(include.header), "moves") << include.file << ":" << include.line;
  }
}

TEST(Layout, TheTopLevelHoldsNothingElse) {
  const std::set<std::string> wanted = {
      "CMakeLists.txt", "CMakePresets.json", "README.md", "DEVELOPERS.md", "proto",
      "services",       "cli-client",        "tests",     "scenario",      "build"};
  for (const auto& entry : fs::directory_iterator(kRoot)) {
    const std::string name = entry.path().filename().string();
    EXPECT_TRUE(name.starts_with('.') || wanted.contains(name))
        << name << " does not belong at the top level";
  }
}

TEST(Layout, FilesStayShort) {
  constexpr int kMostLines = 500;
  for (const char* folder : {"services", "cli-client", "tests"}) {
    for (const auto& entry : fs::recursive_directory_iterator(kRoot / folder)) {
      const std::string extension = entry.path().extension().string();
      if (extension != ".h" && extension != ".cc") continue;
      std::ifstream in(entry.path());
      std::string text;
      int lines = 0;
      while (std::getline(in, text)) ++lines;
      EXPECT_LE(lines, kMostLines) << entry.path();
    }
  }
}

TEST(Layout, TheApiKeepsToAHundredColumns) {
  constexpr size_t kMostColumns = 100;
  for (const auto& entry : fs::directory_iterator(kRoot / "proto/chockwise/v1")) {
    std::ifstream in(entry.path());
    std::string text;
    for (int line = 1; std::getline(in, text); ++line)
      EXPECT_LE(text.size(), kMostColumns) << entry.path() << ":" << line;
  }
}

/// Every message, field, enum, value, service and rpc of the API has a comment above it (fields of
/// entries.proto that speak for themselves excepted: that file is not served).
TEST(Layout, TheApiIsCommented) {
  static const std::regex kElement(
      R"(^\s*(message|enum|service|rpc|repeated|optional|map<|string|bytes|int32|int64|bool|[A-Z]\w*(\.\w+)*\s+\w+\s*=|google\.\w|[A-Z_0-9]+\s*=))");
  for (const auto& entry : fs::directory_iterator(kRoot / "proto/chockwise/v1")) {
    if (entry.path().filename() == "entries.proto") continue;
    std::ifstream in(entry.path());
    std::string text, before;
    bool group_commented =
        false;  // a comment may stand above a run of elements that it names together
    for (int line = 1; std::getline(in, text); ++line) {
      const bool comment = text.find("//") != std::string::npos;
      if (std::regex_search(text, kElement) && text.find("oneof") == std::string::npos) {
        EXPECT_TRUE(comment || group_commented)
            << entry.path() << ":" << line << ": no comment: " << text;
        group_commented = true;
      } else if (text.find("oneof") == std::string::npos) {  // its comment speaks for what it holds
        group_commented =
            comment || (group_commented && !text.empty() && text.find('}') == std::string::npos &&
                        text.find('{') == std::string::npos);
      }
    }
  }
}

}  // namespace
