// What needs no server: a check of a yard's folder before it is loaded, what can be measured there,
// and every release of a ledger judged again.

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "cli-client/verbs.h"
#include "services/history/audit.h"
#include "services/ledger/reader.h"
#include "services/server/yard_folder.h"
#include "services/yard/computations.h"
#include "services/yard/quantities.h"
#include "services/yard/yard.h"

namespace chockwise::cli {
namespace {

constexpr auto kReplace = nlohmann::ordered_json::error_handler_t::replace;

nlohmann::ordered_json ToJson(const yard::Complaints& complaints) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const yard::Complaint& complaint : complaints) {
    list.push_back({{"file", complaint.file},
                    {"line", complaint.line},
                    {"where", complaint.where},
                    {"field", complaint.field},
                    {"problem", complaint.problem},
                    {"right", complaint.right}});
  }
  return list;
}

ExitCode CheckYard(Cli& cli, const std::string& folder) {
  auto files = server::ReadYardFolder(folder);
  if (!files.ok()) {
    const auto code = absl::IsNotFound(files.status()) ? grpc::StatusCode::NOT_FOUND
                                                       : grpc::StatusCode::FAILED_PRECONDITION;
    return cli.Say(LocalNo(code, std::string(files.status().message())),
                   {.heading = "NOT CHECKED"});
  }
  const auto yard = yard::ReadYard(*files, yard::BaseRulesText(), yard::KnownComputations());
  const yard::Complaints complaints = yard ? yard::Complaints{} : yard.error();
  if (cli.options.json) {
    cli.PrintJson(
        nlohmann::ordered_json{{"sound", complaints.empty()}, {"complaints", ToJson(complaints)}}
            .dump(-1, ' ', false, kReplace));
  } else if (yard) {
    const std::string text = fmt::format(
        "{}: no complaint. {} places, {} lanes, {} doors, {} machines, {} people, {} measurements, "
        "{} kinds of move.",
        yard->id, yard->places.size(), yard->lanes.size(), yard->doors.size(),
        yard->machines.size(), yard->people.size(), yard->measurements.all().size(),
        yard->rules.kinds_size());
    cli.Print(Wrap(text, {.width = cli.style.width}));
  } else {
    for (const yard::Complaint& complaint : complaints)
      cli.PrintLine(Clean(cli.style, complaint.Text()));
    cli.Print({fmt::format(
        "{}. A yard with a complaint is not served.",
        complaints.size() == 1 ? "1 complaint" : fmt::format("{} complaints", complaints.size()))});
  }
  return complaints.empty() ? ExitCode::kOk : ExitCode::kRefused;
}

std::string_view SpotWord(yard::Spot spot) {
  switch (spot) {
    case yard::Spot::kNone:
      return "";
    case yard::Spot::kOne:
      return "; give \"at\"";
    case yard::Spot::kEither:
      return "; \"at\" may be given";
  }
  return "";
}

ExitCode ListQuantities(Cli& cli) {
  if (cli.options.json) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const yard::QuantityRow& row : yard::Quantities()) {
      list.push_back({{"name", row.name},
                      {"of", yard::SubjectName(row.subject)},
                      {"is", yard::DimensionName(row.least)},
                      {"bounds", row.bounds},
                      {"at", row.spot != yard::Spot::kNone}});
    }
    cli.PrintJson(nlohmann::ordered_json{{"quantities", list}}.dump(-1, ' ', false, kReplace));
    return ExitCode::kOk;
  }
  int widest = 0;
  for (const yard::QuantityRow& row : yard::Quantities())
    widest = std::max(widest, Columns(row.name));
  for (const yard::Subject subject : yard::kAllSubjects) {
    cli.Print({fmt::format("Of {}:", yard::SubjectName(subject))});
    for (const yard::QuantityRow& row : yard::Quantities()) {
      if (row.subject != subject) continue;
      Lines lines = Wrap(
          fmt::format("{}, {}{}", yard::DimensionName(row.least), row.bounds, SpotWord(row.spot)),
          {.width = cli.style.width, .indent = widest + 4});
      lines.front().replace(2, row.name.size(), row.name);
      cli.Print(lines);
    }
  }
  cli.Print(
      Wrap("A line of measurements.csv says one of them: what, value, unit, with (the "
           "attachment), by, when, at (how far along).",
           {.width = cli.style.width}));
  return ExitCode::kOk;
}

nlohmann::ordered_json ToJson(const history::AuditReport& report) {
  nlohmann::ordered_json findings = nlohmann::ordered_json::array();
  for (const history::AuditFinding& finding : report.findings) {
    findings.push_back({{"entry", finding.entry},
                        {"move", finding.move},
                        {"rule", finding.rule},
                        {"gateId", finding.gate_id},
                        {"sentence", finding.sentence}});
  }
  const history::AuditCounts& counts = report.counts;
  return {{"sound", report.sound()},
          {"findings", findings},
          {"findingsLeftOut", report.findings_left_out},
          {"counts",
           {{"entries", counts.entries},
            {"yardVersions", counts.yard_versions},
            {"moves", counts.moves},
            {"words", counts.words},
            {"releases", counts.releases},
            {"firstMotions", counts.first_motions},
            {"closes", counts.closes},
            {"stops", counts.stops},
            {"gatesJudged", counts.gates_judged}}}};
}

ExitCode Audit(Cli& cli, const std::string& file) {
  auto reader = ledger::Reader::Open(file, nullptr);
  if (!reader.ok()) {
    const auto code = absl::IsNotFound(reader.status()) ? grpc::StatusCode::NOT_FOUND
                                                        : grpc::StatusCode::DATA_LOSS;
    return cli.Say(LocalNo(code, std::string(reader.status().message())),
                   {.heading = "NOT AUDITED"});
  }
  auto report = history::AuditLedger(**reader);
  if (!report.ok()) {
    return cli.Say(LocalNo(grpc::StatusCode::DATA_LOSS, std::string(report.status().message())),
                   {.heading = "NOT AUDITED"});
  }
  if (cli.options.json) {
    cli.PrintJson(ToJson(*report).dump(-1, ' ', false, kReplace));
  } else {
    cli.io.out << report->Text() << std::flush;
  }
  return report->sound() ? ExitCode::kOk : ExitCode::kLedgerWrong;
}

}  // namespace

void AddOfflineVerbs(Registry& registry) {
  struct Arguments {
    std::string folder, file;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* yard = registry.Add(kForDesks, "yard", "The yard's folder");
  yard->require_subcommand(1);
  CLI::App* check = yard->add_subcommand(
      "check", "Offline: reads the five files of a yard and prints every complaint");
  check->add_option("folder", arguments->folder, "The yard's folder")->required();
  registry.Does(
      check, [arguments](Cli& cli) { return CheckYard(cli, arguments->folder); }, Needs::kNothing);
  registry.Does(yard->add_subcommand("quantities",
                                     "Offline: what can be measured, of what, and in which range"),
                ListQuantities, Needs::kNothing);

  CLI::App* audit =
      registry.Add(kForDesks, "audit",
                   "Offline: judges every release of a ledger again, from its entries alone");
  audit->add_option("file", arguments->file, "The ledger's database file")->required();
  audit->footer("Hashes and signatures are judged by: chockwise ledger verify");
  registry.Does(
      audit, [arguments](Cli& cli) { return Audit(cli, arguments->file); }, Needs::kNothing);
}

}  // namespace chockwise::cli
