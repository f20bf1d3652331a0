// The small texts of a yard's files and people: measured values, dates and times, ages, tie-downs.
// Whatever is read is what a reader would take it for; whatever is not says why in one line.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "services/survey/deck.h"
#include "services/survey/ties.h"
#include "services/yard/dates.h"
#include "services/yard/text.h"
#include "services/yard/yard.h"

namespace {

using chockwise::fit::Instant;

constexpr std::string_view kNoUnit = "0123456789.,-/ \t";

void Require(bool holds) {
  if (!holds) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  using namespace chockwise;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  if (const auto value = yard::ReadMeasuredValue(text)) {
    // Law 2: a bare number is never a measurement.
    Require(text.find_first_not_of(kNoUnit) != std::string_view::npos);
  } else {
    Require(yard::IsLine(value.error(), 10'000));
  }
  if (const auto when = yard::ReadDateOrTime(text)) {
    // 2000 to 2199, as it says, give or take the day that a time zone moves.
    Require(*when > Instant::FromMicros(946'598'400'000'000));
    Require(*when < Instant::FromMicros(7'258'291'200'000'000));
  }
  if (const auto day = yard::ReadDate(text)) {
    Require(yard::ReadDateOrTime(text) == day);
    Require(day->micros() % fit::Days(1).micros() == 0);
  }
  if (const auto age = yard::ReadAge(text)) {
    Require(*age > fit::Duration());
  } else {
    Require(yard::IsLine(age.error(), 10'000));
  }
  if (const auto stood = survey::ReadStood(text))
    Require(!survey::StoodText(*stood, fit::UnitSystem::kUs).empty());
  if (const auto ties = survey::ReadTies(text)) {
    Require(!ties->empty());
    for (const fit::Tie& tie : *ties) Require(tie.count >= 1 && tie.count <= fit::kMostOfOneTie);
  }
  return 0;
}
