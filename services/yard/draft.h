// A yard while its files are read: what is there so far, and which names the files mention.
//
// A row with a mistake is still mentioned, and a file that could not be read to its end is not
// complete: so one mistake does not make a complaint of every line that refers to it.
#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>

#include "services/yard/notes.h"
#include "services/yard/text.h"
#include "services/yard/yard.h"

namespace chockwise::yard {

/// The ids of one sort that a file mentions.
struct Mentioned {
  std::set<std::string, std::less<>> ids;
  bool complete = true;
  /// Whether a reference to `id` is known to lead nowhere.
  bool Dangles(std::string_view id) const { return complete && !ids.contains(id); }
};

struct Draft {
  Yard yard;
  Mentioned places, lanes, doors, overheads, areas, machines, people;
  std::map<std::string, int> person_lines;  // id → its line in people.csv
  std::map<std::string, std::string>
      features;  // id → what it is; ids are unique over the whole map
  // What the map says a door's openings are, to be held against the tape: door → quantity → length.
  std::map<std::string, std::map<std::string, fit::Metres>> nominal;

  /// A feature that could not be read may be the one that another file refers to.
  void MapIsIncomplete() {
    for (Mentioned* sort : {&places, &lanes, &doors, &overheads, &areas}) sort->complete = false;
  }
};

// Each reads one file into the draft and complains. In this order: each looks at what the earlier
// ones found.
void ReadMap(std::string_view bytes, Draft& draft, Notes& notes);
void ReadMachines(std::string_view bytes, Draft& draft, Notes& notes);
void ReadPeople(std::string_view bytes, Draft& draft, Notes& notes);
void ReadMeasurements(std::string_view bytes, Draft& draft, Notes& notes);

}  // namespace chockwise::yard
