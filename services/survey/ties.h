// Tie-downs as people write them: on the desk's command line and in a spotter's word.
//
//   const auto ties = ReadTies("4 x 3/8 in grade 70 direct front; 2 x 1/2 in grade unmarked ...");
//
// Threads: values.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "services/fit/securement.h"
#include "services/survey/readings.h"

namespace chockwise::survey {

inline constexpr const char* kTieForm =
    "write COUNT x SIZE in grade GRADE PATH END: 4 x 3/8 in grade 70 direct front; a strap as 2 x "
    "4 "
    "in webbing direct rear, what bears a mark as 2 x marked 5,400 lb direct rear; behind it "
    "binder "
    "6,600 lb, anchor 8,000 lb where they are known";

/// One kind of chain: how many, its size, its grade or "unmarked", where it goes ("direct",
/// "same-side", "other-side") and which end it holds: "front" or "rear", or a mounting point of the
/// machine there, "front-mounting-point". A strap is "2 x 4 in webbing ...", what bears its maker's
/// mark "2 x marked 5,400 lb ...". Behind that the limits of its binder and of the vehicle's anchor
/// points, where somebody has read them: "binder 6,600 lb anchor 8,000 lb". What cannot be read is
/// refused with what would be right.
Outcome<fit::Tie> ReadTie(std::string_view text);

/// Several of them with "; " between; at least one.
Outcome<std::vector<fit::Tie>> ReadTies(std::string_view text);

}  // namespace chockwise::survey
