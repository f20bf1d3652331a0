#include "services/survey/wires.h"

#include "services/fit/ride.h"

namespace chockwise::survey {
namespace {

struct ByBoth {
  fit::LineClearance told;
  fit::Metres needed;  // the longer
};

/// The tables print feet and metres rounded apart. The caller's column is told where both judge
/// alike; otherwise the stricter, so that no verdict hangs on who reads it.
fit::Outcome<ByBoth> Stricter(const fit::LineCrossing& at, fit::UnitSystem units) {
  const auto feet = fit::ClearanceOfLine(at, fit::UnitSystem::kUs);
  if (!feet) return tl::unexpected(feet.error());
  const auto metres = fit::ClearanceOfLine(at, fit::UnitSystem::kSi);
  if (!metres) return tl::unexpected(metres.error());
  const auto& longer = feet->needed < metres->needed ? *metres : *feet;
  const auto& own = units == fit::UnitSystem::kUs ? *feet : *metres;
  return ByBoth{.told = own.verdict == longer.verdict ? own : longer, .needed = longer.needed};
}

}  // namespace

Outcome<WireOver> UnderWire(Readings& readings, const yard::Overhead& wire, const UnderIt& machine,
                            fit::UnitSystem units) {
  const std::string& id = wire.id.value();
  const auto height = readings.Of<fit::Metres>(id, "headroom");
  if (!height) return tl::unexpected(height.error());
  const auto voltage = readings.IfThere<fit::Volts>(id, "voltage");
  if (!voltage) return tl::unexpected(voltage.error());
  const auto found = Stricter({.voltage = *voltage,
                               .wire_height = *height,
                               .beside = fit::Metres(),
                               .carried_height = machine.carried_height,
                               .bounce = machine.bounce,
                               .sag = kSagOfWire,
                               .reading_error = kWireReadingError,
                               .carried_error = machine.carried_error,
                               .travel = fit::LineTravel::kLoadedOrRaised},
                              units);
  if (!found) return tl::unexpected(NoAnswerOf(found.error(), id));
  return WireOver{
      .clearance = found->told,
      .most_carried = *height - kSagOfWire - machine.bounce - found->needed - found->told.error};
}

Outcome<WireOver> UnderWire(Readings& readings, const yard::Overhead& wire,
                            fit::Metres carried_height, fit::UnitSystem units) {
  return UnderWire(readings, wire,
                   UnderIt{.carried_height = carried_height,
                           .bounce = fit::kBounceOnTyres,
                           .carried_error = kWireReadingError},
                   units);
}

}  // namespace chockwise::survey
