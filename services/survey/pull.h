// What a winch or a tow pulls to move a machine, and what it holds back where that would run, held
// against the rating of the line.
//
//   Outcome<PartedAnswer> holds = PullHolds(asked, {.machine = id, .way = yard::LaneId("gate-way"),
//                                                   .rated = fit::PoundsForce(12'000)});
//   Show(holds->answer.line);                             // "PULL 5,330 lbf: 6,670 lbf to spare"
//
// Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <variant>

#include "services/fit/loading_ramp.h"
#include "services/survey/parts.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

struct Pulled {
  yard::MachineId machine;
  std::variant<fit::Grade, yard::LaneId> way;  // uphill above 0, or a lane, which goes both ways
  std::optional<double> rolling = {};          // of its weight; unset: on wheels and firm ground
  std::optional<fit::Newtons> rated = {};      // of the weakest of winch, line and hooks
};

/// "PULL 5,330 lbf: 6,670 lbf to spare", "HOLD BACK ...: LINE TOO WEAK by 1,200 lbf"; on a lane
/// both, since nobody has said which way it goes. Without a rating no line is known to hold, and
/// that is undecided. Mass and the lane's steepest reading are taken to be off against it by as
/// much as they may be; what the caller types counts as typed.
Outcome<PartedAnswer> PullHolds(const Asked& asked, const Pulled& what);

/// A pull as people write it: "12,000 lbf" or "53 kN"; a plate's "12,000 lb" or "5,443 kg" is the
/// weight of so much. What cannot be read is refused with what would be right.
Outcome<fit::Newtons> ReadPull(const std::string& name, std::string_view text);

inline constexpr std::array<std::string_view, 2> kPullSources = {
    "statics of a slope: weight x (rolling + grade), no less than weight x (rolling x cos + sin)",
    "rolling resistance on firm ground, 5 % of the weight: common practice"};
inline constexpr std::array<std::string_view, 2> kPullAssumptions = {
    "a steady pull in line: nothing bogged, no brake or dead drive drags, no jerk; each asks for "
    "more",
    "the rating is that of the weakest of winch as it is spooled, line, hooks and anchor; nobody "
    "stands where a line that parts can reach"};

}  // namespace chockwise::survey
