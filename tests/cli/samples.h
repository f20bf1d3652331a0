// A yard of the imagination, as a server would send it.
#pragma once

#include "chockwise/v1/history.pb.h"
#include "cli-client/render.h"

namespace chockwise::cli {

v1::Identity SampleDriver();            // ana, driver of the sample move
v1::Move SampleMove();                  // number 14, asked for, spotter ben
v1::UnmetGates SampleUnmet(int count);  // up to 25 gates
BoardView SampleBoard();
v1::ListMoveRecordsResponse SampleRecords();
v1::MovesSummary SampleSummary();

}  // namespace chockwise::cli
