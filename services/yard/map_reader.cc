// map.geojson: a FeatureCollection (RFC 7946) of places, lanes, doors, hold points, areas, and what
// stands over and beside the lanes.
//
// Foreign members (RFC 7946 6.1) are let pass at the collection, where map editors keep their own;
// at a feature and in its properties they are complaints, since there a slip of the pen would
// silently drop what it names. One of the collection's is ours: "survey", who took the map's
// positions and heights and when.
#include <fmt/format.h>

#include "services/yard/dates.h"
#include "services/yard/draft.h"
#include "services/yard/feature.h"
#include "services/yard/limits.h"
#include "services/yard/map_shapes.h"
#include "services/yard/plane.h"

namespace chockwise::yard {
namespace {

using nlohmann::json;

/// Parses, and complains about a name that stands twice in one object: the parser would drop one of
/// the two.
class JsonParser {
 public:
  explicit JsonParser(Notes& notes) : notes_(notes) {}

  std::optional<json> Parse(std::string_view text) {
    const auto watch = [this](int depth, json::parse_event_t event, json& parsed) {
      return Watch(depth, event, parsed);
    };
    try {
      return json::parse(text.begin(), text.end(), watch);
    } catch (const json::parse_error& error) {
      const size_t at = std::min(error.byte == 0 ? 0 : error.byte - 1, text.size());
      Complain(text, at, error.what());
    } catch (const json::exception& error) {
      ComplainNumber(text, error.what());
    }
    return std::nullopt;
  }

 private:
  bool Watch(int depth, json::parse_event_t event, json& parsed) {
    constexpr int kFeatureDepth = 2;  // collection, its features, one of them
    if (event == json::parse_event_t::object_start) {
      names_.emplace_back();
      if (depth == kFeatureDepth) ++feature_;
    } else if (event == json::parse_event_t::object_end) {
      names_.pop_back();
    } else if (event == json::parse_event_t::key && !names_.empty()) {
      const auto& name = parsed.get_ref<const std::string&>();
      if (!names_.back().insert(name).second) {
        notes_.Add({.where = feature_ < 0 ? "" : fmt::format("features[{}]", feature_),
                    .field = name,
                    .problem = "stands twice in one object",
                    .right = "keep one of the two"});
      }
    }
    return true;
  }

  void Complain(std::string_view text, size_t at, std::string_view what) {
    const size_t line_start = text.substr(0, at).rfind('\n');
    const size_t column = line_start == std::string_view::npos ? at + 1 : at - line_start;
    notes_.Add({.line = LineAt(text, at),
                .problem = fmt::format("is not JSON at column {}: {}", column, Reason(what)),
                .right = "save it again from the map editor"});
  }

  /// The one thing that parses and is no value: a number beyond a double. The parser quotes it and
  /// keeps no place.
  void ComplainNumber(std::string_view text, std::string_view what) {
    const size_t open = what.find('\'');
    const std::string_view number =
        open == std::string_view::npos ? "" : what.substr(open + 1, what.rfind('\'') - open - 1);
    const size_t at = number.empty() ? 0 : text.find(number);
    notes_.Add({.line = at == std::string_view::npos ? 0 : LineAt(text, at),
                .problem = Quoted(number) + " is too large for a number",
                .right = "write numbers that a map can have"});
  }

  /// The parser's own words behind its error number and place.
  static std::string Reason(std::string_view what) {
    constexpr size_t kMost = 120;
    const size_t colon = what.find(": ");
    std::string reason(colon == std::string_view::npos ? what : what.substr(colon + 2));
    if (const size_t read = reason.find("; last read"); read != std::string::npos) {
      const size_t expected = reason.find("; expected", read);
      reason.erase(read, expected == std::string::npos ? std::string::npos : expected - read);
    }
    return Plain(reason, kMost);
  }

