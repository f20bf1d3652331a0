#include "services/survey/route_proof.h"

#include <algorithm>
#include <string_view>
#include <utility>

#include "services/survey/inputs.h"

namespace chockwise::survey {
namespace {

using fit::LaneLimit;
using fit::Metres;

/// Puts what was found somewhere along a stretch on to its lane or turn.
class Finder {
 public:
  Finder(const fit::RouteQuestion& question, const Stretch& stretch, const Way& way)
      : question_(question), stretch_(stretch), way_(way) {}

  void Add(Metres along, fit::LaneShort what, std::vector<fit::RouteFinding>& to) const {
    size_t i = 0;
    while (i + 1 < way_.lanes.size() && way_.lanes[i].to < along) ++i;
    const Metres body = question_.needs.length;
    const bool bends = what.limit == LaneLimit::kTurn;
    // A bend between two lanes lies where they meet, and nowhere else.
    const Metres near = bends ? std::min(body, fit::InMetres(0.5)) : body;
    const Metres before = along - way_.lanes[i].from, after = way_.lanes[i].to - along;
    const bool is_first = i == 0, is_last = i + 1 == way_.lanes.size();
    fit::RouteFinding finding;
    size_t at = i;
    if (!is_first && before < near && (is_last || before <= after)) at = i - 1;
    const bool turn = at != i || (!is_last && after < near);
    finding.over = stretch_.legs[at];
    if (turn) finding.onto = stretch_.legs[at + 1];
    const bool of_both = bends || what.limit == LaneLimit::kSteer;
    what.lane = stretch_.legs[turn && of_both ? at : i].lane;
    what.lane_id = question_.lanes[what.lane].id;
    if (turn && of_both) {
      what.onto = stretch_.legs[at + 1].lane;
      what.onto_id = question_.lanes[*what.onto].id;
    }
    finding.what = std::move(what);
    to.push_back(std::move(finding));
  }

 private:
  const fit::RouteQuestion& question_;
  const Stretch& stretch_;
  const Way& way_;
};

fit::LaneShort Short(LaneLimit limit, std::string at, Metres by) {
  fit::LaneShort what;
  what.limit = limit;
  what.at = std::move(at);
  what.length = by;
  return what;
}

void AddRide(const RiddenWay& ridden, const Finder& finder, std::vector<fit::RouteFinding>& to) {
  // By its error more than the ride says, it surely clears.
  const auto add = [&](LaneLimit limit, const fit::TightSpot& spot) {
    if (spot.verdict != fit::Verdict::kClear)
      finder.Add(spot.along, Short(limit, spot.at, spot.error - spot.margin), to);
  };
  for (const fit::TightSpot& spot : ridden.ride.overheads) add(LaneLimit::kHeight, spot);
  add(LaneLimit::kBelow, ridden.ride.below);
}

/// The door whose jamb it is; nothing for a wall.
std::optional<std::string> DoorOf(std::string_view obstacle, const Way& way) {
  const auto door = std::ranges::find_if(way.doors, [&](const DoorOnWay& one) {
    return obstacle.starts_with(one.id) && obstacle.substr(one.id.size()).ends_with(" jamb");
  });
  return door == way.doors.end() ? std::nullopt : std::optional(door->id);
}

void AddShortfall(const fit::Shortfall& shortfall, fit::UnitSystem units, const Finder& finder,
                  std::vector<fit::RouteFinding>& to) {
  fit::LaneShort what;
  what.needs = Text(shortfall, units);
  if (shortfall.what == fit::Shortfall::What::kBend) {
    what.limit = LaneLimit::kTurn;
    what.length = shortfall.least_radius - shortfall.lane_radius;
  } else {
    what.limit = LaneLimit::kSteer;
  }
  finder.Add(shortfall.along, std::move(what), to);
}

void AddDrive(const DrivenWay& driven, const SearchedRoute& searched, const Asked& asked,
              const Finder& finder, std::vector<fit::RouteFinding>& to) {
  if (driven.swept.driven.shortfall)
    AddShortfall(*driven.swept.driven.shortfall, asked.units, finder, to);
  for (const fit::SideMargin& margin : driven.swept.margins) {
    if (margin.verdict == fit::Verdict::kClear) continue;
    const Metres by = searched.needed_each_side - margin.margin + margin.error;
    // A machine in the middle of a door has half of what the door is widened by on each side.
    const auto door = DoorOf(margin.obstacle, driven.way);
    finder.Add(margin.along,
               door ? Short(LaneLimit::kWidth, *door, 2 * by)
                    : Short(LaneLimit::kBeside, margin.obstacle, by),
               to);
  }
}

}  // namespace

std::vector<Stretch> StretchesOf(const Asked& asked, const Trip& trip,
                                 const fit::RouteQuestion& question,
                                 const std::vector<fit::RouteLeg>& legs) {
  std::vector<Stretch> stretches;
  yard::PlaceId at = trip.from;
  for (const fit::RouteLeg& leg : legs) {
    if (stretches.empty() || stretches.back().legs.back().facing != leg.facing) {
      stretches.push_back({.trip = {.machine = trip.machine, .from = at, .to = at},
                           .travel = leg.facing == fit::LaneFacing::kTailFirst
                                         ? fit::Travel::kReversing
                                         : fit::Travel::kForwards,
                           .legs = {}});
    }
    Stretch& stretch = stretches.back();
    const yard::LaneId id(question.lanes[leg.lane].id);
    const yard::Lane& lane = asked.yard.lanes.at(id);
    at = lane.from == at ? lane.to : lane.from;
    stretch.legs.push_back(leg);
    stretch.trip.by.push_back(id);
    stretch.trip.to = at;
  }
  return stretches;
}

Outcome<Proof> ProofOf(const Asked& asked, const Trip& trip, const SearchedRoute& searched,
                       const std::vector<fit::RouteLeg>& legs) {
  Proof proof;
  for (const Stretch& stretch : StretchesOf(asked, trip, searched.question, legs)) {
    auto ridden = RideOf(asked, stretch.trip, stretch.travel);
    if (!ridden) return tl::unexpected(ridden.error());
    auto driven =
        DriveOf(asked, stretch.trip,
                {.travel = stretch.travel, .needed_each_side = searched.needed_each_side});
    if (!driven) return tl::unexpected(driven.error());
    const Finder finder(searched.question, stretch, ridden->way);
    AddRide(*ridden, finder, proof.findings);
    AddDrive(*driven, searched, asked, finder, proof.findings);
    for (const auto* inputs : {&ridden->inputs, &driven->inputs}) {
      for (const fit::Input& input : *inputs) AddOnce(proof.inputs, input);
    }
    proof.stretches.push_back({.trip = stretch.trip,
                               .travel = stretch.travel,
                               .ridden = *std::move(ridden),
                               .driven = *std::move(driven)});
  }
  return proof;
}

}  // namespace chockwise::survey
