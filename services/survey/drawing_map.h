// What the drawings take from the yard alone. Private to the room.
#pragma once

#include <string>

#include "services/survey/drawing.h"

namespace chockwise::survey {

Titles TitlesOf(const Asked& asked, const Trip& trip, std::string line);

/// Its lanes, places and hold points.
void AddMap(const yard::Yard& yard, PlanDrawing& plan);

}  // namespace chockwise::survey