  Notes& notes_;
  std::vector<std::set<std::string>> names_;  // of the objects that are open, outermost first
  int feature_ = -1;
};

/// The array of features, after a look at what stands beside it.
const json* Features(const json& map, Notes& notes) {
  const auto refuse = [&](std::string field, std::string problem, std::string right) {
    notes.Add(
        {.field = std::move(field), .problem = std::move(problem), .right = std::move(right)});
    return nullptr;
  };
  if (!map.is_object())
    return refuse("", "is " + Shown(map), "must be a FeatureCollection (RFC 7946)");
  const auto type = map.find("type");
  if (type == map.end() || *type != "FeatureCollection") {
    return refuse("type", type == map.end() ? "is missing" : "is " + Shown(*type),
                  "must be \"FeatureCollection\"");
  }
  if (const auto crs = map.find("crs"); crs != map.end() && !crs->is_null()) {
    const auto name =
        crs->is_object() && crs->contains("properties") && (*crs)["properties"].is_object()
            ? (*crs)["properties"].value("name", json())
            : json();
    if (name != "urn:ogc:def:crs:OGC:1.3:CRS84") {
      refuse("crs", "names another coordinate system",
             "save the map in WGS 84 longitude and latitude (RFC 7946 4)");
    }
  }
  for (const char* name : {"coordinates", "geometries", "geometry", "properties"}) {
    if (map.contains(name))
      refuse(name, "stands in the collection", "belongs into a feature (RFC 7946 7.1)");
  }
  const auto features = map.find("features");
  if (features == map.end() || !features->is_array()) {
    return refuse("features", features == map.end() ? "are missing" : "are " + Shown(*features),
                  "must be an array");
  }
  if (features->empty() || features->size() > kFeatures) {
    return refuse("features", fmt::format("there are {}", features->size()),
                  fmt::format("must be 1 to {}", kFeatures));
  }
  return &*features;
}

/// "survey": {"by": "dov", "when": "2026-09-14"}. Unset where nobody says.
void ReadSurvey(const json& map, Draft& draft, Notes& notes) {
  const auto survey = map.find("survey");
  if (survey == map.end()) return;
  const json by = survey->is_object() ? survey->value("by", json()) : json();
  const json on = survey->is_object() ? survey->value("when", json()) : json();
  const auto when =
      on.is_string() ? ReadDateOrTime(on.get_ref<const std::string&>()) : std::nullopt;
  if (!by.is_string() || !when || survey->size() != 2) {
    notes.Add({.field = "survey",
               .problem = "is " + Shown(*survey),
               .right = "say who took positions and heights, and when: {\"by\": \"dov\", "
                        "\"when\": \"2026-09-14\"}"});
    return;
  }
  draft.yard.survey = MapSurvey{.by = PersonId(by.get<std::string>()), .when = *when};
}

/// The feature's id, unique over the map; unset after a complaint.
std::optional<std::string> ReadFeatureId(const json& feature, const std::string& where,
                                         const Draft& draft, Notes& notes) {
  const auto refuse = [&](std::string problem, std::string right) {
    notes.Add(
        {.where = where, .field = "id", .problem = std::move(problem), .right = std::move(right)});
    return std::nullopt;
  };
  const auto found = feature.find("id");
  if (found == feature.end())
    return refuse("is missing", "give the feature an id beside its type, e.g. \"door-3\"");
  if (!found->is_string() || !IsId(found->get_ref<const std::string&>())) {
    return refuse(
        "is " + Shown(*found),
        fmt::format("must be text of 1 to {} characters of a-z, A-Z, 0-9 and '-'", kIdCharacters));
  }
  const auto id = found->get<std::string>();
  if (const auto other = draft.features.find(id); other != draft.features.end()) {
    return refuse(
        fmt::format("{} is the id of another feature ({}) too", Quoted(id), other->second),
        "give each its own");
  }
  return id;
}

void ReadFeature(const json& feature, size_t index, MapShapes& shapes, Draft& draft, Notes& notes) {
  std::string where = fmt::format("features[{}]", index);
  if (!feature.is_object() || feature.value("type", json()) != "Feature") {
    notes.Add({.where = where,
               .problem = "is not a Feature",
               .right = "must be an object with \"type\": \"Feature\""});
    return;
  }
  const auto id = ReadFeatureId(feature, where, draft, notes);
  if (id) where = *id;
  for (const auto& [name, unused] : feature.items()) {
    static const std::vector<std::string> kKnown = {"bbox", "geometry", "id", "properties", "type"};
    if (std::ranges::find(kKnown, name) != kKnown.end()) continue;
    notes.Add({.where = where,
               .field = name,
               .problem = fmt::format("{} is not known beside \"properties\"", Quoted(name)),
               .right = "put it into \"properties\", or leave it out"});
  }
  const auto object = feature.find("properties");
  if (object == feature.end() || !object->is_object()) {
    notes.Add({.where = where,
               .field = "properties",
               .problem = "are missing",
               .right = "give at least \"type\""});
    return;
  }
  Properties properties(*object, where, notes);
  shapes.Read(id.value_or(""), properties, feature.value("geometry", json()), draft);
}

}  // namespace

void ReadMap(std::string_view bytes, Draft& draft, Notes& notes) {
  const auto text = ReadText(bytes, kYardBytes, notes);
  const auto map = text ? JsonParser(notes).Parse(*text) : std::nullopt;
  MapShapes shapes(notes);
  const json* features = map ? Features(*map, notes) : nullptr;
  if (features != nullptr) {
    ReadSurvey(*map, draft, notes);
    for (size_t i = 0; i < features->size(); ++i)
      ReadFeature((*features)[i], i, shapes, draft, notes);
  }
  if (features == nullptr || draft.features.size() < features->size()) draft.MapIsIncomplete();
  shapes.Connect(draft);
}

}  // namespace chockwise::yard
