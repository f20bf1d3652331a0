// chockwise fit pull: what a winch or a tow pulls, and whether the line is rated for it.
#include <optional>

#include "cli-client/fit.h"
#include "services/survey/pull.h"
#include "services/survey/words.h"

namespace chockwise::cli {
namespace {

struct PullArguments : FitOptions {
  std::string machine, lane, grade, rated;
  std::optional<double> rolling;
};

survey::Outcome<survey::Pulled> PulledOf(const PullArguments& a) {
  const auto grade = IfGiven<fit::Grade>(GradeArgument, "--grade", a.grade);
  if (!grade) return tl::unexpected(grade.error());
  if (a.lane.empty() && !*grade) {
    // Level ground is a word of somebody's, too. Law 2.
    survey::NoAnswer no = survey::Mistyped(
        "--grade", "is left out, and --on with it",
        "name the lane, --on LANE, or say the steepest: 8 %, downhill -8 %; level ground is 0 %");
    no.sort = survey::NoAnswer::Sort::kUnknown;
    return tl::unexpected(no);
  }
  survey::Pulled what{.machine = yard::MachineId(a.machine), .way = fit::Grade()};
  if (*grade) {
    what.way = **grade;
  } else {
    what.way = yard::LaneId(a.lane);
  }
  what.rolling = a.rolling;
  if (a.rated.empty()) return what;
  const auto rated = survey::ReadPull("--rated", a.rated);
  if (!rated) return tl::unexpected(rated.error());
  what.rated = *rated;
  return what;
}

}  // namespace

void AddPullVerb(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<PullArguments>();
  CLI::App* verb =
      AddFitVerb(fit, *a, "pull", "What does a winch or a tow pull, and does the line hold?");
  verb->add_option("machine", a->machine, "Unit number of what is pulled")->required();
  CLI::Option* lane = verb->add_option("--on", a->lane, "Lane: its steepest reading, both ways");
  verb->add_option("--grade", a->grade, "Instead: 8 %, downhill -8 %; level: 0 %")->excludes(lane);
  verb->add_option("--rolling-share", a->rolling,
                   "Of its weight, to roll it: more in mud or with a dead drive; left out: 0.05");
  verb->add_option("--rated", a->rated,
                   "Weakest of winch, line and hooks: 12,000 lbf, 53 kN; left out: unknown");
  registry.Does(
      verb,
      [a](Cli& cli) {
        const auto what = PulledOf(*a);
        if (!what) return ShowFit(cli, tl::unexpected(what.error()));
        return AnswerParts(
            cli, *a, [&](const survey::Asked& asked) { return survey::PullHolds(asked, *what); });
      },
      Needs::kNothing);
}

}  // namespace chockwise::cli
