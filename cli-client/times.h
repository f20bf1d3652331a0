// Times as people type them, in the local time zone. Pure, apart from that zone.
//
//   NextTimeOfDay("14:00", yard.time())   the next 14:00 after the yard's now
//   ReadTime("2026-11-24 06:30", now)     one point in time
//   ReadSpan("1h30m")                     one length of time
#pragma once

#include <google/protobuf/duration.pb.h>
#include <google/protobuf/timestamp.pb.h>

#include <string>
#include <tl/expected.hpp>

namespace chockwise::cli {

using Timestamp = google::protobuf::Timestamp;

/// "HH:MM", 00:00 to 23:59: the first such time after `now`.
tl::expected<Timestamp, std::string> NextTimeOfDay(const std::string& text, const Timestamp& now);

/// "HH:MM" today, "YYYY-MM-DD", "YYYY-MM-DD HH:MM" (or with a T), or a span back from now: "2h",
/// "3d".
tl::expected<Timestamp, std::string> ReadTime(const std::string& text, const Timestamp& now);

/// Whole numbers with units d, h, m or min, s: "6m", "1h30m", "90 s". A bare number is refused: it
/// has no unit.
tl::expected<google::protobuf::Duration, std::string> ReadSpan(const std::string& text);

}  // namespace chockwise::cli
