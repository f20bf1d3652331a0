#include "services/survey/left_free.h"

#include <algorithm>
#include <array>

#include "services/survey/way.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

/// What stands before a keep-clear area is on no map: a panel asks for the most, and an
/// extinguisher for less than the deepest row of the panels' table.
constexpr fit::Volts kHighestOfTable = fit::InVolts(600);

constexpr auto kShorter = [](const fit::ClearanceNeed& one, const fit::ClearanceNeed& other) {
  return one.least < other.least;
};
constexpr std::array kColumns = {fit::UnitSystem::kUs, fit::UnitSystem::kSi};

/// The rules print feet and metres rounded apart: the longer of both is asked, whoever reads it.
Outcome<fit::ClearanceNeed> NeedOf(const yard::Area& area, fit::Volts voltage) {
  if (area.duty == yard::Duty::kFireWay) return fit::FireWayWidth();
  if (area.duty == yard::Duty::kRefuge)
    return fit::ClearanceNeed{.least = Metres(), .source = "refuge as marked: common practice"};
  fit::ClearanceNeed longer;
  for (const fit::UnitSystem column : kColumns) {
    if (area.duty == yard::Duty::kExit) {
      longer = std::max(longer, fit::ExitWidth(column), kShorter);
      continue;
    }
    const auto depth = fit::PanelDepth(
        {.to_ground = voltage, .opposite = fit::PanelOpposite::kLive, .column = column});
    if (!depth) return tl::unexpected(NoAnswerOf(depth.error(), area.id.value()));
    longer = std::max(longer, *depth, kShorter);
  }
  return longer;
}

Outcome<fit::LeftClear> LeftAt(Readings& readings, const yard::Area& area, Metres off) {
  const std::string& id = area.id.value();
  auto need = NeedOf(area, kHighestOfTable);
  if (!need) return tl::unexpected(need.error());
  fit::LeftClear left{
      .item = id, .left = off, .need = {.least = kOffMarking, .source = need->source}};
  if (off >= need->least + kOffMarking || area.duty == yard::Duty::kRefuge) return left;
  const auto voltage = readings.IfThere<fit::Volts>(id, "panel-voltage");
  if (!voltage) return tl::unexpected(voltage.error());
  need = NeedOf(area, voltage->value_or(kHighestOfTable));
  if (!need) return tl::unexpected(need.error());
  const auto marked = readings.Of<Metres>(id, "marked-width");
  if (!marked) return tl::unexpected(marked.error());
  left.need.least = kOffMarking + std::max(Metres(), need->least - *marked);
  return left;
}

}  // namespace

Outcome<std::vector<LeftFree>> LeftFreeBy(Readings& readings, const fit::Region& footprint) {
  const yard::Plane plane = PlaneOf(readings.yard());
  std::vector<LeftFree> all;
  for (const auto& [id, area] : readings.yard().areas) {
    if (!NothingStandsOn(area.duty) || area.rings.empty()) continue;
    auto ground = fit::Region::From({.outer = RingOf(plane, area.rings.front())});
    if (!ground) return tl::unexpected(NoAnswerOf(ground.error(), id.value()));
    const Metres off = footprint.DistanceTo(*ground).value_or(Metres());
    if (off > kNear) continue;
    auto left = LeftAt(readings, area, off);
    if (!left) return tl::unexpected(left.error());
    all.push_back({.left = std::move(*left), .ground = std::move(*ground)});
  }
  return all;
}

Outcome<std::optional<fit::KeptClear>> JudgeLeftFree(const std::vector<LeftFree>& left) {
  if (left.empty()) return std::nullopt;
  std::vector<fit::LeftClear> items;
  for (const LeftFree& one : left) items.push_back(one.left);
  auto kept = fit::JudgeKeptClear(items);
  if (!kept) return tl::unexpected(NoAnswerOf(kept.error(), ""));
  return std::optional<fit::KeptClear>(std::move(*kept));
}

}  // namespace chockwise::survey
