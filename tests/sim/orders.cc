#include "tests/sim/orders.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <iostream>

#include "tests/sim/tiny_yard.h"

namespace chockwise::sim {
namespace {

using moves::Instant;
using moves::MoveNumber;
using moves::YardState;

std::string MoveCalled(MoveNumber number) { return fmt::format("yards/tiny/moves/{}", number); }
std::string MachineCalled(MoveNumber number) {
  return fmt::format("yards/tiny/machines/M{}", number);
}

class Writer {
 public:
  std::vector<Order> Write() {
    for (const MoveNumber move : {1, 2}) {
      WritePeople(move);
      WriteWords(move);
      WriteLife(move);
      WriteMachine(move);
    }
    WriteYard();
    WriteClock();
    return std::move(orders_);
  }

 private:
  /// A person's order about a move. The label is "verb [detail] move who".
  v1::Command& Say(std::string_view verb, MoveNumber move, const std::string& who) {
    Order& order = orders_.emplace_back();
    order.label = fmt::format("{} {} {}", verb, move, who);
    order.move = move;
    order.command.set_person(who);
    return order.command;
  }

  v1::Command& SayToYard(std::string_view what, const std::string& who) {
    Order& order = orders_.emplace_back();
    order.label = who.empty() ? std::string(what) : fmt::format("{} {}", what, who);
    order.command.set_person(who);
    return order.command;
  }

  void WritePeople(MoveNumber move) {
    const std::string own = move == 1 ? "ann" : "bob";
    v1::RequestMoveRequest& request = *Say("ask", move, own).mutable_request_move();
    request.set_parent("yards/tiny");
    request.set_kind("walk-through");
    request.set_machine(fmt::format("M{}", move));
    request.set_to_place("north");
    orders_.back().move = 0;
    orders_.back().fill = [move](const YardState& yard, Instant, v1::Command&) {
      return yard.next_move == move;
    };
    for (const char* spotter : {"sid", "lea"}) {
      v1::NameSpotterRequest& name =
          *Say(fmt::format("name {}", spotter), move, "lea").mutable_name_spotter();
      name.set_name(MoveCalled(move));
      name.set_spotter(spotter);
      v1::AcceptSpottingRequest& accept = *Say("accept", move, spotter).mutable_accept_spotting();
      accept.set_name(MoveCalled(move));
      accept.set_machine(fmt::format("M{}", move));
      Say("leave", move, spotter).mutable_leave_spotting()->set_name(MoveCalled(move));
    }
    for (const char* driver : {"ann", "bob"}) {
      v1::SwapDriverRequest& swap = *Say("take-wheel", move, driver).mutable_swap_driver();
      swap.set_name(MoveCalled(move));
      swap.set_driver(driver);
    }
  }

  v1::ConfirmRequest& Word(const std::string& gate, MoveNumber move, const std::string& who,
                           std::string_view detail = "") {
    v1::ConfirmRequest& word =
        *Say(detail.empty() ? gate : fmt::format("{} {}", gate, detail), move, who)
             .mutable_confirm();
    word.set_name(MoveCalled(move));
    word.set_gate_id(gate);
    return word;
  }

  void WriteWords(MoveNumber move) {
    const int chocks = move == 1 ? kChocksUnderM1 : 0;
    for (const char* driver : {"ann", "bob"}) {
      Word("walk", move, driver);
      Word("chocks-in", move, driver, "right").set_count(chocks);
      Word("parked", move, driver);
      Word("chocks-set", move, driver, "two").set_count(2);
    }
    Word("chocks-in", move, "ann", "wrong").set_count(chocks + 1);
    for (const char* spotter : {"sid", "lea"}) {
      Word("path", move, spotter);
      Word("path", move, spotter, "blocked").set_finding("a pallet");
      Word("word", move, spotter);
      Word("at-line", move, spotter).set_post_code("D1");
      Word("chocks-set", move, spotter, "two").set_count(2);
    }
    Word("at-line", move, "sid", "elsewhere").set_post_code("S1");
    Word("chocks-set", move, "sid", "three").set_count(3);
    Word("word", move, move == 1 ? "ann" : "bob");
    Word("walk", move, "sid");
    v1::AcceptGateRequest& accept = *Say("take-as-it-is", move, "lea").mutable_accept_gate();
    accept.set_name(MoveCalled(move));
    accept.set_gate_id("path");
    accept.set_control("walking speed");
    accept.set_reason("looked at it");
  }

