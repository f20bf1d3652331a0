// What a rule tells a computation. Checked when the rules were loaded, so that the fallbacks only
// keep these total.
//
// Threads: pure functions.
#pragma once

#include <google/protobuf/map.h>

#include <string>

#include "services/fit/instant.h"
#include "services/fit/quantity.h"

namespace chockwise::moves {

using Parameters = google::protobuf::Map<std::string, std::string>;

/// How long a reading counts: "max_age". Zero where it is left out.
fit::Duration AgeParameter(const Parameters& parameters);
/// Empty where it is left out; zero of the others where it is left out or of another sort.
std::string WordParameter(const Parameters& parameters, const char* name);
fit::Metres LengthParameter(const Parameters& parameters, const char* name);
fit::Grade GradeParameter(const Parameters& parameters, const char* name);

}  // namespace chockwise::moves
