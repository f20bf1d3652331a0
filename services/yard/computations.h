// The computations that a rule may name, and what each is told: one table, by which the server
// takes a yard into force, the command line checks one, and the audit reads one again.
//
//   auto yard = yard::ReadYard(files, base_rules, yard::KnownComputations());
//
// What they compute is in services/moves/computations.cc, and a second time, by the audit's own
// reckoning, in services/history/audit_computed.cc; tests hold both to this table.
//
// Immutable; safe from any thread.
#pragma once

#include "services/yard/yard.h"

namespace chockwise::yard {

const Computations& KnownComputations();

}  // namespace chockwise::yard
