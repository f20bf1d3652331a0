#include "services/survey/fit_register.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <variant>

#include "services/fit/door_margin.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

/// How deep a door's wall is, and its sill with it: common practice.
constexpr Metres kWallDepth = fit::InMetres(0.3);

/// The lengths of the yard as they count today.
class LatestLengths {
 public:
  LatestLengths(const yard::Yard& yard, const When& when)
      : measurements_(yard.measurements), when_(when) {}

  /// Unknown, too old or still to come: `why` says which, unless it says something already.
  std::optional<Metres> Of(const std::string& subject, const char* quantity,
                           const std::string& attachment, std::string& why) const {
    const yard::Measurement* reading = measurements_.Latest(subject, quantity, attachment);
    const char* wrong = nullptr;
    if (reading == nullptr) {
      wrong = "is unknown";
    } else if (reading->when > when_.now) {
      wrong = "is dated in the future";
    } else if (when_.now - reading->when > when_.max_age) {
      wrong = "is too old";
    }
    // The readers of the yard hold each quantity to its dimension.
    if (wrong == nullptr) return std::get<Metres>(reading->value);
    if (why.empty()) why = fmt::format("{} of {} {}", quantity, subject, wrong);
    return std::nullopt;
  }
  bool Has(const std::string& subject, const char* quantity, const std::string& attachment) const {
    return measurements_.Latest(subject, quantity, attachment) != nullptr;
  }

 private:
  const yard::Measurements& measurements_;
  const When when_;
};

/// Each machine with what it carries today and with all that it was ever measured with.
std::map<std::string, std::set<std::string>> AttachmentsOf(const yard::Yard& yard) {
  std::map<std::string, std::set<std::string>> of;
  for (const auto& [id, machine] : yard.machines) of[id.value()].insert(machine.attachment);
  for (const yard::Measurement& reading : yard.measurements.all()) {
    const auto machine = of.find(reading.subject);
    if (machine != of.end()) machine->second.insert(reading.attachment);
  }
  return of;
}

struct Passing {
  Metres height, width, bounce, belly;
  Metres base;  // that a sill tips it over: between the axles; on tracks from the centre of mass
  Metres overhang;  // beyond an axle or the track's end, the longer
  bool coupled = false;
};

struct Opening {
  Metres height, width, sill;
};

template <class Value>
struct KnownOr {
  std::optional<Value> value;
  std::string why;
};

KnownOr<Passing> PassingOf(const LatestLengths& lengths, const yard::Machine& machine,
                           const std::string& attachment) {
  const std::string& id = machine.id.value();
  std::string why;
  if (!machine.steering) why = fmt::format("steering of {} is unknown", id);
  const auto height = lengths.Of(id, "carried-height", attachment, why);
  const auto width = lengths.Of(id, "carried-width", attachment, why);
  auto belly = lengths.Of(id, "belly-clearance", attachment, why);
  if (lengths.Has(id, "coupling-to-axle", attachment)) {
    const auto trailer = lengths.Of(id, "trailer-belly-clearance", attachment, why);
    if (belly && trailer) belly = std::min(*belly, *trailer);
  }
  const auto length = lengths.Of(id, "carried-length", attachment, why);
  const auto front = lengths.Of(id, "front-overhang", attachment, why);
  const auto wheelbase = lengths.Of(id, "wheelbase", attachment, why);
  const bool tracks = machine.steering == yard::Steering::kTracks;
  std::optional<Metres> centre;
  if (tracks) centre = lengths.Of(id, "centre-behind-front", attachment, why);
  if (!why.empty()) return {.value = std::nullopt, .why = std::move(why)};
  Passing passing{.height = *height,
                  .width = *width,
                  .bounce = tracks ? fit::kBounceOnTracks : fit::kBounceOnTyres,
                  .belly = *belly,
                  .base = *wheelbase,
                  .overhang = std::max(*front, *length - *front - *wheelbase),
                  .coupled = lengths.Has(id, "coupling-to-axle", attachment)};
  if (tracks) passing.base = std::min(*centre - *front, *front + *wheelbase - *centre);
  if (passing.base <= Metres())
    return {.value = std::nullopt, .why = fmt::format("centre-behind-front of {} is wrong", id)};
  return {.value = passing, .why = ""};
}

