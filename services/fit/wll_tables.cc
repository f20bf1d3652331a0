#include "services/fit/wll_tables.h"

#include <array>

namespace chockwise::fit {
namespace {

constexpr PrintedLimit kNone = {0, 0};
constexpr size_t kSizes = 9;
using Row = std::array<PrintedLimit, kSizes>;  // 1/4, 5/16, 3/8, 7/16, 1/2, 5/8, 3/4, 7/8, 1 in

constexpr std::array<Row, 5> kChain = {{
    {{{580, 1'300}, {860, 1'900}, {1'200, 2'650}, {1'680, 3'700}, {2'030, 4'500}, {3'130, 6'900}}},
    {{{1'180, 2'600},
      {1'770, 3'900},
      {2'450, 5'400},
      {3'270, 7'200},
      {4'170, 9'200},
      {5'910, 13'000}}},
    {{{1'430, 3'150},
      {2'130, 4'700},
      {2'990, 6'600},
      {3'970, 8'750},
      {5'130, 11'300},
      {7'170, 15'800}}},
    {{{1'570, 3'500}, {2'000, 4'500}, {3'200, 7'100}, kNone, {5'400, 12'000}, {8'200, 18'100}}},
    {{{1'950, 4'300}, {2'600, 5'700}, {4'000, 8'800}, kNone, {6'800, 15'000}, {10'300, 22'600}}},
}};

constexpr std::array<Row, 6> kRope = {{
    {{{640, 1'400},
      {950, 2'100},
      {1'360, 3'000},
      {1'860, 4'100},
      {2'400, 5'300},
      {3'770, 8'300},
      {4'940, 10'900},
      {7'300, 16'100},
      {9'480, 20'900}}},
    {{kNone,
      kNone,
      {90, 205},
      {120, 265},
      {150, 315},
      {210, 465},
      {290, 640},
      kNone,
      {480, 1'050}}},
    {{kNone,
      kNone,
      {180, 400},
      {240, 525},
      {280, 625},
      {420, 925},
      {580, 1'275},
      kNone,
      {950, 2'100}}},
    {{kNone,
      kNone,
      {250, 555},
      {340, 750},
      {440, 960},
      {680, 1'500},
      {850, 1'880},
      kNone,
      {1'500, 3'300}}},
    {{kNone,
      kNone,
      {130, 278},
      {190, 410},
      {240, 525},
      {420, 935},
      {640, 1'420},
      kNone,
      {1'140, 2'520}}},
    {{kNone,
      kNone,
      {150, 336},
      {230, 502},
      {300, 655},
      {510, 1'130},
      {830, 1'840},
      kNone,
      {1'470, 3'250}}},
}};

constexpr std::array<PrintedLimit, 4> kWebbing = {
    {{790, 1'750}, {910, 2'000}, {1'360, 3'000}, {1'810, 4'000}}};
constexpr std::array<PrintedLimit, 4> kStrap = {
    {{540, 1'190}, {770, 1'690}, {870, 1'925}, {1'200, 2'650}}};

constexpr std::array<std::string_view, kSizes> kSizeText = {
    "1/4 in", "5/16 in", "3/8 in", "7/16 in", "1/2 in", "5/8 in", "3/4 in", "7/8 in", "1 in"};
constexpr std::array<std::string_view, 5> kGradeText = {"grade 30", "grade 43", "grade 70",
                                                        "grade 80", "grade 100"};

template <class Enum>
constexpr size_t At(Enum value) {
  return static_cast<size_t>(value);
}

std::optional<PrintedLimit> Printed(const PrintedLimit& cell) {
  if (cell == kNone) return std::nullopt;
  return cell;
}

}  // namespace

std::optional<PrintedLimit> ChainLimit(ChainGrade grade, TieSize size) {
  return Printed(kChain.at(At(grade)).at(At(size)));
}

std::optional<PrintedLimit> RopeLimit(RopeKind kind, TieSize size) {
  return Printed(kRope.at(At(kind)).at(At(size)));
}

PrintedLimit WebbingLimit(WebbingWidth width) { return kWebbing.at(At(width)); }
PrintedLimit StrapLimit(StrapSize size) { return kStrap.at(At(size)); }

std::string_view SizeText(TieSize size) { return kSizeText.at(At(size)); }
std::string_view GradeText(ChainGrade grade) { return kGradeText.at(At(grade)); }

}  // namespace chockwise::fit
