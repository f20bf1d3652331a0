#include "services/survey/braked.h"

#include <fmt/format.h>

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

Outcome<fit::HoldingWheels> ChockedWheelsOf(Readings& readings, const std::string& machine,
                                            Lean lean) {
  return WheelsOf(readings, machine, "chocked-mass", lean);
}

}  // namespace chockwise::survey
