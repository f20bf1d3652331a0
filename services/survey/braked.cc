#include "services/survey/braked.h"

#include <fmt/format.h>

#include "services/survey/answers.h"
#include "services/survey/train.h"

namespace chockwise::survey {

Outcome<double> ShareOf(Readings& readings, const std::string& machine, const char* quantity,
                        Lean lean) {
  const auto whole = readings.Of<fit::Kilograms>(machine, "mass");
  if (!whole) return tl::unexpected(whole.error());
  const auto part = readings.Of<fit::Kilograms>(machine, quantity);
  if (!part) return tl::unexpected(part.error());
  if (*part == *whole) return 1.0;
  if (*part < *whole)
    return std::min(1.0, IfLessIsWorse(*part, lean) / IfMoreIsWorse(*whole, lean));
  const auto shown = [](fit::Kilograms mass) {
    return Text(mass, fit::UnitSystem::kUs, fit::Rounding::kDown);
  };
  return tl::unexpected(NoAnswer{
      .sort = NoAnswer::Sort::kUnusable,
      .input = fmt::format("{} of {}", quantity, machine),
      .problem = fmt::format("is {}, more than its whole mass of {}", shown(*part), shown(*whole)),
      .right = "weigh both again"});
}

namespace {

Outcome<fit::HoldingWheels> WheelsOf(Readings& readings, const std::string& machine,
                                     const char* quantity, Lean lean) {
  const auto share = ShareOf(readings, machine, quantity, lean);
  if (!share) return tl::unexpected(share.error());
  if (*share >= 1) return fit::HoldingWheels{};
  const auto height = readings.Of<fit::Metres>(machine, "centre-height");
  if (!height) return tl::unexpected(height.error());
  const auto base = readings.Of<fit::Metres>(machine, "wheelbase");
  if (!base) return tl::unexpected(base.error());
  return fit::HoldingWheels{
      .share = *share,
      .height_over_wheelbase = IfMoreIsWorse(*height, lean) / IfLessIsWorse(*base, lean)};
}

}  // namespace

Outcome<fit::HoldingWheels> BrakedWheelsOf(Readings& readings, const std::string& machine,
                                           Lean lean) {
  return WheelsOf(readings, machine, "braked-mass", lean);
}

Outcome<fit::HoldingWheels> BrakedWheelsOfTrain(Readings& readings, const yard::Machine& machine,
                                                Lean lean) {
  const std::string& id = machine.id.value();
  const auto own = BrakedWheelsOf(readings, id, lean);
  if (!own || machine.tows.empty()) return own;
  const auto mass = readings.Of<fit::Kilograms>(id, "mass");
  if (!mass) return tl::unexpected(mass.error());
  const auto train = TrainMass(readings, machine);
  if (!train) return tl::unexpected(train.error());
  const fit::Kilograms behind = IfMoreIsWorse(*train - *mass, lean);
  // The whole mass where all of it brakes; else the share is of a mass that was taken to be more.
  const bool all = own->share >= 1;
  const fit::Kilograms machine_mass = all ? IfLessIsWorse(*mass, lean) : IfMoreIsWorse(*mass, lean);
  const fit::Kilograms together = machine_mass + behind;
  if (all) return fit::HoldingWheels{.share = machine_mass / together};
  fit::Metres hitch, wheelbase;
  const auto read = ReadAll<fit::Metres>(
      readings,
      {{machine.tows.front().value(), "coupling-height", &hitch}, {id, "wheelbase", &wheelbase}});
  if (!read) return tl::unexpected(read.error());
  const double pushed = IfMoreIsWorse(hitch, lean) / IfLessIsWorse(wheelbase, lean);
  return fit::HoldingWheels{
      .share = own->share * (machine_mass / together),
      .height_over_wheelbase =
          own->height_over_wheelbase * (machine_mass / together) + pushed * (behind / together)};
}

Outcome<fit::HoldingWheels> ChockedWheelsOf(Readings& readings, const std::string& machine,
                                            Lean lean) {
  return WheelsOf(readings, machine, "chocked-mass", lean);
}

}  // namespace chockwise::survey
