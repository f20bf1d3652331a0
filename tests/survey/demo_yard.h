// The yard of the scenario, read from its folder, perhaps with its measurements changed first.
#pragma once

#include <fstream>
#include <functional>
#include <iterator>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "services/survey/parts.h"
#include "services/survey/survey.h"
#include "services/yard/computations.h"
#include "services/yard/yard.h"
#include "tests/support/change_readings.h"

namespace chockwise::survey {

inline std::string FileText(const std::string& name) {
  std::ifstream file("../../scenario/yard/" + name, std::ios::binary);
  if (!file) throw std::runtime_error("cannot read scenario/yard/" + name);
  return {std::istreambuf_iterator<char>(file), {}};
}

/// `change` is given the text of measurements.csv.
inline yard::Yard DemoYard(const std::function<void(std::string&)>& change = {}) {
  yard::YardFiles files{.map_geojson = FileText("map.geojson"),
                        .machines_csv = FileText("machines.csv"),
                        .people_csv = FileText("people.csv"),
                        .measurements_csv = FileText("measurements.csv"),
                        .rules_txtpb = FileText("rules.txtpb")};
  if (change) change(files.measurements_csv);
  auto yard = yard::ReadYard(files, yard::BaseRulesText(), yard::KnownComputations());
  if (!yard) throw std::runtime_error(yard.error().front().Text());
  return *yard;
}

/// With a text of measurements.csv written otherwise.
inline yard::Yard With(const std::string& from, const std::string& to) {
  return DemoYard([&](std::string& text) {
    const size_t at = text.find(from);
    if (at == std::string::npos || text.find(from, at + 1) != std::string::npos)
      throw std::runtime_error("not once in measurements.csv: " + from);
    text.replace(at, from.size(), to);
  });
}

/// With every reading of a quantity of a thing changed.
inline void ChangeReading(yard::Yard& yard, std::string_view subject, std::string_view quantity,
                          const yard::MeasuredValue& value) {
  int changed = 0;
  yard::ChangeReadings(yard, [&](yard::Measurement& reading) {
    if (reading.subject != subject || reading.quantity != quantity) return;
    reading.value = value;
    ++changed;
  });
  if (changed == 0) throw std::runtime_error("nobody measured " + std::string(quantity));
}

/// 2026-11-24T12:00:00Z: noon by the clock, a morning at the yard.
inline constexpr fit::Instant kNoon = fit::Instant::FromMicros(1'795'521'600'000'000);

inline Asked At(const yard::Yard& yard, fit::Instant now = kNoon) {
  return {.yard = yard, .when = {.now = now, .max_age = fit::Days(365)}};
}

inline std::string LineOf(const Outcome<fit::Answer>& answer) {
  return answer ? answer->line : "refused: " + answer.error().Text();
}
inline std::string LineOf(const Outcome<PartedAnswer>& parted) {
  return parted ? parted->answer.line : "refused: " + parted.error().Text();
}
/// Of every part, the worst first; a refusal's own.
inline std::vector<std::string> LinesOf(const Outcome<PartedAnswer>& parted) {
  std::vector<std::string> lines;
  if (!parted) return {LineOf(parted)};
  for (const Part& part : parted->parts) lines.push_back(part.line);
  return lines;
}
/// A refusal is no more than undecided.
inline fit::Verdict VerdictOf(const Outcome<fit::Answer>& answer) {
  return answer ? answer->verdict : fit::Verdict::kUndecided;
}
inline fit::Verdict VerdictOf(const Outcome<PartedAnswer>& parted) {
  return parted ? parted->answer.verdict : fit::Verdict::kUndecided;
}

inline Trip TripOf(const char* machine, const char* from, const char* to) {
  return {
      .machine = yard::MachineId(machine), .from = yard::PlaceId(from), .to = yard::PlaceId(to)};
}

}  // namespace chockwise::survey
