// The complaints about one file while it is read.
#pragma once

#include <string>
#include <utility>

#include "services/yard/yard.h"

namespace chockwise::yard {

/// Collects complaints about one file into a list that all files share.
class Notes {
 public:
  Notes(std::string file, Complaints& complaints)
      : file_(std::move(file)), complaints_(complaints) {}

  /// Whatever text of the file is in it, no control character of it reaches a terminal.
  void Add(Complaint complaint);

  /// Complaints so far, of all files.
  size_t count() const { return complaints_.size(); }

 private:
  std::string file_;
  Complaints& complaints_;
};

/// The text of a file without a byte order mark. Complains, and gives nothing back, where the file
/// is larger than `most_bytes`, holds a NUL, is not UTF-8 or is empty.
std::optional<std::string_view> ReadText(std::string_view bytes, size_t most_bytes, Notes& notes);

/// The 1-based line that holds the byte at `offset`.
int LineAt(std::string_view text, size_t offset);

}  // namespace chockwise::yard
