#include "services/history/audit_survey.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "services/history/audit_gates.h"
#include "services/survey/lighting.h"
#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/survey.h"
#include "services/survey/ties.h"

namespace chockwise::history {
namespace {

using Parameters = google::protobuf::Map<std::string, std::string>;
using Answers = std::vector<survey::Outcome<fit::Answer>>;

std::string Parameter(const Parameters& parameters, const char* name) {
  const auto found = parameters.find(name);
  return found == parameters.end() ? "" : found->second;
}

struct Question {
  const Moment& moment;
  const survey::Asked& asked;
  const Parameters& parameters;
};

survey::Trip TripOf(const Question& q) {
  const v1::MoveRequested& request = q.moment.move.asked;
  return {.machine = yard::MachineId(request.machine()),
          .from = yard::PlaceId(request.from_place()),
          .to = yard::PlaceId(request.to_place()),
          .by = {request.lanes().begin(), request.lanes().end()}};
}

survey::Outcome<fit::Metres> Length(const Question& q, const char* name) {
  const auto value = yard::ReadMeasuredValue(Parameter(q.parameters, name));
  if (value && std::holds_alternative<fit::Metres>(*value)) return std::get<fit::Metres>(*value);
  return tl::unexpected(survey::NoAnswer{
      .input = name, .problem = "is not a length in the rules", .right = "give it a unit"});
}

survey::Outcome<fit::Grade> Slope(const Question& q, const char* name) {
  const auto value = yard::ReadMeasuredValue(Parameter(q.parameters, name));
  if (value && std::holds_alternative<fit::Grade>(*value)) return std::get<fit::Grade>(*value);
  return tl::unexpected(survey::NoAnswer{
      .input = name, .problem = "is not a grade in the rules", .right = "give it in per cent"});
}

/// Over the lanes that the entry names, whether or not another way would have been shorter.
Answers Fits(const Question& q) {
  const auto each_side = Length(q, "each_side");
  if (!each_side) return {tl::unexpected(each_side.error())};
  const auto most_grade = Slope(q, "most_grade");
  if (!most_grade) return {tl::unexpected(most_grade.error())};
  return {survey::FindsWay(q.asked, TripOf(q),
                           {.needed_each_side = *each_side, .most_grade = *most_grade})};
}

survey::Outcome<fit::Travel> Travel(const Question& q) {
  const auto travel = survey::TravelOf(Parameter(q.parameters, "travel"));
  if (travel) return *travel;
  return tl::unexpected(survey::NoAnswer{.input = "travel",
                                         .problem = "is neither way in the rules",
                                         .right = "forwards or reversing"});
}

using DrivenQuestion = survey::Outcome<fit::Answer> (*)(const survey::Asked&, const survey::Trip&,
                                                        const survey::Driving&);

Answers Driven(DrivenQuestion ask, const Question& q, survey::Driving driving = {}) {
  const auto travel = Travel(q);
  if (!travel) return {tl::unexpected(travel.error())};
  driving.travel = *travel;
  return {ask(q.asked, TripOf(q), driving)};
}

using RiddenQuestion = survey::Outcome<fit::Answer> (*)(const survey::Asked&, const survey::Trip&,
                                                        fit::Travel);

Answers Ridden(RiddenQuestion ask, const Question& q) {
  const auto travel = Travel(q);
  if (!travel) return {tl::unexpected(travel.error())};
  return {ask(q.asked, TripOf(q), *travel)};
}

Answers Beside(const Question& q) {
  const auto each_side = Length(q, "each_side");
  if (!each_side) return {tl::unexpected(each_side.error())};
  return Driven(survey::KeepsClear, q, {.needed_each_side = *each_side});
}

Answers Horn(const Question& q) {
  const auto distance = Length(q, "distance");
  if (!distance) return {tl::unexpected(distance.error())};
  const survey::Trip trip = TripOf(q);
  Answers answers;
  for (const yard::PlaceId& place : {trip.from, trip.to}) {
    answers.push_back(survey::HornIsHeard(
        q.asked, {.machine = trip.machine, .place = place, .distance = *distance}));
  }
  return answers;
}

/// A low sun ahead is cleared by the last good word on the gate that the rules name, where that was
/// given with the sun already there.
Answers Light(const Question& q) {
  const survey::Trip trip = TripOf(q);
  auto found = survey::LightOnTrip(q.asked, trip);
  if (!found) return {tl::unexpected(found.error())};
  fit::Answer answer = std::move(found->parted.answer);
  const bool glare_alone = !found->glare.empty() && found->light == fit::Verdict::kClear;
  const auto looked_us = LastGoodWordUs(q.moment, Parameter(q.parameters, "glare_gate"));
  if (glare_alone && looked_us &&
      survey::GlaredAlready(q.asked, trip, fit::Instant::FromMicros(*looked_us)))
    answer.verdict = fit::Verdict::kClear;
  return {std::move(answer)};
}

Answers Axles(const Question& q) {
  return {
      survey::AxlesHavePlace(q.asked, {.machine = yard::MachineId(q.moment.move.asked.machine()),
                                       .carrier = yard::MachineId(q.moment.move.asked.carrier())})};
}

Answers AxlesAsStood(const Question& q) {
  const auto notes = ClearNotes(q.moment, Parameter(q.parameters, "place_gate"));
  if (notes.empty()) {
    return {tl::unexpected(survey::NoAnswer{.input = "place on the deck",
                                            .problem = "was not told",
                                            .right = "the spotter tapes where it stands"})};
  }
  Answers answers;
  for (const std::string& note : notes) {
    const auto stood = survey::ReadStood(note);
    if (!stood) {
      answers.push_back(tl::unexpected(stood.error()));
      continue;
    }
    answers.push_back(
        survey::AxlesCarry(q.asked, {.machine = yard::MachineId(q.moment.move.asked.machine()),
                                     .carrier = yard::MachineId(q.moment.move.asked.carrier()),
                                     .at = *stood}));
  }
  return answers;
}

Answers Holds(const Question& q) {
  const auto notes = ClearNotes(q.moment, Parameter(q.parameters, "ties_gate"));
  if (notes.empty()) {
    return {tl::unexpected(survey::NoAnswer{.input = "tie-downs",
                                            .problem = "were not named",
                                            .right = "the spotter names what holds the load"})};
  }
  const bool restrained = !ClearNotes(q.moment, Parameter(q.parameters, "restraint_gate")).empty();
  const auto restraint = restrained ? fit::Restraint::kRestrained : fit::Restraint::kUnknown;
  std::optional<yard::MachineId> carrier;
  if (const std::string& id = q.moment.move.asked.carrier(); !id.empty())
    carrier = yard::MachineId(id);
  Answers answers;
  for (const std::string& note : notes) {
    const auto ties = survey::ReadTies(note);
    answers.push_back(
        ties
            ? survey::LoadHolds(q.asked, {.machine = yard::MachineId(q.moment.move.asked.machine()),
                                          .carrier = carrier,
                                          .ties = *ties,
                                          .articulation = restraint,
                                          .accessories = restraint})
            : tl::unexpected(ties.error()));
  }
  return answers;
}

struct Row {
  std::string_view computation;
  Answers (*ask)(const Question&);
};
constexpr std::array<Row, 12> kRows = {{
    {"axles-legal", Axles},
    {"axles-legal-as-stood", AxlesAsStood},
    {"clears-ground", [](const Question& q) { return Ridden(survey::ClearsGround, q); }},
    {"fits-route", Fits},
    {"goes-under", [](const Question& q) { return Ridden(survey::GoesUnder, q); }},
    {"ground-carries",
     [](const Question& q) { return Answers{survey::GroundCarries(q.asked, TripOf(q))}; }},
    {"horn-heard", Horn},
    {"keeps-clear", Beside},
    {"leaves-free", [](const Question& q) { return Driven(survey::LeavesFree, q); }},
    {"light-enough", Light},
    {"load-holds", Holds},
    {"wires-clear", [](const Question& q) { return Ridden(survey::WiresAreClear, q); }},
}};

}  // namespace

std::optional<SurveyVerdict> JudgeSurvey(const Moment& moment, const v1::Computed& computed) {
  const auto row = std::ranges::find(kRows, computed.computation(), &Row::computation);
  if (row == kRows.end()) return std::nullopt;
  const auto age = yard::ReadAge(Parameter(computed.parameters(), "max_age"));
  if (!age) return SurveyVerdict{Fault{"law 2", "the rules give no age that can be read"}};
  const survey::Asked asked{
      .yard = *moment.book.in_force.yard,
      .when = {.now = fit::Instant::FromMicros(moment.now_us), .max_age = *age}};
  for (const auto& answer : row->ask({moment, asked, computed.parameters()})) {
    if (!answer) return SurveyVerdict{Fault{"law 2", answer.error().Text()}};
    if (answer->verdict != fit::Verdict::kClear) return SurveyVerdict{Fault{"law 1", answer->line}};
  }
  return SurveyVerdict{};
}

std::vector<std::string_view> SurveyComputations() {
  std::vector<std::string_view> names;
  for (const Row& row : kRows) names.push_back(row.computation);
  return names;
}

}  // namespace chockwise::history
