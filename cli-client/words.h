// The words and marks in which enums, names and times appear on a screen. Colour, word and shape
// always come together, so that a state reads the same without colour and without UTF-8. Pure,
// apart from the time zone of the process.
//
//   StateTag(style, move.state())   "> RELEASED"
//   LastPart("yards/north/moves/14")   "14"
#pragma once

#include <google/protobuf/timestamp.pb.h>

#include <string>
#include <string_view>

#include "chockwise/v1/moves.pb.h"
#include "chockwise/v1/refusals.pb.h"
#include "chockwise/v1/rules.pb.h"
#include "cli-client/style.h"

namespace chockwise::cli {

/// A word for people, e.g. "UNDER WAY".
std::string_view Word(v1::MoveState state);
std::string_view Word(v1::GateState state);
std::string_view Word(v1::StopCause cause);
std::string_view Word(v1::Party party);
std::string_view Word(v1::Phase phase);

/// Mark and word in their colour.
std::string StateTag(const Style& style, v1::MoveState state);
std::string StateTag(const Style& style, v1::GateState state);
/// Mark and word without colour, for measuring and padding.
std::string PlainTag(const Style& style, v1::MoveState state);
std::string PlainTag(const Style& style, v1::GateState state);
Ink InkOf(v1::MoveState state);
Ink InkOf(v1::GateState state);

/// What stands behind the last '/'.
std::string LastPart(std::string_view name);

/// "14:02:11" in the local time zone; "--:--:--" where it is unset.
std::string Clock(const google::protobuf::Timestamp& time);
/// "14:02".
std::string ShortClock(const google::protobuf::Timestamp& time);
/// "2026-11-24 14:02".
std::string DateAndClock(const google::protobuf::Timestamp& time);

/// "1 gate", "2 gates".
std::string Counted(int count, std::string_view noun);

}  // namespace chockwise::cli
