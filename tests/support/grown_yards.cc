#include "tests/support/grown_yards.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>

#include "services/yard/computations.h"

namespace chockwise::testing {
namespace {

[[noreturn]] void Die(const std::string& reason) {
  std::fprintf(stderr, "%s\n", reason.c_str());
  std::exit(1);
}

std::string FileText(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) Die("cannot read " + path);
  return {std::istreambuf_iterator<char>(file), {}};
}

/// A reading as fresh as the scenario's first.
yard::Measurement Measured(const yard::Yard& scenario, const std::string& subject,
                           const std::string& quantity, yard::MeasuredValue value) {
  return {.subject = subject,
          .quantity = quantity,
          .value = value,
          .as_written = "grown",
          .by = yard::PersonId("dov"),
          .when = scenario.measurements.all().front().when};
}

/// About north, swaying by a metre each way over 100 m.
yard::Position At(double along_m) {
  constexpr double kMetresADegree = 111'000;
  yard::Position at;
  at.latitude_deg = 20 + along_m / kMetresADegree;
  at.longitude_deg = -40 + std::sin(along_m / 16) / kMetresADegree;
  at.elevation_m = 10 + 0.3 * std::sin(along_m / 40);
  return at;
}

/// Its people, machines, readings and rules alone.
yard::Yard WithoutGround(const yard::Yard& scenario) {
  yard::Yard yard = scenario;
  yard.places.clear();
  yard.lanes.clear();
  yard.doors.clear();
  yard.hold_points.clear();
  yard.areas.clear();
  yard.overheads.clear();
  yard.obstacles.clear();
  return yard;
}

}  // namespace

yard::Yard ScenarioYard(const std::string& folder) {
  const yard::YardFiles files{.map_geojson = FileText(folder + "/map.geojson"),
                              .machines_csv = FileText(folder + "/machines.csv"),
                              .people_csv = FileText(folder + "/people.csv"),
                              .measurements_csv = FileText(folder + "/measurements.csv"),
                              .rules_txtpb = FileText(folder + "/rules.txtpb")};
  auto yard = yard::ReadYard(files, yard::BaseRulesText(), yard::KnownComputations());
  if (!yard) Die(yard.error().front().Text());
  return *yard;
}

