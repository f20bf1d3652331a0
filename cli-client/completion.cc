// Shell completion, read off the tree of verbs when it is asked for, so that it cannot get out of
// date. Both scripts work alike: the words typed so far are followed down the tree, and what may
// come next is looked up by the path that they make.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <functional>

#include "cli-client/app.h"

namespace chockwise::cli {
namespace {

struct Choice {
  std::string word;
  std::string help;
};

std::vector<Choice> OptionsOf(const CLI::App& app) {
  std::vector<Choice> choices;
  for (const CLI::Option* option :
       app.get_options([](const CLI::Option* o) { return o->nonpositional(); })) {
    for (const std::string& name : option->get_lnames())
      choices.push_back({"--" + name, option->get_description()});
  }
  return choices;
}

std::vector<const CLI::App*> VerbsOf(const CLI::App& app) {
  return app.get_subcommands([](const CLI::App*) { return true; });
}

/// What may stand behind a path. The options of the root hold everywhere.
std::vector<Choice> ChoicesAt(const CLI::App& app, const CLI::App& root) {
  std::vector<Choice> choices;
  for (const CLI::App* verb : VerbsOf(app))
    choices.push_back({verb->get_name(), verb->get_description()});
  for (Choice& choice : OptionsOf(app)) choices.push_back(std::move(choice));
  if (&app == &root) return choices;
  for (Choice& choice : OptionsOf(root)) {
    if (choice.word != "--help" && choice.word != "--version") choices.push_back(std::move(choice));
  }
  return choices;
}

/// Calls `visit` with every path of verbs, "/door/moved", and the verb at its end; the root's path
/// is empty.
void ForEachPath(const CLI::App& app, const std::string& path,
                 const std::function<void(const std::string&, const CLI::App&)>& visit) {
  visit(path, app);
  for (const CLI::App* verb : VerbsOf(app))
    ForEachPath(*verb, path + "/" + verb->get_name(), visit);
}

std::string Paths(const CLI::App& root) {
  std::vector<std::string> paths;
  ForEachPath(root, "", [&](const std::string& path, const CLI::App&) {
    if (!path.empty()) paths.push_back(path);
  });
  return fmt::format("{}", fmt::join(paths, "|"));
}

std::string Bash(const CLI::App& root) {
  std::string cases;
  ForEachPath(root, "", [&](const std::string& path, const CLI::App& app) {
    std::vector<std::string> words;
    for (const Choice& choice : ChoicesAt(app, root)) words.push_back(choice.word);
    cases += fmt::format("    \"{}\") words=\"{}\" ;;\n", path, fmt::join(words, " "));
  });
  return fmt::format(
      R"(# bash completion for chockwise; load it with: source <(chockwise completion bash)
_chockwise() {{
  local at="" words="" word i
  for ((i = 1; i < COMP_CWORD; i++)); do
    word="${{COMP_WORDS[i]}}"
    case "$at/$word" in
      {}) at="$at/$word" ;;
    esac
  done
  case "$at" in
{}  esac
  COMPREPLY=($(compgen -W "$words" -- "${{COMP_WORDS[COMP_CWORD]}}"))
}}
complete -o default -F _chockwise chockwise
)",
      Paths(root), cases);
}

/// For a zsh word list in single quotes, where a colon ends the word.
std::string Quoted(const Choice& choice) {
  std::string help;
  for (const char c : choice.help) help += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return fmt::format("'{}:{}'", choice.word, help);
}

std::string Zsh(const CLI::App& root) {
  std::string cases;
  ForEachPath(root, "", [&](const std::string& path, const CLI::App& app) {
    std::vector<std::string> words;
    for (const Choice& choice : ChoicesAt(app, root)) words.push_back(Quoted(choice));
    cases += fmt::format("    (\"{}\") list=({}) ;;\n", path, fmt::join(words, " "));
  });
  return fmt::format(R"(#compdef chockwise
# zsh completion for chockwise; load it with: source <(chockwise completion zsh)
_chockwise() {{
  local at="" word i
  local -a list
  for ((i = 2; i < CURRENT; i++)); do
    word="$words[i]"
    case "$at/$word" in
      ({}) at="$at/$word" ;;
    esac
  done
  case "$at" in
{}  esac
  _describe 'chockwise' list || _files
}}
compdef _chockwise chockwise
)",
                     Paths(root), cases);
}

}  // namespace

std::string CompletionScript(const CLI::App& root, const std::string& shell) {
  return shell == "zsh" ? Zsh(root) : Bash(root);
}

}  // namespace chockwise::cli
