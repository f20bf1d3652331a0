// One feature of a map while it is read: its properties by name, and its shape.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "services/yard/notes.h"

namespace chockwise::yard {

enum class Need { kRequired, kOptional };

struct WholeRange {
  int least = 0;
  int most = 0;
  int not_given = 0;  // the value where the property is not there
};

/// What a value is, for a complaint: "text \"3\"", "the number 3", "an object".
std::string Shown(const nlohmann::json& value);

/// A feature's properties. Each that is asked for is known; RefuseUnknown complains about all
/// others.
class Properties {
 public:
  Properties(const nlohmann::json& object, std::string where, Notes& notes);

  std::optional<std::string> Text(std::string_view name, Need need,
                                  std::string_view right = "give it as text");
  /// `range.most` where it is wrong, so that nothing else is complained about because of it.
  int Whole(std::string_view name, WholeRange range);
  std::optional<bool> Flag(std::string_view name);
  void RefuseUnknown() const;
  void Complain(std::string_view field, std::string problem, std::string right) const;
  const std::string& where() const { return where_; }

 private:
  const nlohmann::json* Find(std::string_view name);

  const nlohmann::json& object_;
  std::string where_;
  Notes& notes_;
  std::set<std::string, std::less<>> asked_;
};

// The shape of a feature's "geometry". Unset after a complaint about it.
std::optional<Position> ReadPoint(const nlohmann::json& geometry, const Properties& feature);
/// Every position needs its elevation. Source of the arrays: RFC 7946 3.1.
std::optional<std::vector<Position>> ReadLine(const nlohmann::json& geometry,
                                              const Properties& feature);
std::optional<std::vector<std::vector<Position>>> ReadPolygon(const nlohmann::json& geometry,
                                                              const Properties& feature);

}  // namespace chockwise::yard
