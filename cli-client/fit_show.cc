#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <nlohmann/json.hpp>

#include "cli-client/fit.h"
#include "cli-client/times.h"
#include "services/server/yard_folder.h"
#include "services/survey/words.h"
#include "services/yard/computations.h"
#include "services/yard/dates.h"
#include "services/yard/yard.h"

namespace chockwise::cli {
namespace {

constexpr auto kReplace = nlohmann::ordered_json::error_handler_t::replace;
constexpr Mark kClearMark = {"OK", "\u2713 "};
constexpr Mark kConflictMark = {"XX", "\u2717 "};
constexpr Mark kUndecidedMark = {"??", "? "};

struct Look {
  std::string_view word;
  Ink ink;
  const Mark& mark;
};

Look LookOf(fit::Verdict verdict) {
  switch (verdict) {
    case fit::Verdict::kClear:
      return {"CLEAR", Ink::kGood, kClearMark};
    case fit::Verdict::kConflict:
      return {"CONFLICT", Ink::kBad, kConflictMark};
    case fit::Verdict::kUndecided:
      return {"UNDECIDED", Ink::kWarn, kUndecidedMark};
  }
  return {"UNDECIDED", Ink::kWarn, kUndecidedMark};
}

void AddSpare(const std::optional<fit::Spare>& spare, nlohmann::ordered_json& onto) {
  if (!spare) return;
  onto["spare"] = {{"value", spare->value},
                   {"error", spare->error},
                   {"needed", spare->needed},
                   {"unit", spare->unit}};
}

/// What an answer stood on, behind what `head` says.
nlohmann::ordered_json ToJson(nlohmann::ordered_json head, const fit::Answer& answer) {
  nlohmann::ordered_json inputs = nlohmann::ordered_json::array();
  for (const fit::Input& input : answer.inputs) {
    nlohmann::ordered_json one{{"name", input.name}, {"value", input.value}};
    if (!input.by.empty()) one["by"] = input.by;
    if (input.when) one["date"] = yard::DateText(*input.when);
    inputs.push_back(std::move(one));
  }
  head["line"] = answer.line;
  AddSpare(answer.spare, head);
  head["inputs"] = std::move(inputs);
  head["sources"] = answer.sources;
  head["assumptions"] = answer.assumptions;
  return head;
}

nlohmann::ordered_json ToJson(const fit::Answer& answer, const std::vector<survey::Part>& parts) {
  nlohmann::ordered_json whole = ToJson({{"verdict", LookOf(answer.verdict).word}}, answer);
  for (const survey::Part& part : parts) {
    nlohmann::ordered_json one{{"verdict", LookOf(part.verdict).word}, {"line", part.line}};
    AddSpare(part.spare, one);
    whole["parts"].push_back(std::move(one));
  }
  return whole;
}

Lines VerdictLine(const Style& style, fit::Verdict verdict, const std::string& line) {
  const Look look = LookOf(verdict);
  return Tagged(style, look.ink, Shown(style, look.mark), Clean(style, line));
}

/// The worst part has spoken already.
void PrintOthers(Cli& cli, const std::vector<survey::Part>& parts) {
  for (size_t i = 1; i < parts.size(); ++i)
    cli.Print(VerdictLine(cli.style, parts[i].verdict, parts[i].line));
}

/// What an answer stood on, below its line.
void PrintGrounds(Cli& cli, const fit::Answer& answer) {
  cli.Print({""});
  constexpr int kValue = 14, kLongestValue = 20;
  int widest = 0, value = kValue;
  for (const fit::Input& input : answer.inputs) {
    widest = std::max(widest, Columns(input.name));
    value = std::max(value, std::min(kLongestValue, Columns(input.value)));
  }
  for (const fit::Input& input : answer.inputs) {
    // Nothing is cut off: neither a long value nor who measured it and when.
    const std::string shown =
        Columns(input.value) > value ? input.value : Padded(input.value, value);
    const std::string row = Clean(
        cli.style, fmt::format("  {}  {}  {}", Padded(input.name, widest), shown, WhenceOf(input)));
    cli.Print(Columns(row) <= cli.style.width
                  ? Lines{row}
                  : Wrap(row, {.width = cli.style.width, .indent = 2, .hanging = 4}));
  }
  if (std::ranges::any_of(answer.inputs,
                          [](const fit::Input& i) { return WhenceOf(i) == "default"; }))
    cli.Print({"  Defaults are the safety lead's to set."});
  const WrapShape hung{.width = cli.style.width, .indent = 2, .hanging = 2};
  for (const std::string& assumption : answer.assumptions)
    cli.Print(Wrap(Clean(cli.style, "Assumes: " + assumption), hung));
  for (const std::string& source : answer.sources)
    cli.Print(Wrap(Clean(cli.style, "Source: " + source), hung));
  cli.Print({""});
  cli.Print(
      Wrap("A number, not a release: local rules, the maker's manual and your own eyes come first.",
           {.width = cli.style.width}));
}

ExitCode Show(Cli& cli, const fit::Answer& answer, const std::vector<survey::Part>& parts) {
  if (cli.options.json) {
    cli.PrintJson(ToJson(answer, parts).dump(-1, ' ', false, kReplace));
  } else {
    cli.Print(VerdictLine(cli.style, answer.verdict, answer.line));
    PrintOthers(cli, parts);
    PrintGrounds(cli, answer);
  }
  return answer.verdict == fit::Verdict::kClear ? ExitCode::kOk : ExitCode::kRefused;
}

ExitCode ExitCodeOf(survey::NoAnswer::Sort sort) {
  switch (sort) {
    case survey::NoAnswer::Sort::kUnknown:
    case survey::NoAnswer::Sort::kStale:
    case survey::NoAnswer::Sort::kUnusable:
      return ExitCode::kRefused;
    case survey::NoAnswer::Sort::kNoSuch:
      return ExitCode::kNotFound;
    case survey::NoAnswer::Sort::kMistyped:
      return ExitCode::kUsage;
  }
  return ExitCode::kRefused;
}

ExitCode ShowNoAnswer(Cli& cli, const survey::NoAnswer& why) {
  if (cli.options.json) {
    cli.PrintJson(nlohmann::ordered_json{
        {"verdict", "UNKNOWN"},
        {"noAnswer", {{"input", why.input}, {"problem", why.problem}, {"right", why.right}}}}
                      .dump(-1, ' ', false, kReplace));
  } else {
    cli.Print(Tagged(cli.style, Ink::kBad, Shown(cli.style, kUndecidedMark),
                     Clean(cli.style, "NO ANSWER: " + why.Text())));
    cli.Print({"", "Unknown is not clear."});
  }
  return ExitCodeOf(why.sort);
}

/// As the API writes it; or as a clock on the wall shows it: "15:30" is the next one.
std::optional<fit::Instant> InstantOf(const std::string& text) {
  if (const auto instant = yard::ReadDateOrTime(text)) return *instant;
  if (text.find(':') == std::string::npos) return std::nullopt;  // not how long ago, as elsewhere
  Timestamp now;
  now.set_seconds(std::chrono::system_clock::to_time_t(std::chrono::system_clock::now()));
  auto time = NextTimeOfDay(text, now);
  if (!time) time = ReadTime(text, now);
  if (!time) return std::nullopt;
  return fit::Instant() + fit::Seconds(time->seconds());
}

tl::expected<survey::When, std::string> WhenOf(const FitOptions& options) {
  const auto age = yard::ReadAge(options.max_age);
  if (!age) return tl::unexpected("--max-age: " + age.error());
  if (options.now.empty()) {
    const auto now = std::chrono::floor<std::chrono::microseconds>(
        std::chrono::system_clock::now().time_since_epoch());
    return survey::When{.now = fit::Instant::FromMicros(now.count()), .max_age = *age};
  }
  const auto now = InstantOf(options.now);
  if (!now) {
    return tl::unexpected(
        std::string("--now: not a date or time; write 15:30, \"2026-11-24 15:30\", 2026-11-24 or "
                    "2026-11-24T07:30:00-06:00"));
  }
  return survey::When{.now = *now, .max_age = *age};
}

}  // namespace

std::string WhenceOf(const fit::Input& input) {
  if (input.when) return fmt::format("{}, {}", input.by, yard::DateText(*input.when));
  return input.by.empty() ? "default" : input.by;
}

ExitCode ShowFit(Cli& cli, const survey::Outcome<fit::Answer>& answer) {
  if (!answer) return ShowNoAnswer(cli, answer.error());
  return Show(cli, *answer, {});
}

ExitCode ShowParts(Cli& cli, const survey::Outcome<survey::PartedAnswer>& answer) {
  if (!answer) return ShowNoAnswer(cli, answer.error());
  return Show(cli, answer->answer, answer->parts);
}

ExitCode ShowFound(Cli& cli, const survey::Outcome<Found>& found) {
  if (!found) return ShowNoAnswer(cli, found.error());
  if (cli.options.json) {
    nlohmann::ordered_json whole = ToJson(nlohmann::ordered_json::object(), found->answer);
    if (!found->list_name.empty()) whole[found->list_name] = found->list;
    cli.PrintJson(whole.dump(-1, ' ', false, kReplace));
    return ExitCode::kOk;
  }
  const WrapShape shape{.width = cli.style.width, .indent = 2};
  cli.Print(Wrap(Clean(cli.style, found->answer.line), shape));
  for (const std::string& entry : found->list)
    cli.Print(Wrap(Clean(cli.style, "+ " + entry),
                   {.width = cli.style.width, .indent = 4, .hanging = 2}));
  PrintGrounds(cli, found->answer);
  return ExitCode::kOk;
}

fit::UnitSystem UnitsOf(const FitOptions& options) {
  return options.units == "si" ? fit::UnitSystem::kSi : fit::UnitSystem::kUs;
}

CLI::App* AddFitVerb(CLI::App* parent, FitOptions& options, const std::string& name,
                     const std::string& help) {
  CLI::App* verb = parent->add_subcommand(name, help);
  verb->add_option("--folder", options.folder, "The yard's folder; left out: here");
  verb->add_option("--units", options.units, "us or si; left out: us")
      ->check(CLI::IsMember({"us", "si"}));
  verb->add_option("--max-age", options.max_age, "Readings count this long; left out: 365 days");
  verb->add_option("--now", options.now,
                   "Instant to ask about: 15:30, \"2026-11-24 15:30\", or RFC 3339; left out: now");
  return verb;
}

CLI::App* AddTripVerb(CLI::App* parent, TripOptions& options, const std::string& name,
                      const std::string& help) {
  CLI::App* verb = AddFitVerb(parent, options, name, help);
  verb->add_option("machine", options.machine, "Unit number")->required();
  verb->add_option("from", options.from, "Place it starts at")->required();
  verb->add_option("to", options.to, "Place it goes to")->required();
  AddBy(verb, options.by);
  return verb;
}

void AddBy(CLI::App* verb, std::optional<std::string>& by) {
  verb->add_option("--by", by,
                   "Lanes in the order of travel: cross-way,ready-way; left out: as a move would "
                   "go, the shortest way that it fits, else the shortest");
}

survey::Trip TypedTrip(const TripOptions& options) {
  return {.machine = yard::MachineId(options.machine),
          .from = yard::PlaceId(options.from),
          .to = yard::PlaceId(options.to),
          .by = LanesTyped(options.by)};
}

std::vector<yard::LaneId> LanesTyped(const std::optional<std::string>& by) {
  std::vector<yard::LaneId> lanes;
  if (!by) return lanes;
  size_t from = 0;
  while (true) {
    const size_t comma = by->find(',', from);
    lanes.emplace_back(by->substr(from, comma - from));
    if (comma == std::string::npos) return lanes;
    from = comma + 1;
  }
}

survey::Outcome<fit::Answer> Told(survey::Outcome<fit::Answer> answer,
                                  const survey::TakenWay& taken) {
  if (answer) answer->inputs.push_back(taken.told);
  return answer;
}

ExitCode AnswerFit(Cli& cli, const FitOptions& options, const FitQuestion& question) {
  return WithYard(cli, options,
                  [&](const survey::Asked& asked) { return ShowFit(cli, question(asked)); });
}

ExitCode AnswerParts(Cli& cli, const FitOptions& options, const PartsQuestion& question) {
  return WithYard(cli, options,
                  [&](const survey::Asked& asked) { return ShowParts(cli, question(asked)); });
}

ExitCode WithYard(Cli& cli, const FitOptions& options,
                  const std::function<ExitCode(const survey::Asked&)>& use) {
  const auto when = WhenOf(options);
  if (!when) return cli.Usage(when.error());
  const auto files = server::ReadYardFolder(options.folder);
  if (!files.ok()) {
    const auto code = absl::IsNotFound(files.status()) ? grpc::StatusCode::NOT_FOUND
                                                       : grpc::StatusCode::FAILED_PRECONDITION;
    return cli.Say(LocalNo(code, std::string(files.status().message())), {.heading = "NO ANSWER"});
  }
  const auto yard = yard::ReadYard(*files, yard::BaseRulesText(), yard::KnownComputations());
  if (!yard) {
    const std::string more =
        yard.error().size() > 1 ? fmt::format(" (and {} more)", yard.error().size() - 1) : "";
    return cli.Say(LocalNo(grpc::StatusCode::FAILED_PRECONDITION,
                           yard.error().front().Text() + more + "; chockwise yard check says all"),
                   {.heading = "NO ANSWER"});
  }
  return use({.yard = *yard, .when = *when, .units = UnitsOf(options)});
}

namespace {

template <class Quantity>
survey::Outcome<Quantity> Argument(const std::string& name, const std::string& text,
                                   const std::string& dimension, const std::string& right) {
  const auto value = yard::ReadMeasuredValue(text);
  if (value && std::holds_alternative<Quantity>(*value)) return std::get<Quantity>(*value);
  return tl::unexpected(
      survey::Mistyped(name, value ? "is not " + dimension : value.error(), right));
}

}  // namespace

survey::Outcome<fit::Metres> LengthArgument(const std::string& name, const std::string& text) {
  return Argument<fit::Metres>(name, text, "a length", "write 20 ft, 6 ft 2 in or 4.11 m");
}

survey::Outcome<fit::MetresPerSecond> SpeedArgument(const std::string& name,
                                                    const std::string& text) {
  return Argument<fit::MetresPerSecond>(name, text, "a speed", "write 2 mph or 3 km/h");
}

survey::Outcome<fit::Grade> GradeArgument(const std::string& name, const std::string& text) {
  return Argument<fit::Grade>(name, text, "a grade", "write 8 %, downhill -8 %");
}

survey::Outcome<fit::Kilograms> MassArgument(const std::string& name, const std::string& text) {
  return Argument<fit::Kilograms>(name, text, "a mass", "write 2,000 lb or 900 kg");
}

survey::Outcome<fit::Angle> AngleArgument(const std::string& name, const std::string& text) {
  return Argument<fit::Angle>(name, text, "an angle", "write 90 deg");
}

}  // namespace chockwise::cli
