// How bad and how likely: the risk matrix of MIL-STD-882E; and a tier for a move that may only add
// controls.
//
//   RiskLevel level = RiskOf(Severity::kCatastrophic, Probability::kRemote);     // kSerious
//   Outcome<RiskTier> tier = TierOf({.kind = KindOfMove::kHeavy, ...}, TierWeights());
//   std::set<Control> all = WithControls(asked_already, *tier);
//
// A tier is no score to beat: it shows its parts, unlocks nothing, and takes no control away.
//
// Threads: values.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/light.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

enum class Severity { kCatastrophic, kCritical, kMarginal, kNegligible };  // categories 1 to 4
enum class Probability { kFrequent, kProbable, kOccasional, kRemote, kImprobable, kEliminated };
enum class RiskLevel { kHigh, kSerious, kMedium, kLow, kEliminated };

enum class EnvironmentalHarm { kMinimal, kModerate, kSignificant, kIrreversible };

/// What a mishap could do; the worst of its parts decides.
struct Mishap {
  int64_t deaths = 0;  // all counts 0 or more
  int64_t permanent_total_disabilities = 0;
  int64_t permanent_partial_disabilities = 0;
  int64_t hospitalised = 0;
  int64_t lost_work_days = 0;
  EnvironmentalHarm harm = EnvironmentalHarm::kMinimal;
  int64_t loss_dollars = 0;
};

/// Table I. A threshold belongs to the worse side: $10,000,000 is catastrophic, three in hospital
/// are critical, one lost day is marginal. Unusable: the count that is negative.
Outcome<Severity> SeverityOf(const Mishap& mishap);

/// Table II with the numbers of its Appendix A, in the life of an item: 1/10 or more is frequent,
/// 1/100 or more probable, 1/1,000 or more occasional, 1/1,000,000 or more remote, else improbable.
/// Unusable: "probability" not above 0 (eliminated is reached by design, not by a number), above 1,
/// or not a number.
Outcome<Probability> ProbabilityOf(double in_life_of_item);

/// Table III.
RiskLevel RiskOf(Severity severity, Probability probability);

std::string_view Name(Severity severity);        // "Catastrophic"
std::string_view Name(Probability probability);  // "Frequent"
std::string_view Name(RiskLevel level);          // "High"

enum class KindOfMove { kPlain, kReversing, kHeavy };  // heavy: loading, towing, through a door
enum class PeopleNear { kNone, kFew, kMany };          // few: 1 to 4 within sight of the path
enum class Familiarity { kKnowsTheYard, kFirstWeek, kStranger };

struct TierQuestion {
  KindOfMove kind = KindOfMove::kHeavy;
  Daylight light = Daylight::kDark;
  PeopleNear people = PeopleNear::kMany;
  Familiarity driver = Familiarity::kStranger;
  Familiarity spotter = Familiarity::kStranger;
  std::optional<Grade> steepest;       // up or down, within 100 %; unknown counts as the worst
  std::optional<Metres> least_margin;  // of every clearance; unknown counts as the worst
};

/// Default: the safety lead's to set. Each weight 0 to 100, the second of a pair not below the
/// first.
struct TierWeights {
  int reversing = 1, heavy = 2;
  int twilight = 1, dark = 2;
  int few_people = 1, many_people = 2;
  int first_week = 1, stranger = 2;  // of driver and spotter, each
  int sloping = 1, steep = 2;
  int narrow = 1, tight = 2;
  Grade sloping_from = Percent(2);
  Grade steep_from = Percent(8);
  Metres narrow_below = Inches(12);
  Metres tight_below = Inches(6);
  int tier_two_from = 3;    // 1 or more
  int tier_three_from = 6;  // not below tier_two_from
};

enum class Control {
  kSecondWalkAround,  // by the spotter
  kYardLeadReleases,  // and not the spotter
  kSecondSpotter,     // the other side is seen too
  kPathBarred,        // people kept out by a barrier, not by a look
  kWalkingPace,       // the spotter's
  kWandsAndLamps,     // for dark and twilight
  kEscort,            // a person of the yard stays with the stranger
  kSignalsRehearsed,  // before the engine starts
  kHoldBeforeTight,   // a stop and a look at the tight spot
  kChocksAtHand,      // on a slope
};

std::string_view Name(Control control);  // "Second walk-around by the spotter"

struct TierPart {
  std::string name;   // "light"
  std::string value;  // "dark"
  int weight = 0;
  bool operator==(const TierPart&) const = default;
};

struct RiskTier {
  int tier = 3;  // 1 to 3
  int sum = 0;
  std::vector<TierPart> parts;  // all seven, also those of weight 0
  std::set<Control> adds;
};

/// A sum of stated weights; each part brings its own controls, each tier those of the tier below
/// and its own. Unusable: "steepest grade" beyond 100 %, "least margin" beyond 100 m, "weights"
/// that break their rule.
Outcome<RiskTier> TierOf(const TierQuestion& question, const TierWeights& weights);

/// What was asked already and what the tier adds; nothing is taken away.
std::set<Control> WithControls(const std::set<Control>& already, const RiskTier& tier);

/// "TIER 3: dark, many people, driver stranger".
std::string DriversLine(const RiskTier& result);

inline constexpr std::array<std::string_view, 2> kRiskSources = {
    "MIL-STD-882E Tables I to III",
    "weights of the tier: common practice, the safety lead's to set"};
inline constexpr std::array<std::string_view, 2> kRiskAssumptions = {
    "A tier only adds controls; it unlocks nothing and is no score",
    "What is unknown counts as the worst"};

}  // namespace chockwise::fit
