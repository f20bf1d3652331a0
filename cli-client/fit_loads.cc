// chockwise fit ties: do the chains hold what is carried?
#include <fmt/format.h>

#include "cli-client/fit.h"
#include "cli-client/fit_words.h"
#include "services/survey/inputs.h"
#include "services/survey/ties.h"

namespace chockwise::cli {
namespace {

constexpr Words<fit::Restraint, 4> kRestraints = {{{"unknown", fit::Restraint::kUnknown},
                                                   {"none-needed", fit::Restraint::kNoneNeeded},
                                                   {"restrained", fit::Restraint::kRestrained},
                                                   {"free", fit::Restraint::kFree}}};

struct TieArguments : FitOptions {
  std::string machine, articulation = "unknown", accessories = "unknown";
  std::vector<std::string> ties;
};

survey::Outcome<survey::TiedDown> TiedOf(const TieArguments& a) {
  survey::TiedDown tied{.machine = yard::MachineId(a.machine), .ties = {}};
  for (const std::string& text : a.ties) {
    const auto tie = survey::ReadTie(text);
    if (!tie) return tl::unexpected(tie.error());
    tied.ties.push_back(*tie);
  }
  const auto articulation = Word("--articulation", a.articulation, kRestraints);
  if (!articulation) return tl::unexpected(articulation.error());
  const auto accessories = Word("--accessories", a.accessories, kRestraints);
  if (!accessories) return tl::unexpected(accessories.error());
  tied.articulation = *articulation;
  tied.accessories = *accessories;
  return tied;
}

void AddTold(const TieArguments& a, fit::Answer& answer) {
  for (size_t i = 0; i < a.ties.size(); ++i)
    answer.inputs.push_back(survey::AsAsked(fmt::format("tie {}", i + 1), a.ties[i]));
  answer.inputs.push_back(survey::AsAsked("articulation", a.articulation));
  answer.inputs.push_back(survey::AsAsked("accessories", a.accessories));
}

void AddTies(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<TieArguments>();
  CLI::App* verb = AddFitVerb(fit, *a, "ties", "Do the chains hold it on the deck?");
  verb->add_option("machine", a->machine, "Unit number")->required();
  verb->add_option("--tie", a->ties, "Each kind: \"4 x 3/8 in grade 70 direct front\"")->required();
  verb->add_option("--articulation", a->articulation,
                   "Its joint: none-needed, restrained, free; left out: unknown");
  verb->add_option("--accessories", a->accessories,
                   "Its bucket, blade, boom: none-needed, restrained, free");
  registry.Does(
      verb,
      [a](Cli& cli) {
        const auto tied = TiedOf(*a);
        if (!tied) return ShowFit(cli, tl::unexpected(tied.error()));
        return AnswerFit(cli, *a, [&](const survey::Asked& asked) {
          auto answer = survey::LoadHolds(asked, *tied);
          if (answer) AddTold(*a, *answer);
          return answer;
        });
      },
      Needs::kNothing);
}

}  // namespace

void AddLoadVerbs(Registry& registry, CLI::App* fit) { AddTies(registry, fit); }

}  // namespace chockwise::cli
