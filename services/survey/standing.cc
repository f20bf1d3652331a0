#include "services/survey/standing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "services/fit/kinematics.h"
#include "services/fit/planar.h"
#include "services/fit/standing.h"
#include "services/survey/answers.h"
#include "services/survey/braked.h"
#include "services/survey/left_free.h"
#include "services/survey/machines.h"
#include "services/survey/train.h"
#include "services/survey/way.h"

namespace chockwise::survey {
namespace {

using fit::Kilograms;
using fit::Metres;

/// What counts as level: a yard drains. Default: the safety lead's to set.
constexpr fit::Grade kLevelTo = fit::Percent(3);

/// The machine at its place with what every part needs.
struct Parked {
  const yard::Machine& machine;
  const yard::Place& place;
  bool on_tracks = false;
  double friction = 0;        // of its tyres or tracks
  double chock_friction = 0;  // of a chock: as of a tyre
};

/// The steepest in any direction, of the place's two slopes.
Outcome<fit::Grade> SteepestOf(Readings& readings, const Parked& parked, Lean lean) {
  const std::string& place = parked.place.id.value();
  const auto along = readings.Of<fit::Grade>(place, "long-slope");
  if (!along) return tl::unexpected(along.error());
  const auto across = readings.Of<fit::Grade>(place, "cross-slope");
  if (!across) return tl::unexpected(across.error());
  return fit::RiseOverRun(std::hypot(IfMoreIsWorse(*along, lean).rise_over_run(),
                                     IfMoreIsWorse(*across, lean).rise_over_run()));
}

Outcome<Part> BrakePart(Readings& readings, const Parked& parked, fit::UnitSystem units,
                        Lean lean) {
  const std::string& id = parked.machine.id.value();
  const auto slope = SteepestOf(readings, parked, lean);
  if (!slope) return tl::unexpected(slope.error());
  const auto mass = readings.Of<Kilograms>(id, "mass");
  if (!mass) return tl::unexpected(mass.error());
  const auto wheels = BrakedWheelsOf(readings, id, lean);
  if (!wheels) return tl::unexpected(wheels.error());
  const auto holds = readings.Of<fit::Grade>(id, "parking-brake-grade");
  if (!holds) return tl::unexpected(holds.error());
  const auto judged = fit::JudgeHold({.grade = *slope,
                                      .friction = parked.friction,
                                      .wheels = *wheels,
                                      .weight = *mass,
                                      .brake_holds = IfLessIsWorse(*holds, lean)});
  if (!judged) return tl::unexpected(NoAnswerOf(judged.error(), id));
  return Part{.verdict = judged->verdict,
              .used = judged->grade / judged->holds_to,
              .line = DriversLine(*judged, units),
              .spare = fit::SpareOf(judged->margin)};
}

/// A trial counts on ground that grips as well as what is wet: not on snow and ice.
Outcome<std::optional<fit::Grade>> TriedOn(Readings& readings, const Parked& parked, Lean lean) {
  const auto tried = readings.IfThere<fit::Grade>(parked.machine.id.value(), "chock-grade");
  if (!tried) return tl::unexpected(tried.error());
  const double wet = fit::PlanningFriction(fit::Surface::kWetUnknown, fit::Running::kTruckTyres);
  if (!*tried || parked.chock_friction < wet) return std::nullopt;
  return std::optional<fit::Grade>(IfLessIsWorse(**tried, lean));
}

/// Of what it may take, by what its verdict rests on.
double UsedOf(const fit::ChockHold& chock) {
  constexpr double kMost = 1'000;
  switch (chock.proof) {
    case fit::ChockProof::kTrial:
      return chock.grade / *chock.tried_on;
    case fit::ChockProof::kShape:
      return chock.demand * fit::kHoldReserve / chock.holds;
    case fit::ChockProof::kNone:
      return std::min(kMost, std::max(1.0, chock.demand / chock.to_climb));
  }
  return kMost;
}

/// Of what its verdict rests on.
fit::Spare SpareOf(const fit::ChockHold& chock) {
  switch (chock.proof) {
    case fit::ChockProof::kTrial:
      return fit::SpareOf(*chock.tried_on - chock.grade);
    case fit::ChockProof::kShape:
      return {.value = chock.holds / fit::kHoldReserve - chock.demand, .unit = "1"};
    case fit::ChockProof::kNone:
      return {.value = chock.to_climb - chock.demand, .unit = "1"};
  }
  return {};
}

/// Against the machine a contact may be both lower, which is climbed, and higher, which slides.
Outcome<Part> ChockPart(Readings& readings, const Parked& parked, fit::UnitSystem units,
                        Lean lean) {
  const std::string& id = parked.machine.id.value();
  const auto slope = SteepestOf(readings, parked, lean);
  if (!slope) return tl::unexpected(slope.error());
  const auto radius = readings.Of<Metres>(id, "wheel-radius");
  if (!radius) return tl::unexpected(radius.error());
  const auto contact = readings.Of<Metres>(id, "chock-contact-height");
  if (!contact) return tl::unexpected(contact.error());
  const auto wheels = ChockedWheelsOf(readings, id, lean);
  if (!wheels) return tl::unexpected(wheels.error());
  const auto tried = TriedOn(readings, parked, lean);
  if (!tried) return tl::unexpected(tried.error());
  std::vector<Part> ends;
  for (const double sign : {-1.0, 1.0}) {
    if (lean == Lean::kInFavour && sign < 0) continue;
    const auto judged = fit::JudgeChock({.diameter = 2 * OffBy(*radius, -sign),
                                         .contact_height = OffBy(*contact, sign),
                                         .chock_friction = parked.chock_friction,
                                         .grade = *slope,
                                         .chocked = *wheels,
                                         .tried_on = *tried});
    if (!judged) return tl::unexpected(NoAnswerOf(judged.error(), id));
    ends.push_back({.verdict = judged->verdict,
                    .used = UsedOf(*judged),
                    .line = DriversLine(*judged, units),
                    .spare = SpareOf(*judged)});
  }
  WorstOf(ends);
  return ends.front();
}

/// No chock is tried under tracks, so on a grade somebody has to see what holds them besides the
/// brake: 30 CFR 56.14207.
Outcome<std::optional<Part>> TracksPart(Readings& readings, const Parked& parked,
                                        fit::UnitSystem units) {
  const auto slope = SteepestOf(readings, parked, Lean::kAsRead);
  if (!slope) return tl::unexpected(slope.error());
  if (*slope <= kLevelTo) return std::nullopt;
  return Part{.verdict = fit::Verdict::kUndecided,
              .used = 1,
              .line = fmt::format("CHOCK THE TRACKS or turn them into a bank: grade {}",
                                  Text(*slope, units, fit::Rounding::kUp))};
}

Outcome<Part> TipPart(Readings& readings, const Parked& parked, fit::UnitSystem units, Lean lean) {
  const std::string& id = parked.machine.id.value();
  const auto slope = SteepestOf(readings, parked, lean);
  if (!slope) return tl::unexpected(slope.error());
  const auto stance = readings.Of<Metres>(id, "stance-width");
  if (!stance) return tl::unexpected(stance.error());
  const auto high = readings.Of<Metres>(id, "centre-height");
  if (!high) return tl::unexpected(high.error());
  const auto judged = fit::JudgeSideTip({.track = IfLessIsWorse(*stance, lean),
                                         .centre_height = IfMoreIsWorse(*high, lean),
                                         .cross_slope = *slope});
  if (!judged) return tl::unexpected(NoAnswerOf(judged.error(), id));
  const double allowed = judged->tips_at_g / fit::kSideReserve;
  return Part{.verdict = judged->verdict,
              .used = std::tan(judged->demand.radians()) / allowed,
              .line = DriversLine(*judged, units),
              .spare = fit::SpareOf(judged->margin)};
}

/// The ground that it covers, its middle over the place.
Outcome<fit::Region> Footprint(Readings& readings, const Parked& parked,
                               const std::optional<fit::Angle>& bearing) {
  const std::string& id = parked.machine.id.value();
  const auto length = readings.Of<Metres>(id, "carried-length");
  if (!length) return tl::unexpected(length.error());
  const auto width = readings.Of<Metres>(id, "carried-width");
  if (!width) return tl::unexpected(width.error());
  const fit::Point at = OnPlane(PlaneOf(readings.yard()), parked.place.position);
  const Metres ahead = *length / 2, beside = *width / 2;
  auto covered =
      fit::Region::Around({at}, fit::InMetres(std::hypot(ahead.metres(), beside.metres())));
  if (bearing) {
    const fit::Pose pose{.at = at, .heading_rad = std::numbers::pi / 2 - bearing->radians()};
    covered = fit::Region::Hull(
        CornersAt(pose, {.ahead = ahead, .behind = ahead, .left = beside, .right = beside}));
  }
  if (!covered) return tl::unexpected(NoAnswerOf(covered.error(), id));
  return *covered;
}

struct FreeGround {
  Part part;
  std::vector<std::string> sources;
};

Outcome<FreeGround> GroundLeftFree(Readings& readings, const Parked& parked, const Parking& parking,
                                   fit::UnitSystem units) {
  const auto footprint = Footprint(readings, parked, parking.bearing);
  if (!footprint) return tl::unexpected(footprint.error());
  const auto left = LeftFreeBy(readings, *footprint);
  if (!left) return tl::unexpected(left.error());
  const auto judged = JudgeLeftFree(*left);
  if (!judged) return tl::unexpected(judged.error());
  if (!*judged) {
    return FreeGround{.part = {.verdict = fit::Verdict::kClear,
                               .used = 0,
                               .line = "LEAVES FREE all that is marked: nothing within 1,000 ft"},
                      .sources = {}};
  }
  const fit::KeptClear& kept = **judged;
  const fit::KeptItem& worst = kept.items.front();
  // On the marking itself there is no share to tell: it is worse than any.
  constexpr double kOnIt = 1e9;
  return FreeGround{
      .part = {.verdict = kept.verdict,
               .used = worst.left > Metres() ? std::min(kOnIt, worst.least / worst.left) : kOnIt,
               .line = DriversLine(kept, units),
               .spare = fit::SpareOf(worst.left, Metres(), worst.least)},
      .sources = {worst.source}};
}

Outcome<Parked> ParkedAt(Readings& readings, const Parking& parking) {
  const auto machine = MachineOf(readings.yard(), parking.machine);
  if (!machine) return tl::unexpected(machine.error());
  const auto place = PlaceOf(readings.yard(), parking.place);
  if (!place) return tl::unexpected(place.error());
  if (const auto alone = TowsNothing(**machine, "parking"); !alone)
    return tl::unexpected(alone.error());
  const auto tracks = OnTracks(**machine);
  if (!tracks) return tl::unexpected(tracks.error());
  const auto surface = parking.surface.value_or(fit::Surface::kWetUnknown);
  const auto running = *tracks ? fit::Running::kSteelTracks : fit::Running::kTruckTyres;
  return Parked{.machine = **machine,
                .place = **place,
                .on_tracks = *tracks,
                .friction = fit::PlanningFriction(surface, running),
                .chock_friction = fit::PlanningFriction(surface, fit::Running::kTruckTyres)};
}

}  // namespace

Outcome<PartedAnswer> Stands(const Asked& asked, const Parking& parking) {
  Readings readings(asked.yard, asked.when);
  const auto parked = ParkedAt(readings, parking);
  if (!parked) return tl::unexpected(parked.error());
  const auto free = GroundLeftFree(readings, *parked, parking, asked.units);
  if (!free) return tl::unexpected(free.error());
  std::vector<Part> parts = {free->part};
  for (const auto judge : {TipPart, BrakePart, ChockPart}) {
    if (judge == ChockPart && parked->on_tracks) continue;
    const auto part =
        AtBothEnds([&](Lean lean) { return judge(readings, *parked, asked.units, lean); });
    if (!part) return tl::unexpected(part.error());
    parts.push_back(*part);
  }
  if (parked->on_tracks) {
    const auto tracks = TracksPart(readings, *parked, asked.units);
    if (!tracks) return tl::unexpected(tracks.error());
    if (*tracks) parts.push_back(**tracks);
  }
  PartedAnswer stands =
      PartedFrom(readings, std::move(parts), fit::kStandingSources, kParkingAssumptions);
  for (const std::string& source : free->sources) stands.answer.sources.push_back(source);
  std::vector<fit::Input>& inputs = stands.answer.inputs;
  inputs.push_back(AskedOrDefault(parking.surface, "friction of the ground",
                                  fmt::format("{:.2f}", parked->friction)));
  for (const fit::Input& error : ErrorInputs(asked.units)) inputs.push_back(error);
  inputs.push_back(
      Default("kept off marked ground", fmt::format("{:.0f} in", kOffMarking.inches())));
  if (parked->on_tracks)
    inputs.push_back(
        Default("tracks need no chock up to", Text(kLevelTo, asked.units, fit::Rounding::kDown)));
  inputs.push_back(AskedOrDefault(
      parking.bearing, "points to",
      parking.bearing ? Text(*parking.bearing, asked.units, fit::Rounding::kDown) : "any way"));
  return stands;
}

}  // namespace chockwise::survey
