// chockwise fit under, ground, path, leaves, wires, see, route: the questions about a trip that ask
// more than the trip, most of which can be drawn.
#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <ostream>

#include "cli-client/fit.h"
#include "services/survey/drawing.h"
#include "services/survey/route.h"

namespace chockwise::cli {
namespace {

struct WayArguments : TripOptions {
  std::string svg, side, grade, speed;
  bool reversing = false, slewing = false, crab = false;
};
using Shared = std::shared_ptr<WayArguments>;

fit::Travel TravelOf(const WayArguments& a) {
  return a.reversing ? fit::Travel::kReversing : fit::Travel::kForwards;
}

survey::Wheels WheelsOf(const WayArguments& a) {
  return a.crab ? survey::Wheels::kParallel : survey::Wheels::kSteered;
}

/// Crabwise it goes the way that it would go as it steers: a search knows no other.
survey::TakenWay WayOf(const survey::Asked& asked, const WayArguments& a) {
  survey::TakenWay taken = survey::TakeWay(asked, TypedTrip(a), TravelOf(a));
  if (a.crab && !a.by) taken.told.name += " as it steers";
  return taken;
}

void AddCrab(CLI::App* verb, const Shared& a) {
  verb->add_flag("--crab", a->crab, "All its wheels stay parallel, and its body keeps its heading");
}

void AddReversing(CLI::App* verb, const Shared& a) {
  verb->add_flag("--reversing", a->reversing, "It backs all the way");
}

void AddSvg(CLI::App* verb, const Shared& a) {
  verb->add_option("--svg", a->svg, "Draw it into this file");
}

/// Writes the drawing where one was asked for. Unset: it is written, or none was asked for.
using Drawing = survey::Outcome<std::string>;
std::optional<ExitCode> Draw(Cli& cli, const WayArguments& a,
                             const std::function<Drawing()>& drawing) {
  if (a.svg.empty()) return std::nullopt;
  const Drawing svg = drawing();
  if (!svg) return ShowFit(cli, tl::unexpected(svg.error()));
  std::ofstream file(a.svg, std::ios::binary);
  file << *svg << std::flush;
  if (file) return std::nullopt;
  return cli.Usage(
      fmt::format("--svg: {} cannot be written; name a file in a folder of yours", a.svg));
}

ExitCode Show(Cli& cli, const survey::Outcome<fit::Answer>& answer) { return ShowFit(cli, answer); }
ExitCode Show(Cli& cli, const survey::Outcome<survey::PartedAnswer>& answer) {
  return ShowParts(cli, answer);
}

/// The drawing first, so that what is printed is what was drawn. Without an answer nothing is
/// drawn, and a drawing of another day would be taken for this one's.
template <class Answer>
ExitCode DrawAndShow(Cli& cli, const WayArguments& a, const survey::Outcome<Answer>& answer,
                     const std::function<Drawing()>& drawing) {
  if (answer) {
    if (const auto stopped = Draw(cli, a, drawing)) return *stopped;
  } else if (!a.svg.empty() && std::filesystem::exists(a.svg)) {
    cli.io.err << fmt::format("not drawn: {} is an older drawing\n", a.svg);
  }
  return Show(cli, answer);
}

void AddRide(Registry& registry, CLI::App* parent, survey::Look look) {
  const auto a = std::make_shared<WayArguments>();
  const bool above = look == survey::Look::kAbove;
  CLI::App* verb = AddTripVerb(parent, *a, above ? "under" : "ground",
                               above ? "Does it go under everything on the way?"
                                     : "Does it clear the ground, sills and crests on the way?");
  AddReversing(verb, a);
  AddSvg(verb, a);
  registry.Does(
      verb,
      [a, look, above](Cli& cli) {
        return WithYard(cli, *a, [&](const survey::Asked& asked) {
          const survey::TakenWay taken = WayOf(asked, *a);
          const survey::Trip& trip = taken.trip;
          const fit::Travel travel = TravelOf(*a);
          const auto answer = above ? survey::GoesUnder(asked, trip, travel)
                                    : survey::ClearsGround(asked, trip, travel);
          return DrawAndShow(cli, *a, Told(answer, taken), [&]() -> Drawing {
            const auto ridden = survey::RideOf(asked, trip, travel);
            if (!ridden) return tl::unexpected(ridden.error());
            const auto side = survey::SideOf(asked, trip, *ridden, look);
            if (!side) return tl::unexpected(side.error());
            return survey::SideSvg(*side);
          });
        });
      },
      Needs::kNothing);
}

ExitCode Path(Cli& cli, const WayArguments& a) {
  const auto side = IfGiven<fit::Metres>(LengthArgument, "--side", a.side);
  if (!side) return ShowFit(cli, tl::unexpected(side.error()));
  const survey::Driving driving{
      .travel = TravelOf(a),
      .upper = a.slewing ? survey::Upper::kSlewing : survey::Upper::kInLine,
      .wheels = WheelsOf(a),
      .needed_each_side = *side};
  return WithYard(cli, a, [&](const survey::Asked& asked) {
    const survey::TakenWay taken = WayOf(asked, a);
    const survey::Trip& trip = taken.trip;
    const auto answer = Told(survey::KeepsClear(asked, trip, driving), taken);
    return DrawAndShow(cli, a, answer, [&]() -> Drawing {
      const auto driven = survey::DriveOf(asked, trip, driving);
      if (!driven) return tl::unexpected(driven.error());
      return survey::PlanSvg(survey::PlanOf(asked, trip, *driven));
    });
  });
}

void AddPath(Registry& registry, CLI::App* parent) {
  const auto a = std::make_shared<WayArguments>();
  CLI::App* verb = AddTripVerb(parent, *a, "path", "Does it get past jambs, walls and posts?");
  AddReversing(verb, a);
  verb->add_flag("--slewing", a->slewing, "Its upper structure may turn on the way");
  AddCrab(verb, a);
  verb->add_option("--side", a->side,
                   "Asked for on each side; left out: what the yard's rules ask");
  AddSvg(verb, a);
  registry.Does(
      verb, [a](Cli& cli) { return Path(cli, *a); }, Needs::kNothing);
}

using DrivingQuestion = survey::Outcome<fit::Answer> (*)(const survey::Asked&, const survey::Trip&,
                                                         const survey::Driving&);

/// Whether a question is another one where all wheels stay parallel.
enum class AlsoCrabwise { kNo, kYes };

struct TravelVerb {
  const char* name;
  const char* help;
  AlsoCrabwise also_crabwise;
  DrivingQuestion question;
};

/// A verb that asks about nothing but the trip and how it is driven.
void AddTravelVerb(Registry& registry, CLI::App* parent, const TravelVerb& what) {
  const auto a = std::make_shared<WayArguments>();
  CLI::App* verb = AddTripVerb(parent, *a, what.name, what.help);
  AddReversing(verb, a);
  if (what.also_crabwise == AlsoCrabwise::kYes) AddCrab(verb, a);
  registry.Does(
      verb,
      [a, question = what.question](Cli& cli) {
        return AnswerFit(cli, *a, [&](const survey::Asked& asked) {
          const survey::TakenWay taken = WayOf(asked, *a);
          return Told(question(asked, taken.trip, {.travel = TravelOf(*a), .wheels = WheelsOf(*a)}),
                      taken);
        });
      },
      Needs::kNothing);
}

survey::Outcome<fit::Answer> Wires(const survey::Asked& asked, const survey::Trip& trip,
                                   const survey::Driving& driving) {
  return survey::WiresAreClear(asked, trip, driving.travel);
}

ExitCode See(Cli& cli, const WayArguments& a) {
  const auto speed = IfGiven<fit::MetresPerSecond>(SpeedArgument, "--speed", a.speed);
  if (!speed) return ShowFit(cli, tl::unexpected(speed.error()));
  const survey::Spotting spotting{.travel = TravelOf(a), .wheels = WheelsOf(a), .speed = *speed};
  return WithYard(cli, a, [&](const survey::Asked& asked) {
    const survey::TakenWay taken = WayOf(asked, a);
    const survey::Trip& trip = taken.trip;
    auto answer = survey::SpotterIsSeen(asked, trip, spotting);
    if (answer) answer->answer.inputs.push_back(taken.told);
    return DrawAndShow(cli, a, answer, [&]() -> Drawing {
      const auto seen = survey::SeeOf(asked, trip, spotting);
      if (!seen) return tl::unexpected(seen.error());
      return survey::PlanSvg(survey::PlanOf(asked, trip, *seen));
    });
  });
}

void AddSee(Registry& registry, CLI::App* parent) {
  const auto a = std::make_shared<WayArguments>();
  CLI::App* verb =
      AddTripVerb(parent, *a, "see", "Where does the spotter stand, seen all the way?");
  AddReversing(verb, a);
  AddCrab(verb, a);
  verb->add_option("--speed", a->speed, "It creeps no faster than this; left out: 2 mph");
  AddSvg(verb, a);
  registry.Does(
      verb, [a](Cli& cli) { return See(cli, *a); }, Needs::kNothing);
}

ExitCode Route(Cli& cli, const WayArguments& a) {
  const auto side = IfGiven<fit::Metres>(LengthArgument, "--side", a.side);
  if (!side) return ShowFit(cli, tl::unexpected(side.error()));
  const auto grade = IfGiven<fit::Grade>(GradeArgument, "--most-grade", a.grade);
  if (!grade) return ShowFit(cli, tl::unexpected(grade.error()));
  const survey::RouteAsked limits{.needed_each_side = *side, .most_grade = *grade};
  return WithYard(cli, a, [&](const survey::Asked& asked) {
    const survey::Trip trip = TypedTrip(a);
    return DrawAndShow(cli, a, survey::FindsWay(asked, trip, limits), [&]() -> Drawing {
      const auto searched = survey::SearchOf(asked, trip, limits);
      if (!searched) return tl::unexpected(searched.error());
      return survey::PlanSvg(survey::PlanOf(asked, trip, *searched));
    });
  });
}

void AddRoute(Registry& registry, CLI::App* parent) {
  const auto a = std::make_shared<WayArguments>();
  CLI::App* verb =
      AddTripVerb(parent, *a, "route", "Which way does it fit, or what is in its way?");
  verb->add_option("--side", a->side,
                   "Asked for on each side; left out: what the yard's rules ask");
  verb->add_option("--most-grade", a->grade,
                   "Steepest that it may climb; left out: what the yard's rules ask");
  AddSvg(verb, a);
  registry.Does(
      verb, [a](Cli& cli) { return Route(cli, *a); }, Needs::kNothing);
}

}  // namespace

void AddWayVerbs(Registry& registry, CLI::App* fit) {
  AddRide(registry, fit, survey::Look::kAbove);
  AddRide(registry, fit, survey::Look::kBelow);
  AddPath(registry, fit);
  AddTravelVerb(registry, fit,
                {"leaves", "Does it leave exits, fire ways and keep-clear areas free at the end?",
                 AlsoCrabwise::kYes, survey::LeavesFree});
  AddTravelVerb(
      registry, fit,
      {"wires", "Does it keep clear of the wires over the way?", AlsoCrabwise::kNo, Wires});
  AddSee(registry, fit);
  AddRoute(registry, fit);
}

}  // namespace chockwise::cli