  void WriteLife(MoveNumber move) {
    for (const char* driver : {"ann", "bob"}) {
      Say("release", move, driver).mutable_request_release()->set_name(MoveCalled(move));
      v1::BeginMoveRequest& begin = *Say("begin", move, driver).mutable_begin_move();
      begin.set_name(MoveCalled(move));
      begin.set_machine(fmt::format("M{}", move));
      Say("park", move, driver).mutable_park_move()->set_name(MoveCalled(move));
      Say("close", move, driver).mutable_close_move()->set_name(MoveCalled(move));
    }
    const std::string own = move == 1 ? "ann" : "bob";
    v1::BeginMoveRequest& wrong = *Say("begin other", move, own).mutable_begin_move();
    wrong.set_name(MoveCalled(move));
    wrong.set_machine("M9");
    for (const char* who : {"sid", "ann"}) {
      v1::HoldMoveRequest& hold = *Say("at-door", move, who).mutable_hold_move();
      hold.set_name(MoveCalled(move));
      hold.set_stop("door");
    }
    for (const std::string who : {"rex", own.c_str()}) {
      Say("stop", move, who).mutable_stop_move()->set_name(MoveCalled(move));
      orders_.back().sort = OrderSort::kStop;
    }
    for (const std::string who : {"rex", own.c_str(), "lea"}) {
      Say("restart-word", move, who).mutable_allow_restart()->set_name(MoveCalled(move));
    }
    Say("refuse", move, own).mutable_refuse_move()->set_name(MoveCalled(move));
    v1::WithdrawMoveRequest& withdraw = *Say("withdraw", move, own).mutable_withdraw_move();
    withdraw.set_name(MoveCalled(move));
    withdraw.set_reason("not today");
    for (const bool away : {true, false}) {
      v1::ReportAwayRequest& report =
          *Say(away ? "away" : "back", move, "sid").mutable_report_away();
      report.set_name(MoveCalled(move));
      report.set_distance_mm(away ? 9'000 : 1'000);
      report.set_in_view(true);
    }
    v1::ReportBreakdownRequest& breakdown = *Say("breakdown", move, own).mutable_report_breakdown();
    breakdown.set_name(MoveCalled(move));
    breakdown.set_text("no drive");
    v1::ClearGroundRequest& clear = *Say("clear-ground", move, "lea").mutable_clear_ground();
    clear.set_name(MoveCalled(move));
    clear.set_place("north");
  }

  void WriteMachine(MoveNumber move) {
    // A third tag on a machine says nothing new.
    const auto has_few_tags = [move](const YardState& yard, Instant, v1::Command&) {
      const auto machine = yard.machines.find(moves::MachineId(fmt::format("M{}", move)));
      return machine != yard.machines.end() && machine->second.tags.size() < 2;
    };
    v1::HangTagRequest& hang = *Say("tag", move, "ann").mutable_hang_tag();
    hang.set_name(MachineCalled(move));
    hang.set_text("oil");
    orders_.back().move = 0;
    orders_.back().fill = has_few_tags;
    for (const char* who : {"ann", "lea", "tek"}) {
      Say("untag", move, who).mutable_clear_tag()->set_name(MachineCalled(move));
      orders_.back().move = 0;
      orders_.back().fill = [move](const YardState& yard, Instant, v1::Command& command) {
        const auto machine = yard.machines.find(moves::MachineId(fmt::format("M{}", move)));
        if (machine == yard.machines.end() || machine->second.tags.empty()) return false;
        command.mutable_clear_tag()->set_tag(machine->second.tags.front().number);
        return true;
      };
    }
    for (const bool defect : {false, true}) {
      v1::RecordInspectionRequest& inspect =
          *Say(defect ? "defect" : "inspect", move, "tek").mutable_record_inspection();
      inspect.set_name(MachineCalled(move));
      if (defect) inspect.set_defect("no horn");
      orders_.back().move = 0;
      if (defect) orders_.back().fill = has_few_tags;
    }
    v1::RecordPutDownRequest& put = *Say("chock-put", move, "sid").mutable_record_put_down();
    put.set_name(MachineCalled(move));
    put.set_item("chocks");
    put.set_count(1);
    orders_.back().move = 0;
  }