/// By how much of a sill a machine may rise under the header over it, and dip before or behind it.
struct Tipping {
  double rise = 0, dip = 0;
};
Tipping TippingOf(const Passing& passing, Metres sill) {
  // Tractor and trailer lift one another; twice the sill covers both.
  if (passing.coupled) return {.rise = 2, .dip = 2};
  // Leaning, its top moves along by height x slope.
  const Metres reach = kWallDepth + passing.height * (sill / passing.base);
  return {.rise = 1 + reach / passing.base,
          .dip = std::max(
              1.0, (passing.overhang + passing.height * (sill / passing.base)) / passing.base)};
}

KnownOr<Opening> OpeningOf(const LatestLengths& lengths, const std::string& door) {
  std::string why;
  const auto height = lengths.Of(door, "clear-height", "", why);
  const auto width = lengths.Of(door, "clear-width", "", why);
  const auto sill = lengths.Of(door, "sill-height", "", why);
  if (!why.empty()) return {.value = std::nullopt, .why = std::move(why)};
  return {.value = Opening{.height = *height, .width = *width, .sill = *sill}, .why = ""};
}

void Judge(const Passing& passing, const Opening& opening, const RegisterAsked& limits,
           FitRow& row) {
  const fit::DoorMargin margin = fit::MarginInDoor({.clear_height = opening.height,
                                                    .clear_width = opening.width,
                                                    .carried_height = passing.height,
                                                    .carried_width = passing.width,
                                                    .bounce = passing.bounce});
  const Tipping tipping = TippingOf(passing, opening.sill);
  row.above = margin.height - tipping.rise * opening.sill;
  row.each_side = margin.width / 2;
  row.below = passing.belly - tipping.dip * opening.sill;
  const bool through = *row.above > Metres() && *row.each_side > Metres() &&
                       fit::AtLeast(*row.below, limits.needed_below);
  if (!through) {
    row.fits = Fits::kNo;
  } else {
    row.fits = fit::AtLeast(*row.each_side, limits.needed_each_side) ? Fits::kGo : Fits::kTight;
  }
}

void Count(const FitRow& row, FitRegister& all) {
  switch (row.fits) {
    case Fits::kGo:
      ++all.go;
      return;
    case Fits::kTight:
      ++all.tight;
      return;
    case Fits::kNo:
      ++all.no;
      return;
    case Fits::kUnknown:
      ++all.unknown;
      return;
  }
}

}  // namespace

FitRegister RegisterOf(const Asked& asked, const std::function<void(Progress)>& progress,
                       const RegisterAsked& limits) {
  const LatestLengths lengths(asked.yard, asked.when);
  const auto attachments = AttachmentsOf(asked.yard);
  std::vector<std::pair<std::string, KnownOr<Opening>>> doors;
  for (const auto& [id, door] : asked.yard.doors)
    doors.emplace_back(id.value(), OpeningOf(lengths, id.value()));
  size_t passings = 0;
  for (const auto& [id, with] : attachments) passings += with.size();
  const size_t of = passings * doors.size();

  FitRegister all;
  all.rows.reserve(of);
  for (const auto& [id, machine] : asked.yard.machines) {
    for (const std::string& attachment : attachments.at(id.value())) {
      const KnownOr<Passing> passing = PassingOf(lengths, machine, attachment);
      for (const auto& [door, opening] : doors) {
        FitRow row{.machine = id.value(),
                   .attachment = attachment,
                   .door = door,
                   .fits = Fits::kUnknown,
                   .why = passing.value ? opening.why : passing.why,
                   .above = std::nullopt,
                   .each_side = std::nullopt,
                   .below = std::nullopt};
        if (passing.value && opening.value) Judge(*passing.value, *opening.value, limits, row);
        Count(row, all);
        all.rows.push_back(std::move(row));
      }
      progress({.done = all.rows.size(), .of = of});
    }
  }
  return all;
}

}  // namespace chockwise::survey
