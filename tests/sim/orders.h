// Everything that somebody can say in the tiny yard, as a list of orders. Move 1 is M1's and move 2
// is M2's, in every order of the rest: the other way round is the same yard with the names changed.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "services/moves/state.h"

namespace chockwise::sim {

enum class OrderSort {
  kPerson,
  kStop,      // law 5: taken in every state that has not ended
  kSystem,    // law 3
  kFallBack,  // a system's order after which nothing is released: law 7
  kWait,      // only the clock moves
};

struct Order {
  std::string label;
  OrderSort sort = OrderSort::kPerson;
  v1::Command command;
  moves::MoveNumber move = 0;  // that it names; 0 for none
  /// Where the clock stands afterwards; empty: where it stood.
  std::function<moves::Instant(const moves::YardState&, moves::Instant)> wait;
  /// Fills in what depends on the state. False: nothing to say now.
  std::function<bool(const moves::YardState&, moves::Instant, v1::Command&)> fill;
};

const std::vector<Order>& AllOrders();

/// The order of that label. Aborts where there is none: a script with a typing mistake is no
/// script.
const Order& OrderCalled(std::string_view label);

/// Lives of the two moves, as labels: stations from which everything else is tried.
const std::vector<std::vector<std::string>>& Lives();

}  // namespace chockwise::sim
