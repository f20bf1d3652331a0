#include "services/fit/power_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr Volts kMostOfTables = Kilovolts(1000);
constexpr Metres kUnknownVoltageClearance = Feet(20);  // 29 CFR 1926.1408(a)(2)
constexpr Metres kSpotterWithin = Feet(20);            // 29 CFR 1926.1411(b)(4)
constexpr Metres kSpotterWithinAbove350 = Feet(50);    // 29 CFR 1926.1409

struct Band {
  double to_kv;  // up to and including
  double feet;
  double metres;
};

constexpr Band kTableA[] = {{50, 10, 3.05},  {200, 15, 4.57},  {350, 20, 6.10},
                            {500, 25, 7.62}, {750, 35, 10.67}, {1000, 45, 13.72}};
constexpr Band kTableT[] = {
    {0.75, 4, 1.22}, {50, 6, 1.83}, {345, 10, 3.05}, {750, 16, 4.88}, {1000, 20, 6.10}};

std::optional<Unusable> WrongVoltage(Volts voltage, double most_kv) {
  if (voltage <= Volts())
    return Unusable{"voltage", "is " + Text(voltage, UnitSystem::kUs, Rounding::kDown),
                    "above 0: a dead line too counts as live"};
  if (voltage > Kilovolts(most_kv))
    return Unusable{"voltage", "is " + Text(voltage, UnitSystem::kUs, Rounding::kUp),
                    fmt::format("up to {:g} kV by the table; above it the utility or a registered "
                                "professional engineer sets the clearance",
                                most_kv)};
  return std::nullopt;
}

Outcome<Metres> InTable(std::span<const Band> table, Volts voltage, UnitSystem column) {
  if (const auto wrong = WrongVoltage(voltage, table.back().to_kv)) return tl::unexpected(*wrong);
  const auto band = std::ranges::find_if(
      table, [&](const Band& each) { return voltage <= Kilovolts(each.to_kv); });
  return column == UnitSystem::kUs ? Feet(band->feet) : InMetres(band->metres);
}

struct Rule {
  Metres needed;
  std::string name;
};

void Stricter(Rule& rule, const Outcome<Metres>& other, const char* name) {
  // A rule that is silent at this voltage asks for nothing; the tables up to 1,000 kV never are.
  if (other && *other > rule.needed) rule = {*other, name};
}

Rule StrictestRule(const LineCrossing& at, UnitSystem column) {
  if (!at.voltage) {
    return {kUnknownVoltageClearance, "29 CFR 1926.1408(a)(2): voltage unknown"};
  }
  const Volts voltage = *at.voltage;
  Rule rule;
  switch (at.travel) {
    case LineTravel::kUnloadedAndLowered:
      Stricter(rule, LineTableT(voltage, column), "29 CFR 1926.1411 Table T");
      Stricter(rule, LineClearanceInTransit(voltage), "29 CFR 1926.600(a)(6)");
      break;
    case LineTravel::kLoadedOrRaised:
      Stricter(rule, LineTableA(voltage, column), "29 CFR 1926.1408 Table A");
      Stricter(rule, LineClearanceInUse(voltage), "29 CFR 1926.600(a)(6)");
      break;
  }
  switch (at.site) {
    case LineSite::kGeneral:
      break;
    case LineSite::kMine:
      Stricter(rule, LineClearanceAtMine(voltage), "30 CFR 77.807-2");
      break;
  }
  return rule;
}

std::optional<Unusable> Wrong(const LineCrossing& at) {
  if (at.voltage) {
    if (const auto wrong = WrongVoltage(*at.voltage, kMostOfTables.kilovolts())) return wrong;
  }
  InputCheck check;
  check.Positive("wire height", at.wire_height, UpTo{InMetres(200)})
      .NotNegative("beside", at.beside, UpTo{InMetres(1000)})
      .Positive("carried height", at.carried_height, UpTo{InMetres(100)})
      .NotNegative("bounce", at.bounce, UpTo{InMetres(2)})
      .NotNegative("sag", at.sag, UpTo{InMetres(20)})
      .Positive("reading error", at.reading_error, UpTo{InMetres(5)});
  if (at.carried_error) check.Positive("carried error", *at.carried_error, UpTo{InMetres(5)});
  if (check.failed()) return check.error();
  return std::nullopt;
}

Metres Gap(const LineCrossing& at) {
  const Metres above = at.wire_height - at.sag - at.carried_height - at.bounce;
  if (at.beside == Metres()) return above;
  return InMetres(std::hypot(at.beside.metres(), std::max(0.0, above.metres())));
}

Metres SpotterWithin(const LineCrossing& at) {
  const bool high = !at.voltage || *at.voltage > Kilovolts(350);
  return high && at.travel == LineTravel::kLoadedOrRaised ? kSpotterWithinAbove350 : kSpotterWithin;
}

}  // namespace

Outcome<Metres> LineTableA(Volts voltage, UnitSystem column) {
  return InTable(kTableA, voltage, column);
}

Outcome<Metres> LineTableT(Volts voltage, UnitSystem column) {
  return InTable(kTableT, voltage, column);
}

Outcome<Metres> LineClearanceInUse(Volts voltage) {
  if (const auto wrong = WrongVoltage(voltage, 1000)) return tl::unexpected(*wrong);
  return Feet(10) + Inches(0.4) * std::max(0.0, voltage.kilovolts() - 50);
}

Outcome<Metres> LineClearanceInTransit(Volts voltage) {
  if (const auto wrong = WrongVoltage(voltage, 750)) return tl::unexpected(*wrong);
  if (voltage < Kilovolts(50)) return Feet(4);
  return voltage <= Kilovolts(345) ? Feet(10) : Feet(16);
}

Outcome<Metres> LineClearanceAtMine(Volts voltage) {
  if (const auto wrong = WrongVoltage(voltage, 1000)) return tl::unexpected(*wrong);
  // The rule prints whole kilovolts ("69 to 114", "115 to 229"): what lies between two of its bands
  // takes the longer.
  const double kv = voltage.kilovolts();
  if (kv < 69) return Feet(10);
  if (kv <= 114) return Feet(12);
  if (kv <= 229) return Feet(15);
  if (kv <= 344) return Feet(20);
  return kv < 500 ? Feet(25) : Feet(35);
}

Outcome<LineClearance> ClearanceOfLine(const LineCrossing& at, UnitSystem column) {
  if (const auto wrong = Wrong(at)) return tl::unexpected(*wrong);
  const Rule rule = StrictestRule(at, column);
  LineClearance result = {.gap = Gap(at), .needed = rule.needed, .rule = rule.name};
  result.margin = result.gap - result.needed;
  result.error = at.reading_error * (at.beside == Metres() ? 1 : 2) +
                 at.carried_error.value_or(at.reading_error);
  result.spotter_needed = result.gap - result.error <= SpotterWithin(at);
  result.verdict = Judge(result.margin.metres(), result.error.metres());
  return result;
}

std::string DriversLine(const LineClearance& result, UnitSystem system) {
  const Metres sure = result.margin - result.error;
  const std::string needed = Text(result.needed, system, Rounding::kUp);
  const char* spotter = result.spotter_needed ? ", spotter watches the wire" : "";
  if (result.verdict == Verdict::kClear)
    return fmt::format("PASS THE WIRE: {} beyond the {} asked for{}",
                       Text(sure, system, Rounding::kDown), needed, spotter);
  return fmt::format("KEEP OUT: {} short of {} to the wire", Text(-sure, system, Rounding::kUp),
                     needed);
}

}  // namespace chockwise::fit
