// chockwise fit stand, load, dock: does it stay where it is put, and does it go up, on and in?
#include <fmt/format.h>

#include "cli-client/fit.h"
#include "cli-client/fit_words.h"
#include "services/survey/loading.h"
#include "services/survey/standing.h"

namespace chockwise::cli {
namespace {

struct StandArguments : FitOptions {
  std::string machine, place, surface, bearing;
};

survey::Outcome<survey::Parking> ParkingOf(const StandArguments& a) {
  const auto surface = IfGiven<fit::Surface>(SurfaceArgument, "--surface", a.surface);
  if (!surface) return tl::unexpected(surface.error());
  const auto bearing = IfGiven<fit::Angle>(AngleArgument, "--bearing", a.bearing);
  if (!bearing) return tl::unexpected(bearing.error());
  return survey::Parking{.machine = yard::MachineId(a.machine),
                         .place = yard::PlaceId(a.place),
                         .surface = *surface,
                         .bearing = *bearing};
}

void AddStand(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<StandArguments>();
  CLI::App* verb = AddFitVerb(fit, *a, "stand",
                              "Does it stay where it is parked, and leave exits and fire ways "
                              "free?");
  verb->add_option("machine", a->machine, "Unit number")->required();
  verb->add_option("place", a->place, "Where it is parked")->required();
  verb->add_option("--surface", a->surface, "dry-concrete, gravel, ...; left out: wet-unknown");
  verb->add_option("--bearing", a->bearing, "It points to: 90 deg is east; left out: any way");
  registry.Does(
      verb,
      [a](Cli& cli) {
        const auto parking = ParkingOf(*a);
        if (!parking) return ShowFit(cli, tl::unexpected(parking.error()));
        return AnswerParts(
            cli, *a, [&](const survey::Asked& asked) { return survey::Stands(asked, *parking); });
      },
      Needs::kNothing);
}

struct LoadArguments : FitOptions {
  std::string machine, carrier, at, grips, surface;
};

survey::Outcome<survey::OntoCarrier> OntoCarrierOf(const LoadArguments& a) {
  const auto surface = IfGiven<fit::Surface>(SurfaceArgument, "--surface", a.surface);
  if (!surface) return tl::unexpected(surface.error());
  const auto grips = IfGiven<fit::Grade>(GradeArgument, "--grips", a.grips);
  if (!grips) return tl::unexpected(grips.error());
  survey::OntoCarrier what{.machine = yard::MachineId(a.machine),
                           .carrier = yard::MachineId(a.carrier),
                           .at = std::nullopt,
                           .ramp_friction = std::nullopt,
                           .surface = *surface};
  if (!a.at.empty()) what.at = yard::PlaceId(a.at);
  // It begins to slide where the slope's tangent is the friction.
  if (*grips) what.ramp_friction = (*grips)->rise_over_run();
  return what;
}

void AddLoad(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<LoadArguments>();
  CLI::App* verb =
      AddFitVerb(fit, *a, "load", "Does it grip and clear the ramp, and does the carrier hold?");
  verb->add_option("machine", a->machine, "Unit number of the machine")->required();
  verb->add_option("carrier", a->carrier, "Unit number of the carrier")->required();
  verb->add_option("--at", a->at, "Where the carrier stands; left out: as machines.csv says");
  verb->add_option("--grips", a->grips,
                   "Slope on which it slid when tried on this ramp: 60 %; left out: the carrier's "
                   "ramp-grip, or wet steel on steel, 10 %");
  verb->add_option("--surface", a->surface,
                   "Ground under the carrier: gravel, ...; left out: the place's ground-grip, or "
                   "wet-unknown");
  registry.Does(
      verb,
      [a](Cli& cli) {
        const auto what = OntoCarrierOf(*a);
        if (!what) return ShowFit(cli, tl::unexpected(what.error()));
        return AnswerParts(
            cli, *a, [&](const survey::Asked& asked) { return survey::ClimbsOnto(asked, *what); });
      },
      Needs::kNothing);
}

/// "empty", "unknown", or what was left there: "1,300 lb".
survey::Outcome<std::optional<fit::Kilograms>> NoseOf(const std::string& text) {
  if (text == "unknown") return std::nullopt;
  if (text == "empty") return std::optional<fit::Kilograms>(fit::Kilograms());
  const auto cargo = MassArgument("--nose", text);
  if (!cargo) {
    return tl::unexpected(Mistyped("--nose", fmt::format("is '{}'", text),
                                   "write empty, unknown, or what lies there: 1,300 lb"));
  }
  return std::optional<fit::Kilograms>(*cargo);
}

struct DockArguments : FitOptions {
  std::string forklift, trailer, dock, load, load_length, nose = "unknown";
  bool coupled = false, stands = false;
};

survey::Outcome<survey::IntoTrailer> IntoTrailerOf(const DockArguments& a) {
  const auto nose = NoseOf(a.nose);
  if (!nose) return tl::unexpected(nose.error());
  const auto load = MassArgument("--load", a.load);
  if (!load) return tl::unexpected(load.error());
  const auto length = IfGiven<fit::Metres>(LengthArgument, "--load-length", a.load_length);
  if (!length) return tl::unexpected(length.error());
  if (*load > fit::Kilograms() && !*length) {
    return tl::unexpected(
        Mistyped("--load-length", "is left out", "give the load's length along the forks: 48 in"));
  }
  using survey::NoseStands;
  using survey::Trailer;
  return survey::IntoTrailer{.forklift = yard::MachineId(a.forklift),
                             .trailer = yard::MachineId(a.trailer),
                             .dock = yard::PlaceId(a.dock),
                             .load = *load,
                             .load_length = length->value_or(fit::Metres()),
                             .coupled = a.coupled ? Trailer::kCoupled : Trailer::kOnItsLegs,
                             .stands = a.stands ? NoseStands::kUnderNose : NoseStands::kNone,
                             .nose = *nose};
}

void AddDock(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<DockArguments>();
  CLI::App* verb = AddFitVerb(fit, *a, "dock",
                              "Do board, floors and trailer bear a forklift, and does no end tip?");
  verb->add_option("forklift", a->forklift, "Unit number of the forklift")->required();
  verb->add_option("trailer", a->trailer, "Unit number of the trailer")->required();
  verb->add_option("dock", a->dock, "Place of the dock")->required();
  verb->add_option("--load", a->load, "On its forks: 2,000 lb; 0 lb for none")->required();
  verb->add_option("--load-length", a->load_length, "Of the load along the forks: 48 in");
  verb->add_option("--nose", a->nose,
                   "Cargo at the trailer's nose: empty, 1,300 lb; left out: unknown");
  verb->add_flag("--coupled", a->coupled, "It is coupled; left out: it stands on its legs");
  verb->add_flag("--stands", a->stands, "The dock's stands are under its nose");
  registry.Does(
      verb,
      [a](Cli& cli) {
        const auto what = IntoTrailerOf(*a);
        if (!what) return ShowFit(cli, tl::unexpected(what.error()));
        return AnswerParts(cli, *a, [&](const survey::Asked& asked) {
          return survey::EntersTrailer(asked, *what);
        });
      },
      Needs::kNothing);
}

}  // namespace

void AddStandingVerbs(Registry& registry, CLI::App* fit) {
  AddStand(registry, fit);
  AddLoad(registry, fit);
  AddDock(registry, fit);
}

}  // namespace chockwise::cli
