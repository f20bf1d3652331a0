// Whether a parked machine leaves free what must be free: exits, extinguishers, electrical panels,
// fire ways, tracks. The distances come from whoever lays the footprint on the map.
//
//   Outcome<ClearanceNeed> panel = PanelDepth({.to_ground = InVolts(277), ...});
//   Outcome<KeptClear> kept = JudgeKeptClear({{.item = "panel P-2", .left = Inches(40), .need =
//   *panel}}); DriversLine(*kept, UnitSystem::kUs);        // "MOVE OFF panel P-2: 2 in short"
//
// Threads: values.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

struct ClearanceNeed {
  Metres least;
  std::string source;
};

// Where a rule prints two units, each is a column of its own and the yard's is used.

/// 28 in (71.1 cm) of width at every point of an exit route.
ClearanceNeed ExitWidth(UnitSystem column);
/// Within the marked keep-clear of an extinguisher nothing stands; without a marking 36 in.
ClearanceNeed ExtinguisherFront();
/// 30 in, or the width of the equipment where that is more. Domain: equipment to 30 ft.
Outcome<ClearanceNeed> PanelWidth(Metres equipment_width);
/// 20 ft of width on a fire apparatus road.
ClearanceNeed FireWayWidth();
/// 8 ft (2.44 m) from the centre of a railroad track.
ClearanceNeed FromTrackCentre(UnitSystem column);

/// What stands opposite the live parts (1910.303(g)(1), Table S-1). Concrete, brick and tile count
/// as grounded.
enum class PanelOpposite { kNothingLive, kGrounded, kLive };

struct Panel {
  Volts to_ground;
  PanelOpposite opposite = PanelOpposite::kGrounded;
  UnitSystem column = UnitSystem::kUs;
};

/// Table S-1. To 150 V to ground 3 ft (0.9 m); to 600 V 3, 3.5 or 4 ft (0.9, 1.07 or 1.2 m). The
/// 2 ft 6 in of installations from before 1981 are not used. Above 600 V or at none it is
/// refused. A voltage between 150 and 151, where the table says nothing, is the higher row's.
Outcome<ClearanceNeed> PanelDepth(const Panel& panel);

struct LeftClear {
  std::string item;  // "exit 3"
  Metres left;       // of width or distance with the machine there
  ClearanceNeed need;
};

struct KeptItem {
  std::string item;
  Metres left;
  Metres least;
  Metres margin;
  std::string source;
};

struct KeptClear {
  Verdict verdict = Verdict::kUndecided;
  std::vector<KeptItem> items;  // least margin first
};

/// Each distance against its need; exactly the need is enough. A footprint that covers an item has
/// 0 left. Domain: at least one item, distances 0 to 10,000 ft.
Outcome<KeptClear> JudgeKeptClear(const std::vector<LeftClear>& items);

std::string DriversLine(const KeptClear& kept, UnitSystem system);

inline constexpr std::array<std::string_view, 2> kKeptClearAssumptions = {
    "the machine as parked, with its attachment where it is; doors and swings are not looked at",
    "local fire and electrical codes decide where they ask for more"};

}  // namespace chockwise::fit
