#include "services/yard/dates.h"

#include <fmt/format.h>

#include <chrono>

#include "services/yard/limits.h"

namespace chockwise::yard {
namespace {

/// Takes exactly `digits` digits.
std::optional<int> TakeDigits(std::string_view& text, size_t digits) {
  if (text.size() < digits) return std::nullopt;
  int value = 0;
  for (size_t i = 0; i < digits; ++i) {
    if (text[i] < '0' || text[i] > '9') return std::nullopt;
    value = value * 10 + (text[i] - '0');
  }
  text.remove_prefix(digits);
  return value;
}

bool Take(std::string_view& text, char expected) {
  if (!text.starts_with(expected)) return false;
  text.remove_prefix(1);
  return true;
}

std::optional<fit::Instant> TakeDate(std::string_view& text) {
  const auto year = TakeDigits(text, 4);
  if (!year || !Take(text, '-')) return std::nullopt;
  const auto month = TakeDigits(text, 2);
  if (!month || !Take(text, '-')) return std::nullopt;
  const auto day = TakeDigits(text, 2);
  if (!day || *year < kFirstYear || *year > kLastYear) return std::nullopt;
  const std::chrono::year_month_day date{std::chrono::year(*year),
                                         std::chrono::month(static_cast<unsigned>(*month)),
                                         std::chrono::day(static_cast<unsigned>(*day))};
  if (!date.ok()) return std::nullopt;
  return fit::Instant() + fit::Days(std::chrono::sys_days(date).time_since_epoch().count());
}

/// "07:30:00", perhaps with a fraction of which microseconds count.
std::optional<fit::Duration> TakeTimeOfDay(std::string_view& text) {
  const auto hour = TakeDigits(text, 2);
  if (!hour || !Take(text, ':')) return std::nullopt;
  const auto minute = TakeDigits(text, 2);
  if (!minute || !Take(text, ':')) return std::nullopt;
  const auto second = TakeDigits(text, 2);
  if (!second || *hour > 23 || *minute > 59 || *second > 59) return std::nullopt;
  fit::Duration time = fit::Hours(*hour) + fit::Minutes(*minute) + fit::Seconds(*second);
  if (!Take(text, '.')) return time;
  int64_t worth_micros = 1'000'000;
  bool any = false;
  while (const auto digit = TakeDigits(text, 1)) {
    any = true;
    worth_micros /= 10;
    time = time + fit::Duration::FromMicros(*digit * worth_micros);
  }
  return any ? std::optional(time) : std::nullopt;
}

std::optional<fit::Duration> TakeOffset(std::string_view& text) {
  if (Take(text, 'Z') || Take(text, 'z')) return fit::Duration();
  const bool west = text.starts_with('-');
  if (!west && !text.starts_with('+')) return std::nullopt;
  text.remove_prefix(1);
  const auto hour = TakeDigits(text, 2);
  if (!hour || !Take(text, ':')) return std::nullopt;
  const auto minute = TakeDigits(text, 2);
  if (!minute || *hour > 23 || *minute > 59) return std::nullopt;
  const fit::Duration offset = fit::Hours(*hour) + fit::Minutes(*minute);
  return west ? fit::Duration() - offset : offset;
}

}  // namespace

std::optional<fit::Instant> ReadDate(std::string_view text) {
  const auto date = TakeDate(text);
  return text.empty() ? date : std::nullopt;
}

std::optional<fit::Instant> ReadDateOrTime(std::string_view text) {
  const auto date = TakeDate(text);
  if (!date || text.empty()) return date;
  if (!Take(text, 'T') && !Take(text, 't') && !Take(text, ' ')) return std::nullopt;
  const auto time = TakeTimeOfDay(text);
  if (!time) return std::nullopt;
  const auto offset = TakeOffset(text);
  if (!offset || !text.empty()) return std::nullopt;
  return *date + *time - *offset;
}

std::string DateText(fit::Instant instant) {
  using namespace std::chrono;
  const year_month_day date{floor<days>(sys_time<microseconds>(microseconds(instant.micros())))};
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
}

}  // namespace chockwise::yard
