// How long the computations take and how they grow: a whole plan over a long way, the nightly
// register, the search for a route, the way of a new move, the spotter's place, the gates of one
// move. Medians of repetitions with --benchmark_repetitions; the last argument is the scenario's
// yard.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "services/moves/kept_findings.h"
#include "services/survey/fit_register.h"
#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/seeing.h"
#include "services/survey/survey.h"
#include "tests/moves/story/story.h"
#include "tests/support/grown_yards.h"

namespace chockwise::bench {
namespace {

using testing::Crowded;
using testing::LongWay;
using testing::SquareNet;

// 2026-11-24T12:00:00Z: after the scenario's newest reading.
constexpr fit::Instant kNow = fit::Instant::FromMicros(1'795'521'600'000'000);

survey::Asked Asked(const yard::Yard& yard) {
  return {.yard = yard, .when = {.now = kNow, .max_age = fit::Days(400)}};
}

template <class T>
const T& Must(const survey::Outcome<T>& outcome) {
  if (outcome) return *outcome;
  std::fprintf(stderr, "%s\n", outcome.error().Text().c_str());
  std::exit(1);
}

const survey::Trip kLowboy = {.machine = yard::MachineId("CA-901"),
                              .from = yard::PlaceId("start"),
                              .to = yard::PlaceId("end")};

/// Overhead and belly over the whole way, the route looked for first.
void Ride(benchmark::State& state, const yard::Yard& scenario) {
  const yard::Yard yard = LongWay(scenario, static_cast<int>(state.range(0)));
  for (auto _ : state)
    benchmark::DoNotOptimize(Must(survey::RideOf(Asked(yard), kLowboy, fit::Travel::kForwards)));
  state.SetComplexityN(state.range(0));
}

/// The swept ground against all jambs, in steps of 2 in.
void Path(benchmark::State& state, const yard::Yard& scenario) {
  const yard::Yard yard = LongWay(scenario, static_cast<int>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(Must(survey::DriveOf(Asked(yard), kLowboy, {})));
  state.SetComplexityN(state.range(0));
}

/// What the driver of the combination cannot see at as many steps of its way as a spotter's place
/// is asked for, each on the yard's ground.
std::vector<fit::Ring> BlindAlong(const survey::Asked& asked, const survey::DrivenWay& way) {
  constexpr size_t kSteps = 200;
  survey::Readings readings(asked.yard, asked.when);
  const auto seen =
      survey::Sight(readings, *asked.yard.FindMachine(kLowboy.machine.value()), {}, way);
  const survey::DriverSight& sight = Must(seen);
  const fit::UnitMotion& unit = way.swept.driven.units[sight.unit];
  const size_t stride = std::max<size_t>(1, unit.frames.size() / kSteps);
  std::vector<fit::Ring> rings;
  for (const fit::BlindZone& zone : sight.zones) {
    const fit::Ring of_machine = BlindRing(zone);
    for (size_t step = 0; step < unit.frames.size(); step += stride) {
      const fit::Pose pose = PoseOf(unit.frames[step]);
      fit::Ring& ring = rings.emplace_back();
      for (const fit::Point point : of_machine)
        ring.push_back(FromPose(pose, point.x_m, point.y_m));
    }
  }
  return rings;
}

/// The route is searched, and its way ridden and driven with all margins as the search does; what
/// the driver cannot see is laid along it.
void WholePlan(benchmark::State& state, const yard::Yard& scenario) {
  const yard::Yard yard = LongWay(scenario, static_cast<int>(state.range(0)));
  const survey::Asked asked = Asked(yard);
  for (auto _ : state) {
    const auto searched = survey::SearchOf(asked, kLowboy, {});
    if (!Must(searched).found.route) std::exit(1);
    for (const survey::ProvenStretch& stretch : searched->proven)
      benchmark::DoNotOptimize(BlindAlong(asked, stretch.driven));
  }
  state.SetComplexityN(state.range(0));
}

void Register(benchmark::State& state, const yard::Yard& scenario) {
  const int machines = static_cast<int>(state.range(0));
  const yard::Yard yard = Crowded(scenario, {.machines = machines, .doors = 40});
  for (auto _ : state)
    benchmark::DoNotOptimize(survey::RegisterOf(Asked(yard), [](survey::Progress) {}));
  state.counters["rows"] = 120.0 * machines;
  state.SetComplexityN(state.range(0));
}

void Search(benchmark::State& state, bool fits) {
  fit::RouteQuestion question = SquareNet(static_cast<size_t>(state.range(0)));
  if (!fits) {
    for (fit::RouteLane& lane : question.lanes)
      if (lane.to == question.to) lane.clear_height = fit::Feet(13);
  }
  for (auto _ : state) benchmark::DoNotOptimize(fit::SearchRoute(question));
  state.counters["lanes"] = static_cast<double>(question.lanes.size());
  state.SetComplexityN(static_cast<benchmark::IterationCount>(question.lanes.size()));
}

/// What asking for a move costs the yard's writer: the readings of all lanes, and the way.
void WayOfMove(benchmark::State& state, const yard::Yard& scenario) {
  const testing::NetYard net = testing::Net(scenario, static_cast<size_t>(state.range(0)));
  const survey::Trip trip = {
      .machine = yard::MachineId("ST-104"), .from = yard::PlaceId("cross-0"), .to = net.end};
  for (auto _ : state) {
    const auto searched = survey::SearchOf(Asked(net.yard), trip, {});
    if (!Must(searched).found.route) std::exit(1);
    const auto by = survey::LanesOf(*searched, *searched->found.route);
    benchmark::DoNotOptimize(net.yard.RouteBy(trip.from, by));
  }
  state.counters["lanes"] = static_cast<double>(net.yard.lanes.size());
  state.SetComplexityN(static_cast<benchmark::IterationCount>(net.yard.lanes.size()));
}

void SpotterPlace(benchmark::State& state, const yard::Yard& scenario) {
  const survey::Trip trip = {.machine = yard::MachineId("TH-201"),
                             .from = yard::PlaceId("s2-bay-1"),
                             .to = yard::PlaceId("yard-cross")};
  for (auto _ : state) benchmark::DoNotOptimize(Must(survey::SeeOf(Asked(scenario), trip, {})));
}

/// What one move of the demo yard waits for before its start, as a screen, a list or a tick asks:
/// found anew, or kept from the time before.
enum class Finding { kAnew, kKept };
void Gates(benchmark::State& state, Finding finding) {
  moves::Story story = moves::Story::Full();
  const moves::MoveNumber number = story.Ask({.kind = "machine-through-door",
                                              .machine = "TH-201",
                                              .to = "wash-pad",
                                              .driver = "odo",
                                              .spotter = "mika"});
  moves::YardState yard = story.state();
  for (auto _ : state) {
    if (finding == Finding::kAnew)
      yard.kept_findings = std::make_shared<moves::KeptFindings>(yard.yard);
    benchmark::DoNotOptimize(EvaluatePhase(yard, story.move(number), v1::PHASE_START, story.now()));
  }
}

void Measure(const yard::Yard& scenario) {
  using benchmark::kMicrosecond;
  using benchmark::kMillisecond;
  using benchmark::RegisterBenchmark;
  const auto by_length = [&](const char* name, auto function) {
    RegisterBenchmark(name, function, scenario)
        ->Arg(75)
        ->Arg(150)
        ->Arg(300)
        ->Arg(600)
        ->Unit(kMillisecond)
        ->Complexity();
  };
  by_length("ride/metres", Ride);
  by_length("path/metres", Path);
  by_length("whole_plan/metres", WholePlan);
  RegisterBenchmark("register/machines", Register, scenario)
      ->Arg(50)
      ->Arg(100)
      ->Arg(200)
      ->Unit(kMillisecond)
      ->Complexity();
  for (const bool fits : {true, false}) {
    RegisterBenchmark(fits ? "route_found/side" : "route_what_must_change/side", Search, fits)
        ->Arg(36)
        ->Arg(71)
        ->Arg(142)
        ->Unit(kMillisecond)
        ->Complexity();
  }
  RegisterBenchmark("way_of_move/side", WayOfMove, scenario)
      ->Arg(16)
      ->Arg(32)
      ->Arg(48)
      ->Unit(kMillisecond)
      ->Complexity();
  RegisterBenchmark("spotter_place", SpotterPlace, scenario)->Unit(kMillisecond);
  RegisterBenchmark("gates_anew", Gates, Finding::kAnew)->Unit(kMicrosecond);
  RegisterBenchmark("gates_kept", Gates, Finding::kKept)->Unit(kMicrosecond);
}

}  // namespace
}  // namespace chockwise::bench

int main(int argc, char** argv) {
  benchmark::Initialize(&argc, argv);
  if (argc != 2) {
    std::fprintf(stderr, "usage: fit_bench [--benchmark_...] YARD\n");
    return 2;
  }
  chockwise::bench::Measure(chockwise::testing::ScenarioYard(argv[1]));
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
