#include "services/survey/left_free.h"

#include <algorithm>

#include "services/survey/way.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

/// What stands before a keep-clear area is on no map: a panel asks for the most, and an
/// extinguisher for less than the deepest row of the panels' table.
constexpr fit::Volts kHighestOfTable = fit::InVolts(600);

Outcome<fit::ClearanceNeed> NeedOf(const yard::Area& area, fit::Volts voltage,
                                   fit::UnitSystem units) {
  if (area.duty == yard::Duty::kExit) return fit::ExitWidth(units);
  if (area.duty == yard::Duty::kFireWay) return fit::FireWayWidth();
  if (area.duty == yard::Duty::kRefuge)
    return fit::ClearanceNeed{.least = Metres(), .source = "refuge as marked: common practice"};
  const auto depth = fit::PanelDepth(
      {.to_ground = voltage, .opposite = fit::PanelOpposite::kLive, .column = units});
  if (!depth) return tl::unexpected(NoAnswerOf(depth.error(), area.id.value()));
  return *depth;
}

Outcome<fit::LeftClear> LeftAt(Readings& readings, const yard::Area& area, Metres off,
                               fit::UnitSystem units) {
  const std::string& id = area.id.value();
  auto need = NeedOf(area, kHighestOfTable, units);
  if (!need) return tl::unexpected(need.error());
  fit::LeftClear left{
      .item = id, .left = off, .need = {.least = kOffMarking, .source = need->source}};
  if (off >= need->least + kOffMarking || area.duty == yard::Duty::kRefuge) return left;
  const auto voltage = readings.IfThere<fit::Volts>(id, "panel-voltage");
  if (!voltage) return tl::unexpected(voltage.error());
  need = NeedOf(area, voltage->value_or(kHighestOfTable), units);
  if (!need) return tl::unexpected(need.error());
  const auto marked = readings.Of<Metres>(id, "marked-width");
  if (!marked) return tl::unexpected(marked.error());
  left.need.least = kOffMarking + std::max(Metres(), need->least - *marked);
  return left;
}

}  // namespace

Outcome<std::vector<LeftFree>> LeftFreeBy(Readings& readings, const fit::Region& footprint,
                                          fit::UnitSystem units) {
  const yard::Plane plane = PlaneOf(readings.yard());
  std::vector<LeftFree> all;
  for (const auto& [id, area] : readings.yard().areas) {
    if (!NothingStandsOn(area.duty) || area.rings.empty()) continue;
    auto ground = fit::Region::From({.outer = RingOf(plane, area.rings.front())});
    if (!ground) return tl::unexpected(NoAnswerOf(ground.error(), id.value()));
    const Metres off = footprint.DistanceTo(*ground).value_or(Metres());
    if (off > kNear) continue;
    auto left = LeftAt(readings, area, off, units);
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
