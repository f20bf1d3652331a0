// A yard that is small enough to try everything in it: two machines behind one door, two drivers, a
// spotter, a lead who may spot too, a tech, a safety lead and a reader. Its rules are a handful of
// gates, one or two of each sort.
//
// reference.cc says the same gates again in its own words; whoever changes one changes the other.
#pragma once

#include <string>

#include "chockwise/v1/entries.pb.h"
#include "services/fit/instant.h"
#include "services/yard/yard.h"

namespace chockwise::sim {

inline constexpr char kTinyYard[] = "tiny";
inline constexpr int kChocksUnderM1 = 2;  // as machines.csv says; M2 has none

// How long things hold there. One clock step of each kind is a little more than that, so that a few
// of them tell everything.
inline constexpr fit::Duration kTinyFresh = fit::Seconds(120);
inline constexpr fit::Duration kTinyStartWindow = fit::Seconds(60);
inline constexpr fit::Duration kTinyBeforeShiftEnd = fit::Minutes(10);
inline constexpr fit::Duration kTinyShift = fit::Hours(8);

yard::YardFiles TinyFiles();
std::string TinyBaseRules();

/// The command with which the safety lead takes the tiny yard into force.
v1::Command TinyLoad();

/// The instant at which everything begins there: 2026-11-16T06:00:00Z.
fit::Instant TinyMorning();

}  // namespace chockwise::sim
