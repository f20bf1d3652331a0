#include "services/survey/machines.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/survey/answers.h"
#include "services/survey/train.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

NoAnswer Off(const yard::Machine& machine, std::string input, std::string problem,
             std::string right) {
  return {.sort = NoAnswer::Sort::kUnusable,
          .input = fmt::format("{} of {}", input, machine.id.value()),
          .problem = std::move(problem),
          .right = std::move(right)};
}

std::string Shown(Metres length) {
  return Text(length, fit::UnitSystem::kUs, fit::Rounding::kDown);
}

/// What every unit of a machine is made from.
struct Measures {
  Metres length, height, front_overhang, wheelbase;
  std::optional<Metres> coupling_offset, coupling_to_axle, trailer_front, trailer_rear;
};

Outcome<Measures> Measure(Readings& readings, const yard::Machine& machine) {
  const std::string& id = machine.id.value();
  Measures m;
  const auto whole = ReadAll<Metres>(readings, {{id, "carried-length", &m.length},
                                                {id, "carried-height", &m.height},
                                                {id, "front-overhang", &m.front_overhang},
                                                {id, "wheelbase", &m.wheelbase}});
  if (!whole) return tl::unexpected(whole.error());
  const auto own = ToAxleOfOwnTrailer(readings, machine);
  if (!own) return tl::unexpected(own.error());
  m.coupling_to_axle = *own;
  if (m.coupling_to_axle) {
    const std::pair<const char*, std::optional<Metres>*> of_trailer[] = {
        {"coupling-offset", &m.coupling_offset},
        {"trailer-front-overhang", &m.trailer_front},
        {"trailer-rear-overhang", &m.trailer_rear}};
    for (const auto& [quantity, into] : of_trailer) {
      const auto value = readings.Of<Metres>(id, quantity);
      if (!value) return tl::unexpected(value.error());
      *into = *value;
    }
    const Metres whole_length =
        m.front_overhang + m.wheelbase - *m.coupling_offset + *m.coupling_to_axle + *m.trailer_rear;
    if (auto agrees = LengthAgrees(machine, m.length, whole_length); !agrees)
      return tl::unexpected(agrees.error());
  } else if (m.front_overhang + m.wheelbase > m.length) {
    return tl::unexpected(
        Off(machine, "wheelbase",
            fmt::format("is {}, and with the front overhang of {} that is more "
                        "than the carried length of {}",
                        Shown(m.wheelbase), Shown(m.front_overhang), Shown(m.length)),
            "measure the three again"));
  }
  return m;
}

/// Both tapes touched the same point; a hand's breadth between them is somebody's slip.
constexpr Metres kSamePoint = fit::Inches(1);
bool AreOnePoint(Metres a, Metres b) { return a <= b + kSamePoint && b <= a + kSamePoint; }

/// Readings along the outline from end to end: what stands at the first and last goes on to the
/// ends.
Outcome<std::vector<fit::OutlinePoint>> Stretched(const yard::Machine& machine,
                                                  const char* quantity,
                                                  const std::vector<Readings::Spot>& spots,
                                                  Metres length) {
  std::vector<fit::OutlinePoint> outline;
  if (spots.front().at > Metres()) outline.push_back({Metres(), spots.front().value});
  for (const Readings::Spot& spot : spots) {
    if (spot.at > length + kSamePoint) {
      return tl::unexpected(Off(machine, quantity,
                                fmt::format("was read {} behind its front, and it is {} long",
                                            Shown(spot.at), Shown(length)),
                                "measure both again as it will travel"));
    }
    outline.push_back({std::min(spot.at, length), spot.value});
  }
  if (outline.back().behind_front < length) outline.push_back({length, outline.back().height});
  return outline;
}

std::vector<fit::OutlinePoint> Flat(Metres from, Metres to, Metres height) {
  return {{from, height}, {to, height}};
}

/// As long and as high as it was taped.
struct Extent {
  Metres length, height;
};

