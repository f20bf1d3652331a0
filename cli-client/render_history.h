// Screens of what happened. As render.h: pure, apart from the time zone of the process. These lists
// are as long as what was asked for.
#pragma once

#include "chockwise/v1/history.pb.h"
#include "cli-client/style.h"

namespace chockwise::cli {

Lines MoveRecordsScreen(const v1::ListMoveRecordsResponse& response, const Style& style);
Lines RefusalsScreen(const v1::ListRefusalsResponse& response, const Style& style);
/// One refusal with every gate as the person was told it.
Lines RefusalScreen(const v1::RefusalRecord& refusal, const Style& style);
Lines TimeLineScreen(const v1::MoveTimeLine& line, const Style& style);
Lines SummaryScreen(const v1::MovesSummary& summary, const Style& style);

}  // namespace chockwise::cli
