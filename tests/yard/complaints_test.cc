// Wrong things in a right yard, one at a time, and what is said about each. The cases and the
// answers are the text files in complaints/; CHOCKWISE_REWRITE=1 writes the answers anew, and a
// human reads the difference.
//
//   ## why                           a case; its name
//   - "capacity": 2                  what is taken out of the file that the script is named after
//   + "capacity": 0                  what is put there instead; \n, \r, \t, \\ and \xNN stand for
//   bytes = map.geojson: bay-1: ...        every complaint, in order; "= ok" where there must be
//   none
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <sstream>

#include "services/yard/limits.h"
#include "tests/yard/sample_yard.h"

namespace chockwise::yard {
namespace {

struct Case {
  std::string name;
  std::vector<std::pair<std::string, std::string>> edits;  // what is taken out, what is put there
  std::vector<std::string> answers;
};

std::string Unescaped(std::string_view text) {
  std::string bytes;
  for (size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\\') {
      bytes += text[i];
      continue;
    }
    const char kind = text.at(++i);
    if (kind == 'n') bytes += '\n';
    if (kind == 'r') bytes += '\r';
    if (kind == 't') bytes += '\t';
    if (kind == '\\') bytes += '\\';
    if (kind == 'x') {
      bytes += static_cast<char>(std::stoi(std::string(text.substr(i + 1, 2)), nullptr, 16));
      i += 2;
    }
  }
  return bytes;
}

std::vector<Case> ReadScript(const std::string& path) {
  std::ifstream in(path);
  std::vector<Case> cases;
  for (std::string line; std::getline(in, line);) {
    if (line.empty()) continue;
    if (line.starts_with("## ")) {
      cases.push_back({.name = line.substr(3), .edits = {}, .answers = {}});
      continue;
    }
    if (cases.empty() || line.size() < 2 || line[1] != ' ')
      throw std::invalid_argument(path + ": " + line);
    const std::string text = line.substr(2);
    if (line[0] == '-') cases.back().edits.emplace_back(text, "");
    if (line[0] == '+') cases.back().edits.back().second = text;
    if (line[0] == '=') cases.back().answers.push_back(text);
  }
  return cases;
}

void WriteScript(const std::string& path, const std::vector<Case>& cases) {
  std::ofstream out(path);
  for (const Case& one : cases) {
    out << (&one == &cases.front() ? "" : "\n") << "## " << one.name << "\n";
    for (const auto& [part, by] : one.edits) out << "- " << part << "\n+ " << by << "\n";
    for (const std::string& answer : one.answers) out << "= " << answer << "\n";
  }
}

std::vector<std::string> Answers(const Case& one, std::string YardFiles::*file) {
  YardFiles files = SampleFiles();
  for (const auto& [part, by] : one.edits)
    files.*file = Replaced(files.*file, Unescaped(part), Unescaped(by));
  const auto yard = ReadSample(files);
  if (yard) return {"ok"};
  std::vector<std::string> answers;
  for (const Complaint& complaint : yard.error()) answers.push_back(complaint.Text());
  return answers;
}

struct Script {
  const char* name;
  std::string YardFiles::*file;
  friend void PrintTo(const Script& script, std::ostream* out) { *out << script.name; }
};

class ComplaintScripts : public ::testing::TestWithParam<Script> {};

TEST_P(ComplaintScripts, SayWhatIsWrongAndWhatWouldBeRight) {
  const std::string path = std::string("complaints/") + GetParam().name + ".txt";
  auto cases = ReadScript(path);
  ASSERT_GE(cases.size(), 10u) << path;
  const bool rewrite = std::getenv("CHOCKWISE_REWRITE") != nullptr;
  for (Case& one : cases) {
    const auto answers = Answers(one, GetParam().file);
    if (rewrite) {
      one.answers = answers;
    } else {
      EXPECT_EQ(answers, one.answers) << path << ": " << one.name;
    }
  }
  if (rewrite) WriteScript(path, cases);
}

INSTANTIATE_TEST_SUITE_P(Yard, ComplaintScripts,
                         ::testing::Values(Script{"map", &YardFiles::map_geojson},
                                           Script{"machines", &YardFiles::machines_csv},
                                           Script{"people", &YardFiles::people_csv},
                                           Script{"measurements", &YardFiles::measurements_csv},
                                           Script{"rules", &YardFiles::rules_txtpb}));

TEST(Complaints, ARightYardHasNone) { EXPECT_EQ(ComplaintsText(ReadSample(SampleFiles())), ""); }

TEST(Complaints, TextIsOneLine) {
  const Complaint complaint{.file = "people.csv",
                            .line = 7,
                            .where = "maria",
                            .field = "may-drive",
                            .problem = "\"2027-13-01\" is not a date",
                            .right = "write it as YYYY-MM-DD"};
  EXPECT_EQ(complaint.Text(),
            "people.csv:7: maria: may-drive: \"2027-13-01\" is not a date; write it as YYYY-MM-DD");
  EXPECT_EQ((Complaint{.file = "map.geojson", .problem = "is empty"}).Text(),
            "map.geojson: is empty");
}

// Each file is within its limit, all of them together are not: the ledger keeps them as one.
TEST(Complaints, FilesThatTogetherAreTooLargeAreSaidWhereMostOfItIs) {
  YardFiles files = SampleFiles();
  files.map_geojson.append(kYardBytes - (64 << 10) - files.map_geojson.size(), ' ');
  EXPECT_EQ(ComplaintsText(ReadSample(files)), "");
  files.rules_txtpb.append(kRulesBytes - files.rules_txtpb.size(), '\n');
  const std::string complaint = ComplaintsText(ReadSample(files));
  EXPECT_NE(complaint.find("map.geojson: the yard's files together hold "), std::string::npos)
      << complaint;
  EXPECT_NE(complaint.find("a yard is at most 3145728 bytes"), std::string::npos) << complaint;
}

}  // namespace
}  // namespace chockwise::yard
