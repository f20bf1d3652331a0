// Dates and date-times as a yard's tables write them.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "services/fit/instant.h"

namespace chockwise::yard {

/// The start of a day in UTC, from "2027-03-01". Years 2000 to 2199.
std::optional<fit::Instant> ReadDate(std::string_view text);

/// RFC 3339: "2026-11-24T07:30:00Z", "2026-11-24T07:30:00.5-06:00". Second 60 is not read: leap
/// seconds are not counted. A date alone is the start of that day in UTC: the earliest it can have
/// been, so that a reading is never younger than it is.
std::optional<fit::Instant> ReadDateOrTime(std::string_view text);

/// The day of an instant in UTC: "2026-11-24".
std::string DateText(fit::Instant instant);

}  // namespace chockwise::yard
