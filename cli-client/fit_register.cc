// chockwise fit register: every machine with every attachment at every door, as a table to hang up.
#include "services/survey/fit_register.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <ostream>

#include "cli-client/fit.h"

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
  return fit::FloorMillimetres(*length);
}

nlohmann::ordered_json ToJson(const survey::FitRegister& all) {
  nlohmann::ordered_json rows = nlohmann::ordered_json::array();
  for (const survey::FitRow& row : all.rows) {
    rows.push_back({{"machine", row.machine},
                    {"attachment", row.attachment},
                    {"door", row.door},
                    {"fits", LookOf(row.fits).word},
                    {"why", row.why},
                    {"aboveMm", Millimetres(row.above)},
                    {"eachSideMm", Millimetres(row.each_side)},
                    {"belowMm", Millimetres(row.below)}});
  }
  return {
      {"rows", std::move(rows)},
      {"counts", {{"go", all.go}, {"tight", all.tight}, {"no", all.no}, {"unknown", all.unknown}}}};
}

std::string Spare(const std::optional<fit::Metres>& length, fit::UnitSystem units) {
  return length ? Text(*length, units, fit::Rounding::kDown) : "";
}

constexpr int kMachine = 11, kWith = 9, kDoor = 13, kFits = 11, kNumber = 12;

/// What stands behind a row's verdict: the three numbers, or the reading that is missing, in full
/// and on as many lines as it takes.
Lines Behind(const survey::FitRow& row, fit::UnitSystem units, const WrapShape& column) {
  if (row.fits == survey::Fits::kUnknown) return Wrap(row.why, column);
  return {std::string(static_cast<size_t>(column.indent), ' ') +
          Padded(Spare(row.above, units), kNumber) + Padded(Spare(row.each_side, units), kNumber) +
          Spare(row.below, units)};
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

}  // namespace

void AddFitRegister(Registry& registry, CLI::App* fit) {
  struct Arguments : FitOptions {
    std::string side = "12 in";
  };
  const auto a = std::make_shared<Arguments>();
  CLI::App* verb =
      AddFitVerb(fit, *a, "register", "Which machine, with what, goes through which door?");
  verb->add_option("--side", a->side, "Asked for on each side; left out: 12 in");
  registry.Does(
      verb,
      [a](Cli& cli) {
        const auto side = LengthArgument("--side", a->side);
        if (!side) return ShowFit(cli, tl::unexpected(side.error()));
        return WithYard(cli, *a, [&](const survey::Asked& asked) {
          const survey::FitRegister all =
              survey::RegisterOf(asked, ProgressOn(cli), {.needed_each_side = *side});
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
