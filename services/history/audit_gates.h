// Whether one gate was clear at a moment, by what the ledger had recorded until then. Private to
// the room.
//
// Pure; one thread.
#pragma once

#include <cstdint>
#include <optional>

#include "services/history/audit_book.h"

namespace chockwise::history {

/// What keeps the gate from being clear and fresh; unset where nothing does, or where a lead
/// rightly accepted it. Laws 1, 2.
std::optional<Fault> JudgeGate(const Moment& moment, const v1::GateRule& gate);

/// The same without regard to any acceptance.
std::optional<Fault> JudgeAnswer(const Moment& moment, const v1::GateRule& gate);

/// The notes of the words on a gate that is clear; none where it is not. The yard is in force.
std::vector<std::string> ClearNotes(const Moment& moment, std::string_view gate_id);

/// When the last of the words was given that make a gate clear; unset where it is not.
std::optional<int64_t> LastGoodWordUs(const Moment& moment, std::string_view gate_id);

/// The number that all who count give, where the gate asks for one and is clear otherwise. Law 9.
std::optional<int64_t> AgreedCount(const Moment& moment, const v1::GateRule& gate);

}  // namespace chockwise::history
