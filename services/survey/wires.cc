#include "services/survey/wires.h"

#include "services/fit/ride.h"

namespace chockwise::survey {

Outcome<WireOver> UnderWire(Readings& readings, const yard::Overhead& wire, const UnderIt& machine,
                            fit::UnitSystem units) {
  const std::string& id = wire.id.value();
  const auto height = readings.Of<fit::Metres>(id, "headroom");
  if (!height) return tl::unexpected(height.error());
  const auto voltage = readings.IfThere<fit::Volts>(id, "voltage");
  if (!voltage) return tl::unexpected(voltage.error());
  const auto found = fit::ClearanceOfLine({.voltage = *voltage,
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
      .clearance = *found,
      .most_carried = *height - kSagOfWire - machine.bounce - found->needed - found->error};
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