yard::Yard LongWay(const yard::Yard& scenario, int length_m) {
  yard::Yard yard = WithoutGround(scenario);
  const yard::PlaceId start("start"), end("end");
  yard.places.emplace(start, yard::Place{.id = start, .position = At(0)});
  yard.places.emplace(end, yard::Place{.id = end, .position = At(length_m)});
  yard::Lane lane{
      .id = yard::LaneId("long-way"), .from = start, .to = end, .length = fit::InMetres(length_m)};
  for (int along_m = 0; along_m <= length_m; along_m += 5) lane.line.push_back(At(along_m));
  yard.lanes.emplace(lane.id, lane);
  std::vector<yard::Measurement> readings = scenario.measurements.all();
  const auto measure = [&](const std::string& subject, const char* quantity,
                           yard::MeasuredValue value) {
    readings.push_back(Measured(scenario, subject, quantity, value));
  };
  measure(lane.id.value(), "width", fit::Feet(30));
  measure(lane.id.value(), "grade", fit::Percent(4));
  measure(lane.id.value(), "rated-mass", fit::Pounds(200'000));
  measure("CA-901", "eye-height", fit::Feet(8));
  measure("CA-901", "eye-behind-front", fit::Feet(6));
  measure("CA-901", "eye-left-of-middle", fit::Feet(2));
  for (const char* side : {"front", "left", "right"})
    measure("CA-901", fmt::format("ground-seen-{}", side).c_str(), fit::Feet(11));
  for (int i = 1; i <= 3; ++i) {
    const yard::DoorId id(fmt::format("wide-door-{}", i));
    yard.doors.emplace(id, yard::Door{.id = id,
                                      .lane = lane.id,
                                      .position = At(0.25 * i * length_m),
                                      .along = fit::InMetres(0.25 * i * length_m)});
    measure(id.value(), "clear-height", fit::Feet(16));
    measure(id.value(), "clear-width", fit::Feet(20));
    measure(id.value(), "sill-height", fit::Inches(0.5));
  }
  yard.measurements = yard::Measurements(std::move(readings));
  return yard;
}

yard::Yard Crowded(const yard::Yard& scenario, const Crowd& crowd) {
  yard::Yard yard = scenario;
  const yard::Machine machine = *yard.FindMachine("EX-301");
  const yard::Door door = yard.doors.begin()->second;
  yard.machines.clear();
  yard.doors.clear();
  std::vector<yard::Measurement> readings;
  const auto copy_readings = [&](const std::string& of, const std::string& to,
                                 const std::string& with) {
    for (yard::Measurement reading : scenario.measurements.all()) {
      if (reading.subject != of) continue;
      reading.subject = to;
      reading.attachment = with;
      readings.push_back(std::move(reading));
    }
  };
  for (int i = 0; i < crowd.machines; ++i) {
    yard::Machine copy = machine;
    copy.id = yard::MachineId(fmt::format("M-{:04}", i));
    yard.machines.emplace(copy.id, copy);
    for (const char* with : {"bucket", "forks", "grapple"})
      copy_readings("EX-301", copy.id.value(), with);
  }
  for (int i = 0; i < crowd.doors; ++i) {
    yard::Door copy = door;
    copy.id = yard::DoorId(fmt::format("crowd-{}", i));
    yard.doors.emplace(copy.id, copy);
    copy_readings(door.id.value(), copy.id.value(), "");
  }
  yard.measurements = yard::Measurements(std::move(readings));
  return yard;
}

NetYard Net(const yard::Yard& scenario, size_t side) {
  NetYard net{.yard = WithoutGround(scenario), .end = {}};
  std::vector<yard::Measurement> readings = scenario.measurements.all();
  const auto measure = [&](const std::string& subject, const std::string& quantity,
                           yard::MeasuredValue value) {
    readings.push_back(Measured(scenario, subject, quantity, value));
  };
  const auto place = [&](size_t number) { return yard::PlaceId(fmt::format("cross-{}", number)); };
  const auto at = [&](size_t number) {
    constexpr double kSpacingDeg = 30 / 111'000.0;  // room for its corners
    return yard::Position{.longitude_deg = -40 + kSpacingDeg * static_cast<double>(number % side),
                          .latitude_deg = 20 + kSpacingDeg * static_cast<double>(number / side),
                          .elevation_m = 10};
  };
  const fit::RouteQuestion question = SquareNet(side);
  for (size_t number = 0; number < question.places; ++number)
    net.yard.places[place(number)] = {.id = place(number), .position = at(number)};
  size_t lanes = 0;
  for (const fit::RouteLane& lane : question.lanes) {
    const yard::LaneId id(lane.id);
    net.yard.lanes[id] = {.id = id,
                          .from = place(lane.from),
                          .to = place(lane.to),
                          .line = {at(lane.from), at(lane.to)},
                          .length = lane.length};
    measure(lane.id, "width", *lane.clear_width);
    measure(lane.id, "grade", *lane.steepest);
    measure(lane.id, "rated-mass", *lane.rated_load);
    if (++lanes % 10 != 0) continue;
    const yard::DoorId door("door-of-" + lane.id);
    net.yard.doors[door] = {.id = door, .lane = id, .along = 0.5 * lane.length};
    measure(door.value(), "clear-height", *lane.clear_height);
    measure(door.value(), "clear-width", fit::Feet(24));  // it swings out behind a corner
    measure(door.value(), "sill-height", fit::Inches(0.5));
  }
  net.yard.measurements = yard::Measurements(std::move(readings));
  net.end = place(question.to);
  return net;
}

fit::RouteQuestion SquareNet(size_t side) {
  fit::RouteQuestion question{.places = side * side,
                              .needs = {.height = fit::Feet(13.5),
                                        .width = fit::Feet(9),
                                        .turn_radius = fit::Feet(41),
                                        .turn_radius_reversing = fit::Feet(38),
                                        .length = fit::Feet(30),
                                        .most_grade = fit::Percent(10),
                                        .load = fit::Pounds(60'000)}};
  const auto end = [&](size_t at, size_t other) {
    constexpr double kApartM = 20;
    const auto x = [&](size_t place) { return kApartM * static_cast<double>(place % side); };
    const auto y = [&](size_t place) { return kApartM * static_cast<double>(place / side); };
    return fit::LaneEnd{.at = {x(at), y(at)},
                        .leaves = {(x(other) - x(at)) / kApartM, (y(other) - y(at)) / kApartM},
                        .straight = fit::InMetres(kApartM)};
  };
  const auto add = [&](size_t from, size_t to, double length_m) {
    question.lanes.push_back({.id = fmt::format("lane-{}-{}", from, to),
                              .from = from,
                              .to = to,
                              .length = fit::InMetres(length_m),
                              .clear_height = fit::Feet(14),
                              .clear_width = fit::Feet(12),
                              .bend_radius = fit::Feet(60),
                              .steepest = fit::Percent(5),
                              .rated_load = fit::Pounds(80'000),
                              .at_from = end(from, to),
                              .at_to = end(to, from)});
  };
  for (size_t at = 0; at < side * side; ++at) {
    const double length_m = 20 + static_cast<double>((at * 7919) % 13);
    if (at % side + 1 < side) add(at, at + 1, length_m);
    if (at + side < side * side) add(at, at + side, length_m);
  }
  question.to = question.places - 1;
  return question;
}

}  // namespace chockwise::testing
