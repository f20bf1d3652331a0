#include "services/fit/risk.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

std::optional<Unusable> Negative(const Mishap& mishap) {
  const std::pair<const char*, int64_t> counts[] = {
      {"deaths", mishap.deaths},
      {"permanent total disabilities", mishap.permanent_total_disabilities},
      {"permanent partial disabilities", mishap.permanent_partial_disabilities},
      {"hospitalised", mishap.hospitalised},
      {"lost work days", mishap.lost_work_days},
      {"loss", mishap.loss_dollars}};
  for (const auto& [name, count] : counts)
    if (count < 0) return Unusable{name, fmt::format("is {}", count), "0 or more"};
  return std::nullopt;
}

std::optional<Unusable> Wrong(const TierQuestion& question) {
  InputCheck check;
  if (question.steepest) {
    check.Between("steepest grade", *question.steepest, Span{Percent(-100), Percent(100)});
  }
  if (question.least_margin) {
    check.Between("least margin", *question.least_margin, Span{InMetres(-100), InMetres(100)});
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

std::optional<Unusable> Wrong(const TierWeights& weights) {
  const std::pair<int, int> pairs[] = {
      {weights.reversing, weights.heavy},        {weights.twilight, weights.dark},
      {weights.few_people, weights.many_people}, {weights.first_week, weights.stranger},
      {weights.sloping, weights.steep},          {weights.narrow, weights.tight}};
  for (const auto& [less, more] : pairs)
    if (less < 0 || more < less || more > 100)
      return Unusable{"weights", fmt::format("are {} and {}", less, more),
                      "each 0 to 100, the graver not below the lesser"};
  if (weights.tier_two_from < 1 || weights.tier_three_from < weights.tier_two_from)
    return Unusable{"weights",
                    fmt::format("begin tier 2 at {} and tier 3 at {}", weights.tier_two_from,
                                weights.tier_three_from),
                    "tier 2 from 1 or more, tier 3 not before it"};
  if (weights.sloping_from <= Grade() || weights.steep_from < weights.sloping_from ||
      weights.tight_below <= Metres() || weights.narrow_below < weights.tight_below)
    return Unusable{"weights", "have thresholds out of order",
                    "0 < sloping <= steep, 0 < tight <= narrow"};
  return std::nullopt;
}

TierPart KindPart(KindOfMove kind, const TierWeights& weights) {
  switch (kind) {
    case KindOfMove::kPlain:
      return {"kind", "plain", 0};
    case KindOfMove::kReversing:
      return {"kind", "reversing", weights.reversing};
    case KindOfMove::kHeavy:
      break;
  }
  return {"kind", "heavy", weights.heavy};
}

TierPart LightPart(Daylight light, const TierWeights& weights) {
  switch (light) {
    case Daylight::kDay:
      return {"light", "day", 0};
    case Daylight::kTwilight:
      return {"light", "twilight", weights.twilight};
    case Daylight::kDark:
      break;
  }
  return {"light", "dark", weights.dark};
}

TierPart PeoplePart(PeopleNear people, const TierWeights& weights) {
  switch (people) {
    case PeopleNear::kNone:
      return {"people", "none near", 0};
    case PeopleNear::kFew:
      return {"people", "few people", weights.few_people};
    case PeopleNear::kMany:
      break;
  }
  return {"people", "many people", weights.many_people};
}

TierPart FamiliarityPart(const char* who, Familiarity familiarity, const TierWeights& weights) {
  switch (familiarity) {
    case Familiarity::kKnowsTheYard:
      return {who, "knows the yard", 0};
    case Familiarity::kFirstWeek:
      return {who, "first week", weights.first_week};
    case Familiarity::kStranger:
      break;
  }
  return {who, "stranger", weights.stranger};
}

TierPart SlopePart(std::optional<Grade> steepest, const TierWeights& weights) {
  if (!steepest) return {"slope", "slope unknown", weights.steep};
  const Grade size = std::max(*steepest, -*steepest);
  if (AtLeast(size, weights.steep_from)) return {"slope", "steep", weights.steep};
  if (AtLeast(size, weights.sloping_from)) return {"slope", "sloping", weights.sloping};
  return {"slope", "level", 0};
}

TierPart MarginPart(std::optional<Metres> margin, const TierWeights& weights) {
  if (!margin) return {"margin", "margin unknown", weights.tight};
  if (!AtLeast(*margin, weights.tight_below)) return {"margin", "tight", weights.tight};
  if (!AtLeast(*margin, weights.narrow_below)) return {"margin", "narrow", weights.narrow};
  return {"margin", "wide", 0};
}

/// What each part brings by itself, whatever it weighs: a weight of 0 takes no control away.
std::set<Control> ControlsOfParts(const TierQuestion& question, const TierWeights& weights) {
  std::set<Control> controls;
  if (question.light != Daylight::kDay) controls.insert(Control::kWandsAndLamps);
  const auto least_familiar = std::max(question.driver, question.spotter);
  if (least_familiar == Familiarity::kStranger) controls.insert(Control::kEscort);
  if (least_familiar != Familiarity::kKnowsTheYard) controls.insert(Control::kSignalsRehearsed);
  if (MarginPart(question.least_margin, weights).value != "wide")
    controls.insert(Control::kHoldBeforeTight);
  if (SlopePart(question.steepest, weights).value != "level")
    controls.insert(Control::kChocksAtHand);
  if (question.people == PeopleNear::kMany) controls.insert(Control::kPathBarred);
  return controls;
}

std::set<Control> ControlsOfTier(int tier) {
  std::set<Control> controls;
  if (tier >= 2) controls.insert({Control::kSecondWalkAround, Control::kWalkingPace});
  if (tier >= 3)
    controls.insert({Control::kYardLeadReleases, Control::kSecondSpotter, Control::kPathBarred});
  return controls;
}

}  // namespace

Outcome<Severity> SeverityOf(const Mishap& mishap) {
  if (const auto wrong = Negative(mishap)) return tl::unexpected(*wrong);
  if (mishap.deaths > 0 || mishap.permanent_total_disabilities > 0 ||
      mishap.harm == EnvironmentalHarm::kIrreversible || mishap.loss_dollars >= 10'000'000)
    return Severity::kCatastrophic;
  if (mishap.permanent_partial_disabilities > 0 || mishap.hospitalised >= 3 ||
      mishap.harm == EnvironmentalHarm::kSignificant || mishap.loss_dollars >= 1'000'000)
    return Severity::kCritical;
  // One or two in hospital lose a day at least.
  if (mishap.lost_work_days > 0 || mishap.hospitalised > 0 ||
      mishap.harm == EnvironmentalHarm::kModerate || mishap.loss_dollars >= 100'000)
    return Severity::kMarginal;
  return Severity::kNegligible;
}

Outcome<Probability> ProbabilityOf(double in_life_of_item) {
  if (!(in_life_of_item > 0) || !(in_life_of_item <= 1))
    return tl::unexpected(Unusable{"probability", fmt::format("is {:g}", in_life_of_item),
                                   "above 0, up to 1; eliminated is reached by design alone"});
  if (in_life_of_item >= 1e-1) return Probability::kFrequent;
  if (in_life_of_item >= 1e-2) return Probability::kProbable;
  if (in_life_of_item >= 1e-3) return Probability::kOccasional;
  if (in_life_of_item >= 1e-6) return Probability::kRemote;
  return Probability::kImprobable;
}

RiskLevel RiskOf(Severity severity, Probability probability) {
  using enum RiskLevel;
  static constexpr RiskLevel kTable[5][4] = {{kHigh, kHigh, kSerious, kMedium},
                                             {kHigh, kHigh, kSerious, kMedium},
                                             {kHigh, kSerious, kMedium, kLow},
                                             {kSerious, kMedium, kMedium, kLow},
                                             {kMedium, kMedium, kMedium, kLow}};
  if (probability == Probability::kEliminated) return kEliminated;
  return kTable[static_cast<size_t>(probability)][static_cast<size_t>(severity)];
}

Outcome<RiskTier> TierOf(const TierQuestion& question, const TierWeights& weights) {
  if (const auto wrong = Wrong(question)) return tl::unexpected(*wrong);
  if (const auto wrong = Wrong(weights)) return tl::unexpected(*wrong);
  RiskTier result;
  result.parts = {KindPart(question.kind, weights),
                  LightPart(question.light, weights),
                  PeoplePart(question.people, weights),
                  FamiliarityPart("driver", question.driver, weights),
                  FamiliarityPart("spotter", question.spotter, weights),
                  SlopePart(question.steepest, weights),
                  MarginPart(question.least_margin, weights)};
  for (const TierPart& part : result.parts) result.sum += part.weight;
  result.tier = 1 + (result.sum >= weights.tier_two_from) + (result.sum >= weights.tier_three_from);
  result.adds = ControlsOfParts(question, weights);
  result.adds.merge(ControlsOfTier(result.tier));
  return result;
}

std::set<Control> WithControls(const std::set<Control>& already, const RiskTier& tier) {
  std::set<Control> all = already;
  all.insert(tier.adds.begin(), tier.adds.end());
  return all;
}

std::string DriversLine(const RiskTier& result) {
  std::string line = fmt::format("TIER {}", result.tier);
  const char* separator = ": ";
  for (const TierPart& part : result.parts) {
    if (part.weight == 0) continue;
    const bool person = part.name == "driver" || part.name == "spotter";
    line += separator + (person ? part.name + " " : std::string()) + part.value;
    separator = ", ";
  }
  return line;
}

}  // namespace chockwise::fit
