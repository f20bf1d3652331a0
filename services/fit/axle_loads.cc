#include "services/fit/axle_loads.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "services/fit/input_check.h"
#include "services/fit/loading_dock.h"

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
  /// The same as it depends on a place that is so much less.
  LoadLine From(double by) const { return {At(by), per_metre}; }
};

struct Loads {
  std::vector<RoadAxle> axles;
  std::vector<LoadLine> on_axles;  // with tare
  std::vector<LoadLine> on_couplings;
};

/// A limit: load <= allowed, wherever the machine stands.
struct Limit {
  AxleLimit group;
  LoadLine load;
  double allowed = 0;
  std::vector<std::array<LoadLine, 2>> off = {};  // by each input, more and less than it is
  double allowed_off = 0;

  /// What it may be off by, as it is at that place and beside it.
  LoadLine Error(double place) const {
    LoadLine error = {allowed_off, 0};
    for (const auto& [more, less] : off) {
      const LoadLine& worse = more.At(place) > less.At(place) ? more : less;
      if (worse.At(place) > 0) error = error + worse;
    }
    return error;
  }
  LoadLine Excess() const { return load - LoadLine{allowed, 0}; }
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
    if (unit.coupling_tare) {
      check.Positive("pin load of the empty trailer", *unit.coupling_tare, UpTo{Pounds(500'000)});
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
               Span{vehicle.deck_front, vehicle.deck_rear})
      .NotNegative("error of a ticket", vehicle.errors.ticket, UpTo{Pounds(5'000)})
      .NotNegative("error of a tape", vehicle.errors.tape, UpTo{Feet(1)})
      .NotNegative("error of the machine's place", vehicle.errors.place, UpTo{Feet(10)});
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
    if (at > 0) loads.on_couplings.push_back(front[at]);
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
  return IsTandem(axles[first], axles[first + 1]) && IsTandem(axles[last - 1], axles[last]);
}

struct AxleSpan {
  size_t first, last;  // from 0
  Metres length;       // as taped, or less
};

/// What the law allows on a span of that length.
Limit LimitOnSpan(const Loads& loads, const AxleSpan& on, BridgeRounding rounding) {
  Limit limit;
  AxleLimit& group = limit.group;
  group.span = on.length;
  group.first = static_cast<int>(on.first) + 1;
  group.last = static_cast<int>(on.last) + 1;
  const int count = static_cast<int>(on.last - on.first) + 1;
  if (count == 1) {
    group.rule = AxleRule::kSingleAxle;
    limit.allowed = kSingleAxleCap.lb;
  } else if (AtLeast(kTandemSpan, on.length)) {
    group.rule = AxleRule::kTandem;
    limit.allowed = kTandemCap.lb;
  } else {
    group.rule = AxleRule::kBridge;
    group.bridge = *BridgeFormula(
        {.span_ft = std::min(200, FormulaFeet(on.length, rounding)), .axles = count});
    limit.allowed =
        rounding == BridgeRounding::kPlanned ? group.bridge.planned_lb : group.bridge.published_lb;
    if (IsTandemPair(loads, on.first, on.last) && AtLeast(on.length, kTandemPairSpan) &&
        limit.allowed < 2 * kTandemCap.lb) {
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

void AddCouplingLimits(std::vector<Limit>& limits, const Loads& loads,
                       const std::vector<RoadUnit>& units) {
  for (size_t at = 0; at < loads.on_couplings.size(); ++at) {
    const RoadUnit& unit = units[at];
    const double tare = unit.coupling_tare.value_or(Kilograms()).pounds();
    const LoadLine whole = LoadLine{tare, 0} + loads.on_couplings[at];
    if (unit.coupling_rating)
      AddLimit(limits, AxleRule::kCouplingRating, whole, unit.coupling_rating->pounds(), at);
    AddLimit(limits, AxleRule::kCouplingStaysDown, whole * -1, -tare * kLeastPinShare, at);
  }
}

std::vector<Limit> LimitsOf(const Loads& loads, const LoadedVehicle& vehicle) {
  std::vector<Limit> limits;
  const size_t count = loads.axles.size();
  LoadLine gross;
  for (size_t first = 0; first < count; ++first) {
    LoadLine sum;
    for (size_t last = first; last < count; ++last) {
      sum = sum + loads.on_axles[last];
      const Metres span = loads.axles[last].at - loads.axles[first].at;
      limits.push_back(LimitOnSpan(loads, {first, last, span}, vehicle.rounding));
      limits.back().load = sum;
    }
    if (first == 0) gross = sum;
    if (const auto& rating = loads.axles[first].rating) {
      AddLimit(limits, AxleRule::kAxleRating, loads.on_axles[first], rating->pounds(), first);
    }
    AddLimit(limits, AxleRule::kStaysDown, loads.on_axles[first] * -1, 0, first);
  }
  AddLimit(limits, AxleRule::kGross, gross, kGrossCap.lb, 0);
  limits.back().group.last = static_cast<int>(count);
  AddCouplingLimits(limits, loads, vehicle.units);
  return limits;
}

/// The vehicle with one input off by its error, or by its error the other way.
struct Shaken {
  LoadedVehicle vehicle;
  double place_by = 0;  // metres; what stood at a place stands that much farther back
};

void ShakeTickets(const LoadedVehicle& vehicle, double way, std::vector<Shaken>& all) {
  const Kilograms by = vehicle.errors.ticket * way;
  const auto add = [&](auto shake) {
    all.push_back({vehicle});
    shake(all.back().vehicle);
  };
  const auto weigh = [by](std::vector<RoadAxle>& group) {
    for (RoadAxle& axle : group) axle.tare += by / static_cast<double>(group.size());
  };
  for (size_t at = 0; at < vehicle.units.size(); ++at) {
    add([&](LoadedVehicle& one) { weigh(one.units[at].front); });
    add([&](LoadedVehicle& one) { weigh(one.units[at].rear); });
    if (!vehicle.units[at].coupling_tare) continue;
    add([&](LoadedVehicle& one) { *one.units[at].coupling_tare += by; });
  }
  add([&](LoadedVehicle& one) { one.machine += by; });
}

void ShakeTapes(const LoadedVehicle& vehicle, double way, std::vector<Shaken>& all) {
  const Metres by = vehicle.errors.tape * way;
  const auto shift_rear = [by](RoadUnit& unit) {
    for (RoadAxle& axle : unit.rear) axle.at += by;
  };
  const auto shift_from_coupling = [&](std::vector<RoadUnit>& units, size_t at) {
    *units[at].coupling += by;
    for (size_t behind = at + 1; behind < units.size(); ++behind) {
      shift_rear(units[behind]);
      if (units[behind].coupling) *units[behind].coupling += by;
    }
  };
  for (size_t at = 0; at < vehicle.units.size(); ++at) {
    const bool last = at + 1 == vehicle.units.size();
    // What is taped from the axles goes with them, and the deck from its coupling.
    all.push_back({vehicle, last ? 0 : by.metres()});
    shift_rear(all.back().vehicle.units[at]);
    if (last) continue;
    shift_from_coupling(all.back().vehicle.units, at);
    all.push_back({vehicle, by.metres()});
    shift_from_coupling(all.back().vehicle.units, at);
  }
  all.push_back({vehicle, vehicle.errors.place.metres() * way});
}

std::vector<Shaken> ShakenOneWay(const LoadedVehicle& vehicle, double way) {
  std::vector<Shaken> all;
  ShakeTickets(vehicle, way, all);
  ShakeTapes(vehicle, way, all);
  return all;
}

bool IsOfTheLaw(AxleRule rule) {
  return rule == AxleRule::kSingleAxle || rule == AxleRule::kTandem || rule == AxleRule::kBridge ||
         rule == AxleRule::kTandemPair;
}

/// Whole feet make the law's limits jump, so they are taken at the shortest that a span may be.
void AddErrors(const LoadedVehicle& vehicle, const Loads& loads, std::vector<Limit>& limits) {
  const std::vector<Shaken> more = ShakenOneWay(vehicle, 1), less = ShakenOneWay(vehicle, -1);
  std::vector<Metres> shorter(limits.size());
  for (size_t input = 0; input < more.size(); ++input) {
    const auto up = LimitsOf(Solve(more[input].vehicle), more[input].vehicle);
    const auto down = LimitsOf(Solve(less[input].vehicle), less[input].vehicle);
    for (size_t at = 0; at < limits.size(); ++at) {
      Limit& limit = limits[at];
      limit.off.push_back({up[at].load.From(more[input].place_by) - limit.load,
                           down[at].load.From(less[input].place_by) - limit.load});
      const Metres shortest = std::min(up[at].group.span, down[at].group.span);
      shorter[at] += std::max(Metres(), limit.group.span - shortest);
    }
  }
  for (size_t at = 0; at < limits.size(); ++at) {
    const AxleLimit& group = limits[at].group;
    if (!IsOfTheLaw(group.rule)) continue;
    const AxleSpan least = {static_cast<size_t>(group.first) - 1,
                            static_cast<size_t>(group.last) - 1, group.span - shorter[at]};
    const double allowed = LimitOnSpan(loads, least, vehicle.rounding).allowed;
    limits[at].allowed_off = std::max(0.0, limits[at].allowed - allowed);
  }
}

bool IsOff(const AxleErrors& errors) {
  return errors.ticket > Kilograms() || errors.tape > Metres() || errors.place > Metres();
}

AxleLimit Judged(const Limit& limit, double place) {
  AxleLimit group = limit.group;
  const double actual = limit.load.At(place);
  const bool stays_down =
      limit.group.rule == AxleRule::kStaysDown || limit.group.rule == AxleRule::kCouplingStaysDown;
  group.actual = Pounds(stays_down ? -actual : actual);
  group.allowed = Pounds(stays_down ? -limit.allowed : limit.allowed);
  group.margin = Pounds(limit.allowed - actual);
  group.error = Pounds(limit.Error(place).At(place));
  return group;
}

/// The limit with the greatest excess, error included, at a place: a straight line that touches the
/// convex upper edge of all of them there.
LoadLine WorstAt(const std::vector<Limit>& limits, double place) {
  LoadLine worst = {-std::numeric_limits<double>::infinity(), 0};
  for (const Limit& limit : limits) {
    const LoadLine line = limit.Excess() + limit.Error(place);
    if (line.At(place) > worst.At(place)) worst = line;
  }
  return worst;
}

/// From an end of the deck to where nothing is in excess, line by line: each one's own zero is
/// never beyond the edge's, so the steps stop at the edge. nullopt where they turn away or leave
/// the deck.
std::optional<double> FirstLegal(const std::vector<Limit>& limits, double from, double to) {
  for (double place = from;;) {
    const LoadLine worst = WorstAt(limits, place);
    if (worst.At(place) <= kNoiseLb) return place;
    // Flatter than this, the whole deck moves it by less than noise.
    if (std::abs(worst.per_metre) < kNoiseLb / 100) return std::nullopt;
    const double next = -worst.fixed / worst.per_metre;
    const bool onward = to > from ? next > place && next <= to : next < place && next >= to;
    if (!onward) return std::nullopt;
    place = next;
  }
}

std::optional<DeckStretch> LegalStretch(const std::vector<Limit>& limits,
                                        const LoadedVehicle& vehicle) {
  const double front = vehicle.deck_front.metres(), rear = vehicle.deck_rear.metres();
  const auto first = FirstLegal(limits, front, rear), last = FirstLegal(limits, rear, front);
  if (!first || !last || *first > *last) return std::nullopt;
  return DeckStretch{InMetres(*first), InMetres(*last)};
}

/// The least of the upper edge: at an end of the deck, or where a line that falls there meets one
/// that rises. Two that touch the edge meet below it, and the edge above that point gives the next.
double LeastBadPlace(const std::vector<Limit>& limits, const LoadedVehicle& vehicle) {
  const double front = vehicle.deck_front.metres(), rear = vehicle.deck_rear.metres();
  LoadLine falls = WorstAt(limits, front), rises = WorstAt(limits, rear);
  if (falls.per_metre >= 0) return front;
  if (rises.per_metre <= 0) return rear;
  for (;;) {
    const double place = (falls.fixed - rises.fixed) / (rises.per_metre - falls.per_metre);
    const LoadLine worst = WorstAt(limits, place);
    if (worst.per_metre == 0 || worst.At(place) <= falls.At(place) + kNoiseLb) return place;
    (worst.per_metre < 0 ? falls : rises) = worst;
  }
}

std::optional<Metres> MoveInto(const DeckStretch& legal, Metres at) {
  if (at < legal.front) return legal.front - at;
  if (at > legal.rear) return legal.rear - at;
  return std::nullopt;
}

AxleLimit LeastMargin(const std::vector<AxleLimit>& groups) {
  return *std::ranges::min_element(
      groups, {}, [](const AxleLimit& group) { return group.margin - group.error; });
}

Verdict VerdictAt(const std::vector<Limit>& limits, double place) {
  Verdict verdict = Verdict::kClear;
  for (const Limit& limit : limits) {
    const double excess = limit.Excess().At(place), error = limit.Error(place).At(place);
    if (excess > error + kNoiseLb) return Verdict::kConflict;
    if (excess + error > kNoiseLb) verdict = Verdict::kUndecided;
  }
  return verdict;
}

}  // namespace

Outcome<AxleJudgement> JudgeAxles(const LoadedVehicle& vehicle) {
  if (auto wrong = WrongUnits(vehicle)) return tl::unexpected(*wrong);
  if (auto wrong = WrongAxles(AllAxles(vehicle))) return tl::unexpected(*wrong);
  if (auto wrong = WrongMachine(vehicle)) return tl::unexpected(*wrong);
  const Loads loads = Solve(vehicle);
  std::vector<Limit> limits = LimitsOf(loads, vehicle);
  if (IsOff(vehicle.errors)) AddErrors(vehicle, loads, limits);
  const double place = vehicle.machine_at.metres();

  AxleJudgement judged;
  for (const LoadLine& load : loads.on_axles) judged.axles.push_back(Pounds(load.At(place)));
  for (const LoadLine& load : loads.on_couplings)
    judged.couplings.push_back(Pounds(load.At(place)));
  for (const Kilograms& axle : judged.axles) judged.gross += axle;
  for (const Limit& limit : limits) judged.groups.push_back(Judged(limit, place));
  judged.worst = LeastMargin(judged.groups);
  judged.verdict = VerdictAt(limits, place);
  judged.legal = LegalStretch(limits, vehicle);
  const bool clear = judged.verdict == Verdict::kClear;
  if (!clear && judged.legal) judged.move = MoveInto(*judged.legal, vehicle.machine_at);
  const double least_bad = LeastBadPlace(limits, vehicle);
  judged.least_bad_at = InMetres(least_bad);
  std::vector<AxleLimit> there;
  for (const Limit& limit : limits) there.push_back(Judged(limit, least_bad));
  judged.least_bad = LeastMargin(there);
  return judged;
}

}  // namespace chockwise::fit
