// chockwise fit stop, ties: what stops and what holds. `stop` needs no yard at all.
#include <fmt/format.h>

#include "cli-client/fit.h"
#include "cli-client/fit_words.h"
#include "services/fit/stopping.h"
#include "services/survey/inputs.h"
#include "services/survey/ties.h"

namespace chockwise::cli {
namespace {

constexpr Words<fit::Running, 3> kRunnings = {{{"car-tyres", fit::Running::kCarTyres},
                                               {"truck-tyres", fit::Running::kTruckTyres},
                                               {"steel-tracks", fit::Running::kSteelTracks}}};
constexpr Words<fit::Restraint, 4> kRestraints = {{{"unknown", fit::Restraint::kUnknown},
                                                   {"none-needed", fit::Restraint::kNoneNeeded},
                                                   {"restrained", fit::Restraint::kRestrained},
                                                   {"free", fit::Restraint::kFree}}};

struct StopArguments : FitOptions {
  std::string speed, body_length;
  std::optional<std::string> surface, running, grade;
};

std::string SurfaceOf(const StopArguments& a) { return a.surface.value_or("wet-unknown"); }
std::string RunningOf(const StopArguments& a) { return a.running.value_or("truck-tyres"); }

fit::Answer StopAnswer(const StopArguments& a, const fit::BrakedMotion& motion, std::string line) {
  const fit::UnitSystem units = UnitsOf(a);
  const auto seconds = [](fit::Duration time) {
    return fmt::format("{:.1f} s", static_cast<double>(time.micros()) / 1e6);
  };
  fit::Answer answer;
  answer.verdict = fit::Verdict::kClear;
  answer.line = std::move(line);
  answer.inputs = {
      survey::AsAsked("speed", Text(motion.speed, units, fit::Rounding::kUp)),
      survey::AskedOrDefault(
          a.surface ? a.surface : a.running, "friction",
          fmt::format("{:.2f} ({}, {})", motion.friction, SurfaceOf(a), RunningOf(a))),
      survey::AskedOrDefault(a.grade, "grade", Text(motion.grade, units, fit::Rounding::kDown)),
      survey::Default("driver's response", seconds(motion.response)),
      survey::Default("lag of the brakes", seconds(motion.lag))};
  for (const std::string_view source : fit::kStoppingSources) answer.sources.emplace_back(source);
  for (const std::string_view text : fit::kStoppingAssumptions)
    answer.assumptions.emplace_back(text);
  return answer;
}

survey::Outcome<fit::Answer> Stops(const StopArguments& a) {
  const auto speed = SpeedArgument("--speed", a.speed);
  if (!speed) return tl::unexpected(speed.error());
  const auto surface = Word("--surface", SurfaceOf(a), kSurfaces);
  if (!surface) return tl::unexpected(surface.error());
  const auto running = Word("--running", RunningOf(a), kRunnings);
  if (!running) return tl::unexpected(running.error());
  const auto grade = GradeArgument("--grade", a.grade.value_or("0 %"));
  if (!grade) return tl::unexpected(grade.error());
  // Air brakes are the slower ones, so they are taken where nobody says.
  const fit::BrakedMotion motion{.speed = *speed,
                                 .friction = fit::PlanningFriction(*surface, *running),
                                 .grade = *grade,
                                 .lag = fit::kAirLag};
  if (a.body_length.empty()) {
    const auto stopping = fit::StoppingDistance(motion);
    if (!stopping) return tl::unexpected(survey::NoAnswerOf(stopping.error(), ""));
    return StopAnswer(a, motion, fit::DriversLine(*stopping, UnitsOf(a)));
  }
  const auto length = LengthArgument("--body-length", a.body_length);
  if (!length) return tl::unexpected(length.error());
  const auto standoff = fit::SpotterStandoff(motion, *length);
  if (!standoff) return tl::unexpected(survey::NoAnswerOf(standoff.error(), ""));
  fit::Answer answer = StopAnswer(a, motion, fit::DriversLine(*standoff, UnitsOf(a)));
  answer.line += ", " + fit::DriversLine(standoff->stopping, UnitsOf(a));
  return answer;
}

void AddStop(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<StopArguments>();
  CLI::App* verb = fit->add_subcommand("stop", "How far does it run until it stands?");
  verb->add_option("--units", a->units, "us or si; left out: us")
      ->check(CLI::IsMember({"us", "si"}));
  verb->add_option("--speed", a->speed, "5 mph, 8 km/h")->required();
  verb->add_option("--surface", a->surface, "dry-concrete, gravel, ...; left out: wet-unknown");
  verb->add_option("--running", a->running, "car-tyres, truck-tyres, steel-tracks");
  verb->add_option("--grade", a->grade, "Downhill below 0: -8 %; left out: level");
  verb->add_option("--body-length", a->body_length, "Also how far off the spotter walks: 27 ft");
  registry.Does(
      verb, [a](Cli& cli) { return ShowFit(cli, Stops(*a)); }, Needs::kNothing);
}

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

void AddLoadVerbs(Registry& registry, CLI::App* fit) {
  AddStop(registry, fit);
  AddTies(registry, fit);
}

}  // namespace chockwise::cli
