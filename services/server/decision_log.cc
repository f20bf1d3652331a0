#include "services/server/decision_log.h"

#include <fmt/format.h>
#include <spdlog/async.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <array>
#include <ctime>
#include <iterator>
#include <map>

#include "services/server/clock.h"
#include "services/server/limits.h"
#include "services/server/status_mapping.h"

namespace chockwise::server {
namespace {

std::map<int, std::string> VerbNames() {
  std::map<int, std::string> names;
  const google::protobuf::OneofDescriptor* verbs =
      v1::Command::descriptor()->FindOneofByName("verb");
  for (int i = 0; i < verbs->field_count(); ++i)
    names[verbs->field(i)->number()] = verbs->field(i)->name();
  return names;
}

}  // namespace

const std::string& VerbName(v1::Command::VerbCase verb) {
  static const std::map<int, std::string> names = VerbNames();
  static const std::string none = "none";
  const auto found = names.find(verb);
  return found == names.end() ? none : found->second;
}

std::string Rfc3339(fit::Instant time) {
  int64_t micros = time.micros() % 1'000'000;
  if (micros < 0) micros += 1'000'000;
  const auto seconds = static_cast<std::time_t>((time.micros() - micros) / 1'000'000);
  std::tm parts{};
  gmtime_r(&seconds, &parts);
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:06}Z", parts.tm_year + 1900,
                     parts.tm_mon + 1, parts.tm_mday, parts.tm_hour, parts.tm_min, parts.tm_sec,
                     micros);
}

DecisionLog::DecisionLog(std::shared_ptr<spdlog::logger> logger, std::string yard)
    : logger_(std::move(logger)), yard_(std::move(yard)) {}

void DecisionLog::Write(std::span<const DecisionNote> notes, grpc::StatusCode instead) {
  if (notes.empty() || !logger_->should_log(spdlog::level::info)) return;
  const auto now = std::chrono::steady_clock::now();
  fmt::memory_buffer lines;
  for (const DecisionNote& note : notes) {
    if (lines.size() > 0) lines.push_back('\n');
    const grpc::StatusCode outcome = instead == grpc::StatusCode::OK ? note.outcome : instead;
    fmt::format_to(std::back_inserter(lines), "time={} level=info yard={} person={} verb={}",
                   Rfc3339(note.time), yard_, note.person.empty() ? "-" : note.person,
                   VerbName(note.verb));
    if (note.move > 0) fmt::format_to(std::back_inserter(lines), " move={}", note.move);
    fmt::format_to(std::back_inserter(lines), " outcome={}", CodeName(outcome));
    if (note.entry >= 0) fmt::format_to(std::back_inserter(lines), " entry={}", note.entry);
    if (note.repeat) fmt::format_to(std::back_inserter(lines), " repeat=1");
    fmt::format_to(
        std::back_inserter(lines), " micros={}",
        std::chrono::duration_cast<std::chrono::microseconds>(now - note.posted).count());
  }
  logger_->info(fmt::string_view(lines.data(), lines.size()));
}

void LogEvent(spdlog::logger& logger, Severity severity, const std::string& text) {
  static constexpr std::pair<spdlog::level::level_enum, const char*> kLevels[] = {
      {spdlog::level::info, "info"},
      {spdlog::level::warn, "warning"},
      {spdlog::level::err, "error"}};
  const auto& [level, name] = kLevels[static_cast<size_t>(severity)];
  if (!logger.should_log(level)) return;
  logger.log(level,
             fmt::format("time={} level={} {}", Rfc3339(MachineReadings().wall()), name, text));
}

std::shared_ptr<spdlog::logger> MakeLogger(const std::string& level) {
  static const auto pool = std::make_shared<spdlog::details::thread_pool>(kMaxLogMessages, 1);
  auto sink = std::make_shared<spdlog::sinks::stderr_sink_mt>();
  auto logger = std::make_shared<spdlog::async_logger>(
      "chockwised", std::move(sink), pool, spdlog::async_overflow_policy::overrun_oldest);
  logger->set_pattern("%v");
  logger->set_level(spdlog::level::from_str(level));
  return logger;
}

}  // namespace chockwise::server
