// The register of what fits: every machine with every attachment that it was measured with, at
// every door of the yard. Made nightly, printed and hung up.
//
//   FitRegister all = RegisterOf(asked, [](Progress at) { ... });
//   for (const FitRow& row : all.rows) if (row.fits != Fits::kGo) Show(row);
//
// Time: proportional to machines x attachments x doors; the readings are looked up once. Threads:
// values; the progress is told on the caller's thread.
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/survey/path.h"

namespace chockwise::survey {

enum class Fits {
  kGo,       // high, wide and over the sill, with all that is asked for
  kTight,    // it goes through, with less beside it than is asked for
  kNo,       // it strikes or grounds
  kUnknown,  // a reading is missing, too old or dated in the future. Law 2.
};

struct FitRow {
  std::string machine;
  std::string attachment;  // empty: none
  std::string door;
  Fits fits = Fits::kUnknown;
  std::string why;  // kUnknown: the reading that is missing, and what is wrong with it
  /// Over the machine at the top of its bounce while a wheel stands on the sill; beside it, the
  /// lesser side of a machine in the middle; under the belly over the sill. Negative: it strikes.
  std::optional<fit::Metres> above, each_side, below;
};

struct FitRegister {
  std::vector<FitRow> rows;  // by machine, attachment, door
  int go = 0, tight = 0, no = 0, unknown = 0;
};

struct Progress {
  size_t done = 0;
  size_t of = 0;  // rows
};

struct RegisterAsked {
  fit::Metres needed_each_side = kBesideMachine;
  fit::Metres needed_below = fit::kNeededClearance;
};

/// The closed forms on a level local profile: the sill lies across it as deep as a wall.
///
/// above = clear height - carried height - bounce - sill * (1 + depth / wheelbase): with one end on
/// the sill, no point of a machine within the wall's depth of that wheel rises more. Without a
/// wheelbase the factor is 2, the most for any wheelbase that can be. below = belly - sill. each
/// side = (clear width - carried width) / 2. Never more than a full ride and the taped opening
/// give; a ramp right before the door is the ride's to judge: RideOf. Source: subtraction and
/// lever; bounce: common practice.
FitRegister RegisterOf(const Asked& asked, const std::function<void(Progress)>& progress,
                       const RegisterAsked& limits = {});

inline constexpr std::array<std::string_view, 2> kRegisterSources = {
    "taped openings less taped machines; a wheel on the sill lifts by the lever",
    "bounce 3 in on tyres, 1 in on tracks, 1 in below, 12 in a side: common practice"};
inline constexpr std::array<std::string_view, 2> kRegisterAssumptions = {
    "level ground before and behind each door; the machine comes square through its middle",
    "the machine as it was measured with that attachment, nothing added since"};

}  // namespace chockwise::survey
