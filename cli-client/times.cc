#include "cli-client/times.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <ctime>
#include <string_view>

namespace chockwise::cli {
namespace {

constexpr int64_t kDayS = 86'400;
constexpr int64_t kMostSpanS = 400 * kDayS;

std::tm LocalDay(const Timestamp& now) {
  const std::time_t seconds = static_cast<std::time_t>(now.seconds());
  std::tm local{};
  localtime_r(&seconds, &local);
  return local;
}

/// The whole text by a strptime format, or false.
bool Parses(const std::string& text, const char* format, std::tm& into) {
  const char* end = strptime(text.c_str(), format, &into);
  return end != nullptr && *end == '\0';
}

Timestamp At(std::tm local) {
  local.tm_isdst = -1;  // the zone's rules know
  Timestamp time;
  time.set_seconds(std::mktime(&local));
  return time;
}

std::tm Midnight(std::tm day) {
  day.tm_hour = 0;
  day.tm_min = 0;
  day.tm_sec = 0;
  return day;
}

int64_t UnitSeconds(std::string_view unit) {
  if (unit == "s") return 1;
  if (unit == "m" || unit == "min") return 60;
  if (unit == "h") return 3600;
  return unit == "d" ? kDayS : 0;
}

}  // namespace

tl::expected<Timestamp, std::string> NextTimeOfDay(const std::string& text, const Timestamp& now) {
  std::tm day = Midnight(LocalDay(now));
  if (!Parses(text, "%H:%M", day)) {
    return tl::unexpected(fmt::format("\"{}\" is no time of day; give one such as 14:00", text));
  }
  Timestamp time = At(day);
  if (time.seconds() <= now.seconds()) {
    ++day.tm_mday;
    time = At(day);
  }
  return time;
}

tl::expected<Timestamp, std::string> ReadTime(const std::string& text, const Timestamp& now) {
  for (const char* format : {"%Y-%m-%d", "%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%H:%M"}) {
    std::tm day = Midnight(LocalDay(now));
    if (Parses(text, format, day)) return At(day);
  }
  if (const auto span = ReadSpan(text); span) {
    Timestamp time = now;
    time.set_seconds(now.seconds() - span->seconds());
    return time;
  }
  return tl::unexpected(fmt::format(
      "\"{}\" is no time; give 14:00, 2026-11-24, \"2026-11-24 14:00\", or how long ago: 2h, 3d",
      text));
}

tl::expected<google::protobuf::Duration, std::string> ReadSpan(const std::string& text) {
  const auto wrong = [&] {
    return tl::unexpected(fmt::format(
        "\"{}\" is no length of time; give one with its unit, such as 6m, 90s, 1h30m, 2d", text));
  };
  std::string compact;
  for (const char c : text) {
    if (c != ' ') compact += c;
  }
  std::string_view rest = compact;
  int64_t total = 0;
  if (rest.empty()) return wrong();
  while (!rest.empty()) {
    int64_t number = 0;
    const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
    if (error != std::errc() || number < 0 || number > kMostSpanS) return wrong();
    rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
    const std::size_t letters = std::min(rest.find_first_of("0123456789"), rest.size());
    const int64_t unit = UnitSeconds(rest.substr(0, letters));
    if (unit == 0) return wrong();
    rest.remove_prefix(letters);
    total += number * unit;
    if (total > kMostSpanS) return wrong();
  }
  google::protobuf::Duration span;
  span.set_seconds(total);
  return span;
}

}  // namespace chockwise::cli