Outcome<std::vector<fit::OutlinePoint>> TopOf(Readings& readings, const yard::Machine& machine,
                                              const Extent& m) {
  const auto spots = readings.Along(machine.id.value(), "outline-height");
  if (!spots) return tl::unexpected(spots.error());
  if (spots->empty()) return Flat(Metres(), m.length, m.height);
  const auto highest = std::ranges::max_element(*spots, {}, &Readings::Spot::value);
  if (!AreOnePoint(highest->value, m.height)) {
    return tl::unexpected(
        Off(machine, "outline-height",
            fmt::format("reaches {}, and the carried height is {}", Shown(highest->value),
                        Shown(m.height)),
            "measure both again as it will travel: the highest point is in both"));
  }
  return Stretched(machine, "outline-height", *spots, m.length);
}

Outcome<std::vector<fit::OutlinePoint>> BellyOf(Readings& readings, const yard::Machine& machine,
                                                Metres length) {
  const std::string& id = machine.id.value();
  const auto spots = readings.Along(id, "belly-clearance");
  if (!spots) return tl::unexpected(spots.error());
  if (spots->empty()) {
    const auto lowest = readings.Of<Metres>(id, "belly-clearance");
    if (!lowest) return tl::unexpected(lowest.error());
    return Flat(Metres(), length, *lowest);
  }
  const auto lowest = readings.IfThere<Metres>(id, "belly-clearance");
  if (!lowest) return tl::unexpected(lowest.error());
  const auto least = std::ranges::min_element(*spots, {}, &Readings::Spot::value);
  // Spots that miss the lowest point say nothing of it. A lower one is the newer truth, and counts.
  if (*lowest && least->value > **lowest + kSamePoint) {
    return tl::unexpected(
        Off(machine, "belly-clearance",
            fmt::format("is {} at its lowest of all, and {} at the lowest of its spots",
                        Shown(**lowest), Shown(least->value)),
            "measure both again: the lowest point is in both"));
  }
  return Stretched(machine, "belly-clearance", *spots, length);
}

/// Between two places no higher than `most`. A chord between clamped points is never above what it
/// stands for.
void Lower(std::vector<fit::OutlinePoint>& outline, Metres from, Metres to, Metres most) {
  const auto cut = [&](Metres at) {
    const auto next = std::ranges::find_if(
        outline, [&](const fit::OutlinePoint& point) { return point.behind_front >= at; });
    if (next == outline.end() || next == outline.begin() || next->behind_front == at) return;
    const fit::OutlinePoint before = *(next - 1);
    const double share = (at - before.behind_front) / (next->behind_front - before.behind_front);
    outline.insert(next, {at, before.height + share * (next->height - before.height)});
  };
  cut(from);
  cut(to);
  for (fit::OutlinePoint& point : outline) {
    if (point.behind_front >= from && point.behind_front <= to)
      point.height = std::min(point.height, most);
  }
}

/// What hangs lower ahead of the front axle or behind the rear one, where somebody taped it there.
Outcome<void> LowerEnds(Readings& readings, const std::string& id, const Measures& m,
                        std::vector<fit::OutlinePoint>& outline) {
  const auto nose = readings.IfThere<Metres>(id, "nose-clearance");
  if (!nose) return tl::unexpected(nose.error());
  if (*nose && m.front_overhang > Metres()) Lower(outline, Metres(), m.front_overhang, **nose);
  if (m.coupling_to_axle) return {};
  const auto tail = readings.IfThere<Metres>(id, "tail-clearance");
  if (!tail) return tl::unexpected(tail.error());
  const Metres rear = m.front_overhang + m.wheelbase;
  if (*tail && rear < m.length) Lower(outline, rear, m.length, **tail);
  return {};
}

Outcome<Metres> WheelRadius(Readings& readings, const yard::Machine& machine) {
  const auto radius = readings.Of<Metres>(machine.id.value(), "wheel-radius");
  if (!radius) return tl::unexpected(radius.error());
  return *radius;
}

fit::AxleGroup AxleAt(Metres behind_front, Metres wheel_radius) {
  return {.behind_front = behind_front, .wheel_radius = wheel_radius};
}

