#include "services/yard/computations.h"

namespace chockwise::yard {
namespace {

/// What every computation of the survey is told.
const Computation kSurvey = {.parameters = {{"max_age", ParameterKind::kAge}},
                             .required = {"max_age"}};
/// What depends on which end of the machine leads: `travel` is "forwards" or "reversing".
const Computation kTravelling = {
    .parameters = {{"max_age", ParameterKind::kAge}, {"travel", ParameterKind::kWord}},
    .required = {"max_age", "travel"}};

}  // namespace

const Computations& KnownComputations() {
  static const Computations known = {
      {"attended", {}},
      // That there is a place: advice for whoever drives it up, and nothing that a close-out stands
      // on.
      {"axles-legal", kSurvey},
      // `place_gate` brings EVIDENCE_DECK_PLACE.
      {"axles-legal-as-stood",
       {.parameters = {{"max_age", ParameterKind::kAge}, {"place_gate", ParameterKind::kGate}},
        .required = {"max_age", "place_gate"}}},
      {"clears-ground", kTravelling},
      {"counts-balance", {}},
      {"door-margins",
       {.parameters = {{"height_margin", ParameterKind::kLength},
                       {"width_margin", ParameterKind::kLength},
                       {"bounce", ParameterKind::kLength},
                       {"max_age", ParameterKind::kAge}},
        .required = {"height_margin", "width_margin", "bounce", "max_age"}}},
      {"doors-in-service", {}},
      {"driver-authorised", {}},
      {"fits-route",
       {.parameters = {{"max_age", ParameterKind::kAge},
                       {"each_side", ParameterKind::kLength},
                       {"most_grade", ParameterKind::kQuantity}},
        .required = {"max_age", "each_side", "most_grade"}}},
      {"goes-under", kTravelling},
      {"ground-carries", kSurvey},
      {"ground-free", {}},
      {"horn-heard",
       {.parameters = {{"max_age", ParameterKind::kAge}, {"distance", ParameterKind::kLength}},
        .required = {"max_age", "distance"}}},
      {"inspection-this-shift", {}},
      {"keeps-clear",
       {.parameters = {{"max_age", ParameterKind::kAge},
                       {"travel", ParameterKind::kWord},
                       {"each_side", ParameterKind::kLength}},
        .required = {"max_age", "travel", "each_side"}}},
      {"leaves-free", kTravelling},
      // `glare_gate` is looked at: a clear word on it, given with the sun already low ahead, says
      // that it does not blind. Left out, a low sun ahead refuses until it has moved on.
      {"light-enough",
       {.parameters = {{"max_age", ParameterKind::kAge}, {"glare_gate", ParameterKind::kGate}},
        .required = {"max_age"}}},
      // `ties_gate` brings EVIDENCE_TIES; a clear word on `restraint_gate` says that the joint is
      // locked and the attachment tied.
      {"load-holds",
       {.parameters = {{"max_age", ParameterKind::kAge},
                       {"ties_gate", ParameterKind::kGate},
                       {"restraint_gate", ParameterKind::kGate}},
        .required = {"max_age", "ties_gate", "restraint_gate"}}},
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
      {"wires-clear", kTravelling},
  };
  return known;
}

}  // namespace chockwise::yard
