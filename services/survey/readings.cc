#include "services/survey/readings.h"

#include <fmt/format.h>

#include "services/survey/inputs.h"
#include "services/yard/dates.h"

namespace chockwise::survey {
namespace {

constexpr const char* kMapName = "map of the yard";
constexpr std::string_view kMeasureIt = "measure it, and enter it in measurements.csv";

std::string NameOf(std::string_view quantity, std::string_view subject,
                   std::string_view attachment) {
  std::string name = fmt::format("{} of {}", quantity, subject);
  if (!attachment.empty()) name += fmt::format(" with {}", attachment);
  return name;
}

int64_t DaysOf(fit::Duration span) { return span.micros() / fit::Days(1).micros(); }

std::string NameOf(const yard::Measurement& reading) {
  std::string name = NameOf(reading.quantity, reading.subject, reading.attachment);
  if (reading.at)
    name += fmt::format(" at {}", Text(*reading.at, fit::UnitSystem::kUs, fit::Rounding::kDown));
  return name;
}

}  // namespace

std::string Readings::AttachmentOf(std::string_view subject) const {
  const yard::Machine* machine = yard_.FindMachine(subject);
  return machine == nullptr ? "" : machine->attachment;
}

Outcome<const yard::Measurement*> Readings::Find(std::string_view subject,
                                                 std::string_view quantity) {
  const std::string attachment = AttachmentOf(subject);
  const yard::Measurement* reading = yard_.measurements.Latest(subject, quantity, attachment);
  if (reading == nullptr) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnknown,
                                   .input = NameOf(quantity, subject, attachment),
                                   .problem = "is unknown: nobody has measured it",
                                   .right = std::string(kMeasureIt)});
  }
  return Fresh(*reading);
}

Outcome<void> Readings::Counts(const std::string& name, fit::Instant when,
                               const std::string& file) const {
  if (when > when_.now) {
    return tl::unexpected(NoAnswer{
        .sort = NoAnswer::Sort::kUnknown,
        .input = name,
        .problem = fmt::format("was measured on {}, which is still to come", yard::DateText(when)),
        .right = "put the date right in " + file});
  }
  if (when_.now - when > when_.max_age) {
    return tl::unexpected(
        NoAnswer{.sort = NoAnswer::Sort::kStale,
                 .input = name,
                 .problem = fmt::format("was measured on {} and counts for {} days",
                                        yard::DateText(when), DaysOf(when_.max_age)),
                 .right = "measure it again"});
  }
  return {};
}

Outcome<const yard::Measurement*> Readings::Fresh(const yard::Measurement& reading) {
  const auto counts = Counts(NameOf(reading), reading.when, "measurements.csv");
  if (!counts) return tl::unexpected(counts.error());
  Note(reading);
  return &reading;
}

Outcome<void> Readings::Map() {
  if (!yard_.survey) {
    return tl::unexpected(
        NoAnswer{.sort = NoAnswer::Sort::kUnknown,
                 .input = kMapName,
                 .problem = "is nobody's: it does not say who took its positions and heights",
                 .right = "write \"survey\" into map.geojson: {\"by\": \"dov\", \"when\": "
                          "\"2026-09-14\"}"});
  }
  const auto counts = Counts(kMapName, yard_.survey->when, "map.geojson");
  if (counts) map_given_ = true;
  return counts;
}

Outcome<std::vector<Readings::Spot>> Readings::Along(std::string_view subject,
                                                     std::string_view quantity) {
  std::vector<Spot> spots;
  for (const yard::Measurement* reading :
       yard_.measurements.LatestAlong(subject, quantity, AttachmentOf(subject))) {
    const auto fresh = Fresh(*reading);
    if (!fresh) return tl::unexpected(fresh.error());
    spots.push_back({.at = *reading->at, .value = std::get<fit::Metres>(reading->value)});
  }
  return spots;
}

void Readings::Note(const yard::Measurement& reading) {
  if (noted_.insert(&reading).second) given_.push_back(&reading);
}

std::vector<fit::Input> Readings::inputs() const {
  std::vector<fit::Input> inputs;
  if (map_given_) {
    inputs.push_back({.name = kMapName,
                      .value = "positions, heights",
                      .by = yard_.survey->by.value(),
                      .when = yard_.survey->when});
  }
  if (when_.max_age > kUsualAge)
    inputs.push_back(AsAsked("readings count for", fmt::format("{} days", DaysOf(when_.max_age))));
  for (const yard::Measurement* reading : given_) {
    inputs.push_back({.name = NameOf(*reading),
                      .value = reading->as_written,
                      .by = reading->by.value(),
                      .when = reading->when});
  }
  return inputs;
}

}  // namespace chockwise::survey
