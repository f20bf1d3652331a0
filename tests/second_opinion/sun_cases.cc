// Random places and times with where our sun stands and what its day brings, one JSON object a
// line, and whether it blinds a driver on some heading: sun_cases SEED COUNT. sun_check.py asks an
// astronomy library.
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <random>

#include "services/fit/light.h"
#include "services/fit/sun.h"

namespace chockwise::fit {
namespace {

using Json = nlohmann::ordered_json;

Json Event(const std::optional<Instant>& event) {
  return event ? Json(event->micros()) : Json(nullptr);
}

void Case(std::mt19937_64& dice) {
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(dice);
  };
  const PlaceOnEarth place = {.latitude = Degrees(between(-90, 90)),
                              .longitude = Degrees(between(-180, 180))};
  // 2000-01-02 to 2099-12-30.
  const Instant when = Instant::FromMicros(
      std::uniform_int_distribution<int64_t>(946'771'200'000'000, 4'102'272'000'000'000)(dice));
  const SunPosition sun = SunAt(place, when).value();
  const SunDay day = SunDayAround(place, when).value();
  // Often toward the sun.
  const double toward = 90 - sun.azimuth.degrees();
  const Angle heading =
      Degrees(between(0, 1) < 0.6 ? toward + between(-40, 40) : between(-720, 720));
  const Light light =
      LightAt({.place = place, .when = when, .measured = std::nullopt, .leg_headings = {heading}})
          .value();
  const Json json = {{"heading", heading.degrees()},
                     {"off_sun", OffSun(sun, heading).degrees()},
                     {"glare", !light.glare.empty()},
                     {"latitude", place.latitude.degrees()},
                     {"longitude", place.longitude.degrees()},
                     {"when", when.micros()},
                     {"altitude", sun.altitude.degrees()},
                     {"apparent", sun.apparent_altitude.degrees()},
                     {"azimuth", sun.azimuth.degrees()},
                     {"noon", day.noon.micros()},
                     {"dawn", Event(day.dawn)},
                     {"rise", Event(day.rise)},
                     {"set", Event(day.set)},
                     {"dusk", Event(day.dusk)}};
  std::puts(json.dump().c_str());
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fputs("usage: sun_cases SEED COUNT\n", stderr);
    return 2;
  }
  std::mt19937_64 dice(std::strtoull(argv[1], nullptr, 10));
  for (int at = std::atoi(argv[2]); at > 0; --at) chockwise::fit::Case(dice);
  return 0;
}