Outcome<fit::RidingMachine> OneUnit(Readings& readings, const yard::Machine& machine,
                                    const Measures& m) {
  const auto top = TopOf(readings, machine, {.length = m.length, .height = m.height});
  if (!top) return tl::unexpected(top.error());
  auto bottom = BellyOf(readings, machine, m.length);
  if (!bottom) return tl::unexpected(bottom.error());
  if (auto ends = LowerEnds(readings, machine.id.value(), m, *bottom); !ends)
    return tl::unexpected(ends.error());
  fit::RidingUnit unit{.id = machine.id.value(), .top = *top, .bottom = *bottom};
  const Metres front = m.front_overhang, rear = m.front_overhang + m.wheelbase;
  if (machine.steering == yard::Steering::kTracks) {
    const auto centre = readings.Of<Metres>(machine.id.value(), "centre-behind-front");
    if (!centre) return tl::unexpected(centre.error());
    const auto high = readings.Of<Metres>(machine.id.value(), "centre-height");
    if (!high) return tl::unexpected(high.error());
    unit.tracks = fit::Tracks{.front_end = front,
                              .rear_end = rear,
                              .centre_of_mass = *centre,
                              .centre_of_mass_high = *high};
  } else {
    const auto radius = WheelRadius(readings, machine);
    if (!radius) return tl::unexpected(radius.error());
    unit.groups = {AxleAt(front, *radius), AxleAt(rear, *radius)};
  }
  return fit::RidingMachine{.units = {std::move(unit)}};
}

/// Tractor and semitrailer. The trailer's deck carries the height; the tractor is taken as high and
/// as low, which is careful for both.
Outcome<fit::RidingMachine> Combination(Readings& readings, const yard::Machine& machine,
                                        const Measures& m) {
  const std::string& id = machine.id.value();
  const auto radius = WheelRadius(readings, machine);
  if (!radius) return tl::unexpected(radius.error());
  const auto hitch_height = readings.Of<Metres>(id, "coupling-height");
  if (!hitch_height) return tl::unexpected(hitch_height.error());
  const auto lead_rear = readings.Of<Metres>(id, "lead-rear-overhang");
  if (!lead_rear) return tl::unexpected(lead_rear.error());
  const Metres rear_axle = m.front_overhang + m.wheelbase;
  auto lead_bottom = BellyOf(readings, machine, rear_axle + *lead_rear);
  if (!lead_bottom) return tl::unexpected(lead_bottom.error());
  if (auto ends = LowerEnds(readings, id, m, *lead_bottom); !ends)
    return tl::unexpected(ends.error());
  const auto trailer_belly = readings.Of<Metres>(id, "trailer-belly-clearance");
  if (!trailer_belly) return tl::unexpected(trailer_belly.error());

  const Metres kingpin = *m.trailer_front, axle = kingpin + *m.coupling_to_axle;
  const Metres trailer_length = axle + *m.trailer_rear;
  fit::RidingUnit lead{
      .id = id,
      .groups = {AxleAt(m.front_overhang, *radius), AxleAt(rear_axle, *radius)},
      .next_hangs_at = fit::Coupling{rear_axle - *m.coupling_offset, *hitch_height},
      .top = Flat(Metres(), rear_axle + *lead_rear, m.height),
      .bottom = *lead_bottom};
  fit::RidingUnit trailer{.id = id + " trailer",
                          .groups = {AxleAt(axle, *radius)},
                          .coupled_by = fit::Coupling{kingpin, *hitch_height},
                          .top = Flat(Metres(), trailer_length, m.height),
                          .bottom = Flat(Metres(), trailer_length, *trailer_belly)};
  return fit::RidingMachine{.units = {std::move(lead), std::move(trailer)}};
}

