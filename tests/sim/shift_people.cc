// What somebody in the right says next about a move.
#include <fmt/format.h>

#include <algorithm>

#include "services/moves/names.h"
#include "services/survey/survey.h"
#include "tests/sim/shift.h"

namespace chockwise::sim {

using moves::PersonId;

namespace {

/// The first place on the deck, by 6 in, where every axle is legal now; otherwise some place.
std::string LegalPlace(const moves::YardState& state, const moves::Move& move, fit::Instant now) {
  const survey::Asked asked{.yard = *state.yard, .when = {.now = now, .max_age = fit::Days(365)}};
  for (int inches = -240; inches <= 240; inches += 6) {
    const survey::StoodAt stood{survey::NearEnd::kRear, fit::Inches(inches)};
    const auto there =
        survey::AxlesCarry(asked, {.machine = move.machine, .carrier = move.carrier, .at = stood});
    if (there && there->verdict == fit::Verdict::kClear)
      return survey::StoodText(stood, fit::UnitSystem::kUs);
  }
  return "front 1 ft 0 in behind";
}

}  // namespace

void Shift::AskForMove() {
  const yard::Yard& yard = *state_.yard;
  const v1::KindRule& kind = AnyOf(yard.rules.kinds());
  std::vector<const yard::Machine*> machines;
  for (const auto& [id, machine] : yard.machines) {
    const auto& classes = kind.machine_classes();
    if (std::find(classes.begin(), classes.end(), machine.machine_class) != classes.end())
      machines.push_back(&machine);
  }
  const yard::Machine& machine = *AnyOf(machines);
  std::vector<std::string> drivers;
  for (const auto& [id, person] : yard.people) {
    const auto until = person.may_drive.find(machine.machine_class);
    if (until != person.may_drive.end() && (until->second > now_ || Chance(100)))
      drivers.push_back(id.value());
  }
  if (drivers.empty() || Chance(40)) drivers.push_back("tam");
  v1::Command command = Says(Chance(700) ? "dov" : AnyOf(drivers));
  v1::RequestMoveRequest& request = *command.mutable_request_move();
  request.set_parent("yards/" + yard.id);
  request.set_kind(kind.id());
  request.set_machine(machine.id.value());
  request.set_driver(command.person() == "dov" ? AnyOf(drivers) : command.person());
  request.set_to_place(AnyOf(yard.places).first.value());
  if (kind.needs_carrier()) {
    const std::string carrier =
        AnyOf(std::vector<std::string>{"CA-901", "CA-901", "CA-902", "CA-903"});
    request.set_carrier(carrier);
    const auto standing = state_.machines.find(moves::MachineId(carrier));
    if (standing != state_.machines.end()) request.set_to_place(standing->second.place.value());
  }
  if (Chance(800))
    request.set_spotter(AnyOf(std::vector<std::string>{"mika", "bo", "nell", "petra", "ged"}));
  if (Give(command)) focus_ = state_.next_move - 1;
}

void Shift::Progress(const Move& move) {
  v1::Command command = Says(move.driver.value());
  switch (move.state) {
    case v1::MOVE_STATE_REQUESTED:
    case v1::MOVE_STATE_HELD:
    case v1::MOVE_STATE_STOPPED:
    case v1::MOVE_STATE_PARKED:
      return MakeReady(move);
    case v1::MOVE_STATE_RELEASED:
      command.mutable_begin_move()->set_name(NameOf(move));
      command.mutable_begin_move()->set_machine(move.machine.value());
      break;
    case v1::MOVE_STATE_UNDER_WAY:
      Pass(10, 60);
      if (move.release->limit.empty()) {
        command.mutable_park_move()->set_name(NameOf(move));
      } else {
        if (Chance(500)) command.set_person(move.spotter.value());
        command.mutable_hold_move()->set_name(NameOf(move));
        command.mutable_hold_move()->set_stop(move.release->limit);
      }
      break;
    case v1::MOVE_STATE_UNSPECIFIED:
    case v1::MOVE_STATE_CLOSED:
    case v1::MOVE_STATE_WITHDRAWN:
    case v1::MOVE_STATE_REFUSED:
    case v1::MOVE_STATE_LEFT_STANDING:
    case v1::MoveState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::MoveState_INT_MAX_SENTINEL_DO_NOT_USE_:
      return;
  }
  Give(command);
}

/// One thing at a time: the word to restart, the spotter, what blocks, and then the release or the
/// close.
void Shift::MakeReady(const Move& move) {
  if (move.StopStands()) {
    const auto stop =
        std::find_if(move.stops.begin(), move.stops.end(),
                     [](const moves::StopWord& word) { return word.lifted_by.empty(); });
    v1::Command command =
        Says(stop->person.empty() || Chance(500) ? OutsideLead(move) : stop->person.value());
    command.mutable_allow_restart()->set_name(NameOf(move));
    Give(command);
    return;
  }
  if (!move.spotter_accepted) return SettlePeople(move);
  // Stopped where it was to go: it may be parked without another release.
  const bool there = move.state == v1::MOVE_STATE_STOPPED && move.begun &&
                     move.stops_passed == static_cast<int32_t>(move.way->stops.size());
  if (there && Chance(300)) {
    v1::Command command = Says(move.driver.value());
    command.mutable_park_move()->set_name(NameOf(move));
    Give(command);
    return;
  }
  const std::vector<GateStatus> gates =
      moves::EvaluatePhase(state_, move, moves::PhaseNow(move), now_);
  const GateStatus* next = nullptr;
  for (const GateStatus& gate : gates) {
    const bool last = gate.rule->looked_at().given_last();
    if (gate.Blocks() && (next == nullptr || (next->rule->looked_at().given_last() && !last)))
      next = &gate;
  }
  if (next != nullptr)
    return next->rule->has_looked_at() ? GiveMissing(move, *next) : Settle(move, *next);
  v1::Command command = Says(move.driver.value());
  if (move.state == v1::MOVE_STATE_PARKED) {
    command.mutable_close_move()->set_name(NameOf(move));
  } else {
    command.mutable_request_release()->set_name(NameOf(move));
  }
  Give(command);
  // What only the decision itself knows of (a count that no gate of this phase asks for) leaves
  // nothing else to say here.
  const auto after = state_.moves.find(move.number);
  if (after != state_.moves.end() && after->second.state == move.state) Settle(move, GateStatus());
}

void Shift::SettlePeople(const Move& move) {
  const auto busy = state_.spotting.find(move.spotter);
  v1::Command command;
  if (move.spotter.empty() || busy != state_.spotting.end() || Chance(20)) {
    command = Says(move.driver.value());
    command.mutable_name_spotter()->set_name(NameOf(move));
    command.mutable_name_spotter()->set_spotter(FreeSpotter(move));
  } else {
    command = Says(move.spotter.value());
    command.mutable_accept_spotting()->set_name(NameOf(move));
    command.mutable_accept_spotting()->set_machine(move.machine.value());
  }
  if (!Give(command)) Pass(5, 20);
}

/// The right person's right word; or, where something was found, another look or a lead who takes
/// it as it is.
void Shift::GiveMissing(const Move& move, const GateStatus& gate) {
  if (gate.lead_may_accept && Chance(500)) {
    v1::Command command = Says(OutsideLead(move));
    v1::AcceptGateRequest& accept = *command.mutable_accept_gate();
    accept.set_name(NameOf(move));
    accept.set_gate_id(gate.rule->id());
    accept.set_control(gate.rule->controls(0));
    accept.set_reason("seen, and held by the control");
    Give(command);
    return;
  }
  if (gate.missing.empty()) return;
  const v1::Party party = AnyOf(gate.missing);
  const std::string person = PartyPerson(move, party);
  if (person.empty()) return GiveUp(move);
  v1::Command command = Word(move, gate, party);
  command.set_person(person);
  Give(command);
}

v1::Command Shift::Word(const Move& move, const GateStatus& gate, v1::Party party) {
  v1::Command command = Says(PartyPerson(move, party));
  v1::ConfirmRequest& word = *command.mutable_confirm();
  const v1::LookedAt& looked_at = gate.rule->looked_at();
  word.set_name(NameOf(move));
  word.set_gate_id(gate.rule->id());
  const v1::Phase phase = gate.phase;
  switch (looked_at.evidence()) {
    case v1::EVIDENCE_COUNT_PICKED_UP:
      word.set_count(moves::PutDown(state_, move, looked_at));
      break;
    case v1::EVIDENCE_COUNT_PUT_DOWN: {
      int64_t count = looked_at.least_count() + static_cast<int64_t>(Below(3));
      const moves::GateWords* words = move.FindWords(gate.rule->id(), phase);
      if (words != nullptr && !words->words.front().stale && Chance(900)) {
        count = std::max(words->words.front().count, looked_at.least_count());
      }
      if (moves::CountsAnew(*gate.rule))
        count = std::max(count, state_.LeftOver(move, looked_at.item()));
      word.set_count(count);
      break;
    }
    case v1::EVIDENCE_POST_CODE: {
      std::string spot = phase == v1::PHASE_CLOSE_OUT ? move.to.value() : move.from.value();
      if (phase == v1::PHASE_HOLD_POINT)
        spot = move.way->stops.at(static_cast<size_t>(move.stops_passed - 1));
      const yard::Yard& yard = *state_.yard;
      if (const auto place = yard.places.find(yard::PlaceId(spot)); place != yard.places.end()) {
        word.set_post_code(place->second.post_code);
      } else if (const auto door = yard.doors.find(yard::DoorId(spot)); door != yard.doors.end()) {
        word.set_post_code(door->second.post_code);
      } else if (const auto point = yard.hold_points.find(yard::HoldPointId(spot));
                 point != yard.hold_points.end()) {
        word.set_post_code(point->second.post_code);
      }
      break;
    }
    case v1::EVIDENCE_NOTE:
      word.set_note("left side");
      break;
    case v1::EVIDENCE_TIES:
      word.set_note(Chance(800)
                        ? "6 x 1/2 in grade 80 direct front; 6 x 1/2 in grade 80 direct rear"
                        : "4 x 1/4 in grade unmarked direct front");
      break;
    case v1::EVIDENCE_DECK_PLACE:
      word.set_note(Chance(850) ? LegalPlace(state_, move, now_) : "front 40 ft behind");
      break;
    case v1::EVIDENCE_UNSPECIFIED:
    case v1::Evidence_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Evidence_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return command;
}

/// Makes a computed gate true where somebody can, or gives the move up.
void Shift::Settle(const Move& move, const GateStatus& gate) {
  const std::string what = gate.rule == nullptr ? "" : gate.rule->computed().computation();
  const std::string yard = "yards/" + state_.yard->id;
  v1::Command command = Says("dov");
  if (gate.lead_may_accept && Chance(800)) return GiveMissing(move, gate);
  if (what == "driver-authorised") return SettleDriver(move);
  if (what == "no-tags") return TakeOffTag(move);
  if (what == "spotter-bound") {
    command.mutable_name_spotter()->set_name(NameOf(move));
    command.mutable_name_spotter()->set_spotter(FreeSpotter(move));
  } else if (what == "inspection-this-shift") {
    command.set_person(Chance(500) ? "ruth" : move.driver.value());
    command.mutable_record_inspection()->set_name(MachineNameOf(move));
  } else if (what == "no-yard-hold") {
    command.mutable_lift_hold()->set_name(yard);
  } else if (what == "shift-running") {
    v1::BeginShiftRequest& begin = *command.mutable_begin_shift();
    begin.set_name(yard);
    begin.set_title("shift");
    begin.mutable_end_time()->set_seconds(now_.micros() / 1'000'000 + 4 * 3'600);
  } else if (what == "doors-in-service") {
    for (const std::string& door : move.way->doors) {
      if (state_.doors_out.contains(moves::DoorId(door)))
        command.mutable_return_door()->set_name(yard + "/doors/" + door);
    }
  } else if (what == "attended") {
    v1::ReportAwayRequest& back = *command.mutable_report_away();
    back.set_name(NameOf(move));
    back.set_distance_mm(1'500);
    back.set_in_view(true);
  } else if (what == "ground-free" && Chance(950)) {
    focus_ = AnyOf(state_.moves).first;  // the other one first
    return;
  } else if (what == "counts-balance" && gate.rule != nullptr &&
             move.state == v1::MOVE_STATE_PARKED) {
    return Pass(1, 5);
  } else if (what.empty()) {
    if (!SayNoneStandThere(move, command)) return GiveUp(move);
  } else {
    return GiveUp(move);
  }
  Give(command);
}

/// One of two people who have to say so; false where nothing stands there.
bool Shift::SayNoneStandThere(const Move& move, v1::Command& command) {
  for (const moves::MachineId& id : {move.machine, move.carrier}) {
    const auto machine = state_.machines.find(id);
    if (machine == state_.machines.end()) continue;
    for (const auto* counts : {&machine->second.left_over, &machine->second.put_down}) {
      for (const auto& [item, count] : *counts) {
        if (count == 0) continue;
        v1::RecordPutDownRequest& put = *command.mutable_record_put_down();
        put.set_name(moves::MachineName(state_.yard->id, id.value()));
        put.set_item(item);
        put.set_count(0);
        const auto said = machine->second.fewer_said.find(item);
        const bool dov =
            said != machine->second.fewer_said.end() && said->second.person.value() == "dov";
        if (dov) command.set_person("ruth");
        return true;
      }
    }
  }
  return false;
}

void Shift::SettleDriver(const Move& move) {
  const yard::Machine* machine = state_.yard->FindMachine(move.machine.value());
  for (const auto& [id, person] : state_.yard->people) {
    const auto until = person.may_drive.find(machine->machine_class);
    if (until == person.may_drive.end() || until->second <= now_ || id == move.driver ||
        id == move.spotter)
      continue;
    if (Chance(400)) continue;
    v1::Command command = Says(Chance(500) ? "dov" : id.value());
    command.mutable_swap_driver()->set_name(NameOf(move));
    command.mutable_swap_driver()->set_driver(id.value());
    Give(command);
    return;
  }
  if (Chance(200)) GiveUp(move);
}

void Shift::TakeOffTag(const Move& move) {
  for (const moves::MachineId& id : {move.machine, move.carrier}) {
    const auto machine = state_.machines.find(id);
    if (machine == state_.machines.end() || machine->second.tags.empty()) continue;
    const moves::Tag& tag = machine->second.tags.front();
    std::string who = tag.person.value();
    if (tag.sort == moves::TagSort::kDefect) who = "ruth";
    if (tag.sort == moves::TagSort::kRefusal) {
      who = "dov";
      for (const char* lead : {"dov", "petra", "wren"}) {
        if (!tag.not_by.contains(PersonId(lead))) who = lead;
      }
    }
    v1::Command command = Says(who);
    command.mutable_clear_tag()->set_name(
        fmt::format("yards/{}/machines/{}", state_.yard->id, id.value()));
    command.mutable_clear_tag()->set_tag(tag.number);
    Give(command);
    return;
  }
}

void Shift::GiveUp(const Move& move) {
  if (move.state == v1::MOVE_STATE_PARKED || Chance(500)) return Pass(5, 30);
  v1::Command command = Says(Chance(500) ? "dov" : move.driver.value());
  if (move.begun) {
    command.mutable_report_breakdown()->set_name(NameOf(move));
    command.mutable_report_breakdown()->set_text("goes no further");
  } else {
    command.mutable_withdraw_move()->set_name(NameOf(move));
    command.mutable_withdraw_move()->set_reason("not to be had today");
  }
  Give(command);
}

std::string Shift::OutsideLead(const Move& move) {
  std::vector<std::string> leads;
  for (const char* lead : {"dov", "petra", "wren"}) {
    if (move.driver.value() != lead && move.spotter.value() != lead) leads.emplace_back(lead);
  }
  return AnyOf(leads);
}

std::string Shift::FreeSpotter(const Move& move) {
  std::vector<std::string> free;
  for (const auto& [id, person] : state_.yard->people) {
    const bool trained = person.roles.contains(yard::Role::kSpotter) && person.may_spot_until &&
                         *person.may_spot_until > now_;
    if (trained && !state_.spotting.contains(id) && id != move.driver && id != move.spotter)
      free.push_back(id.value());
  }
  return free.empty() || Chance(30) ? "mika" : AnyOf(free);
}

std::string Shift::PartyPerson(const Move& move, v1::Party party) {
  switch (party) {
    case v1::PARTY_DRIVER:
      return move.driver.value();
    case v1::PARTY_SPOTTER:
      return move.spotter.value();
    case v1::PARTY_YARD_LEAD:
      return OutsideLead(move);
    case v1::PARTY_TECH:
      return move.driver == PersonId("abel") ? "ruth" : "abel";
    case v1::PARTY_UNSPECIFIED:
    case v1::Party_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Party_INT_MAX_SENTINEL_DO_NOT_USE_:
      return "";
  }
  return "";
}

}  // namespace chockwise::sim
