// Random places and times with where our sun stands and what its day brings, one JSON object a
// line, and whether it blinds a driver on some heading: sun_cases SEED COUNT. sun_check.py asks an
// astronomy library.
#include "services/fit/light.h"
#include "services/fit/sun.h"
#include "tests/second_opinion/cases.h"

namespace chockwise::fit {
namespace {

Json Event(const std::optional<Instant>& event) {
  return event ? Json(event->micros()) : Json(nullptr);
}

void Case(Dice& dice) {
  const PlaceOnEarth place = {.latitude = Degrees(dice.Between(-90, 90)),
                              .longitude = Degrees(dice.Between(-180, 180))};
  // 2000-01-02 to 2099-12-30.
  const Instant when =
      Instant::FromMicros(dice.Whole<int64_t>(946'771'200'000'000, 4'102'272'000'000'000));
  const SunPosition sun = SunAt(place, when).value();
  const SunDay day = SunDayAround(place, when).value();
  // Often toward the sun.
  const double toward = 90 - sun.azimuth.degrees();
  const Angle heading =
      Degrees(dice.Between(0, 1) < 0.6 ? toward + dice.Between(-40, 40) : dice.Between(-720, 720));
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
  Print(json);
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  return chockwise::fit::DrawCases(argc, argv, chockwise::fit::Case);
}
