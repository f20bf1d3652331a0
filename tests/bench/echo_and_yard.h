// What is measured beside the server, and the yard it is measured on.
#pragma once

#include <string>

namespace chockwise::bench {

/// Serves MoveService.Confirm with a fixed receipt on any free port, until it is ended.
void ServeEcho();

/// A copy of a yard with `trucks` more service trucks at the truck row, BT-1, BT-2, ...
void MakeBenchYard(const std::string& from, const std::string& to, int trucks);

}  // namespace chockwise::bench
