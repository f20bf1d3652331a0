// chockwise fit register: every machine with every attachment at every door, as a table to hang up.
#include "services/survey/fit_register.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <mutex>
#include <nlohmann/json.hpp>
#include <ostream>
#include <thread>

#include "cli-client/fit.h"
#include "services/yard/dates.h"

namespace chockwise::cli {
namespace {

constexpr auto kReplace = nlohmann::ordered_json::error_handler_t::replace;

struct FitsLook {
  std::string_view word;
  Ink ink;
  Mark mark;
};

FitsLook LookOf(survey::Fits fits) {
  switch (fits) {
    case survey::Fits::kGo:
      return {"GO", Ink::kGood, {"OK", "\u2713 "}};
    case survey::Fits::kTight:
      return {"TIGHT", Ink::kWarn, {"! ", "! "}};
    case survey::Fits::kNo:
      return {"NO", Ink::kBad, {"XX", "\u2717 "}};
    case survey::Fits::kUnknown:
      return {"UNKNOWN", Ink::kBad, {"??", "? "}};
  }
  return {"UNKNOWN", Ink::kBad, {"??", "? "}};
}

nlohmann::ordered_json Millimetres(const std::optional<fit::Metres>& length) {
  if (!length) return nullptr;
  return {{"value", fit::FloorMillimetres(*length)}, {"unit", "mm"}};
}

nlohmann::ordered_json Date(const std::optional<fit::Instant>& when) {
  if (!when) return nullptr;
  return yard::DateText(*when);
}

nlohmann::ordered_json Behind(const std::vector<survey::ReadingsBehind>& all, const char* of) {
  nlohmann::ordered_json things = nlohmann::ordered_json::array();
  for (const survey::ReadingsBehind& one : all) {
    nlohmann::ordered_json readings = nlohmann::ordered_json::array();
    for (const fit::Input& input : one.inputs) {
      readings.push_back({{"name", input.name},
                          {"value", input.value},
                          {"by", input.by},
                          {"when", Date(input.when)}});
    }
    things.push_back(
        {{of, one.of}, {"attachment", one.attachment}, {"readings", std::move(readings)}});
  }
  return things;
}

nlohmann::ordered_json ToJson(const survey::FitRegister& all) {
  nlohmann::ordered_json rows = nlohmann::ordered_json::array();
  for (const survey::FitRow& row : all.rows) {
    rows.push_back({{"machine", row.machine},
                    {"attachment", row.attachment},
                    {"door", row.door},
                    {"fits", LookOf(row.fits).word},
                    {"why", row.why},
                    {"above", Millimetres(row.above)},
                    {"eachSide", Millimetres(row.each_side)},
                    {"below", Millimetres(row.below)},
                    {"asOf", Date(all.as_of)},
                    {"oldestReading", Date(row.oldest)}});
  }
  return {
      {"asOf", Date(all.as_of)},
      {"asked",
       {{"eachSide", Millimetres(all.needs.each_side)},
        {"eachSideBy", WhenceOf(all.needs.side_told)},
        {"below", Millimetres(all.needs.below)}}},
      {"rows", std::move(rows)},
      {"machines", Behind(all.machines, "machine")},
      {"doors", Behind(all.doors, "door")},
      {"counts", {{"go", all.go}, {"tight", all.tight}, {"no", all.no}, {"unknown", all.unknown}}}};
}

std::string Spare(const std::optional<fit::Metres>& length, fit::UnitSystem units) {
  return length ? Text(*length, units, fit::Rounding::kDown) : "";
}

constexpr int kMachine = 11, kWith = 9, kDoor = 13, kFits = 11, kNumber = 12;

/// What stands behind a row's verdict: the three numbers, and which way and where it fails; or the
/// reading that is missing, in full and on as many lines as it takes.
Lines Behind(const survey::FitRow& row, fit::UnitSystem units, const WrapShape& column) {
  if (row.fits == survey::Fits::kUnknown) return Wrap(row.why, column);
  Lines lines = {std::string(static_cast<size_t>(column.indent), ' ') +
                 Padded(Spare(row.above, units), kNumber) +
                 Padded(Spare(row.each_side, units), kNumber) + Spare(row.below, units)};
  if (row.why.empty()) return lines;
  for (std::string& line : Wrap(row.why, column)) lines.push_back(std::move(line));
  return lines;
}

void PrintRow(Cli& cli, const survey::FitRow& row, const std::string& doors,
              fit::UnitSystem units) {
  const FitsLook look = LookOf(row.fits);
  const std::string start = Clean(cli.style, "  " + Padded(row.machine, kMachine - 1) + " " +
                                                 Padded(row.attachment, kWith - 1) + " " +
                                                 Padded(doors, kDoor - 1) + " ");
  const std::string fits =
      Padded(fmt::format("{} {}", Shown(cli.style, look.mark), look.word), kFits);
  const int indent = Columns(start) + kFits;
  Lines lines = Behind(row, units, {.width = cli.style.width, .indent = indent});
  for (std::string& line : lines) line = Clean(cli.style, line);
  lines.front().replace(0, static_cast<size_t>(indent), start + Inked(cli.style, look.ink, fits));
  cli.Print(lines);
}

/// A machine's own reading that is missing is told once for all doors that follow one another.
bool WantsTheSame(const survey::FitRow& a, const survey::FitRow& b) {
  return a.fits == survey::Fits::kUnknown && b.fits == survey::Fits::kUnknown &&
         a.machine == b.machine && a.attachment == b.attachment && a.why == b.why;
}

void PrintRows(Cli& cli, const std::vector<survey::FitRow>& rows, fit::UnitSystem units) {
  for (size_t from = 0; from < rows.size();) {
    size_t to = from + 1;
    while (to < rows.size() && WantsTheSame(rows[from], rows[to])) ++to;
    PrintRow(cli, rows[from], to - from == 1 ? rows[from].door : fmt::format("{} doors", to - from),
             units);
    from = to;
  }
}

void PrintRegister(Cli& cli, const survey::FitRegister& all, fit::UnitSystem units) {
  cli.Print(
      {fmt::format("As of {}. Asked for: {} on each side ({}), {} below.",
                   yard::DateText(all.as_of), all.needs.side_told.value,
                   WhenceOf(all.needs.side_told), Text(all.needs.below, units, fit::Rounding::kUp)),
       ""});
  cli.Print({"  " + Padded("MACHINE", kMachine) + Padded("WITH", kWith) + Padded("DOOR", kDoor) +
             Padded("FITS", kFits) + Padded("ABOVE", kNumber) + Padded("A SIDE", kNumber) +
             "BELOW"});
  PrintRows(cli, all.rows, units);
  cli.Print({"", fmt::format("{} go, {} tight, {} no, {} unknown. Unknown is not clear.", all.go,
                             all.tight, all.no, all.unknown)});
  const WrapShape hung{.width = cli.style.width, .indent = 2, .hanging = 2};
  for (const std::string_view assumption : survey::kRegisterAssumptions)
    cli.Print(Wrap("Assumes: " + std::string(assumption), hung));
  for (const std::string_view source : survey::kRegisterSources)
    cli.Print(Wrap("Source: " + std::string(source), hung));
}

/// Only to a person who watches: a script's error log stays clean.
std::function<void(survey::Progress)> ProgressOn(Cli& cli) {
  if (!cli.io.err_is_terminal) return [](survey::Progress) {};
  return [&cli, last = size_t{101}](survey::Progress at) mutable {
    const size_t percent = at.of == 0 ? 100 : at.done * 100 / at.of;
    if (percent == last) return;
    last = percent;
    cli.io.err << "\r" << percent << " %" << (percent == 100 ? "\n" : "") << std::flush;
  };
}

/// On as many threads as there are; the progress is told on this one.
survey::FitRegister Made(const survey::Asked& asked, const survey::RegisterAsked& what,
                         const std::function<void(survey::Progress)>& progress) {
  constexpr size_t kMostThreads = 16;
  const survey::RegisterParts parts(asked, what);
  std::vector<survey::RegisterParts::Part> made(parts.parts());
  std::atomic<size_t> next = 0;
  std::mutex mutex;
  std::condition_variable changed;
  size_t done = 0;  // guarded by the mutex
  const auto work = [&] {
    for (size_t part = next++; part < made.size(); part = next++) {
      made[part] = parts.PartOf(part);
      const std::lock_guard lock(mutex);
      ++done;
      changed.notify_one();
    }
  };
  std::vector<std::jthread> workers;
  const size_t cores = std::max(1u, std::thread::hardware_concurrency());
  for (size_t i = 0; i < std::min({cores, kMostThreads, made.size()}); ++i)
    workers.emplace_back(work);
  for (size_t told = 0; told < made.size();) {
    {
      std::unique_lock lock(mutex);
      changed.wait(lock, [&] { return done > told; });
      told = done;
    }
    progress({.done = told * parts.rows_of_part(), .of = made.size() * parts.rows_of_part()});
  }
  workers.clear();
  return parts.Whole(std::move(made));
}

}  // namespace

void AddFitRegister(Registry& registry, CLI::App* fit) {
  struct Arguments : FitOptions {
    std::string side;
  };
  const auto a = std::make_shared<Arguments>();
  CLI::App* verb =
      AddFitVerb(fit, *a, "register", "Which machine, with what, goes through which door?");
  verb->add_option("--side", a->side, "Asked for on each side; left out: as the yard's gates ask");
  registry.Does(
      verb,
      [a](Cli& cli) {
        const auto side = IfGiven<fit::Metres>(LengthArgument, "--side", a->side);
        if (!side) return ShowFit(cli, tl::unexpected(side.error()));
        return WithYard(cli, *a, [&](const survey::Asked& asked) {
          const survey::FitRegister all = Made(asked, {.needed_each_side = *side}, ProgressOn(cli));
          if (cli.options.json) {
            cli.PrintJson(ToJson(all).dump(-1, ' ', false, kReplace));
          } else {
            PrintRegister(cli, all, asked.units);
          }
          return ExitCode::kOk;
        });
      },
      Needs::kNothing);
}

}  // namespace chockwise::cli
