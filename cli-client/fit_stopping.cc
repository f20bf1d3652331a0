// chockwise fit stop: how far does it run, and how fast may it go? Without a machine it needs no
// yard at all, and takes every wheel to brake.
#include <fmt/format.h>

#include "cli-client/fit.h"
#include "cli-client/fit_words.h"
#include "services/survey/inputs.h"
#include "services/survey/stopping.h"

namespace chockwise::cli {
namespace {

constexpr Words<fit::Running, 3> kRunnings = {{{"car-tyres", fit::Running::kCarTyres},
                                               {"truck-tyres", fit::Running::kTruckTyres},
                                               {"steel-tracks", fit::Running::kSteelTracks}}};

struct StopArguments : TripOptions {
  std::string speed, sight, body_length, surface, running, grade;
};

survey::Outcome<fit::Running> RunningArgument(const std::string& name, const std::string& text) {
  return Word(name, text, kRunnings);
}

/// As typed. Which of them belong together is the verbs' to say.
struct StopTyped {
  survey::StopQuestion question;
  std::optional<fit::Surface> surface;
  std::optional<fit::Running> running;
  std::optional<fit::Grade> grade;
};

survey::Outcome<StopTyped> TypedOf(const StopArguments& a) {
  const auto speed = IfGiven<fit::MetresPerSecond>(SpeedArgument, "--speed", a.speed);
  if (!speed) return tl::unexpected(speed.error());
  const auto sight = IfGiven<fit::Metres>(LengthArgument, "--sight", a.sight);
  if (!sight) return tl::unexpected(sight.error());
  const auto body = IfGiven<fit::Metres>(LengthArgument, "--body-length", a.body_length);
  if (!body) return tl::unexpected(body.error());
  const auto surface = IfGiven<fit::Surface>(SurfaceArgument, "--surface", a.surface);
  if (!surface) return tl::unexpected(surface.error());
  const auto running = IfGiven<fit::Running>(RunningArgument, "--running", a.running);
  if (!running) return tl::unexpected(running.error());
  const auto grade = IfGiven<fit::Grade>(GradeArgument, "--grade", a.grade);
  if (!grade) return tl::unexpected(grade.error());
  return StopTyped{.question = {.speed = *speed, .sight = *sight, .body_length = *body},
                   .surface = *surface,
                   .running = *running,
                   .grade = *grade};
}

/// Level ground is a word of somebody's, too. Law 2.
survey::NoAnswer NoGrade(const char* also) {
  survey::NoAnswer no =
      Mistyped("--grade", "is left out",
               fmt::format("say the steepest of the way, downhill below 0: -8 %; level "
                           "ground is 0 %{}",
                           also));
  no.sort = survey::NoAnswer::Sort::kUnknown;
  return no;
}

survey::Outcome<fit::Answer> AnyStops(const StopArguments& a, const StopTyped& typed) {
  if (!typed.grade) return tl::unexpected(NoGrade(""));
  const fit::UnitSystem units = UnitsOf(a);
  const std::string surface = a.surface.empty() ? "wet-unknown" : a.surface;
  const std::string running = a.running.empty() ? "truck-tyres" : a.running;
  // Air brakes are the slower ones, so they are taken where nobody says.
  const fit::BrakedMotion motion{
      .speed = {},
      .friction = fit::PlanningFriction(typed.surface.value_or(fit::Surface::kWetUnknown),
                                        typed.running.value_or(fit::Running::kTruckTyres)),
      .grade = *typed.grade,
      .lag = fit::kAirLag};
  auto answer = survey::StopOf(motion, typed.question, units);
  if (!answer) return answer;
  answer->inputs.push_back(
      survey::AsAsked("grade", Text(*typed.grade, units, fit::Rounding::kDown)));
  const std::string friction = fmt::format("{:.2f} ({}, {})", motion.friction, surface, running);
  const bool said = typed.surface || typed.running;
  answer->inputs.push_back(said ? survey::AsAsked("friction", friction)
                                : survey::Default("friction", friction));
  answer->inputs.push_back(survey::Default("wheels that brake", "all"));
  survey::TellBodyLength(typed.question, units, *answer);
  return answer;
}

survey::Outcome<survey::MachineStop> MachineStopOf(const StopArguments& a, const StopTyped& typed) {
  if (typed.running) {
    return tl::unexpected(Mistyped("--running", "is typed for a machine of the register",
                                   "leave it out: machines.csv says what it runs on"));
  }
  survey::MachineStop what{.machine = yard::MachineId(a.machine),
                           .way = fit::Grade(),
                           .surface = typed.surface,
                           .question = typed.question};
  if (a.from.empty()) {
    if (!typed.grade) return tl::unexpected(NoGrade("; or name the trip: FROM TO"));
    what.way = *typed.grade;
    return what;
  }
  if (a.to.empty())
    return tl::unexpected(Mistyped("to", "is left out", "name where the trip ends"));
  if (typed.grade || typed.question.body_length) {
    return tl::unexpected(Mistyped(typed.grade ? "--grade" : "--body-length", "is typed for a trip",
                                   "leave it out: the readings of the yard say it"));
  }
  what.way = TypedTrip(a);
  return what;
}

ExitCode Stop(Cli& cli, const StopArguments& a) {
  const auto typed = TypedOf(a);
  if (!typed) return ShowFit(cli, tl::unexpected(typed.error()));
  if (a.machine.empty()) return ShowFit(cli, AnyStops(a, *typed));
  const auto what = MachineStopOf(a, *typed);
  if (!what) return ShowFit(cli, tl::unexpected(what.error()));
  return AnswerFit(cli, a, [&](const survey::Asked& asked) {
    const auto* trip = std::get_if<survey::Trip>(&what->way);
    if (trip == nullptr) return survey::Stops(asked, *what);
    const survey::TakenWay taken = survey::TakeWay(asked, *trip);
    survey::MachineStop on_way = *what;
    on_way.way = taken.trip;
    return Told(survey::Stops(asked, on_way), taken);
  });
}

}  // namespace

void AddStopVerb(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<StopArguments>();
  CLI::App* verb =
      AddFitVerb(fit, *a, "stop", "How far does it run until it stands, and how fast may it go?");
  verb->add_option("machine", a->machine, "Unit number; left out: any, all of whose wheels brake");
  verb->add_option("from", a->from, "Of a trip: its steepest lane, and a spotter ahead");
  verb->add_option("to", a->to, "Where the trip ends");
  AddBy(verb, a->by);
  verb->add_option("--speed", a->speed, "5 mph, 8 km/h: how far does it run?");
  verb->add_option("--sight", a->sight, "Seen to be clear ahead: 40 ft: how fast may it go?");
  verb->add_option("--grade", a->grade, "Downhill below 0: -8 %; level: 0 %; a trip has its own");
  verb->add_option("--surface", a->surface, "dry-concrete, gravel, ...; left out: wet-unknown");
  verb->add_option("--running", a->running, "car-tyres, truck-tyres, steel-tracks");
  verb->add_option("--body-length", a->body_length, "Kept between spotter and machine: 27 ft");
  registry.Does(
      verb, [a](Cli& cli) { return Stop(cli, *a); }, Needs::kNothing);
}

}  // namespace chockwise::cli
