#include "services/survey/wires.h"

#include "services/fit/ride.h"

namespace chockwise::survey {

Outcome<WireOver> UnderWire(Readings& readings, const yard::Overhead& wire,
                            fit::Metres carried_height, fit::UnitSystem units) {
  const std::string& id = wire.id.value();
  const auto height = readings.Of<fit::Metres>(id, "headroom");
  if (!height) return tl::unexpected(height.error());
  const auto voltage = readings.IfThere<fit::Volts>(id, "voltage");
  if (!voltage) return tl::unexpected(voltage.error());
  const auto found = fit::ClearanceOfLine({.voltage = *voltage,
                                           .wire_height = *height,
                                           .beside = fit::Metres(),
                                           .carried_height = carried_height,
                                           .bounce = fit::kBounceOnTyres,
                                           .sag = kSagOfWire,
                                           .reading_error = kWireReadingError,
                                           .travel = fit::LineTravel::kLoadedOrRaised},
                                          units);
  if (!found) return tl::unexpected(NoAnswerOf(found.error(), id));
  return WireOver{
      .clearance = *found,
      .most_carried = *height - kSagOfWire - fit::kBounceOnTyres - found->needed - found->error};
}

}  // namespace chockwise::survey
