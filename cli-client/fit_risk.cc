// chockwise fit risk, tier: how bad and how likely, and which controls a move adds. Neither needs a
// yard.
#include <fmt/format.h>

#include "cli-client/fit.h"
#include "cli-client/fit_words.h"
#include "services/fit/risk.h"
#include "services/survey/inputs.h"

namespace chockwise::cli {
namespace {

using fit::Daylight;
using fit::Familiarity;
using fit::KindOfMove;
using fit::PeopleNear;
using fit::Probability;
using fit::Severity;

constexpr Words<Severity, 4> kSeverities = {{{"catastrophic", Severity::kCatastrophic},
                                             {"critical", Severity::kCritical},
                                             {"marginal", Severity::kMarginal},
                                             {"negligible", Severity::kNegligible}}};
constexpr Words<Probability, 6> kProbabilities = {{{"frequent", Probability::kFrequent},
                                                   {"probable", Probability::kProbable},
                                                   {"occasional", Probability::kOccasional},
                                                   {"remote", Probability::kRemote},
                                                   {"improbable", Probability::kImprobable},
                                                   {"eliminated", Probability::kEliminated}}};
constexpr Words<KindOfMove, 3> kKinds = {{{"plain", KindOfMove::kPlain},
                                          {"reversing", KindOfMove::kReversing},
                                          {"heavy", KindOfMove::kHeavy}}};
constexpr Words<Daylight, 3> kLights = {
    {{"day", Daylight::kDay}, {"twilight", Daylight::kTwilight}, {"dark", Daylight::kDark}}};
constexpr Words<PeopleNear, 3> kPeople = {
    {{"none", PeopleNear::kNone}, {"few", PeopleNear::kFew}, {"many", PeopleNear::kMany}}};
constexpr Words<Familiarity, 3> kFamiliar = {{{"knows-the-yard", Familiarity::kKnowsTheYard},
                                              {"first-week", Familiarity::kFirstWeek},
                                              {"stranger", Familiarity::kStranger}}};

/// Neither a level nor a tier lets anything go, so it is no verdict.
Found Answered(std::string line) {
  Found found;
  found.answer.line = std::move(line);
  for (const std::string_view source : fit::kRiskSources) found.answer.sources.emplace_back(source);
  for (const std::string_view text : fit::kRiskAssumptions)
    found.answer.assumptions.emplace_back(text);
  return found;
}

struct RiskArguments {
  std::string severity, probability;
};

survey::Outcome<Found> Risk(const RiskArguments& a) {
  const auto severity = Word("--severity", a.severity, kSeverities);
  if (!severity) return tl::unexpected(severity.error());
  const auto probability = Word("--probability", a.probability, kProbabilities);
  if (!probability) return tl::unexpected(probability.error());
  Found found = Answered(fmt::format(
      "RISK {}: {} and {}", Name(fit::RiskOf(*severity, *probability)), a.severity, a.probability));
  found.answer.inputs = {survey::AsAsked("severity", a.severity),
                         survey::AsAsked("probability", a.probability)};
  return found;
}

struct TierArguments : FitOptions {
  std::string kind = "heavy", light = "dark", people = "many";
  std::string driver = "stranger", spotter = "stranger";
  std::string steepest, least_margin;
};

survey::Outcome<fit::TierQuestion> TierAsked(const TierArguments& a) {
  const auto kind = Word("--kind", a.kind, kKinds);
  if (!kind) return tl::unexpected(kind.error());
  const auto light = Word("--light", a.light, kLights);
  if (!light) return tl::unexpected(light.error());
  const auto people = Word("--people", a.people, kPeople);
  if (!people) return tl::unexpected(people.error());
  const auto driver = Word("--driver", a.driver, kFamiliar);
  if (!driver) return tl::unexpected(driver.error());
  const auto spotter = Word("--spotter", a.spotter, kFamiliar);
  if (!spotter) return tl::unexpected(spotter.error());
  fit::TierQuestion question{.kind = *kind,
                             .light = *light,
                             .people = *people,
                             .driver = *driver,
                             .spotter = *spotter,
                             .steepest = std::nullopt,
                             .least_margin = std::nullopt};
  if (!a.steepest.empty()) {
    const auto grade = GradeArgument("--steepest", a.steepest);
    if (!grade) return tl::unexpected(grade.error());
    question.steepest = *grade;
  }
  if (!a.least_margin.empty()) {
    const auto margin = LengthArgument("--least-margin", a.least_margin);
    if (!margin) return tl::unexpected(margin.error());
    question.least_margin = *margin;
  }
  return question;
}

survey::Outcome<Found> Tier(const TierArguments& a) {
  const auto question = TierAsked(a);
  if (!question) return tl::unexpected(question.error());
  const auto tier = fit::TierOf(*question, fit::TierWeights());
  if (!tier) return tl::unexpected(survey::NoAnswerOf(tier.error(), ""));
  Found found = Answered(fit::DriversLine(*tier));
  found.list_name = "adds";
  for (const fit::Control control : tier->adds) found.list.emplace_back(Name(control));
  for (const fit::TierPart& part : tier->parts)
    found.answer.inputs.push_back(
        survey::AsAsked(fmt::format("{}: {}", part.name, part.value), std::to_string(part.weight)));
  return found;
}

}  // namespace

void AddRiskVerbs(Registry& registry, CLI::App* fit) {
  const auto risk = std::make_shared<RiskArguments>();
  CLI::App* matrix = fit->add_subcommand("risk", "How bad and how likely: what level of risk?");
  matrix->add_option("--severity", risk->severity, "catastrophic, critical, marginal, negligible")
      ->required();
  matrix->add_option("--probability", risk->probability, "frequent, probable, occasional, ...")
      ->required();
  registry.Does(
      matrix, [risk](Cli& cli) { return ShowFound(cli, Risk(*risk)); }, Needs::kNothing);

  const auto a = std::make_shared<TierArguments>();
  CLI::App* tier = fit->add_subcommand("tier", "Which controls does such a move add?");
  tier->add_option("--kind", a->kind, "plain, reversing; left out: heavy");
  tier->add_option("--light", a->light, "day, twilight; left out: dark");
  tier->add_option("--people", a->people, "none, few; left out: many");
  tier->add_option("--driver", a->driver, "knows-the-yard, first-week; left out: stranger");
  tier->add_option("--spotter", a->spotter, "knows-the-yard, first-week; left out: stranger");
  tier->add_option("--steepest", a->steepest, "4 %; left out: the worst");
  tier->add_option("--least-margin", a->least_margin, "14 in; left out: the worst");
  registry.Does(
      tier, [a](Cli& cli) { return ShowFound(cli, Tier(*a)); }, Needs::kNothing);
}

}  // namespace chockwise::cli
