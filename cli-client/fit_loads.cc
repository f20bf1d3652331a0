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
  std::string carrier, down, aside, grips;
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
  if (!a.carrier.empty()) tied.carrier = yard::MachineId(a.carrier);
  tied.articulation = *articulation;
  tied.accessories = *accessories;
  return tied;
}

/// All three or none of them.
survey::Outcome<std::optional<survey::Pull>> PullOf(const TieArguments& a) {
  if (a.down.empty() && a.aside.empty() && a.grips.empty()) return std::nullopt;
  const auto down = AngleArgument("--down", a.down);
  if (!down) return tl::unexpected(down.error());
  const auto aside = AngleArgument("--aside", a.aside);
  if (!aside) return tl::unexpected(aside.error());
  const auto grips = GradeArgument("--grips", a.grips);
  if (!grips) return tl::unexpected(grips.error());
  return survey::Pull{.below_level = *down, .aside = *aside, .friction = grips->rise_over_run()};
}

void AddTold(const TieArguments& a, fit::Answer& answer) {
  for (size_t i = 0; i < a.ties.size(); ++i)
    answer.inputs.push_back(survey::AsAsked(fmt::format("tie {}", i + 1), a.ties[i]));
  answer.inputs.push_back(survey::AsAsked("articulation", a.articulation));
  answer.inputs.push_back(survey::AsAsked("accessories", a.accessories));
  if (a.down.empty()) return;
  answer.inputs.push_back(survey::AsAsked("ties pull down", a.down));
  answer.inputs.push_back(survey::AsAsked("ties pull aside", a.aside));
  answer.inputs.push_back(survey::AsAsked("deck grips", a.grips));
}

void AddTies(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<TieArguments>();
  CLI::App* verb = AddFitVerb(fit, *a, "ties", "Do the chains hold it on the deck?");
  verb->add_option("machine", a->machine, "Unit number")->required();
  verb->add_option(
          "--tie", a->ties,
          "Each kind: \"4 x 3/8 in grade 70 direct front\", \"2 x 4 in webbing direct rear binder "
          "5,000 lb\"")
      ->required();
  verb->add_option("--carrier", a->carrier,
                   "Its binders and anchor points stand for those that no tie names");
  verb->add_option("--articulation", a->articulation,
                   "Its joint: none-needed, restrained, free; left out: unknown");
  verb->add_option("--accessories", a->accessories,
                   "Its bucket, blade, boom: none-needed, restrained, free");
  verb->add_option("--down", a->down, "The forces too: how steeply the ties run down, 35 deg");
  verb->add_option("--aside", a->aside, "And how far aside, seen from above: 20 deg");
  verb->add_option("--grips", a->grips, "And how well the deck grips: 20 %");
  registry.Does(
      verb,
      [a](Cli& cli) {
        const auto tied = TiedOf(*a);
        if (!tied) return ShowFit(cli, tl::unexpected(tied.error()));
        const auto pull = PullOf(*a);
        if (!pull) return ShowFit(cli, tl::unexpected(pull.error()));
        return WithYard(cli, *a, [&](const survey::Asked& asked) {
          auto answer = survey::TiesHold(asked, *tied, *pull);
          if (answer) AddTold(*a, answer->answer);
          return ShowParts(cli, answer);
        });
      },
      Needs::kNothing);
}

}  // namespace

void AddLoadVerbs(Registry& registry, CLI::App* fit) { AddTies(registry, fit); }

}  // namespace chockwise::cli
