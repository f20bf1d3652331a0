// Computations that the survey answers: the ride over the way, the path between the jambs, the
// ground, the wires, the horn, the light, the axles. The gate says the answer's line, which carries
// the number behind it.

#include <fmt/format.h>

#include <functional>
#include <string>
#include <vector>

#include "services/moves/findings.h"
#include "services/moves/ways.h"
#include "services/survey/path.h"
#include "services/survey/survey.h"
#include "services/survey/ties.h"

namespace chockwise::moves {
namespace {

survey::Asked AskedOf(const Sight& sight, const Parameters& parameters) {
  return {.yard = sight.yard, .when = {.now = sight.now, .max_age = AgeParameter(parameters)}};
}

survey::Trip TripOf(const Sight& sight) {
  const std::vector<std::string>& lanes = sight.move.way->lanes;
  return {.machine = sight.move.machine,
          .from = sight.move.from,
          .to = sight.move.to,
          .by = {lanes.begin(), lanes.end()}};
}

/// Unknown and undecided are not clear. Law 2.
ComputedFinding FindingOf(const survey::Outcome<fit::Answer>& answer) {
  if (!answer) {
    const std::string text = answer.error().Text();
    return answer.error().sort == survey::NoAnswer::Sort::kStale ? Stale(text) : NotClear(text);
  }
  return answer->verdict == fit::Verdict::kClear ? Clear(answer->line) : NotClear(answer->line);
}

/// The first finding that is not clear, or what all of them found.
ComputedFinding All(const std::vector<ComputedFinding>& findings) {
  std::string reasons;
  for (const ComputedFinding& finding : findings) {
    if (finding.state != v1::GATE_STATE_CLEAR) return finding;
    reasons += (reasons.empty() ? "" : "; ") + finding.reason;
  }
  return Clear(reasons);
}

/// What depends on which end of the machine leads.
ComputedFinding AskTravelling(const Sight& sight, const Parameters& parameters,
                              const std::function<survey::Outcome<fit::Answer>(
                                  const survey::Asked&, const survey::Trip&, fit::Travel)>& ask) {
  const auto travel = survey::TravelOf(WordParameter(parameters, "travel"));
  if (!travel) return NotClear("the rules name no travel: forwards or reversing");
  return FindingOf(ask(AskedOf(sight, parameters), TripOf(sight), *travel));
}

using DrivenQuestion = survey::Outcome<fit::Answer> (*)(const survey::Asked&, const survey::Trip&,
                                                        const survey::Driving&);

ComputedFinding AskDriven(DrivenQuestion ask, const Sight& sight, const Parameters& parameters,
                          survey::Driving driving = {}) {
  return AskTravelling(
      sight, parameters,
      [&](const survey::Asked& asked, const survey::Trip& trip, fit::Travel travel) {
        driving.travel = travel;
        return ask(asked, trip, driving);
      });
}

/// The notes of the words that clear a gate now; none where it is not clear, or where the rules
/// have no such gate.
std::vector<std::string> ClearNotes(const Sight& sight, const std::string& gate, v1::Phase phase) {
  const v1::GateRule* rule = sight.yard.FindGate(gate);
  if (rule == nullptr || EvaluateGate(sight, *rule, phase).state != v1::GATE_STATE_CLEAR) return {};
  const GateWords* words = sight.move.FindWords(gate, phase);
  std::vector<std::string> notes;
  for (const Word& word : words == nullptr ? std::vector<Word>() : words->words) {
    if (!word.stale) notes.push_back(word.note);
  }
  return notes;
}

}  // namespace

ComputedFinding KeepsClear(const Sight& sight, const Parameters& parameters) {
  return AskDriven(survey::KeepsClear, sight, parameters,
                   {.needed_each_side = LengthParameter(parameters, "each_side")});
}

ComputedFinding LeavesFree(const Sight& sight, const Parameters& parameters) {
  return AskDriven(survey::LeavesFree, sight, parameters);
}

ComputedFinding FitsRoute(const Sight& sight, const Parameters& parameters) {
  return FindingOf(
      survey::FindsWay(AskedOf(sight, parameters), TripOf(sight), RouteLimits(parameters)));
}

ComputedFinding GoesUnder(const Sight& sight, const Parameters& parameters) {
  return AskTravelling(sight, parameters, survey::GoesUnder);
}

ComputedFinding ClearsGround(const Sight& sight, const Parameters& parameters) {
  return AskTravelling(sight, parameters, survey::ClearsGround);
}

ComputedFinding GroundCarries(const Sight& sight, const Parameters& parameters) {
  return FindingOf(survey::GroundCarries(AskedOf(sight, parameters), TripOf(sight)));
}

ComputedFinding WiresClear(const Sight& sight, const Parameters& parameters) {
  return FindingOf(survey::WiresAreClear(AskedOf(sight, parameters), TripOf(sight)));
}

ComputedFinding HornHeard(const Sight& sight, const Parameters& parameters) {
  std::vector<ComputedFinding> findings;
  for (const PlaceId& place : {sight.move.from, sight.move.to}) {
    ComputedFinding finding = FindingOf(survey::HornIsHeard(
        AskedOf(sight, parameters), {.machine = sight.move.machine,
                                     .place = place,
                                     .distance = LengthParameter(parameters, "distance")}));
    finding.reason = fmt::format("{}: {}", place.value(), finding.reason);
    findings.push_back(std::move(finding));
  }
  return All(findings);
}

ComputedFinding LightEnough(const Sight& sight, const Parameters& parameters) {
  std::vector<ComputedFinding> findings;
  for (const PlaceId& place : {sight.move.from, sight.move.to}) {
    ComputedFinding finding = FindingOf(survey::LightIsEnough(AskedOf(sight, parameters), place));
    finding.reason = fmt::format("{}: {}", place.value(), finding.reason);
    findings.push_back(std::move(finding));
  }
  return All(findings);
}

ComputedFinding AxlesLegal(const Sight& sight, const Parameters& parameters) {
  if (sight.move.carrier.empty()) return NotClear("no carrier is named");
  return FindingOf(survey::AxlesCarry(
      AskedOf(sight, parameters), {.machine = sight.move.machine, .carrier = sight.move.carrier}));
}

/// Everybody who named the tie-downs is held to what they named.
ComputedFinding LoadHolds(const Sight& sight, const Parameters& parameters, v1::Phase phase) {
  const auto notes = ClearNotes(sight, WordParameter(parameters, "ties_gate"), phase);
  if (notes.empty()) return NotAsked("nobody has named yet what ties it down");
  const bool restrained =
      !ClearNotes(sight, WordParameter(parameters, "restraint_gate"), phase).empty();
  const auto restraint = restrained ? fit::Restraint::kRestrained : fit::Restraint::kUnknown;
  std::vector<ComputedFinding> findings;
  for (const std::string& note : notes) {
    const auto ties = survey::ReadTies(note);
    if (!ties) return NotClear(ties.error().Text());
    findings.push_back(
        FindingOf(survey::LoadHolds(AskedOf(sight, parameters), {.machine = sight.move.machine,
                                                                 .ties = *ties,
                                                                 .articulation = restraint,
                                                                 .accessories = restraint})));
  }
  return All(findings);
}

}  // namespace chockwise::moves
