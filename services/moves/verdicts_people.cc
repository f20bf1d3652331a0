// Asking for a move, and who is on it.

#include <fmt/format.h>

#include <algorithm>

#include "services/moves/limits.h"
#include "services/moves/parties.h"
#include "services/moves/verdicts.h"
#include "services/moves/ways.h"

namespace chockwise::moves {
namespace {

/// What a request for a move names, looked up and found fit to be a move at all.
struct Wanted {
  const KindPlan* plan = nullptr;
  const yard::Machine* machine = nullptr;
  PersonId driver;
  PlaceId from, to;
  yard::Route route;
};

template <class List>
bool Contains(const List& list, const std::string& value) {
  return std::find(list.begin(), list.end(), value) != list.end();
}

Outcome<std::monostate> CheckFree(const Bench& bench, const MachineId& machine) {
  const auto state = bench.yard.machines.find(machine);
  if (state != bench.yard.machines.end() && state->second.move != 0) {
    return RefusePrecondition({"one move a machine",
                               fmt::format("{} is on move {}", machine.value(), state->second.move),
                               "Close or withdraw that one first."});
  }
  return std::monostate{};
}

Outcome<Wanted> LookUp(const Bench& bench, const v1::RequestMoveRequest& request) {
  const yard::Yard& yard = *bench.yard.yard;
  Wanted wanted;
  wanted.plan = bench.yard.FindPlan(request.kind());
  if (wanted.plan == nullptr) {
    std::string known;
    for (const auto& [id, plan] : *bench.yard.plans) known += (known.empty() ? "" : ", ") + id;
    return RefuseField("kind", fmt::format("\"{}\" is not a kind of move here; there are: {}",
                                           Tamed(request.kind(), 40), known));
  }
  wanted.machine = yard.FindMachine(request.machine());
  if (wanted.machine == nullptr) {
    return RefuseField("machine", fmt::format("\"{}\" is not a unit number in the register",
                                              Tamed(request.machine(), 40)));
  }
  if (!wanted.machine->towed_by.empty()) {
    return RefuseField(
        "machine", fmt::format("{} hangs behind {}; name that one, or take it out of its row in "
                               "machines.csv",
                               request.machine(), wanted.machine->towed_by.value()));
  }
  if (!Contains(wanted.plan->rule->machine_classes(), wanted.machine->machine_class)) {
    return RefuseField("machine",
                       fmt::format("{} is a {}; this kind of move is for: {}", request.machine(),
                                   wanted.machine->machine_class,
                                   fmt::join(wanted.plan->rule->machine_classes(), ", ")));
  }
  if (!yard.places.contains(PlaceId(request.to_place()))) {
    return RefuseField(
        "to_place", fmt::format("\"{}\" is not a place on the map", Tamed(request.to_place(), 40)));
  }
  wanted.to = PlaceId(request.to_place());
  wanted.driver = request.driver().empty() ? bench.person : PersonId(request.driver());
  if (!bench.yard.HasRole(wanted.driver, yard::Role::kDriver)) {
    return RefuseField("driver", fmt::format("\"{}\" is not a driver in the register",
                                             Tamed(wanted.driver.value(), 40)));
  }
  if (wanted.driver != bench.person && !bench.yard.IsLead(bench.person)) {
    return RefuseNotAllowed({"roles", "a driver asks for their own moves only",
                             "Ask a yard lead, or let the driver ask."});
  }
  return wanted;
}

Outcome<std::monostate> CheckSpotterNamed(const Bench& bench, const PersonId& spotter,
                                          const PersonId& driver) {
  if (!bench.yard.HasRole(spotter, yard::Role::kSpotter)) {
    return RefuseField("spotter", fmt::format("\"{}\" is not a spotter in the register",
                                              Tamed(spotter.value(), 40)));
  }
  if (spotter == driver) {
    return RefusePrecondition(
        {"law 4", fmt::format("{} drives; driver and spotter are two people", driver.value()),
         "Name somebody else to spot."});
  }
  return std::monostate{};
}

/// What hangs behind the machine stands where it does, and is on no move.
Outcome<std::monostate> CheckTowed(const Bench& bench, const Wanted& wanted) {
  for (const MachineId& unit : wanted.machine->tows) {
    if (auto free = CheckFree(bench, unit); !free) return free;
    const auto state = bench.yard.machines.find(unit);
    if (state != bench.yard.machines.end() && state->second.place == wanted.from) continue;
    return RefusePrecondition(
        {"law 2",
         fmt::format("the register hangs {} behind {}, and it does not stand at {}", unit.value(),
                     wanted.machine->id.value(), wanted.from.value()),
         "Say in machines.csv what is hitched to what, and where all of it stands."});
  }
  return std::monostate{};
}

/// The machine stands where a route begins, and a route leads to where it is to go.
Outcome<std::monostate> FindWay(const Bench& bench, Wanted& wanted) {
  const auto state = bench.yard.machines.find(wanted.machine->id);
  if (state != bench.yard.machines.end()) wanted.from = state->second.place;
  const std::string& unit = wanted.machine->id.value();
  if (wanted.from.empty()) {
    return RefusePrecondition({"law 2", fmt::format("nobody has said where {} stands", unit),
                               "A yard lead says where it stands now (clear ground)."});
  }
  if (auto towed = CheckTowed(bench, wanted); !towed) return towed;
  if (wanted.from == wanted.to) {
    return RefusePrecondition({"route",
                               fmt::format("{} stands at {} already", unit, wanted.to.value()),
                               "Name the place it is to go to."});
  }
  std::optional<yard::Route> route =
      ChooseRoute(bench.yard, *wanted.plan,
                  {.machine = wanted.machine->id, .from = wanted.from, .to = wanted.to}, bench.now);
  if (!route) {
    return RefusePrecondition(
        {"route",
         fmt::format("no lane leads from {} to {}", wanted.from.value(), wanted.to.value()),
         "Ask for a place that a lane leads to."});
  }
  wanted.route = std::move(*route);
  return std::monostate{};
}

Outcome<std::monostate> CheckCarrier(const Bench& bench, const Wanted& wanted,
                                     const std::string& carrier) {
  const v1::KindRule& kind = *wanted.plan->rule;
  if (!kind.needs_carrier()) {
    if (!carrier.empty()) return RefuseField("carrier", "this kind of move takes no carrier");
    return std::monostate{};
  }
  const yard::Machine* machine = bench.yard.yard->FindMachine(carrier);
  if (machine == nullptr || !Contains(kind.carrier_classes(), machine->machine_class)) {
    return RefuseField("carrier",
                       fmt::format("\"{}\" is not a carrier in the register; name one of class: {}",
                                   Tamed(carrier, 40), fmt::join(kind.carrier_classes(), ", ")));
  }
  if (auto free = CheckFree(bench, machine->id); !free) return free;
  const auto state = bench.yard.machines.find(machine->id);
  if (state == bench.yard.machines.end() || state->second.place != wanted.to) {
    return RefusePrecondition({"carrier",
                               fmt::format("{} does not stand at {}", carrier, wanted.to.value()),
                               "Send the machine to where its carrier stands."});
  }
  return std::monostate{};
}

/// All the ground a release takes: lanes, their ends, doors, and every area with a duty that ground
/// can be kept from. Law 6.
void AddGround(const yard::Yard& yard, const Wanted& wanted, v1::MoveRequested& out) {
  std::set<std::string> ground{"place/" + wanted.from.value(), "place/" + wanted.to.value()};
  for (const yard::LaneId& id : wanted.route.lanes) {
    const yard::Lane& lane = yard.lanes.at(id);
    ground.insert("lane/" + id.value());
    ground.insert("place/" + lane.from.value());
    ground.insert("place/" + lane.to.value());
  }
  for (const DoorId& door : wanted.route.doors) ground.insert("door/" + door.value());
  for (const yard::AreaId& id : wanted.route.areas) {
    if (yard::MustStayFree(yard.areas.at(id).duty)) ground.insert("area/" + id.value());
  }
  for (const std::string& piece : ground) out.add_ground(piece);
}

}  // namespace

Outcome<Entries> Judge(const Bench& bench, const v1::RequestMoveRequest& request) {
  if (auto yard = CheckYard(bench, request.parent()); !yard) return tl::unexpected(yard.error());
  if (bench.yard.moves.size() >= kMaxOpenMoves) {
    return RefuseExhausted(fmt::format("{} moves are open", kMaxOpenMoves),
                           "Close or withdraw some first.");
  }
  Outcome<Wanted> wanted = LookUp(bench, request);
  if (!wanted) return tl::unexpected(wanted.error());
  const PersonId spotter(request.spotter());
  if (!spotter.empty()) {
    if (auto named = CheckSpotterNamed(bench, spotter, wanted->driver); !named)
      return tl::unexpected(named.error());
  }
  if (auto free = CheckFree(bench, wanted->machine->id); !free) return tl::unexpected(free.error());
  if (auto way = FindWay(bench, *wanted); !way) return tl::unexpected(way.error());
  if (auto carrier = CheckCarrier(bench, *wanted, request.carrier()); !carrier)
    return tl::unexpected(carrier.error());

  v1::Entry entry = AnswerEntry(bench);
  entry.set_move(bench.yard.next_move);
  entry.set_move_state(v1::MOVE_STATE_REQUESTED);
  v1::MoveRequested& out = *entry.mutable_move_requested();
  out.set_kind(request.kind());
  out.set_machine(request.machine());
  out.set_carrier(request.carrier());
  out.set_from_place(wanted->from.value());
  out.set_to_place(wanted->to.value());
  out.set_driver(wanted->driver.value());
  out.set_spotter(spotter.value());
  for (const yard::LaneId& lane : wanted->route.lanes) out.add_lanes(lane.value());
  for (const yard::RouteStop& stop : wanted->route.stops) {
    if (!stop.is_door || wanted->plan->rule->hold_at_doors()) out.add_stops(stop.id);
  }
  AddGround(*bench.yard.yard, *wanted, out);
  return Entries{std::move(entry)};
}

Outcome<Entries> Judge(const Bench& bench, const v1::NameSpotterRequest& request) {
  const Outcome<const Move*> move = OpenMove(bench, request.name());
  if (!move) return tl::unexpected(move.error());
  if (bench.person != (*move)->driver && !bench.yard.IsLead(bench.person)) {
    return RefuseNotAllowed(
        {"roles", "the move's driver or a yard lead names the spotter", "Ask one of them."});
  }
  if (auto standing = CheckStanding(**move, "swap spotters"); !standing)
    return tl::unexpected(standing.error());
  const PersonId spotter(request.spotter());
  if (auto named = CheckSpotterNamed(bench, spotter, (*move)->driver); !named)
    return tl::unexpected(named.error());
  if (spotter == (*move)->spotter) {
    return RefusePrecondition({"spotter", fmt::format("{} is named already", spotter.value()), ""});
  }
  Entries entries;
  TakeBackAndAnswer(
      entries, bench, **move,
      {v1::STOP_CAUSE_SPOTTER_LEFT, "another spotter was named", TakeBack::AtLine::kStopped})
      .mutable_spotter_named()
      ->set_spotter(spotter.value());
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::AcceptSpottingRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (auto standing = CheckStanding(move, "take the spotter's role"); !standing)
    return tl::unexpected(standing.error());
  if (!move.spotter.empty() && bench.person != move.spotter) {
    return RefuseNotAllowed(
        {"spotter", fmt::format("{} is named to spot move {}", move.spotter.value(), move.number),
         "The driver or a yard lead names you first."});
  }
  if (!bench.yard.HasRole(bench.person, yard::Role::kSpotter)) {
    return RefuseNotAllowed({"roles", "a spotter of the register takes this role",
                             "Ask a trained spotter, or a safety lead for the training."});
  }
  if (auto named = CheckSpotterNamed(bench, bench.person, move.driver); !named)
    return tl::unexpected(named.error());
  if (move.spotter_accepted)
    return RefusePrecondition({"spotter", "you have the role already", ""});
  if (const auto spotting = bench.yard.spotting.find(bench.person);
      spotting != bench.yard.spotting.end()) {
    return RefusePrecondition(
        {"law 4", fmt::format("you spot move {}; one spotter, one machine", spotting->second),
         "Finish or hand back that one first."});
  }
  for (const MoveNumber number : bench.yard.live) {
    const auto live = bench.yard.moves.find(number);
    if (live != bench.yard.moves.end() && live->second.driver == bench.person) {
      return RefusePrecondition(
          {"law 4", fmt::format("you drive move {}; a spotter has no other duty", number),
           "Close that one first."});
    }
  }
  if (request.machine() != move.machine.value()) {
    return RefuseField(
        "machine", fmt::format("move {} is of {}, not of \"{}\": read the number on the machine",
                               move.number, move.machine.value(), Tamed(request.machine(), 40)));
  }
  v1::Entry entry = AnswerEntry(bench, move, move.state);
  entry.mutable_spotting_accepted()->set_spotter(bench.person.value());
  return Entries{std::move(entry)};
}

Outcome<Entries> Judge(const Bench& bench, const v1::LeaveSpottingRequest& request) {
  const Outcome<const Move*> move = OpenMove(bench, request.name());
  if (!move) return tl::unexpected(move.error());
  if (bench.person != (*move)->spotter) {
    return RefuseNotAllowed(
        {"spotter", "only its spotter hands the role back", "To halt it, call a stop."});
  }
  Entries entries;
  TakeBackAndAnswer(
      entries, bench, **move,
      {v1::STOP_CAUSE_SPOTTER_LEFT, "the spotter left the role", TakeBack::AtLine::kStopped})
      .mutable_spotting_left()
      ->set_spotter(bench.person.value());
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::SwapDriverRequest& request) {
  const Outcome<const Move*> move = OpenMove(bench, request.name());
  if (!move) return tl::unexpected(move.error());
  const PersonId driver(request.driver());
  if (bench.person != driver && !bench.yard.IsLead(bench.person)) {
    return RefuseNotAllowed(
        {"roles", "the new driver or a yard lead says who takes the wheel", "Ask one of them."});
  }
  if (auto standing = CheckStanding(**move, "swap drivers"); !standing)
    return tl::unexpected(standing.error());
  if (!bench.yard.HasRole(driver, yard::Role::kDriver)) {
    return RefuseField(
        "driver", fmt::format("\"{}\" is not a driver in the register", Tamed(driver.value(), 40)));
  }
  if (driver == (*move)->spotter) {
    return RefusePrecondition(
        {"law 4",
         fmt::format("{} spots this move; driver and spotter are two people", driver.value()),
         "Name another spotter first."});
  }
  if (driver == (*move)->driver) {
    return RefusePrecondition(
        {"driver", fmt::format("{} drives this move already", driver.value()), ""});
  }
  Entries entries;
  TakeBackAndAnswer(
      entries, bench, **move,
      {v1::STOP_CAUSE_FACT_CHANGED, "another driver takes the wheel", TakeBack::AtLine::kStopped})
      .mutable_driver_swapped()
      ->set_driver(driver.value());
  return entries;
}

}  // namespace chockwise::moves
