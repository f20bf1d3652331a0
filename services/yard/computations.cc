#include "services/yard/computations.h"

namespace chockwise::yard {

const Computations& KnownComputations() {
  static const Computations known = {
      {"attended", {}},
      {"counts-balance", {}},
      {"door-margins",
       {.parameters = {{"height_margin", ParameterKind::kLength},
                       {"width_margin", ParameterKind::kLength},
                       {"bounce", ParameterKind::kLength},
                       {"max_age", ParameterKind::kAge}},
        .required = {"height_margin", "width_margin", "bounce", "max_age"}}},
      {"doors-in-service", {}},
      {"driver-authorised", {}},
      {"ground-free", {}},
      {"inspection-this-shift", {}},
      {"mass-within-capacity",
       {.parameters = {{"max_age", ParameterKind::kAge}}, .required = {"max_age"}}},
      {"measured",
       {.parameters = {{"subject", ParameterKind::kWord},
                       {"quantity", ParameterKind::kWord},
                       {"at_most", ParameterKind::kQuantity},
                       {"at_least", ParameterKind::kQuantity},
                       {"max_age", ParameterKind::kAge}},
        .required = {"subject", "quantity", "max_age"}}},
      {"no-tags", {}},
      {"no-yard-hold", {}},
      {"shift-running", {}},
      {"spotter-bound", {}},
      {"start-window", {}},
  };
  return known;
}

}  // namespace chockwise::yard
