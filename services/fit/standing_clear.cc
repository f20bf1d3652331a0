#include "services/fit/standing_clear.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

struct PrintedDepth {
  double feet;
  double metres;
};
/// Nothing live, grounded or live parts opposite, 151 to 600 V; the first is also all of 0 to 150
/// V.
constexpr std::array<PrintedDepth, 3> kDepths = {{{3.0, 0.9}, {3.5, 1.07}, {4.0, 1.2}}};

}  // namespace

ClearanceNeed ExitWidth(UnitSystem column) {
  return {column == UnitSystem::kUs ? Inches(28) : Millimetres(711),
          "29 CFR 1910.36(g)(2), 1910.37(a)(3)"};
}

ClearanceNeed ExtinguisherFront() {
  return {Inches(36),
          "29 CFR 1910.157(c)(1) asks ready access; 36 in: default, the safety lead's to set"};
}

Outcome<ClearanceNeed> PanelWidth(Metres equipment_width) {
  InputCheck check;
  check.Positive("width of the equipment", equipment_width, UpTo{Feet(30)});
  if (check.failed()) return tl::unexpected(check.error());
  return ClearanceNeed{std::max(Inches(30), equipment_width),
                       "29 CFR 1910.303(g)(1)(i): 30 in or the equipment's width"};
}

ClearanceNeed FireWayWidth() {
  return {Feet(20), "20 ft: International Fire Code 503.2.1, from memory; the local code decides"};
}

ClearanceNeed FromTrackCentre(UnitSystem column) {
  return {column == UnitSystem::kUs ? Feet(8) : InMetres(2.44), "29 CFR 1910.178(n)(5)"};
}

Outcome<ClearanceNeed> PanelDepth(const Panel& panel) {
  InputCheck check;
  check.Positive("voltage to ground", panel.to_ground, UpTo{InVolts(600)});
  if (check.failed()) return tl::unexpected(check.error());
  const bool low = panel.to_ground <= InVolts(150);
  const PrintedDepth depth = low ? kDepths[0] : kDepths[static_cast<size_t>(panel.opposite)];
  const Metres least = panel.column == UnitSystem::kUs ? Feet(depth.feet) : InMetres(depth.metres);
  return ClearanceNeed{least, "29 CFR 1910.303(g)(1), Table S-1"};
}

Outcome<KeptClear> JudgeKeptClear(const std::vector<LeftClear>& items) {
  InputCheck check;
  if (items.empty()) check.Refuse({"items", "are not listed", "one row for each"});
  for (const LeftClear& item : items) {
    check.NotNegative("distance left at " + item.item, item.left, UpTo{Feet(10'000)})
        .Positive("distance needed at " + item.item, item.need.least, UpTo{Feet(1'000)});
  }
  if (check.failed()) return tl::unexpected(check.error());
  KeptClear kept;
  bool all = true;
  for (const LeftClear& item : items) {
    all = all && AtLeast(item.left, item.need.least);
    kept.items.push_back({.item = item.item,
                          .left = item.left,
                          .least = item.need.least,
                          .margin = item.left - item.need.least,
                          .source = item.need.source});
  }
  std::ranges::stable_sort(kept.items, {}, &KeptItem::margin);
  kept.verdict = all ? Verdict::kClear : Verdict::kConflict;
  return kept;
}

std::string DriversLine(const KeptClear& kept, UnitSystem system) {
  const KeptItem& worst = kept.items.front();
  if (kept.verdict == Verdict::kClear) {
    return fmt::format("LEAVES FREE: {} to spare at {}",
                       Text(worst.margin, system, Rounding::kDown), worst.item);
  }
  return fmt::format("MOVE OFF {}: {} short", worst.item,
                     Text(-worst.margin, system, Rounding::kUp));
}

}  // namespace chockwise::fit
