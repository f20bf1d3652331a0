#include "services/yard/feature.h"

#include <fmt/format.h>

#include <cmath>

#include "services/yard/limits.h"
#include "services/yard/text.h"

namespace chockwise::yard {
namespace {

using nlohmann::json;

/// Where a position stands in its geometry: "geometry", with "coordinates[2]" behind it.
std::string At(std::string_view array, size_t index) { return fmt::format("{}[{}]", array, index); }

/// The coordinates of a geometry of the type asked for.
const json* Coordinates(const json& geometry, const std::string& type, const Properties& feature) {
  if (!geometry.is_object()) {
    feature.Complain("geometry", "is " + Shown(geometry), fmt::format("give it a {}", type));
    return nullptr;
  }
  const auto found = geometry.find("type");
  if (found == geometry.end() || *found != type) {
    const bool named = found != geometry.end() && found->is_string();
    feature.Complain("geometry",
                     named ? "is a " + Quoted(found->get_ref<const std::string&>()) : "has no type",
                     fmt::format("must be a {}", type));
    return nullptr;
  }
  for (const auto& [name, unused] : geometry.items()) {
    if (name == "type" || name == "coordinates" || name == "bbox") continue;
    feature.Complain("geometry", fmt::format("{} is not known", Quoted(name)),
                     "a geometry has type and coordinates");
  }
  const auto coordinates = geometry.find("coordinates");
  if (coordinates == geometry.end() || !coordinates->is_array()) {
    feature.Complain("coordinates",
                     coordinates == geometry.end() ? "are missing" : "are " + Shown(*coordinates),
                     "must be an array");
    return nullptr;
  }
  return &*coordinates;
}

std::optional<Position> ReadPosition(const json& value, std::string_view field,
                                     const Properties& feature) {
  constexpr std::string_view kRight =
      "write [degrees east, degrees north, metres up], as RFC 7946 does";
  const bool numbers =
      value.is_array() && (value.size() == 2 || value.size() == 3) &&
      std::ranges::all_of(value, [](const json& number) { return number.is_number(); });
  if (!numbers) {
    feature.Complain(field, "is not a position", std::string(kRight));
    return std::nullopt;
  }
  Position position{.longitude_deg = value[0].get<double>(),
                    .latitude_deg = value[1].get<double>()};
  if (value.size() == 3) position.elevation_m = value[2].get<double>();
  bool in_range = true;
  const auto within = [&](double number, double most, std::string_view what) {
    if (std::abs(number) <= most) return;
    in_range = false;
    feature.Complain(field, fmt::format("{} {} is out of range", what, number),
                     fmt::format("{} to {}; {}", -most, most, kRight));
  };
  within(position.longitude_deg, 180, "longitude");
  within(position.latitude_deg, 90, "latitude");
  within(position.elevation_m.value_or(0), kElevationM, "elevation");
  return in_range ? std::optional(position) : std::nullopt;
}

std::optional<std::vector<Position>> ReadPositions(const json& array, std::string_view field,
                                                   size_t least, const Properties& feature) {
  if (!array.is_array() || array.size() < least || array.size() > kPositions) {
    feature.Complain(
        field,
        array.is_array() ? fmt::format("has {} positions", array.size()) : "is " + Shown(array),
        fmt::format("must be an array of {} to {} positions", least, kPositions));
    return std::nullopt;
  }
  std::vector<Position> positions;
  for (size_t i = 0; i < array.size(); ++i) {
    if (const auto position = ReadPosition(array[i], At(field, i), feature))
      positions.push_back(*position);
  }
  return positions.size() == array.size() ? std::optional(positions) : std::nullopt;
}

bool SamePlace(const Position& a, const Position& b) {
  return a.longitude_deg == b.longitude_deg && a.latitude_deg == b.latitude_deg;
}

}  // namespace

std::string Shown(const json& value) {
  switch (value.type()) {
    case json::value_t::null:
      return "null";
    case json::value_t::object:
      return "an object";
    case json::value_t::array:
      return "an array";
    case json::value_t::string:
      return "the text " + Quoted(value.get_ref<const std::string&>());
    case json::value_t::boolean:
      return value.get<bool>() ? "true" : "false";
    case json::value_t::number_integer:
    case json::value_t::number_unsigned:
    case json::value_t::number_float:
      return "the number " + value.dump();
    case json::value_t::binary:
    case json::value_t::discarded:
      return "nothing that JSON has";
  }
  return "nothing that JSON has";
}

Properties::Properties(const json& object, std::string where, Notes& notes)
    : object_(object), where_(std::move(where)), notes_(notes) {}

void Properties::Complain(std::string_view field, std::string problem, std::string right) const {
  notes_.Add({.where = where_,
              .field = std::string(field),
              .problem = std::move(problem),
              .right = std::move(right)});
}

/// Map editors write null for what is not given.
const json* Properties::Find(std::string_view name) {
  asked_.emplace(name);
  const auto found = object_.find(std::string(name));
  return found == object_.end() || found->is_null() ? nullptr : &*found;
}

std::optional<std::string> Properties::Text(std::string_view name, Need need,
                                            std::string_view right) {
  const json* value = Find(name);
  if (value == nullptr) {
    if (need == Need::kRequired) Complain(name, "is missing", std::string(right));
    return std::nullopt;
  }
  if (!value->is_string() || !IsLine(value->get_ref<const std::string&>(), kNameCharacters)) {
    Complain(name, "is " + Shown(*value),
             fmt::format("must be text of 1 to {} characters on one line", kNameCharacters));
    return std::nullopt;
  }
  return value->get<std::string>();
}

int Properties::Whole(std::string_view name, WholeRange range) {
  const json* value = Find(name);
  if (value == nullptr) return range.not_given;
  const bool whole = value->is_number_integer();
  const double number = whole ? value->get<double>() : 0;
  if (!whole || number < range.least || number > range.most) {
    Complain(name, "is " + Shown(*value),
             fmt::format("must be a whole number from {} to {}", range.least, range.most));
    return range.most;
  }
  return value->get<int>();
}

std::optional<bool> Properties::Flag(std::string_view name) {
  const json* value = Find(name);
  if (value == nullptr) return std::nullopt;
  if (!value->is_boolean()) {
    Complain(name, "is " + Shown(*value), "must be true or false, without quotes");
    return std::nullopt;
  }
  return value->get<bool>();
}

void Properties::RefuseUnknown() const {
  for (const auto& [name, unused] : object_.items()) {
    if (asked_.contains(name)) continue;
    Complain(name, fmt::format("property {} is not known here", Quoted(name)),
             KnownNames(name, Names(asked_)));
  }
}

std::optional<Position> ReadPoint(const json& geometry, const Properties& feature) {
  const json* coordinates = Coordinates(geometry, "Point", feature);
  if (coordinates == nullptr) return std::nullopt;
  return ReadPosition(*coordinates, "coordinates", feature);
}

std::optional<std::vector<Position>> ReadLine(const json& geometry, const Properties& feature) {
  const json* coordinates = Coordinates(geometry, "LineString", feature);
  if (coordinates == nullptr) return std::nullopt;
  auto line = ReadPositions(*coordinates, "coordinates", 2, feature);
  if (!line) return std::nullopt;
  for (size_t i = 0; i < line->size(); ++i) {
    if (!(*line)[i].elevation_m) {
      feature.Complain(At("coordinates", i), "has no elevation",
                       "give metres up as the third number, at every position of a lane");
      return std::nullopt;
    }
    if (i > 0 && SamePlace((*line)[i - 1], (*line)[i])) {
      feature.Complain(At("coordinates", i), "repeats the position before it",
                       "leave one of the two out");
      return std::nullopt;
    }
  }
  return line;
}

std::optional<std::vector<std::vector<Position>>> ReadPolygon(const json& geometry,
                                                              const Properties& feature) {
  const json* coordinates = Coordinates(geometry, "Polygon", feature);
  if (coordinates == nullptr) return std::nullopt;
  if (coordinates->empty() || coordinates->size() > kRings) {
    feature.Complain("coordinates", fmt::format("has {} rings", coordinates->size()),
                     fmt::format("an outer ring and at most {} holes", kRings - 1));
    return std::nullopt;
  }
  std::vector<std::vector<Position>> rings;
  for (size_t i = 0; i < coordinates->size(); ++i) {
    const std::string field = At("coordinates", i);
    auto ring = ReadPositions((*coordinates)[i], field, 4, feature);
    if (!ring) continue;
    if (!SamePlace(ring->front(), ring->back())) {
      feature.Complain(field, "is not closed", "the last position must be the first one again");
      continue;
    }
    rings.push_back(std::move(*ring));
  }
  return rings.size() == coordinates->size() ? std::optional(rings) : std::nullopt;
}

}  // namespace chockwise::yard
