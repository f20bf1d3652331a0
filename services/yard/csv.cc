#include "services/yard/csv.h"

#include <fmt/format.h>

#include "services/yard/limits.h"
#include "services/yard/text.h"

namespace chockwise::yard {
namespace {

/// Walks over the text and keeps count of the lines.
class CsvReader {
 public:
  CsvReader(std::string_view text, Notes& notes) : text_(text), notes_(notes) {}

  bool AtEnd() const { return at_ == text_.size(); }
  int line() const { return line_; }

  /// Reads one row. Unset where its form is wrong: then the rest of its line is passed over.
  std::optional<CsvRow> Read() {
    CsvRow row{.line = line_};
    for (;;) {
      const auto cell = Peek() == '"' ? ReadQuoted() : ReadPlain();
      if (!cell) return SkipLine();
      if (cell->size() > kCellBytes) {
        notes_.Add({.line = line_,
                    .problem = fmt::format("a cell has {} bytes", cell->size()),
                    .right = fmt::format("at most {} are read", kCellBytes)});
        return SkipLine();
      }
      row.cells.emplace_back(Trim(*cell));
      if (Take(',')) continue;
      if (TakeLineEnd()) return row;
      notes_.Add({.line = line_,
                  .problem = "text stands behind a closing quote",
                  .right = "close the quote right before the comma or the line's end; double a "
                           "quote that is text"});
      return SkipLine();
    }
  }

 private:
  char Peek() const { return AtEnd() ? '\0' : text_[at_]; }
  bool Take(char expected) {
    if (Peek() != expected || AtEnd()) return false;
    ++at_;
    return true;
  }
  bool TakeLineEnd() {
    if (AtEnd()) return true;
    if (text_.substr(at_).starts_with("\r\n")) ++at_;
    if (!Take('\n')) return false;
    ++line_;
    return true;
  }
  std::optional<CsvRow> SkipLine() {
    while (!AtEnd() && Peek() != '\n') ++at_;
    TakeLineEnd();
    return std::nullopt;
  }

  std::optional<std::string> ReadPlain() {
    const size_t from = at_;
    while (!AtEnd() && Peek() != ',' && Peek() != '\n' && !text_.substr(at_).starts_with("\r\n")) {
      if (Peek() == '"' || Peek() == '\r') {
        const bool quote = Peek() == '"';
        notes_.Add({.line = line_,
                    .problem = quote ? "a quote stands inside a cell that does not start with one"
                                     : "a carriage return stands alone",
                    .right = quote ? "put the whole cell in quotes and double those inside"
                                   : "end lines with LF or CRLF"});
        return std::nullopt;
      }
      ++at_;
    }
    return std::string(text_.substr(from, at_ - from));
  }

  std::optional<std::string> ReadQuoted() {
    const int opened_on = line_;
    std::string cell;
    ++at_;
    while (!AtEnd()) {
      if (Take('"')) {
        if (!Take('"')) return cell;
        cell += '"';
        continue;
      }
      if (Peek() == '\n') ++line_;
      cell += text_[at_++];
    }
    notes_.Add({.line = opened_on,
                .problem = "a quote is never closed",
                .right = "close it on the same row"});
    return std::nullopt;
  }

  std::string_view text_;
  Notes& notes_;
  size_t at_ = 0;
  int line_ = 1;
};

constexpr size_t kMissing = SIZE_MAX;

std::string HeaderWanted(const Columns& columns) {
  std::string right = fmt::format("the first line must be {}", fmt::join(columns.required, ","));
  if (!columns.optional.empty())
    right += fmt::format(", and may go on with {}", fmt::join(columns.optional, ","));
  return right;
}

/// For each of `wanted`, required before optional, the cell of the file's rows that holds it, or
/// kMissing. Complains about every column that is missing, unknown or there twice; unset where rows
/// cannot be read for it.
std::optional<std::vector<size_t>> ReadHeader(const CsvRow& header, const Columns& wanted,
                                              Notes& notes) {
  std::vector<std::string> columns = wanted.required;
  columns.insert(columns.end(), wanted.optional.begin(), wanted.optional.end());
  std::vector<size_t> cell_of(columns.size(), kMissing);
  bool usable = true;
  for (size_t i = 0; i < header.cells.size(); ++i) {
    const std::string& name = header.cells[i];
    const auto column = std::ranges::find(columns, name);
    if (column == columns.end()) {
      notes.Add({.line = header.line,
                 .field = name,
                 .problem = fmt::format("column {} is not known", Quoted(name)),
                 .right = "the columns are " + Listed(columns)});
      continue;
    }
    size_t& cell = cell_of[static_cast<size_t>(column - columns.begin())];
    if (cell != kMissing) {
      notes.Add({.line = header.line,
                 .field = name,
                 .problem = "the column is there twice",
                 .right = "keep one of the two"});
      usable = false;
    }
    cell = i;
  }
  for (size_t i = 0; i < wanted.required.size(); ++i) {
    if (cell_of[i] != kMissing) continue;
    notes.Add({.line = header.line,
               .field = columns[i],
               .problem = "the column is missing",
               .right = HeaderWanted(wanted)});
    usable = false;
  }
  return usable ? std::optional(cell_of) : std::nullopt;
}

bool IsEmpty(const CsvRow& row) {
  return std::ranges::all_of(row.cells, [](const std::string& cell) { return cell.empty(); });
}

}  // namespace

Table ReadTable(std::string_view text, const Columns& columns, Notes& notes) {
  CsvReader reader(text, notes);
  std::optional<CsvRow> header;
  if (!reader.AtEnd()) header = reader.Read();
  if (!header || IsEmpty(*header)) {
    notes.Add({.line = 1, .problem = "there is no header", .right = HeaderWanted(columns)});
    return {.complete = false};
  }
  const auto cell_of = ReadHeader(*header, columns, notes);
  if (!cell_of) return {.complete = false};

  Table table;
  while (!reader.AtEnd()) {
    auto row = reader.Read();
    if (!row) table.complete = false;
    if (!row || IsEmpty(*row)) continue;
    if (table.rows.size() == kRows) {
      notes.Add({.line = row->line,
                 .problem = "there are more rows",
                 .right = fmt::format("at most {} are read", kRows)});
      table.complete = false;
      return table;
    }
    if (row->cells.size() != header->cells.size()) {
      notes.Add(
          {.line = row->line,
           .where = row->cells.front(),
           .problem = fmt::format("the row has {} cells", row->cells.size()),
           .right = fmt::format("{} as in the first line; put a cell that holds a comma in quotes",
                                header->cells.size())});
      table.complete = false;
      continue;
    }
    CsvRow ordered{.line = row->line};
    for (const size_t cell : *cell_of)
      ordered.cells.push_back(cell == kMissing ? "" : std::move(row->cells[cell]));
    table.rows.push_back(std::move(ordered));
  }
  return table;
}

}  // namespace chockwise::yard
