// RFC 4180, Common Format and MIME Type for Comma-Separated Values (CSV) Files, section 2, rules 1
// to 7. The rules' examples are from memory.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "services/yard/csv.h"

namespace chockwise::yard {
namespace {

using ::testing::ElementsAre;
using Cells = std::vector<std::vector<std::string>>;

struct Read {
  Cells cells;
  std::vector<int> lines;
  Complaints complaints;
};

Read ReadCsv(std::string_view text, const std::vector<std::string>& columns = {"a", "b", "c"}) {
  Read read;
  Notes notes("table.csv", read.complaints);
  for (CsvRow& row : ReadTable(text, {.required = columns}, notes).rows) {
    read.cells.push_back(std::move(row.cells));
    read.lines.push_back(row.line);
  }
  return read;
}

TEST(Rfc4180, Rule1EachRecordOnALineOfItsOwn) {
  const Read read = ReadCsv("a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n");
  EXPECT_EQ(read.cells, (Cells{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}));
  EXPECT_THAT(read.lines, ElementsAre(2, 3));
}

TEST(Rfc4180, Rule2TheLastLineMayEndInNothing) {
  EXPECT_EQ(ReadCsv("a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx").cells,
            (Cells{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}));
}

TEST(Rfc4180, Rule3TheHeaderNamesTheFields) {
  EXPECT_EQ(ReadCsv("c,a,b\r\nccc,aaa,bbb\r\n").cells, (Cells{{"aaa", "bbb", "ccc"}}));
}

TEST(Rfc4180, Rule4EachLineHasTheSameNumberOfFields) {
  const Read read = ReadCsv("a,b,c\r\naaa,bbb\r\nzzz,yyy,xxx,\r\n1,2,3\r\n");
  EXPECT_EQ(read.cells, (Cells{{"1", "2", "3"}}));
  ASSERT_EQ(read.complaints.size(), 2u);
  EXPECT_EQ(read.complaints[0].line, 2);
  EXPECT_EQ(read.complaints[1].line, 3);
}

TEST(Rfc4180, Rule5FieldsMayStandInQuotes) {
  EXPECT_EQ(ReadCsv("a,b,c\r\n\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx").cells,
            (Cells{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}));
  // "If fields are not enclosed with double quotes, then double quotes may not appear inside the
  // fields."
  EXPECT_EQ(ReadCsv("a,b,c\r\naa\"a,b,c\r\n").complaints.size(), 1u);
}

TEST(Rfc4180, Rule6LineBreaksAndCommasInQuotes) {
  const Read read = ReadCsv("a,b,c\r\n\"aaa\",\"b CRLF\r\nbb\",\"c,cc\"\r\nzzz,yyy,xxx");
  EXPECT_EQ(read.cells, (Cells{{"aaa", "b CRLF\r\nbb", "c,cc"}, {"zzz", "yyy", "xxx"}}));
  EXPECT_THAT(read.lines, ElementsAre(2, 4));  // ours: lines stay right behind a quoted line break
}

TEST(Rfc4180, Rule7AQuoteInQuotesIsDoubled) {
  EXPECT_EQ(ReadCsv("a,b,c\r\n\"aaa\",\"b\"\"bb\",\"ccc\"").cells,
            (Cells{{"aaa", "b\"bb", "ccc"}}));
  EXPECT_EQ(ReadCsv("a,b,c\n\"\"\"\",\"\",\n").cells, (Cells{{"\"", "", ""}}));
}

}  // namespace
}  // namespace chockwise::yard
