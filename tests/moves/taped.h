// The small yard, taped as the survey wants it: how its telehandler turns and rides, and what its
// ways carry and have room for.
#pragma once

#include "tests/moves/facts.h"

namespace chockwise::moves {

/// Adds readings of lee's to measurements.csv: "TH-1 wheelbase,9 ft 6 in,,forks".
inline void AddReadings(Files& files, std::initializer_list<const char*> rows) {
  for (const char* row : rows)
    files.measurements_csv += std::string(row) + ",lee,2026-11-01T08:00:00Z\n";
}

inline void TapeForSurvey(Files& files) {
  files.machines_csv = Replaced(files.machines_csv, "chocks\n", "chocks,steering\n");
  for (const char* row : {"service-truck,bay,,2", "service-truck,north,,0", "carrier,pad,,0"})
    files.machines_csv = Replaced(files.machines_csv, row, std::string(row) + ",front-axle");
  files.machines_csv = Replaced(files.machines_csv, "bay,forks,0", "bay,forks,0,all-wheel");
  files.machines_csv = Replaced(files.machines_csv, "north,bucket,0", "north,bucket,0,articulated");
  AddReadings(
      files,
      {"TH-1 wheelbase,9 ft 6 in,,forks", "TH-1 front-overhang,6 ft 9 in,,forks",
       "TH-1 wheel-radius,24 in,,forks", "TH-1 turning-radius,13 ft,,forks",
       "TH-1 horn-level-2m,106 dB(A),,forks", "door-1 sill-height,1 in,,", "out-way width,24 ft,,",
       "out-way grade,2 %,,", "out-way rated-mass,60000 lb,,", "line-way width,24 ft,,",
       "line-way grade,2 %,,", "line-way rated-mass,60000 lb,,", "bay ambient-level,70 dB(A),,",
       "apron ambient-level,70 dB(A),,", "line ambient-level,70 dB(A),,",
       "bay light-level,120 lx,,", "apron light-level,60 lx,,", "line light-level,60 lx,,"});
}

}  // namespace chockwise::moves
