#include "services/survey/route_lanes.h"

#include <algorithm>
#include <cmath>

#include "services/fit/kinematics_guide.h"
#include "services/survey/path.h"
#include "services/survey/way.h"
#include "services/survey/wires.h"

namespace chockwise::survey {
namespace {

using fit::LaneLimit;
using fit::Metres;

/// Keeps the lesser of two limits and what it is at; unknown stays unknown.
void Lower(std::optional<Metres>& limit, std::string& at, const std::optional<Metres>& by,
           const std::string& name) {
  if (!limit || (by && *by >= *limit)) return;
  limit = by;
  at = name;
}

/// tan(turn / 2) at every corner of a line; 0 at its ends.
std::vector<double> BendsOf(const fit::Line& corners) {
  std::vector<double> bends(corners.size(), 0);
  for (size_t i = 1; i + 1 < corners.size(); ++i) {
    const fit::Point in = corners[i] - corners[i - 1], out = corners[i + 1] - corners[i];
    bends[i] = std::tan(std::abs(std::atan2(fit::Cross(in, out), fit::Dot(in, out))) / 2);
  }
  return bends;
}

/// The radius on which every bend of the lane has room: an arc takes radius x tan(turn / 2) of both
/// its sides, and two bends share the side between them.
Metres TightestBend(const fit::Line& corners, const std::vector<double>& bends) {
  double tightest_m = fit::kNothingThere.metres();
  for (size_t i = 1; i < corners.size(); ++i) {
    const double both = bends[i - 1] + bends[i];
    if (both > 1e-6)
      tightest_m = std::min(tightest_m, fit::LengthM(corners[i] - corners[i - 1]) / both);
  }
  return fit::InMetres(tightest_m);
}

fit::LaneEnd EndAt(fit::Point at, fit::Point next, double bend_behind) {
  const fit::Point side = next - at;
  const double side_m = fit::LengthM(side);
  return {.at = at,
          .leaves = 1 / side_m * side,
          .straight = fit::InMetres(side_m),
          .bend_behind = bend_behind};
}

}  // namespace

LanesOfYard::LanesOfYard(Readings& readings, const Upright& machine)
    : readings_(readings), machine_(machine), plane_(PlaneOf(readings.yard())) {
  const yard::Yard& yard = readings.yard();
  for (const auto& [id, place] : yard.places) places_.emplace(id, places_.size());
  for (const auto& [id, door] : yard.doors) doors_[door.lane].push_back(&door);
  for (const auto& [id, overhead] : yard.overheads) overheads_[overhead.lane].push_back(&overhead);
}

std::optional<size_t> LanesOfYard::Number(const yard::PlaceId& place) const {
  const auto found = places_.find(place);
  return found == places_.end() ? std::nullopt : std::optional<size_t>(found->second);
}

fit::RouteLane LanesOfYard::LaneOf(const yard::Lane& lane) {
  const std::string& id = lane.id.value();
  fit::RouteLane out{.id = id,
                     .from = places_.at(lane.from),
                     .to = places_.at(lane.to),
                     .length = lane.length,
                     .clear_height = fit::kNothingThere};
  if (lane.one_way) out.ways = fit::RouteLane::Ways::kOneWay;
  out.clear_width = Known(out, LaneLimit::kWidth, readings_.Of<Metres>(id, "width"));
  out.rated_load = Known(out, LaneLimit::kGround, readings_.Of<fit::Kilograms>(id, "rated-mass"));
  AddGround(lane, out);
  for (const yard::Door* door : On(doors_, lane)) AddDoor(*door, out);
  for (const yard::Overhead* overhead : On(overheads_, lane)) AddOverhead(*overhead, out);
  return out;
}

void LanesOfYard::AddGround(const yard::Lane& lane, fit::RouteLane& out) {
  const fit::Line middle = OnPlane(plane_, lane.line);
  out.steepest = Known(out, LaneLimit::kGrade, readings_.Of<fit::Grade>(lane.id.value(), "grade"));
  const fit::Grade on_map = SteepestOnMap(middle, lane);
  if (out.steepest && *out.steepest < on_map) {
    out.steepest = on_map;
    out.steepest_by = "the map's elevations";
  }
  const fit::Line corners = fit::Straightened(middle, kTraceTolerance.metres());
  const std::vector<double> bends = BendsOf(corners);
  out.bend_radius = TightestBend(corners, bends);
  if (corners.size() < 2) return;
  const size_t last = corners.size() - 1;
  out.at_from = EndAt(corners[0], corners[1], bends[1]);
  out.at_to = EndAt(corners[last], corners[last - 1], bends[last - 1]);
}

/// A machine that is as high from end to end is lifted by the whole sill when a wheel or the track
/// stands on it, right under the header. What it pitches beyond that is the ride's to find.
void LanesOfYard::AddDoor(const yard::Door& door, fit::RouteLane& lane) {
  const std::string& id = door.id.value();
  auto height = Known(lane, LaneLimit::kHeight, readings_.Of<Metres>(id, "clear-height"));
  const auto sill = Known(lane, LaneLimit::kHeight, readings_.Of<Metres>(id, "sill-height"));
  if (!sill) height.reset();
  if (height && machine_.top == Upright::Top::kFlat) height = std::max(Metres(), *height - *sill);
  Lower(lane.clear_height, lane.height_at, height, id);
  auto width = Known(lane, LaneLimit::kWidth, readings_.Of<Metres>(id, "clear-width"));
  // On the lane's middle a machine has as much on either side as there is to the nearer jamb.
  const Metres off = OffDoor(door, readings_.yard().lanes.at(door.lane));
  if (width) width = std::max(Metres(), *width - 2 * off);
  Lower(lane.clear_width, lane.width_at, width, id);
}

void LanesOfYard::AddOverhead(const yard::Overhead& overhead, fit::RouteLane& lane) {
  const std::string& id = overhead.id.value();
  if (overhead.sort != yard::OverheadSort::kWire) {
    Lower(lane.clear_height, lane.height_at,
          Known(lane, LaneLimit::kHeight, readings_.Of<Metres>(id, "headroom")), id);
    return;
  }
  // A margin of just its error is undecided, and that is not clear.
  constexpr Metres kAboveError = fit::Millimetres(0.001);
  const auto under = Known(lane, LaneLimit::kWire,
                           UnderWire(readings_, overhead, machine_.carried, machine_.units));
  Lower(lane.wire_height, lane.wire_at,
        under
            ? std::optional(std::max(Metres(), under->most_carried + machine_.bounce - kAboveError))
            : std::nullopt,
        id);
}

std::optional<NoAnswer> LanesOfYard::WhyUnknown(const fit::LaneShort& change) const {
  if (change.length || change.grade || change.mass) return std::nullopt;
  const auto why = unknown_.find({change.lane_id, change.limit});
  return why == unknown_.end() ? std::nullopt : std::optional(why->second);
}

}  // namespace chockwise::survey