  void WriteYard() {
    SayToYard("hold-yard", "rex").mutable_hold_yard()->set_name("yards/tiny");
    SayToYard("lift-hold", "lea").mutable_lift_hold()->set_name("yards/tiny");
    v1::ReportDoorRequest& door = *SayToYard("door-moved", "rex").mutable_report_door();
    door.set_name("yards/tiny/doors/door");
    door.set_report(v1::DOOR_REPORT_MOVED);
    SayToYard("door-back", "lea").mutable_return_door()->set_name("yards/tiny/doors/door");
    SayToYard("end-shift", "lea").mutable_end_shift()->set_name("yards/tiny");
    v1::BeginShiftRequest& begin = *SayToYard("begin-shift", "lea").mutable_begin_shift();
    begin.set_name("yards/tiny");
    begin.set_title("shift");
    orders_.back().fill = [](const YardState& yard, Instant now, v1::Command& command) {
      const int64_t end_us = (now + kTinyShift).micros();
      command.mutable_begin_shift()->mutable_end_time()->set_seconds(end_us / 1'000'000);
      return !yard.shift;
    };
    SayToYard("tick", "").mutable_tick();
    orders_.back().sort = OrderSort::kSystem;
    SayToYard("restart", "").mutable_restart();
    orders_.back().sort = OrderSort::kFallBack;
    SayToYard("clock-step", "").mutable_clock_step()->set_by_us(-3'600'000'000);
    orders_.back().sort = OrderSort::kFallBack;
  }

  void Wait(const char* label, std::function<Instant(const YardState&, Instant)> wait) {
    Order& order = orders_.emplace_back();
    order.label = label;
    order.sort = OrderSort::kWait;
    order.wait = std::move(wait);
  }

  void WriteClock() {
    using fit::Seconds;
    Wait("past-window",
         [](const YardState&, Instant now) { return now + kTinyStartWindow + Seconds(1); });
    Wait("past-fresh", [](const YardState&, Instant now) { return now + kTinyFresh + Seconds(1); });
    Wait("near-shift-end", [](const YardState& yard, Instant now) {
      return yard.shift ? std::max(now, yard.shift->end - kTinyBeforeShiftEnd + Seconds(1)) : now;
    });
    Wait("at-shift-end", [](const YardState& yard, Instant now) {
      return yard.shift ? std::max(now, yard.shift->end) : now;
    });
  }

  std::vector<Order> orders_;
};

/// The labels between commas.
std::vector<std::string> Labels(std::string_view text) {
  std::vector<std::string> labels;
  while (!text.empty()) {
    const size_t comma = std::min(text.find(','), text.size());
    std::string_view label = text.substr(0, comma);
    while (label.starts_with(' ')) label.remove_prefix(1);
    labels.emplace_back(label);
    text.remove_prefix(std::min(comma + 1, text.size()));
  }
  return labels;
}

}  // namespace

const std::vector<Order>& AllOrders() {
  static const auto* orders = new std::vector<Order>(Writer().Write());
  return *orders;
}

const Order& OrderCalled(std::string_view label) {
  for (const Order& order : AllOrders()) {
    if (order.label == label) return order;
  }
  std::cerr << "no order is called \"" << label << "\"\n";
  std::abort();
}

const std::vector<std::vector<std::string>>& Lives() {
  // One line a few orders that belong together; some are there to be refused.
  static const auto* lives = new std::vector<std::vector<std::string>>{
      // One move after the other, with one spotter.
      Labels("begin-shift lea, inspect 1 tek, inspect 2 tek, ask 1 ann, ask 2 bob,"
             "accept 1 sid, walk 1 ann, path 1 sid, chocks-in right 1 ann, word 1 sid,"
             "release 1 ann, begin 1 ann, at-door 1 sid, at-line 1 sid,"
             "release 1 ann, begin 1 ann, park 1 ann,"
             "parked 1 ann, chocks-set two 1 ann, chocks-set two 1 sid, close 1 ann,"
             "accept 2 sid, walk 2 bob, path 2 sid, chocks-in right 2 bob, word 2 lea,"
             "release 2 bob, begin 2 bob, at-door 2 sid, at-line 2 sid,"
             "release 2 bob, begin 2 bob, park 2 bob,"
             "parked 2 bob, chocks-set two 2 bob, chocks-set two 2 sid, close 2 bob"),
      // Side by side: both want the one door. The lead spots the second.
      Labels("begin-shift lea, inspect 1 tek, inspect 2 tek, ask 1 ann, ask 2 bob,"
             "accept 1 sid, accept 2 lea, walk 1 ann, walk 2 bob, path 1 sid,"
             "path blocked 2 lea, path 2 lea, chocks-in right 1 ann, chocks-in right 2 bob,"
             "word 1 sid, word 2 lea, release 1 ann, begin 1 ann,"
             "walk 2 bob, path 2 lea, word 2 lea, release 2 bob,"
             "stop 1 rex, walk 1 ann, path 1 sid, chocks-in right 1 ann, word 1 sid,"
             "release 1 ann, restart-word 1 lea, word 1 sid, release 1 ann"),
      // With a finding that the lead takes, and a machine left standing in the door.
      Labels("begin-shift lea, inspect 1 tek, inspect 2 tek, ask 1 ann, ask 2 bob,"
             "accept 1 sid, walk 1 ann, path blocked 1 sid, chocks-in right 1 ann,"
             "take-as-it-is 1 lea, word 1 sid, release 1 ann, begin 1 ann, at-door 1 sid,"
             "breakdown 1 ann, accept 2 sid, walk 2 bob, path 2 sid, chocks-in right 2 bob,"
             "word 2 sid, release 2 bob, clear-ground 1 lea, word 2 sid, release 2 bob"),
      // Nobody has inspected it, and it has a tag.
      Labels("begin-shift lea, ask 1 ann, accept 1 sid, walk 1 ann, path 1 sid,"
             "chocks-in right 1 ann, word 1 sid, release 1 ann, inspect 1 tek, tag 1 ann,"
             "word 1 sid, release 1 ann, untag 1 ann, word 1 sid, release 1 ann"),
      // A door, a hold and a count that is wrong; then the drivers change places.
      Labels("begin-shift lea, inspect 1 tek, inspect 2 tek, ask 1 ann, ask 2 bob,"
             "accept 1 sid, door-moved rex, hold-yard rex, walk 1 ann, path 1 sid,"
             "chocks-in wrong 1 ann, word 1 sid, release 1 ann, chocks-in right 1 ann,"
             "word 1 sid, release 1 ann, lift-hold lea, word 1 sid, release 1 ann,"
             "door-back lea, take-wheel 2 ann, take-wheel 1 bob, walk 1 bob,"
             "chocks-in right 1 bob, path 1 sid, word 1 sid, release 1 bob, begin 1 bob"),
      // The other two people take the same move through to its end.
      Labels("begin-shift lea, inspect 2 tek, ask 1 ann, ask 2 bob, name lea 2 lea,"
             "accept 2 lea, take-wheel 2 ann, walk 2 ann, path blocked 2 lea, path 2 lea,"
             "chocks-in right 2 ann, word 2 lea, release 2 ann, begin 2 ann, at-door 2 ann,"
             "at-line 2 lea, release 2 ann, begin 2 ann, stop 2 bob, restart-word 2 bob,"
             "park 2 ann, parked 2 ann, chocks-set two 2 ann, chocks-set two 2 lea,"
             "close 2 ann"),
      // The lead spots the first move, and it is stopped at the line.
      Labels("begin-shift lea, inspect 1 tek, ask 1 ann, ask 2 bob, name lea 1 lea,"
             "accept 1 lea, walk 1 ann, path 1 lea, chocks-in right 1 ann, word 1 lea,"
             "release 1 ann, begin 1 ann, at-door 1 ann, at-line 1 lea, stop 1 rex,"
             "restart-word 1 rex, walk 1 ann, path 1 lea, chocks-in right 1 ann, word 1 lea,"
             "release 1 ann, begin 1 ann, park 1 ann, parked 1 ann, chocks-set two 1 ann,"
             "chocks-set two 1 lea, close 1 ann"),
  };
  return *lives;
}

}  // namespace chockwise::sim
