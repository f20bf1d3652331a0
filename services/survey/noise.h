// What noise a person takes in over a day, how long they may stay where it is loud, and whether a
// voice carries there.
//
//   Outcome<PartedAnswer> day = NoiseOfDay({{.level = fit::InDecibels(100), .lasted = ...}});
//   Show(day->answer.line);               // "EAR PROTECTION: 150 % of the day's dose, ..."
//
// Threads: values.
#pragma once

#include <array>
#include <string_view>
#include <vector>

#include "services/fit/hearing_dose.h"
#include "services/survey/parts.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

/// "100 dB for 2 h", "90 dB(A) for 90 min". What cannot be read is refused with what would be
/// right.
Outcome<fit::NoiseExposure> ReadExposure(std::string_view text);

/// A day of these, at least one. Over the limit of Table G-16 is a conflict; from the action level
/// on its line asks for a hearing conservation program. Levels count as they were told.
Outcome<PartedAnswer> NoiseOfDay(const std::vector<fit::NoiseExposure>& exposures);

/// How long a day in the noise that was read at a place is permitted without ear protection, and
/// how people talk there: clear with that as its limit, a conflict where no time is permitted. The
/// meter is taken to have read too little by as much as it may.
Outcome<PartedAnswer> NoiseAt(const Asked& asked, const yard::PlaceId& place);

/// Both together, as one answer.
PartedAnswer Together(PartedAnswer first, const PartedAnswer& second);

/// 29 CFR 1910.95(c): 85 dB(A) over 8 h, which is a dose of 50 %.
inline constexpr fit::Decibels kActionLevel = fit::InDecibels(85);

inline constexpr std::array<std::string_view, 2> kNoiseSources = {
    fit::kNoiseDoseSources[0], "29 CFR 1910.95(c): hearing conservation from a dose of 50 % on"};
inline constexpr std::array<std::string_view, 2> kNoiseAssumptions = {
    fit::kNoiseDoseAssumptions[0],
    "no ear protection is counted; levels are of a meter at the ear: a phone's, off by 5 dB, warn "
    "and clear nothing"};

}  // namespace chockwise::survey
