// Where a machine stands on a deck, as people say it: on the desk's command line and in a spotter's
// word.
//
//   const auto stood = ReadStood("rear 3 in behind");   // its rear end is 3 in behind the deck's
//   front
//
// Threads: values.
#pragma once

#include <string>
#include <string_view>

#include "services/survey/readings.h"

namespace chockwise::survey {

/// The end of the machine that is toward the deck's front.
enum class NearEnd { kFront, kRear };
struct StoodAt {
  NearEnd end = NearEnd::kFront;
  fit::Metres behind_deck_front;  // that end; below 0 where it is ahead
};

inline constexpr const char* kStoodForm =
    "write the end that is toward the deck's front, and how far it is behind or ahead of it: front "
    "2 "
    "ft 3 in behind, or rear 4 in ahead";

/// "front 2 ft 3 in behind", "rear 0.10 m ahead". What cannot be read is refused with what would be
/// right.
Outcome<StoodAt> ReadStood(std::string_view text);

/// As ReadStood reads it: whole inches or centimetres of a place that StretchToSay gave.
std::string StoodText(const StoodAt& stood, fit::UnitSystem units);

}  // namespace chockwise::survey
