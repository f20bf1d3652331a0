// Resource names: "yards/{yard}/moves/17" and the like.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "services/moves/state.h"

namespace chockwise::moves {

std::string YardName(std::string_view yard_id);
std::string MoveName(std::string_view yard_id, MoveNumber number);
std::string MachineName(std::string_view yard_id, std::string_view machine);
std::string DoorName(std::string_view yard_id, std::string_view door);
std::string TokenName(std::string_view yard_id, int64_t number);

/// The id behind "yards/{yard_id}/{collection}/"; unset where the name is of another form, yard or
/// collection.
std::optional<std::string_view> IdIn(std::string_view name, std::string_view yard_id,
                                     std::string_view collection);

/// The same, where the id is a number from 1.
std::optional<int64_t> NumberIn(std::string_view name, std::string_view yard_id,
                                std::string_view collection);

/// The yard that any resource name starts with; empty where it starts with none.
std::string_view YardIn(std::string_view name);

}  // namespace chockwise::moves
