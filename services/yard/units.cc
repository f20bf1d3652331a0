// Numbers with their units, as people write them.
//
// A reading is kept as an exact fraction until the very end and turned into a double once. The
// fraction is in lowest terms, so 13 ft 6 in, 162 in and 4.1148 m are the same double: the unit of
// a reading can never change an answer.
#include <fmt/format.h>

#include <array>
#include <cstdint>
#include <numeric>

#include "services/yard/limits.h"
#include "services/yard/text.h"
#include "services/yard/yard.h"

namespace chockwise::yard {
namespace {

constexpr size_t kDigits = 11;  // of one number, so that no product below leaves 64 bits
constexpr size_t kDecimals = 6;
constexpr int64_t kFeetBeforeInches = 99'999;
constexpr size_t kReadingBytes = 100;

struct Fraction {
  int64_t top = 0;
  int64_t bottom = 1;
  double Value() const {
    const int64_t common = std::gcd(top, bottom);
    return static_cast<double>(top / common) / static_cast<double>(bottom / common);
  }
};

using Make = MeasuredValue (*)(double);

struct UnitRow {
  std::string_view symbol;
  Fraction si;  // one of the unit, in SI
  Make make;
};

MeasuredValue MakeLength(double n) { return fit::InMetres(n); }
MeasuredValue MakeMass(double n) { return fit::InKilograms(n); }
MeasuredValue MakeGrade(double n) { return fit::RiseOverRun(n); }
MeasuredValue MakeLevel(double n) { return fit::InDecibels(n); }
MeasuredValue MakeSpeed(double n) { return fit::InMetresPerSecond(n); }
MeasuredValue MakeAngle(double n) { return fit::Degrees(n); }
MeasuredValue MakeVoltage(double n) { return fit::InVolts(n); }
MeasuredValue MakeLight(double n) { return fit::InLux(n); }
MeasuredValue MakePressure(double n) { return fit::InPascals(n); }
MeasuredValue MakePressureOfPsf(double n) { return fit::PoundsPerSquareFoot(n); }

// Exact factors: NIST SP 811 (2008), Appendix B.8. A "t" or "ton" is not here on purpose: 907, 1000
// or 1016 kg. Degrees and psf become SI in fit: half a turn has no exact fraction, and the one of a
// psf leaves 64 bits.
constexpr std::array<UnitRow, 23> kUnits = {{
    {"m", {1, 1}, MakeLength},
    {"cm", {1, 100}, MakeLength},
    {"mm", {1, 1000}, MakeLength},
    {"ft", {381, 1250}, MakeLength},
    {"in", {127, 5000}, MakeLength},
    {"kg", {1, 1}, MakeMass},
    {"lb", {45359237, 100000000}, MakeMass},
    {"lbs", {45359237, 100000000}, MakeMass},
    {"%", {1, 100}, MakeGrade},
    {"dB", {1, 1}, MakeLevel},
    {"dB(A)", {1, 1}, MakeLevel},
    {"m/s", {1, 1}, MakeSpeed},
    {"km/h", {5, 18}, MakeSpeed},
    {"mph", {1397, 3125}, MakeSpeed},
    {"ft/s", {381, 1250}, MakeSpeed},
    {"deg", {1, 1}, MakeAngle},
    {"V", {1, 1}, MakeVoltage},
    {"kV", {1000, 1}, MakeVoltage},
    {"lx", {1, 1}, MakeLight},
    {"fc", {1562500, 145161}, MakeLight},
    {"Pa", {1, 1}, MakePressure},
    {"kPa", {1000, 1}, MakePressure},
    {"psf", {1, 1}, MakePressureOfPsf},
}};

constexpr std::string_view kRight =
    "write a number and its unit: 13 ft 6 in, 6 1/2 in, 4.11 m, 42,000 lb, 19051 kg, 2 %, 97 dB, 5 "
    "mph, 38 deg, 138 kV, 5 fc";

bool IsDigit(char c) { return c >= '0' && c <= '9'; }

std::string_view TakeDigits(std::string_view& text) {
  size_t n = 0;
  while (n < text.size() && IsDigit(text[n])) ++n;
  const std::string_view digits = text.substr(0, n);
  text.remove_prefix(n);
  return digits;
}

void SkipBlanks(std::string_view& text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
}

/// Takes "42000" or "42,000"; a comma must stand before every group of three or before none.
std::optional<std::string> TakeWhole(std::string_view& text) {
  const std::string_view first = TakeDigits(text);
  std::string digits(first);
  if (digits.empty() || (text.starts_with(',') && first.size() > 3)) return std::nullopt;
  while (text.starts_with(',')) {
    text.remove_prefix(1);
    const std::string_view group = TakeDigits(text);
    if (group.size() != 3) return std::nullopt;
    digits += group;
  }
  return digits;
}

/// Takes "42,000", "4.11" or "-2".
std::optional<Fraction> TakeNumber(std::string_view& text) {
  const bool negative = text.starts_with('-');
  if (negative) text.remove_prefix(1);
  auto digits = TakeWhole(text);
  if (!digits) return std::nullopt;
  Fraction number;
  if (text.starts_with('.')) {
    text.remove_prefix(1);
    const std::string_view decimals = TakeDigits(text);
    if (decimals.empty() || decimals.size() > kDecimals) return std::nullopt;
    *digits += decimals;
    for (size_t i = 0; i < decimals.size(); ++i) number.bottom *= 10;
  }
  if (digits->size() > kDigits) return std::nullopt;
  for (const char digit : *digits) number.top = number.top * 10 + (digit - '0');
  if (negative) number.top = -number.top;
  return number;
}

/// Takes a number that may have a binary fraction behind it, as tapes have: "6", "6.5", "6 1/2",
/// "1/2".
std::optional<Fraction> TakeTapeNumber(std::string_view& text) {
  auto number = TakeNumber(text);
  if (!number) return std::nullopt;
  std::string_view rest = text;
  SkipBlanks(rest);
  std::optional<Fraction> top;
  if (rest.starts_with('/')) {  // "1/2": the number was the top
    top = number;
    number = Fraction{};
  } else {
    top = TakeNumber(rest);
    if (!top || !rest.starts_with('/'))
      return number;  // "13 ft 6 in": the next number is another reading's
  }
  rest.remove_prefix(1);
  const auto bottom = TakeNumber(rest);
  const bool plain =
      bottom && number->bottom == 1 && top->bottom == 1 && bottom->bottom == 1 && number->top >= 0;
  if (!plain || number->top > kFeetBeforeInches || top->top <= 0 || top->top >= bottom->top ||
      bottom->top > 64 || (bottom->top & (bottom->top - 1)) != 0) {
    return std::nullopt;
  }
  text = rest;
  return Fraction{number->top * bottom->top + top->top, bottom->top};
}

std::string_view TakeSymbol(std::string_view& text) {
  SkipBlanks(text);
  size_t n = 0;
  while (n < text.size() && !IsDigit(text[n]) && text[n] != ' ' && text[n] != '\t' &&
         text[n] != '-')
    ++n;
  const std::string_view symbol = text.substr(0, n);
  text.remove_prefix(n);
  if (symbol == "'") return "ft";
  if (symbol == "\"") return "in";
  return symbol;
}

const UnitRow* FindUnit(std::string_view symbol) {
  const auto row = std::ranges::find(kUnits, symbol, &UnitRow::symbol);
  return row == kUnits.end() ? nullptr : &*row;
}

std::string UnitProblem(std::string_view text, std::string_view symbol) {
  if (symbol.empty()) return fmt::format("{} has no unit; {}", Quoted(text), kRight);
  if (symbol == "t" || symbol.starts_with("ton")) {
    return fmt::format("{}: a ton may be 907, 1000 or 1016 kg; write kg or lb", Quoted(text));
  }
  std::vector<std::string> symbols;
  for (const UnitRow& row : kUnits) symbols.emplace_back(row.symbol);
  return fmt::format("{}: {} is not a unit that is read; write {}", Quoted(text), Quoted(symbol),
                     fmt::join(symbols, ", "));
}

/// The inches behind whole feet: "6 in" of "13 ft 6 in", as a number of inches.
std::optional<Fraction> TakeInchesBehindFeet(Fraction feet, std::string_view rest) {
  const auto inches = TakeTapeNumber(rest);
  if (!inches || TakeSymbol(rest) != "in" || !Trim(rest).empty()) return std::nullopt;
  if (feet.bottom != 1 || feet.top < 0 || feet.top > kFeetBeforeInches) return std::nullopt;
  if (inches->top < 0 || inches->top >= 12 * inches->bottom) return std::nullopt;
  return Fraction{feet.top * 12 * inches->bottom + inches->top, inches->bottom};
}

}  // namespace

tl::expected<MeasuredValue, std::string> ReadMeasuredValue(std::string_view text) {
  const auto unreadable = [&] {
    return tl::unexpected(fmt::format("{} is not a number with a unit; {}", Quoted(text), kRight));
  };
  if (text.size() > kReadingBytes) return unreadable();
  std::string_view rest = Trim(text);
  auto number = TakeTapeNumber(rest);
  if (!number) return unreadable();
  const std::string_view symbol = TakeSymbol(rest);
  const UnitRow* unit = FindUnit(symbol);
  if (unit == nullptr) return tl::unexpected(UnitProblem(text, symbol));
  SkipBlanks(rest);
  if (!rest.empty()) {
    if (symbol != "ft") return unreadable();
    number = TakeInchesBehindFeet(*number, rest);
    if (!number) return unreadable();
    unit = FindUnit("in");
  }
  return unit->make(Fraction{number->top * unit->si.top, number->bottom * unit->si.bottom}.Value());
}

tl::expected<fit::Duration, std::string> ReadAge(std::string_view text) {
  const auto unreadable = [&] {
    return tl::unexpected(fmt::format(
        "{} is not an age; write a whole number and its unit: 365 days, 12 h, 5 min, 30 s",
        Quoted(text)));
  };
  std::string_view rest = Trim(text);
  const std::string_view digits = TakeDigits(rest);
  if (digits.empty() || digits.size() > 9) return unreadable();
  int64_t count = 0;
  for (const char digit : digits) count = count * 10 + (digit - '0');
  SkipBlanks(rest);
  int64_t seconds_each = 0;
  if (rest == "s") seconds_each = 1;
  if (rest == "min") seconds_each = 60;
  if (rest == "h") seconds_each = 3'600;
  if (rest == "day" || rest == "days") seconds_each = 86'400;
  if (seconds_each == 0) return unreadable();
  const int64_t seconds = count * seconds_each;
  if (seconds <= 0 || seconds > int64_t{kLongestAgeDays} * 86'400) {
    return tl::unexpected(fmt::format("{} must be longer than zero and at most {} days",
                                      Quoted(text), kLongestAgeDays));
  }
  return fit::Seconds(seconds);
}

}  // namespace chockwise::yard
