#include "services/moves/names.h"

#include <fmt/format.h>

#include <charconv>

namespace chockwise::moves {
namespace {

constexpr std::string_view kYards = "yards/";

}  // namespace

std::string YardName(std::string_view yard_id) { return fmt::format("yards/{}", yard_id); }

std::string MoveName(std::string_view yard_id, MoveNumber number) {
  return fmt::format("yards/{}/moves/{}", yard_id, number);
}

std::string MachineName(std::string_view yard_id, std::string_view machine) {
  return fmt::format("yards/{}/machines/{}", yard_id, machine);
}

std::string DoorName(std::string_view yard_id, std::string_view door) {
  return fmt::format("yards/{}/doors/{}", yard_id, door);
}

std::string TokenName(std::string_view yard_id, int64_t number) {
  return fmt::format("yards/{}/tokens/{}", yard_id, number);
}

std::optional<std::string_view> IdIn(std::string_view name, std::string_view yard_id,
                                     std::string_view collection) {
  if (YardIn(name) != yard_id) return std::nullopt;
  name.remove_prefix(kYards.size() + yard_id.size());
  if (!name.starts_with('/')) return std::nullopt;
  name.remove_prefix(1);
  if (!name.starts_with(collection)) return std::nullopt;
  name.remove_prefix(collection.size());
  if (!name.starts_with('/')) return std::nullopt;
  name.remove_prefix(1);
  if (name.empty() || name.find('/') != std::string_view::npos) return std::nullopt;
  return name;
}

std::optional<int64_t> NumberIn(std::string_view name, std::string_view yard_id,
                                std::string_view collection) {
  const std::optional<std::string_view> id = IdIn(name, yard_id, collection);
  if (!id) return std::nullopt;
  int64_t number = 0;
  const auto [end, error] = std::from_chars(id->data(), id->data() + id->size(), number);
  if (error != std::errc() || end != id->data() + id->size() || number < 1) return std::nullopt;
  return number;
}

std::string_view YardIn(std::string_view name) {
  if (!name.starts_with(kYards)) return {};
  name.remove_prefix(kYards.size());
  return name.substr(0, name.find('/'));
}

}  // namespace chockwise::moves