/// Hangs what the machine's row tows behind its last unit, each where the one before it says.
Outcome<void> AddTowed(Readings& readings, const yard::Machine& machine,
                       fit::RidingMachine& riding) {
  const auto towed = TowedUnits(readings, machine);
  if (!towed) return tl::unexpected(towed.error());
  for (const TowedUnit& one : *towed) {
    const std::string& id = one.machine->id.value();
    Metres height, radius, hitch_height;
    const auto read = ReadAll<Metres>(readings, {{id, "carried-height", &height},
                                                 {id, "wheel-radius", &radius},
                                                 {id, "coupling-height", &hitch_height}});
    if (!read) return tl::unexpected(read.error());
    auto top = TopOf(readings, *one.machine, {.length = one.length(), .height = height});
    if (!top) return tl::unexpected(top.error());
    auto bottom = BellyOf(readings, *one.machine, one.length());
    if (!bottom) return tl::unexpected(bottom.error());
    fit::RidingUnit& before = riding.units.back();
    const Metres axle = before.tracks ? before.tracks->rear_end : before.groups.back().behind_front;
    // Coupled, eye and hitch are one point: the unit's own reading is the height of both.
    before.next_hangs_at = fit::Coupling{axle + one.hitch_behind, hitch_height};
    riding.units.push_back({.id = id,
                            .groups = {AxleAt(one.front + one.to_axle, radius)},
                            .coupled_by = fit::Coupling{one.front, hitch_height},
                            .top = *std::move(top),
                            .bottom = *std::move(bottom)});
  }
  return {};
}

}  // namespace

Outcome<void> LengthAgrees(const yard::Machine& machine, Metres carried, Metres parts) {
  constexpr Metres kTapes = fit::Inches(6);  // of five tapes, past wheels and over a gooseneck
  if (carried <= parts + kTapes && parts <= carried + kTapes) return {};
  return tl::unexpected(
      Off(machine, "carried-length",
          fmt::format("is {}, and its parts from the front to the trailer's end are {}",
                      Shown(carried), Shown(parts)),
          "measure the length, the overhangs, the wheelbase and the coupling again"));
}

Outcome<std::optional<Metres>> ToAxleOfOwnTrailer(Readings& readings,
                                                  const yard::Machine& machine) {
  const std::string& id = machine.id.value();
  auto to_axle = readings.IfThere<Metres>(id, "coupling-to-axle");
  if (!to_axle) return tl::unexpected(to_axle.error());
  if (*to_axle) return *to_axle;
  for (const char* quantity : {"coupling-offset", "trailer-front-overhang", "trailer-rear-overhang",
                               "lead-rear-overhang", "trailer-belly-clearance"}) {
    const auto of_trailer = readings.IfThere<Metres>(id, quantity);
    if (!of_trailer) return tl::unexpected(of_trailer.error());
    if (!*of_trailer) continue;
    const auto needed = readings.Of<Metres>(id, "coupling-to-axle");
    return tl::unexpected(needed.error());
  }
  return std::nullopt;
}

Outcome<yard::Steering> SteeringOf(const yard::Machine& machine) {
  if (auto alone = HangsBehindNone(machine); !alone) return tl::unexpected(alone.error());
  if (machine.steering) return *machine.steering;
  return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnknown,
                                 .input = "steering of " + machine.id.value(),
                                 .problem = "is unknown: the register does not say",
                                 .right = "fill the column \"steering\" in machines.csv"});
}

Outcome<bool> OnTracks(const yard::Machine& machine) {
  const auto steering = SteeringOf(machine);
  if (!steering) return tl::unexpected(steering.error());
  return *steering == yard::Steering::kTracks;
}

Outcome<fit::Metres> BounceOf(const yard::Machine& machine) {
  const auto tracks = OnTracks(machine);
  if (!tracks) return tl::unexpected(tracks.error());
  return *tracks ? fit::kBounceOnTracks : fit::kBounceOnTyres;
}

Outcome<fit::RidingMachine> Riding(Readings& readings, const yard::Machine& machine) {
  const auto steering = SteeringOf(machine);
  if (!steering) return tl::unexpected(steering.error());
  if (*steering == yard::Steering::kCrab) {
    return tl::unexpected(
        NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                 .input = machine.id.value(),
                 .problem = "steers by crab: its ride over the lanes is not computed so",
                 .right = "look at sills, crests and headers on foot"});
  }
  const auto measures = Measure(readings, machine);
  if (!measures) return tl::unexpected(measures.error());
  auto riding = measures->coupling_to_axle ? Combination(readings, machine, *measures)
                                           : OneUnit(readings, machine, *measures);
  if (!riding) return riding;
  if (auto added = AddTowed(readings, machine, *riding); !added)
    return tl::unexpected(added.error());
  return riding;
}

}  // namespace chockwise::survey
