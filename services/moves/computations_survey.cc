// Computations that the survey answers: the ride over the way, the path between the jambs, the
// ground, the wires, the horn, the light, the axles. The gate says the answer's line, which carries
// the number behind it.

#include <fmt/format.h>

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "services/moves/findings.h"
#include "services/moves/parties.h"
#include "services/moves/ways.h"
#include "services/survey/lighting.h"
#include "services/survey/path.h"
#include "services/survey/survey.h"
#include "services/survey/ties.h"

namespace chockwise::moves {
namespace {

survey::Asked AskedOf(const Sight& sight, const yard::Parameters& parameters) {
  return {.yard = sight.yard,
          .when = {.now = sight.now, .max_age = yard::AgeParameter(parameters)}};
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
ComputedFinding AskTravelling(const Sight& sight, const yard::Parameters& parameters,
                              const std::function<survey::Outcome<fit::Answer>(
                                  const survey::Asked&, const survey::Trip&, fit::Travel)>& ask) {
  const auto travel = survey::TravelOf(yard::WordParameter(parameters, "travel"));
  if (!travel) return NotClear("the rules name no travel: forwards or reversing");
  return FindingOf(ask(AskedOf(sight, parameters), TripOf(sight), *travel));
}

using DrivenQuestion = survey::Outcome<fit::Answer> (*)(const survey::Asked&, const survey::Trip&,
                                                        const survey::Driving&);

ComputedFinding AskDriven(DrivenQuestion ask, const Sight& sight,
                          const yard::Parameters& parameters, survey::Driving driving = {}) {
  return AskTravelling(
      sight, parameters,
      [&](const survey::Asked& asked, const survey::Trip& trip, fit::Travel travel) {
        driving.travel = travel;
        return ask(asked, trip, driving);
      });
}

/// The words that clear a gate now; none where it is not clear, or where the rules have no such
/// gate.
std::vector<Word> ClearWords(const Sight& sight, const std::string& gate, v1::Phase phase) {
  const v1::GateRule* rule = sight.yard.FindGate(gate);
  if (rule == nullptr || EvaluateGate(sight, *rule, phase).state != v1::GATE_STATE_CLEAR) return {};
  const GateWords* words = sight.move.FindWords(gate, phase);
  std::vector<Word> clear;
  for (const Word& word : words == nullptr ? std::vector<Word>() : words->words) {
    if (!word.stale) clear.push_back(word);
  }
  return clear;
}

std::vector<std::string> ClearNotes(const Sight& sight, const std::string& gate, v1::Phase phase) {
  std::vector<std::string> notes;
  for (const Word& word : ClearWords(sight, gate, phase)) notes.push_back(word.note);
  return notes;
}

/// The last word that clears a gate now, of somebody who still is what they spoke as; unset where
/// there is none.
std::optional<Word> LastClearWord(const Sight& sight, const std::string& gate, v1::Phase phase) {
  std::optional<Word> last;
  for (const Word& word : ClearWords(sight, gate, phase)) {
    const bool counts =
        word.finding.empty() && ActsAs(sight.state, sight.move, word.person, word.party);
    if (counts && (!last || word.time > last->time)) last = word;
  }
  return last;
}

}  // namespace

ComputedFinding KeepsClear(const Sight& sight, const yard::Parameters& parameters) {
  return AskDriven(survey::KeepsClear, sight, parameters,
                   {.needed_each_side = yard::LengthParameter(parameters, "each_side")});
}

ComputedFinding LeavesFree(const Sight& sight, const yard::Parameters& parameters) {
  return AskDriven(survey::LeavesFree, sight, parameters);
}

ComputedFinding FitsRoute(const Sight& sight, const yard::Parameters& parameters) {
  return FindingOf(
      survey::FindsWay(AskedOf(sight, parameters), TripOf(sight), RouteLimits(parameters)));
}

ComputedFinding GoesUnder(const Sight& sight, const yard::Parameters& parameters) {
  return AskTravelling(sight, parameters, survey::GoesUnder);
}

ComputedFinding ClearsGround(const Sight& sight, const yard::Parameters& parameters) {
  return AskTravelling(sight, parameters, survey::ClearsGround);
}

ComputedFinding GroundCarries(const Sight& sight, const yard::Parameters& parameters) {
  return FindingOf(survey::GroundCarries(AskedOf(sight, parameters), TripOf(sight)));
}

ComputedFinding WiresClear(const Sight& sight, const yard::Parameters& parameters) {
  return AskTravelling(sight, parameters, survey::WiresAreClear);
}

ComputedFinding HornHeard(const Sight& sight, const yard::Parameters& parameters) {
  std::vector<ComputedFinding> findings;
  for (const PlaceId& place : {sight.move.from, sight.move.to}) {
    ComputedFinding finding = FindingOf(survey::HornIsHeard(
        AskedOf(sight, parameters), {.machine = sight.move.machine,
                                     .place = place,
                                     .distance = yard::LengthParameter(parameters, "distance")}));
    finding.reason = fmt::format("{}: {}", place.value(), finding.reason);
    findings.push_back(std::move(finding));
  }
  return All(findings);
}

/// Glare makes the gate not clear until somebody has looked with the sun already there. A caution
/// alone would be read past at 15:30 like every day; a refusal that only the sun lifts would stop
/// the ways to the east in the morning rush under a cloud that everybody sees. What is computed
/// says that it is time to look and where; the person who stands there says whether it blinds. A
/// word from before the sun came into the way is no word on it. A safety lead who wants the refusal
/// leaves `glare_gate` out.
ComputedFinding LightEnough(const Sight& sight, const yard::Parameters& parameters,
                            v1::Phase phase) {
  const survey::Asked asked = AskedOf(sight, parameters);
  const survey::Trip trip = TripOf(sight);
  const auto found = survey::LightOnTrip(asked, trip);
  if (!found) return FindingOf(tl::unexpected(found.error()));
  const fit::Answer& answer = found->parted.answer;
  std::string all;
  for (const survey::Part& part : found->parted.parts) all += (all.empty() ? "" : "; ") + part.line;
  if (answer.verdict == fit::Verdict::kClear) return Clear(all);
  const std::string gate = yard::WordParameter(parameters, "glare_gate");
  if (found->light != fit::Verdict::kClear || gate.empty()) return NotClear(answer.line);
  const auto word = LastClearWord(sight, gate, phase);
  if (!word)
    return NotAsked(fmt::format("{}; whether it blinds is asked as {}", answer.line, gate));
  if (!survey::GlaredAlready(asked, trip, word->time)) {
    return Stale(fmt::format("{}; {} looked before it did", answer.line, word->person.value()));
  }
  return Clear(fmt::format("{}; {} has looked", all, word->person.value()));
}

ComputedFinding AxlesLegal(const Sight& sight, const yard::Parameters& parameters) {
  if (sight.move.carrier.empty()) return NotClear("no carrier is named");
  return FindingOf(survey::AxlesHavePlace(
      AskedOf(sight, parameters), {.machine = sight.move.machine, .carrier = sight.move.carrier}));
}

/// Everybody who told where it stands is held to it.
ComputedFinding AxlesLegalAsStood(const Sight& sight, const yard::Parameters& parameters,
                                  v1::Phase phase) {
  if (sight.move.carrier.empty()) return NotClear("no carrier is named");
  const auto notes = ClearNotes(sight, yard::WordParameter(parameters, "place_gate"), phase);
  if (notes.empty()) return NotAsked("nobody has taped yet where it stands on the deck");
  std::vector<ComputedFinding> findings;
  for (const std::string& note : notes) {
    const auto stood = survey::ReadStood(note);
    if (!stood) return NotClear(stood.error().Text());
    findings.push_back(FindingOf(survey::AxlesCarry(
        AskedOf(sight, parameters),
        {.machine = sight.move.machine, .carrier = sight.move.carrier, .at = *stood})));
  }
  return All(findings);
}

/// Everybody who named the tie-downs is held to what they named.
ComputedFinding LoadHolds(const Sight& sight, const yard::Parameters& parameters, v1::Phase phase) {
  const auto notes = ClearNotes(sight, yard::WordParameter(parameters, "ties_gate"), phase);
  if (notes.empty()) return NotAsked("nobody has named yet what ties it down");
  const bool restrained =
      !ClearNotes(sight, yard::WordParameter(parameters, "restraint_gate"), phase).empty();
  const auto restraint = restrained ? fit::Restraint::kRestrained : fit::Restraint::kUnknown;
  std::optional<yard::MachineId> carrier;
  if (!sight.move.carrier.empty()) carrier = sight.move.carrier;
  std::vector<ComputedFinding> findings;
  for (const std::string& note : notes) {
    const auto ties = survey::ReadTies(note);
    if (!ties) return NotClear(ties.error().Text());
    findings.push_back(
        FindingOf(survey::LoadHolds(AskedOf(sight, parameters), {.machine = sight.move.machine,
                                                                 .carrier = carrier,
                                                                 .ties = *ties,
                                                                 .articulation = restraint,
                                                                 .accessories = restraint})));
  }
  return All(findings);
}

}  // namespace chockwise::moves
