// chockwise fit light: is there light enough, and who looks into the sun?
#include <ctime>
#include <optional>

#include "cli-client/fit.h"
#include "services/survey/lighting.h"

namespace chockwise::cli {
namespace {

struct LightArguments : FitOptions {
  std::string place, machine;
  std::optional<std::string> to, by, heading;  // left out is not the same as empty
};

/// How far this machine's clock is ahead of UTC at that instant.
fit::ClockAhead LocalClock(fit::Instant when) {
  const std::time_t seconds = static_cast<std::time_t>(when.micros() / 1'000'000);
  std::tm local{};
  localtime_r(&seconds, &local);
  return {fit::Seconds(local.tm_gmtoff)};
}

survey::Outcome<survey::FoundLight> Ask(const survey::Asked& asked, const LightArguments& a) {
  if (a.to) {
    const survey::TakenWay taken = survey::TakeWay(asked, {.machine = yard::MachineId(a.machine),
                                                           .from = yard::PlaceId(a.place),
                                                           .to = yard::PlaceId(*a.to),
                                                           .by = LanesTyped(a.by)});
    auto found = survey::LightOnTrip(asked, taken.trip);
    if (found) found->parted.answer.inputs.push_back(taken.told);
    return found;
  }
  survey::LightThere what{.place = yard::PlaceId(a.place)};
  if (a.heading) {
    const auto heading = AngleArgument("--heading", *a.heading);
    if (!heading) return tl::unexpected(heading.error());
    what.heading = *heading;
  }
  return survey::LightAtPlace(asked, what);
}

ExitCode Light(Cli& cli, const LightArguments& a) {
  return WithYard(cli, a, [&](survey::Asked asked) {
    asked.clock = LocalClock(asked.when.now);
    const auto found = Ask(asked, a);
    if (!found) return ShowFit(cli, tl::unexpected(found.error()));
    return ShowParts(cli, found->parted);
  });
}

}  // namespace

void AddLightVerb(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<LightArguments>();
  CLI::App* verb =
      AddFitVerb(fit, *a, "light", "Is there light enough, and does the sun stand low ahead?");
  verb->add_option("place", a->place, "Where, or where a trip starts")->required();
  CLI::Option* to = verb->add_option("--to", a->to,
                                     "Place that a trip goes to: both ends, and "
                                     "the sun ahead on every lane");
  verb->add_option("--machine", a->machine, "Unit number, for the way that it fits")->needs(to);
  AddBy(verb, a->by);
  verb->get_option("--by")->needs(to);
  verb->add_option("--heading", a->heading, "It goes toward: 90 deg is east")->excludes(to);
  verb->add_option("--at", a->now, "The same as --now")->excludes("--now");
  registry.Does(
      verb, [a](Cli& cli) { return Light(cli, *a); }, Needs::kNothing);
}

}  // namespace chockwise::cli
