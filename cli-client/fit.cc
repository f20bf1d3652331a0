// chockwise fit: every computation at the desk, on the yard's files, without a server.
#include "cli-client/fit.h"

#include "services/yard/yard.h"

namespace chockwise::cli {
namespace {

/// The arguments of all verbs; each binds those that it takes.
struct FitArguments : FitOptions {
  std::string machine, carrier, place;
  std::string distance, centre, stands;
};
using Shared = std::shared_ptr<FitArguments>;

CLI::App* AddFit(CLI::App* parent, const Shared& a, const std::string& name,
                 const std::string& help) {
  return AddFitVerb(parent, *a, name, help);
}

using TripQuestion = survey::Outcome<fit::Answer> (*)(const survey::Asked&, const survey::Trip&);

struct TripVerb {
  const char* name;
  const char* help;
  TripQuestion question;
};

void AddQuestion(Registry& registry, CLI::App* parent, const TripVerb& what) {
  const auto a = std::make_shared<TripOptions>();
  registry.Does(
      AddTripVerb(parent, *a, what.name, what.help),
      [a, question = what.question](Cli& cli) {
        return AnswerFit(cli, *a, [&](const survey::Asked& asked) {
          const survey::TakenWay taken = survey::TakeWay(asked, TypedTrip(*a));
          return Told(question(asked, taken.trip), taken);
        });
      },
      Needs::kNothing);
}

using SoundQuestion = survey::Outcome<fit::Answer> (*)(const survey::Asked&,
                                                       const survey::HornAsked&);

void AddSound(Registry& registry, CLI::App* parent, const Shared& a, const std::string& name,
              const std::string& help, SoundQuestion question) {
  CLI::App* verb = AddFit(parent, a, name, help);
  verb->add_option("machine", a->machine, "Unit number")->required();
  verb->add_option("place", a->place, "Where people stand")->required();
  verb->add_option("--distance", a->distance,
                   "How far off the farthest stands who must hear it, as 60 ft")
      ->required();
  registry.Does(
      verb,
      [a, question](Cli& cli) {
        const auto distance = LengthArgument("--distance", a->distance);
        if (!distance) return ShowFit(cli, tl::unexpected(distance.error()));
        return AnswerFit(cli, *a, [&](const survey::Asked& asked) {
          return question(asked, {.machine = yard::MachineId(a->machine),
                                  .place = yard::PlaceId(a->place),
                                  .distance = *distance});
        });
      },
      Needs::kNothing);
}

/// Where it is said to be; nullopt where nobody says.
using DeckPlace = std::variant<fit::Metres, survey::StoodAt>;
survey::Outcome<std::optional<DeckPlace>> DeckPlaceOf(const FitArguments& a) {
  if (!a.centre.empty()) {
    const auto centre = LengthArgument("--centre", a.centre);
    if (!centre) return tl::unexpected(centre.error());
    return std::optional<DeckPlace>(*centre);
  }
  if (a.stands.empty()) return std::nullopt;
  const auto stood = survey::ReadStood(a.stands);
  if (!stood) return tl::unexpected(stood.error());
  return std::optional<DeckPlace>(*stood);
}

void AddAxles(Registry& registry, CLI::App* parent, const Shared& a) {
  CLI::App* verb =
      AddFit(parent, a, "axles",
             "Are the axles legal with a machine on the deck, or where would they be?");
  verb->add_option("machine", a->machine, "Unit number of the machine")->required();
  verb->add_option("carrier", a->carrier, "Unit number of the carrier")->required();
  CLI::Option* centre = verb->add_option(
      "--centre", a->centre, "From the deck's front to the machine's centre of mass: 14 ft");
  verb->add_option("--stands", a->stands,
                   "Its end at the deck's front, as taped: front 2 ft 3 in behind")
      ->excludes(centre);
  registry.Does(
      verb,
      [a](Cli& cli) {
        const auto at = DeckPlaceOf(*a);
        if (!at) return ShowFit(cli, tl::unexpected(at.error()));
        return AnswerFit(cli, *a, [&](const survey::Asked& asked) {
          const yard::MachineId machine(a->machine), carrier(a->carrier);
          if (!*at) return survey::AxlesHavePlace(asked, {machine, carrier});
          return survey::AxlesCarry(asked, {machine, carrier, **at});
        });
      },
      Needs::kNothing);
}

}  // namespace

void AddFitVerbs(Registry& registry) {
  const Shared a = std::make_shared<FitArguments>();
  CLI::App* fit = registry.Add(kForDesks, "fit",
                               "Offline: does it fit, does it hold, is it heard; from the yard's "
                               "folder alone");
  fit->require_subcommand(1);
  AddWayVerbs(registry, fit);
  AddQuestion(registry, fit,
              {"carries", "Does the ground of the way carry it?", survey::GroundCarries});
  AddSound(registry, fit, a, "horn", "Is the horn heard over the noise of a place?",
           survey::HornIsHeard);
  AddSound(registry, fit, a, "alarm", "Is the reverse alarm heard over the noise of a place?",
           survey::AlarmIsHeard);
  AddNoiseVerb(registry, fit);
  AddLightVerb(registry, fit);
  AddAxles(registry, fit, a);
  AddFitRegister(registry, fit);
  AddLoadVerbs(registry, fit);
  AddPullVerb(registry, fit);
  AddStandingVerbs(registry, fit);
  AddStopVerb(registry, fit);
  AddRiskVerbs(registry, fit);
}

}  // namespace chockwise::cli
