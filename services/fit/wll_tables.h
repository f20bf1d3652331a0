// Working load limits of unmarked tie-downs, as 49 CFR 393.108 prints them.
//
// The kilograms and the pounds are two tables, each rounded on its own: neither is converted into
// the other and compared. A maker's mark governs; these are for what bears none. Grade is not a
// ladder: grade 80 in 5/16 in (4,500 lb) is printed below grade 70 (4,700 lb).
//
//   ChainLimit(ChainGrade::k70, TieSize::k3_8)->lb      // 6,600
//
// Source: 49 CFR 393.108, read in a public mirror; the captions of the rope tables are from memory.
// Threads: constants.
#pragma once

#include <optional>
#include <string_view>

namespace chockwise::fit {

/// One cell: both columns as printed.
struct PrintedLimit {
  int kg;
  int lb;
  constexpr bool operator==(const PrintedLimit&) const = default;
};

/// Diameters, inches; the metric names are 7, 8, 10, 11, 13, 16, 20, 22 and 25 mm.
enum class TieSize { k1_4, k5_16, k3_8, k7_16, k1_2, k5_8, k3_4, k7_8, k1 };
enum class ChainGrade { k30, k43, k70, k80, k100 };
enum class RopeKind { kWire, kManila, kPolypropylene, kPolyester, kNylon, kDoubleBraidNylon };
enum class WebbingWidth { k1_3_4, k2, k3, k4 };
/// Width by thickness, inches. 1 1/4 x 0.029, 0.031 and 0.035 are one row, as are 0.044 and 0.050.
enum class StrapSize { k1_1_4x0_035, k1_1_4x0_050, k1_1_4x0_057, k2x0_050 };

/// nullopt where the table has no entry.
std::optional<PrintedLimit> ChainLimit(ChainGrade grade, TieSize size);
std::optional<PrintedLimit> RopeLimit(RopeKind kind, TieSize size);
PrintedLimit WebbingLimit(WebbingWidth width);
PrintedLimit StrapLimit(StrapSize size);

std::string_view SizeText(TieSize size);       // "3/8 in"
std::string_view GradeText(ChainGrade grade);  // "grade 70"

}  // namespace chockwise::fit
