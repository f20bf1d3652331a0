// Help: the screens of --help, and the topics of `chockwise help`.

#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "cli-client/app.h"
#include "cli-client/style.h"
#include "cli-client/verbs.h"

namespace chockwise::cli {
namespace {

constexpr int kNameColumn = 18;

Lines Row(const std::string& name, const std::string& text, int column, const Style& style) {
  Lines lines = Wrap(text, {.width = style.width, .indent = column + 2});
  if (lines.empty() || Columns(name) >= column) {
    lines.insert(lines.begin(), "  " + name);
  } else {
    lines.front().replace(0, static_cast<std::size_t>(column) + 2, "  " + Padded(name, column));
  }
  return lines;
}

std::string Usage(const CLI::App& app) {
  std::string path = app.get_name();
  for (const CLI::App* up = app.get_parent(); up != nullptr; up = up->get_parent())
    path = up->get_name() + " " + path;
  for (const CLI::Option* option :
       app.get_options([](const CLI::Option* o) { return o->get_positional(); })) {
    std::string name = option->get_name(true);
    std::ranges::transform(name, name.begin(), [](char c) {
      return c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c;
    });
    path += option->get_required() ? " " + name : " [" + name + "]";
  }
  if (!app.get_subcommands([](const CLI::App*) { return true; }).empty()) path += " VERB";
  return path + " [OPTIONS]";
}

void AppendVerbs(Lines& lines, const CLI::App& app, const Style& style) {
  std::vector<std::string> headings;
  const auto verbs = app.get_subcommands([](const CLI::App*) { return true; });
  for (const CLI::App* verb : verbs) {
    if (std::ranges::find(headings, verb->get_group()) == headings.end())
      headings.push_back(verb->get_group());
  }
  for (const std::string& heading : headings) {
    lines.emplace_back("");
    lines.push_back(heading == "Subcommands" ? "Verbs:" : heading + ":");
    for (const CLI::App* verb : verbs) {
      if (verb->get_group() == heading)
        Append(lines, Row(verb->get_name(), verb->get_description(), kNameColumn, style));
    }
  }
}

void AppendOptions(Lines& lines, const CLI::App& app, const Style& style) {
  std::vector<const CLI::Option*> positionals =
      app.get_options([](const CLI::Option* o) { return o->get_positional(); });
  if (!positionals.empty()) {
    lines.emplace_back("");
    for (const CLI::Option* option : positionals) {
      Append(lines, Row(option->get_name(true), option->get_description(), kNameColumn, style));
    }
  }
  lines.emplace_back("");
  lines.emplace_back("Options:");
  for (const CLI::Option* option :
       app.get_options([](const CLI::Option* o) { return !o->get_positional(); })) {
    Append(lines,
           Row(option->get_name(false, true), option->get_description(), kNameColumn, style));
  }
}

Lines Cautions() {
  return {
      "A release is permission to begin. It does not see people. Look, horn, eyes on",
      "the spotter. Any doubt: stop.",
      "Never use a device while driving or spotting. This program goes quiet on purpose.",
      "Anyone may stop. Nobody is blamed for stopping, refusing or reporting in good",
      "faith.",
      "Numbers are estimates from what people typed. Margins hold no allowance for what",
      "was not measured.",
      "Securement, axle and load answers are planning aids; driver and carrier stay",
      "responsible. Power lines: treat as live; this program sees no wires.",
      "Cameras, alarms and detectors never replace the walk-around or the spotter.",
      "If screen, network or clock is wrong: printed card, two people, radio, and only",
      "the kinds of move that your safety lead listed for paper.",
      "Times and thresholds are starting points that your safety lead owns and tests.",
      "No legal advice. Local codes, the maker's manual, licensed practice and a",
      "competent person come first; where rules differ, the stricter one counts.",
  };
}

Lines ExitCodes() {
  Lines lines{"Exit codes. They keep their meaning:"};
  for (const ExitCodeMeaning& row : kExitCodes) {
    lines.push_back(
        fmt::format("  {}  {} {}", static_cast<int>(row.code), Padded(row.name, 13), row.meaning));
  }
  return lines;
}

const CLI::App* Find(const CLI::App& app, const std::string& name) {
  for (const CLI::App* verb : app.get_subcommands([](const CLI::App*) { return true; })) {
    if (verb->get_name() == name) return verb;
  }
  return nullptr;
}

ExitCode Help(Cli& cli, const CLI::App& root, const std::vector<std::string>& words) {
  if (!words.empty() && words.front() == "exit-codes") {
    cli.Print(ExitCodes());
    return ExitCode::kOk;
  }
  if (!words.empty() && words.front() == "cautions") {
    cli.Print(Cautions());
    return ExitCode::kOk;
  }
  const CLI::App* app = &root;
  for (const std::string& word : words) {
    app = Find(*app, word);
    if (app == nullptr)
      return cli.Usage(fmt::format("no help on \"{}\": give a verb, exit-codes or cautions", word));
  }
  cli.io.out << HelpText(*app, Style{});
  return ExitCode::kOk;
}

}  // namespace

std::string HelpText(const CLI::App& app, const Style& style) {
  Lines lines = Wrap(app.get_description(), {.width = style.width});
  Append(lines, Wrap("usage: " + Usage(app), {.width = style.width, .hanging = 7}));
  AppendVerbs(lines, app, style);
  AppendOptions(lines, app, style);
  if (app.get_parent() != nullptr) lines.emplace_back("Options for every verb: chockwise --help");
  if (!app.get_footer().empty()) {
    lines.emplace_back("");
    Append(lines, Wrap(app.get_footer(), {.width = style.width}));
  }
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

void AddHelpVerbs(Registry& registry) {
  struct Arguments {
    std::vector<std::string> words;
    std::string shell;
  };
  auto arguments = std::make_shared<Arguments>();
  const CLI::App* root = &registry.app();

  CLI::App* help = registry.Add(kForAll, "help", "Help on a verb, or on: exit-codes, cautions");
  help->add_option("words", arguments->words, "A verb, exit-codes or cautions");
  registry.Does(
      help, [arguments, root](Cli& cli) { return Help(cli, *root, arguments->words); },
      Needs::kNothing);

  registry.Does(
      registry.Add(kForAll, "guided", "Asks who you are today and offers the next steps by number"),
      Guided);

  CLI::App* completion = registry.Add(
      kForDesks, "completion", "Completion for a shell: source <(chockwise completion bash)");
  completion->add_option("shell", arguments->shell, "bash or zsh")
      ->required()
      ->check(CLI::IsMember({"bash", "zsh"}));
  registry.Does(
      completion,
      [arguments, root](Cli& cli) {
        cli.io.out << CompletionScript(*root, arguments->shell) << std::flush;
        return ExitCode::kOk;
      },
      Needs::kNothing);
}

}  // namespace chockwise::cli
