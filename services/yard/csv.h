// Tables as RFC 4180 writes them, read strictly.
//
// Lines end in LF or CRLF, the last one perhaps in nothing. A cell in double quotes may hold
// commas, line ends and doubled quotes. What RFC 4180 leaves to chance is a complaint: a quote
// inside a plain cell, text behind a closing quote, a quote that never closes, a row with more or
// fewer cells than the header.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "services/yard/notes.h"

namespace chockwise::yard {

struct CsvRow {
  int line = 0;  // on which the row starts, 1-based; right also behind cells that hold line ends
  std::vector<std::string> cells = {};
};

/// The rows below the header, with their cells, trimmed, in the order of `columns` whatever their
/// order in the file. Wholly empty rows are left out. Rows with a complaint about their form are
/// left out too.
struct Table {
  bool complete =
      true;  // whether every row was read; otherwise what is missing here may be in the file
  std::vector<CsvRow> rows = {};
};

struct Columns {
  std::vector<std::string> required = {};
  std::vector<std::string> optional =
      {};  // their cells are empty where the file does not have them
};

/// Reads a table with these columns and no others; cells come as required first, then optional. The
/// text is UTF-8.
Table ReadTable(std::string_view text, const Columns& columns, Notes& notes);

}  // namespace chockwise::yard
