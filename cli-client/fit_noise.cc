// chockwise fit noise: the noise of somebody's day, and how long a place's may be stayed in. A day
// alone needs no yard.
#include "cli-client/fit.h"
#include "services/survey/noise.h"
#include "services/survey/words.h"

namespace chockwise::cli {
namespace {

struct NoiseArguments : FitOptions {
  std::vector<std::string> exposures;
  std::string place;
};

survey::Outcome<std::vector<fit::NoiseExposure>> ExposuresOf(const NoiseArguments& a) {
  std::vector<fit::NoiseExposure> exposures;
  for (const std::string& text : a.exposures) {
    const auto exposure = survey::ReadExposure(text);
    if (!exposure) return tl::unexpected(exposure.error());
    exposures.push_back(*exposure);
  }
  return exposures;
}

ExitCode Noise(Cli& cli, const NoiseArguments& a) {
  if (a.exposures.empty() && a.place.empty()) {
    return ShowFit(cli, tl::unexpected(survey::Mistyped(
                            "--exposure", "is left out, and --at with it",
                            "say what somebody was in, --exposure \"100 dB for 2 h\", each time "
                            "again; or where, --at PLACE")));
  }
  const auto exposures = ExposuresOf(a);
  if (!exposures) return ShowFit(cli, tl::unexpected(exposures.error()));
  if (a.place.empty()) return ShowParts(cli, survey::NoiseOfDay(*exposures));
  return AnswerParts(cli, a,
                     [&](const survey::Asked& asked) -> survey::Outcome<survey::PartedAnswer> {
                       auto there = survey::NoiseAt(asked, yard::PlaceId(a.place));
                       if (!there || exposures->empty()) return there;
                       const auto day = survey::NoiseOfDay(*exposures);
                       if (!day) return day;
                       return survey::Together(std::move(*there), *day);
                     });
}

}  // namespace

void AddNoiseVerb(Registry& registry, CLI::App* fit) {
  const auto a = std::make_shared<NoiseArguments>();
  CLI::App* verb = AddFitVerb(
      fit, *a, "noise", "What dose of noise is it in a day, and how long is a place permitted?");
  verb->add_option("--exposure", a->exposures,
                   "What somebody was in, each time again: \"100 dB for 2 h\"");
  verb->add_option("--at", a->place, "Place: how long its noise is permitted, and how to talk");
  registry.Does(
      verb, [a](Cli& cli) { return Noise(cli, *a); }, Needs::kNothing);
}

}  // namespace chockwise::cli
