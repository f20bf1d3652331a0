#include "services/fit/axle_loads.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kNoiseLb = 1e-6;

/// A load in pounds as it depends on the machine's place in metres.
struct LoadLine {
  double fixed = 0;
  double per_metre = 0;
  double At(double place) const { return fixed + per_metre * place; }
  LoadLine operator+(const LoadLine& other) const {
    return {fixed + other.fixed, per_metre + other.per_metre};
  }
  LoadLine operator-(const LoadLine& other) const { return *this + other * -1; }
  LoadLine operator*(double factor) const { return {fixed * factor, per_metre * factor}; }
};

struct Loads {
  std::vector<RoadAxle> axles;
  std::vector<LoadLine> on_axles;  // with tare
  std::vector<LoadLine> on_couplings;
  std::vector<double> coupling_ratings;  // 0: none
};

/// A limit: load <= allowed, wherever the machine stands.
struct Limit {
  AxleLimit group;
  LoadLine load;
  double allowed = 0;
  double Excess(double place) const { return load.At(place) - allowed; }
};

double CentreOf(const std::vector<RoadAxle>& axles) {
  double sum = 0;
  for (const RoadAxle& axle : axles) sum += axle.at.metres();
  return sum / static_cast<double>(axles.size());
}

std::optional<Unusable> WrongUnits(const LoadedVehicle& vehicle) {
  InputCheck check;
  check.Between("number of units", static_cast<int>(vehicle.units.size()), Span{1, 5});
  if (check.failed()) return check.error();
  for (size_t at = 0; at < vehicle.units.size(); ++at) {
    const RoadUnit& unit = vehicle.units[at];
    const bool first = at == 0, last = at + 1 == vehicle.units.size();
    if (unit.front.empty() == first) {
      check.Refuse({"front axles", first ? "are missing" : "are given for a unit that is towed",
                    "on the first unit alone"});
    }
    if (unit.rear.empty()) check.Refuse({"rear axles", "are missing", "one or more on each unit"});
    if (unit.coupling.has_value() == last) {
      check.Refuse({"coupling", last ? "is given on the last unit" : "is missing",
                    "one on every unit that carries another"});
    }
    if (unit.coupling) {
      check.Between("coupling", *unit.coupling, Span{Feet(-10), Feet(200)});
    }
    if (unit.coupling_rating) {
      check.Positive("coupling rating", *unit.coupling_rating, UpTo{Pounds(500'000)});
    }
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

std::optional<Unusable> WrongAxles(const std::vector<RoadAxle>& axles) {
  InputCheck check;
  check.Between("number of axles", static_cast<int>(axles.size()), Span{2, 13})
      .Between("place of the first axle", axles.front().at, Span{Metres(), Metres()});
  for (size_t at = 0; at < axles.size(); ++at) {
    check.NotNegative("place of an axle", axles[at].at, UpTo{Feet(200)})
        .Positive("tare of an axle", axles[at].tare, UpTo{Pounds(60'000)});
    if (axles[at].rating) {
      check.Positive("rating of an axle", *axles[at].rating, UpTo{Pounds(100'000)});
    }
    if (at > 0 && AtLeast(kSingleAxleSpan, axles[at].at - axles[at - 1].at)) {
      check.Refuse({"place of an axle",
                    fmt::format("axle {} is no more than 40 in behind the one before it", at + 1),
                    "front to back; axles within 40 in count as one: list them as one"});
    }
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

std::optional<Unusable> WrongMachine(const LoadedVehicle& vehicle) {
  InputCheck check;
  check.Positive("mass of the machine", vehicle.machine, UpTo{Pounds(500'000)})
      .Between("front of the deck", vehicle.deck_front, Span{Feet(-20), Feet(200)})
      .Between("rear of the deck", vehicle.deck_rear, Span{vehicle.deck_front, Feet(220)})
      .Between("place of the machine", vehicle.machine_at,
               Span{vehicle.deck_front, vehicle.deck_rear});
  for (size_t at = 0; at < vehicle.units.size(); ++at) {
    const RoadUnit& unit = vehicle.units[at];
    const double before = at == 0 ? CentreOf(unit.front) : vehicle.units[at - 1].coupling->metres();
    if (CentreOf(unit.rear) - before < Feet(3).metres()) {
      check.Refuse({"place of an axle",
                    fmt::format("unit {} stands on less than 3 ft of wheelbase", at + 1),
                    "rear axles at least 3 ft behind its front axles or its coupling"});
    }
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

std::vector<RoadAxle> AllAxles(const LoadedVehicle& vehicle) {
  std::vector<RoadAxle> axles;
  for (const RoadUnit& unit : vehicle.units) {
    axles.insert(axles.end(), unit.front.begin(), unit.front.end());
    axles.insert(axles.end(), unit.rear.begin(), unit.rear.end());
  }
  return axles;
}

void Share(const LoadLine& load, const std::vector<RoadAxle>& group, std::vector<LoadLine>& onto) {
  for (const RoadAxle& axle : group) {
    onto.push_back(LoadLine{axle.tare.pounds(), 0} +
                   load * (1 / static_cast<double>(group.size())));
  }
}

/// From the last unit forward: what each lays on the coupling before it becomes a load of that one.
Loads Solve(const LoadedVehicle& vehicle) {
  const size_t units = vehicle.units.size();
  std::vector<LoadLine> front(units), rear(units);
  const double machine = vehicle.machine.pounds();
  LoadLine carried = {machine, 0};
  LoadLine moment = {0, machine};  // about the first axle, pound-metres
  for (size_t at = units; at-- > 0;) {
    const RoadUnit& unit = vehicle.units[at];
    const double fore = at == 0 ? CentreOf(unit.front) : vehicle.units[at - 1].coupling->metres();
    rear[at] = (moment - carried * fore) * (1 / (CentreOf(unit.rear) - fore));
    front[at] = carried - rear[at];
    carried = front[at];
    moment = carried * fore;
  }
  Loads loads;
  loads.axles = AllAxles(vehicle);
  for (size_t at = 0; at < units; ++at) {
    const RoadUnit& unit = vehicle.units[at];
    if (at == 0) Share(front[at], unit.front, loads.on_axles);
    if (at > 0) {
      loads.on_couplings.push_back(front[at]);
      const auto& rating = vehicle.units[at - 1].coupling_rating;
      loads.coupling_ratings.push_back(rating ? rating->pounds() : 0);
    }
    Share(rear[at], unit.rear, loads.on_axles);
  }
  return loads;
}

bool IsTandem(const RoadAxle& first, const RoadAxle& second) {
  return AtLeast(kTandemSpan, second.at - first.at);
}

bool IsTandemPair(const Loads& loads, size_t first, size_t last) {
  if (last - first != 3) return false;
  const auto& axles = loads.axles;
  return IsTandem(axles[first], axles[first + 1]) && IsTandem(axles[last - 1], axles[last]) &&
         AtLeast(axles[last].at - axles[first].at, kTandemPairSpan);
}

Limit LimitOnSpan(const Loads& loads, size_t first, size_t last, BridgeRounding rounding) {
  Limit limit;
  AxleLimit& group = limit.group;
  group.span = loads.axles[last].at - loads.axles[first].at;
  const int count = static_cast<int>(last - first) + 1;
  if (count == 1) {
    group.rule = AxleRule::kSingleAxle;
    limit.allowed = kSingleAxleCap.lb;
  } else if (IsTandem(loads.axles[first], loads.axles[last])) {
    group.rule = AxleRule::kTandem;
    limit.allowed = kTandemCap.lb;
  } else {
    group.rule = AxleRule::kBridge;
    group.bridge = *BridgeFormula(
        {.span_ft = std::min(200, FormulaFeet(group.span, rounding)), .axles = count});
    limit.allowed =
        rounding == BridgeRounding::kPlanned ? group.bridge.planned_lb : group.bridge.published_lb;
    if (IsTandemPair(loads, first, last) && limit.allowed < 2 * kTandemCap.lb) {
      group.rule = AxleRule::kTandemPair;
      limit.allowed = 2 * kTandemCap.lb;
    }
  }
  return limit;
}

void AddLimit(std::vector<Limit>& limits, AxleRule rule, const LoadLine& load, double allowed,
              size_t axle) {
  Limit limit;
  limit.group.rule = rule;
  limit.group.first = limit.group.last = static_cast<int>(axle) + 1;
  limit.load = load;
  limit.allowed = allowed;
  limits.push_back(limit);
}

std::vector<Limit> LimitsOf(const Loads& loads, BridgeRounding rounding) {
  std::vector<Limit> limits;
  const size_t count = loads.axles.size();
  LoadLine gross;
  for (size_t first = 0; first < count; ++first) {
    LoadLine sum;
    for (size_t last = first; last < count; ++last) {
      sum = sum + loads.on_axles[last];
      Limit limit = LimitOnSpan(loads, first, last, rounding);
      limit.load = sum;
      limit.group.first = static_cast<int>(first) + 1;
      limit.group.last = static_cast<int>(last) + 1;
      limits.push_back(limit);
    }
    if (first == 0) gross = sum;
    if (const auto& rating = loads.axles[first].rating) {
      AddLimit(limits, AxleRule::kAxleRating, loads.on_axles[first], rating->pounds(), first);
    }
    AddLimit(limits, AxleRule::kStaysDown, loads.on_axles[first] * -1, 0, first);
  }
  AddLimit(limits, AxleRule::kGross, gross, kGrossCap.lb, 0);
  limits.back().group.last = static_cast<int>(count);
  for (size_t at = 0; at < loads.on_couplings.size(); ++at) {
    if (loads.coupling_ratings[at] > 0) {
      AddLimit(limits, AxleRule::kCouplingRating, loads.on_couplings[at],
               loads.coupling_ratings[at], at);
    }
  }
  return limits;
}

AxleLimit Judged(const Limit& limit, double place) {
  AxleLimit group = limit.group;
  const double actual = limit.load.At(place);
  group.actual = Pounds(limit.group.rule == AxleRule::kStaysDown ? -actual : actual);
  group.allowed = Pounds(limit.allowed);
  group.margin = Pounds(limit.allowed - actual);
  return group;
}

double WorstExcess(const std::vector<Limit>& limits, double place) {
  double worst = -std::numeric_limits<double>::infinity();
  for (const Limit& limit : limits) worst = std::max(worst, limit.Excess(place));
  return worst;
}

/// Each limit cuts the deck once; what all leave is one stretch.
std::optional<DeckStretch> LegalStretch(const std::vector<Limit>& limits,
                                        const LoadedVehicle& vehicle) {
  double front = vehicle.deck_front.metres(), rear = vehicle.deck_rear.metres();
  for (const Limit& limit : limits) {
    const double room = limit.allowed - limit.load.fixed;
    const double slope = limit.load.per_metre;
    // Flatter than this, the whole deck moves it by less than noise.
    if (std::abs(slope) < kNoiseLb / 100) {
      if (limit.Excess(front) > kNoiseLb) return std::nullopt;
    } else if (slope > 0) {
      rear = std::min(rear, room / slope);
    } else {
      front = std::max(front, room / slope);
    }
  }
  if (front > rear) return std::nullopt;
  return DeckStretch{InMetres(front), InMetres(rear)};
}

/// The worst excess is the upper edge of straight lines: it is least at an end of the deck or where
/// two of them cross.
double LeastBadPlace(const std::vector<Limit>& limits, const LoadedVehicle& vehicle) {
  const double front = vehicle.deck_front.metres(), rear = vehicle.deck_rear.metres();
  double best = front;
  const auto try_place = [&](double place) {
    if (WorstExcess(limits, place) < WorstExcess(limits, best)) best = place;
  };
  try_place(rear);
  for (size_t a = 0; a < limits.size(); ++a) {
    for (size_t b = a + 1; b < limits.size(); ++b) {
      const LoadLine apart = limits[a].load - limits[b].load;
      if (apart.per_metre == 0) continue;
      const double cross = (limits[a].allowed - limits[b].allowed - apart.fixed) / apart.per_metre;
      if (cross > front && cross < rear) try_place(cross);
    }
  }
  return best;
}

std::optional<Metres> MoveInto(const DeckStretch& legal, Metres at) {
  if (at < legal.front) return legal.front - at;
  if (at > legal.rear) return legal.rear - at;
  return std::nullopt;
}

AxleLimit LeastMargin(const std::vector<AxleLimit>& groups) {
  return *std::ranges::min_element(groups, {}, &AxleLimit::margin);
}

}  // namespace

Outcome<AxleJudgement> JudgeAxles(const LoadedVehicle& vehicle) {
  if (auto wrong = WrongUnits(vehicle)) return tl::unexpected(*wrong);
  if (auto wrong = WrongAxles(AllAxles(vehicle))) return tl::unexpected(*wrong);
  if (auto wrong = WrongMachine(vehicle)) return tl::unexpected(*wrong);
  const Loads loads = Solve(vehicle);
  const std::vector<Limit> limits = LimitsOf(loads, vehicle.rounding);
  const double place = vehicle.machine_at.metres();

  AxleJudgement judged;
  for (const LoadLine& load : loads.on_axles) judged.axles.push_back(Pounds(load.At(place)));
  for (const LoadLine& load : loads.on_couplings)
    judged.couplings.push_back(Pounds(load.At(place)));
  for (const Kilograms& axle : judged.axles) judged.gross += axle;
  for (const Limit& limit : limits) judged.groups.push_back(Judged(limit, place));
  judged.worst = LeastMargin(judged.groups);
  const bool within = WorstExcess(limits, place) <= kNoiseLb;
  judged.verdict = within ? Verdict::kClear : Verdict::kConflict;
  judged.legal = LegalStretch(limits, vehicle);
  if (!within && judged.legal) judged.move = MoveInto(*judged.legal, vehicle.machine_at);
  const double least_bad = LeastBadPlace(limits, vehicle);
  judged.least_bad_at = InMetres(least_bad);
  std::vector<AxleLimit> there;
  for (const Limit& limit : limits) there.push_back(Judged(limit, least_bad));
  judged.least_bad = LeastMargin(there);
  return judged;
}

namespace {

std::string WhatIsOver(const AxleLimit& group, UnitSystem system) {
  const std::string over = Text(-group.margin, system, Rounding::kUp);
  switch (group.rule) {
    case AxleRule::kGross:
      return "gross stays " + over + " over";
    case AxleRule::kCouplingRating:
      return fmt::format("coupling {} stays {} over its rating", group.first, over);
    case AxleRule::kStaysDown:
      return fmt::format("axle {} lifts", group.first);
    case AxleRule::kSingleAxle:
    case AxleRule::kTandem:
    case AxleRule::kBridge:
    case AxleRule::kTandemPair:
    case AxleRule::kAxleRating:
      break;
  }
  if (group.first == group.last) return fmt::format("axle {} stays {} over", group.first, over);
  return fmt::format("axles {} to {} stay {} over", group.first, group.last, over);
}

Metres StepOf(UnitSystem system) { return system == UnitSystem::kUs ? Inches(1) : Millimetres(10); }

}  // namespace

std::optional<Metres> MoveToSay(const AxleJudgement& judged, UnitSystem system) {
  if (!judged.move) return std::nullopt;
  const Metres step = StepOf(system);
  const Metres size = *judged.move < Metres() ? -*judged.move : *judged.move;
  const Metres rounded = step * std::ceil(size / step - 1e-6);
  // Nobody sets a machine down finer than a step: a narrower stretch is no place.
  if (rounded - size > judged.legal->rear - judged.legal->front) return std::nullopt;
  return *judged.move > Metres() ? rounded : -rounded;
}

std::string DriversLine(const AxleJudgement& judged, UnitSystem system) {
  if (judged.verdict == Verdict::kClear) {
    return fmt::format("AXLES WITHIN LIMITS: {} to spare",
                       Text(judged.worst.margin, system, Rounding::kDown));
  }
  if (!judged.move) return "NO PLACE ON THE DECK HELPS: " + WhatIsOver(judged.least_bad, system);
  const std::optional<Metres> move = MoveToSay(judged, system);
  if (!move) {
    return "NO PLACE ON THE DECK HELPS: the legal stretch is narrower than " +
           Text(StepOf(system), system, Rounding::kDown);
  }
  const bool back = *move > Metres();
  return fmt::format("MOVE MACHINE {} {}", Text(back ? *move : -*move, system, Rounding::kUp),
                     back ? "BACK" : "FORWARD");
}

}  // namespace chockwise::fit
