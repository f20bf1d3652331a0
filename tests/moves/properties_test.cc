// Random commands by random people never break a law, whatever their order: the checks of every
// step are the storyteller's. RC_PARAMS="seed=..." plays one case again.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "services/moves/apply.h"
#include "tests/moves/story/digest.h"
#include "tests/moves/story/invariants.h"
#include "tests/moves/story/story.h"

namespace chockwise::moves {
namespace {

/// Where the choices come from: a list of small numbers that RapidCheck makes and shrinks.
class Dice {
 public:
  explicit Dice(const std::vector<uint16_t>& throws) : throws_(throws) {}
  bool Over() const { return next_ >= throws_.size(); }
  size_t Upto(size_t n) { return Over() ? 0 : throws_[next_++] % n; }
  template <class T>
  const T& Of(const std::vector<T>& choices) {
    return choices[Upto(choices.size())];
  }

 private:
  const std::vector<uint16_t>& throws_;
  size_t next_ = 0;
};

const std::vector<std::string> kPeople = {"dana", "eli", "sam",  "sue", "pat",
                                          "lee",  "max", "tess", "roy", "ada"};
const std::vector<std::string> kMachines = {"ST-1", "ST-2", "TH-1", "WL-1", "CA-1"};
const std::vector<std::string> kPlaces = {"bay", "apron", "line", "pad", "north", "south"};

class Chaos {
 public:
  Chaos(Story& story, Dice& dice) : story_(story), dice_(dice) {}

  void Step() {
    story_.Advance(fit::Seconds(static_cast<int64_t>(dice_.Upto(100))));
    const size_t what = dice_.Upto(40);
    if (story_.state().moves.empty() || what == 0) {
      Ask();
    } else if (what < 12) {
      HelpAlong(SomeMove());
    } else if (what < 34) {
      story_.Do(dice_.Of(kPeople), OfTheMove(SomeMove()));
    } else {
      story_.Do(dice_.Upto(3) == 0 ? "" : dice_.Of(kPeople), OfTheYard());
    }
  }

 private:
  MoveNumber SomeMove() {
    auto move = story_.state().moves.begin();
    std::advance(move, static_cast<std::ptrdiff_t>(dice_.Upto(story_.state().moves.size())));
    return move->first;
  }

  void Ask() {
    v1::RequestMoveRequest request;
    request.set_parent(YardName("small"));
    request.set_kind(
        dice_.Of(std::vector<std::string>{"short-hop", "short-hop", "machine-through-door",
                                          "service-truck-reverses-out", "load-onto-carrier"}));
    request.set_machine(dice_.Of(kMachines));
    request.set_to_place(dice_.Of(kPlaces));
    request.set_driver(dice_.Of(kPeople));
    if (dice_.Upto(2) == 0) request.set_spotter(dice_.Of(kPeople));
    if (request.kind() == "load-onto-carrier") request.set_carrier("CA-1");
    story_.Do(dice_.Of(kPeople), request);
  }

  /// What people who know their work would do next, so that chance gets somewhere.
  void HelpAlong(MoveNumber number) {
    const Move& move = story_.move(number);
    const std::string driver = move.driver.value();
    if (!move.spotter_accepted) {
      auto accept = On<v1::AcceptSpottingRequest>(story_, number);
      accept.set_machine(move.machine.value());
      story_.Do(move.spotter.empty() ? "sam" : move.spotter.value(), accept);
      return;
    }
    if (move.StopStands() && dice_.Upto(2) == 0) {
      story_.Do("lee", On<v1::AllowRestartRequest>(story_, number));
    }
    if (move.state == v1::MOVE_STATE_RELEASED) {
      auto begin = On<v1::BeginMoveRequest>(story_, number);
      begin.set_machine(move.machine.value());
      story_.Do(driver, begin);
    } else if (move.state == v1::MOVE_STATE_UNDER_WAY) {
      auto hold = On<v1::HoldMoveRequest>(story_, number);
      hold.set_stop(move.release->limit);
      story_.Do(driver, hold);
      story_.Do(driver, On<v1::ParkMoveRequest>(story_, number));
    } else {
      for (const GateStatus& gate : story_.Gates(number)) {
        if (!gate.rule->has_looked_at() || gate.state == v1::GATE_STATE_CLEAR) continue;
        for (const v1::Party party : gate.missing) {
          const std::string person = Acting(number, party);
          if (!person.empty()) story_.Do(person, story_.WordOn(number, *gate.rule));
        }
      }
      const bool parked = story_.move(number).state == v1::MOVE_STATE_PARKED;
      if (parked) story_.Do(driver, On<v1::CloseMoveRequest>(story_, number));
      if (!parked) story_.Do(driver, On<v1::RequestReleaseRequest>(story_, number));
    }
  }

  std::string Acting(MoveNumber number, v1::Party party) {
    try {
      return story_.PersonFor(number, party);
    } catch (const std::runtime_error&) {
      return "";
    }
  }

  using Request = std::unique_ptr<google::protobuf::Message>;
  template <class R>
  static Request Box(R request) {
    return std::make_unique<R>(std::move(request));
  }

  Request About(MoveNumber number) {
    switch (dice_.Upto(19)) {
      case 0:
        return Box(On<v1::StopMoveRequest>(story_, number));
      case 1:
        return Box(On<v1::AllowRestartRequest>(story_, number));
      case 2:
        return Box(On<v1::RequestReleaseRequest>(story_, number));
      case 3:
        return Box(On<v1::ParkMoveRequest>(story_, number));
      case 4:
        return Box(On<v1::CloseMoveRequest>(story_, number));
      case 5:
        return Box(On<v1::RefuseMoveRequest>(story_, number));
      case 6:
        return Box(On<v1::LeaveSpottingRequest>(story_, number));
      case 7:
        return Withdrawn(number);
      case 8:
        return Begun(number);
      case 9:
        return Held(number);
      case 10:
        return Named(number);
      case 11:
        return Swapped(number);
      case 12:
        return Broken(number);
      case 13:
        return Away(number);
      case 14:
        return Accepted(number);
      case 15:
        return Freed();
      default:
        return Word(number);
    }
  }
  const google::protobuf::Message& OfTheMove(MoveNumber number) {
    request_ = About(number);
    return *request_;
  }

  Request Withdrawn(MoveNumber number) {
    auto request = On<v1::WithdrawMoveRequest>(story_, number);
    request.set_reason("not today");
    return Box(request);
  }
  Request Begun(MoveNumber number) {
    auto request = On<v1::BeginMoveRequest>(story_, number);
    request.set_machine(dice_.Of(kMachines));
    return Box(request);
  }
  Request Held(MoveNumber number) {
    auto request = On<v1::HoldMoveRequest>(story_, number);
    request.set_stop(dice_.Of(std::vector<std::string>{"door-1", "corner", ""}));
    return Box(request);
  }
  Request Named(MoveNumber number) {
    auto request = On<v1::NameSpotterRequest>(story_, number);
    request.set_spotter(dice_.Of(kPeople));
    return Box(request);
  }
  Request Swapped(MoveNumber number) {
    auto request = On<v1::SwapDriverRequest>(story_, number);
    request.set_driver(dice_.Of(kPeople));
    return Box(request);
  }
  Request Broken(MoveNumber number) {
    auto request = On<v1::ReportBreakdownRequest>(story_, number);
    request.set_text("a hose");
    return Box(request);
  }
  Request Away(MoveNumber number) {
    auto request = On<v1::ReportAwayRequest>(story_, number);
    request.set_distance_mm(static_cast<int64_t>(dice_.Upto(16'000)));
    request.set_in_view(dice_.Upto(2) == 0);
    return Box(request);
  }
  Request Word(MoveNumber number) {
    auto request = On<v1::ConfirmRequest>(story_, number);
    const std::vector<GateStatus> gates = story_.Gates(number);
    if (!gates.empty()) request = story_.WordOn(number, *gates[dice_.Upto(gates.size())].rule);
    if (dice_.Upto(4) == 0) request.set_finding("something");
    if (dice_.Upto(8) == 0) request.set_count(static_cast<int64_t>(dice_.Upto(6)));
    return Box(request);
  }
  Request Accepted(MoveNumber number) {
    auto request = On<v1::AcceptGateRequest>(story_, number);
    for (const GateStatus& gate : story_.Gates(number)) {
      if (!gate.lead_may_accept) continue;
      request.set_gate_id(gate.rule->id());
      request.set_control(gate.rule->controls(0));
    }
    request.set_reason("short way");
    return Box(request);
  }
  Request Freed() {
    v1::ClearGroundRequest request;
    if (!story_.state().left_standing.empty()) {
      request.set_name(story_.Name(story_.state().left_standing.begin()->first));
    }
    request.set_place(dice_.Of(kPlaces));
    return Box(request);
  }

  template <class R>
  R OfMachine() {
    R request;
    request.set_name(MachineName("small", dice_.Of(kMachines)));
    return request;
  }
  template <class R>
  static R OfYard(const std::string& name) {
    R request;
    request.set_name(name);
    return request;
  }

  Request AtLarge() {
    switch (dice_.Upto(14)) {
      case 0:
        return Box(v1::Restart());
      case 1:
        return Box(v1::ClockStep());
      case 2:
        return Box(OfYard<v1::HoldYardRequest>(YardName("small")));
      case 3:
        return Box(OfYard<v1::LiftHoldRequest>(YardName("small")));
      case 4:
        return Box(OfYard<v1::EndShiftRequest>(YardName("small")));
      case 5:
        return Shift();
      case 6:
        return Door();
      case 7:
        return Box(OfYard<v1::ReturnDoorRequest>(DoorName("small", "door-1")));
      case 8:
        return Hung();
      case 9:
        return Untagged();
      case 10:
        return Box(OfMachine<v1::RecordInspectionRequest>());
      case 11:
        return PutDownSome();
      case 12:
        return Reloaded();
      default:
        return Box(v1::Tick());
    }
  }
  const google::protobuf::Message& OfTheYard() {
    request_ = AtLarge();
    return *request_;
  }

  Request Shift() {
    auto request = OfYard<v1::BeginShiftRequest>(YardName("small"));
    request.set_title("shift");
    request.mutable_end_time()->set_seconds(
        (story_.now() + fit::Hours(1 + static_cast<int64_t>(dice_.Upto(8)))).micros() / 1'000'000);
    return Box(request);
  }
  Request Door() {
    auto request = OfYard<v1::ReportDoorRequest>(DoorName("small", "door-1"));
    request.set_report(dice_.Upto(2) == 0 ? v1::DOOR_REPORT_MOVED : v1::DOOR_REPORT_FAULTY);
    return Box(request);
  }
  Request Hung() {
    auto request = OfMachine<v1::HangTagRequest>();
    request.set_text("wait");
    return Box(request);
  }
  Request Untagged() {
    auto request = OfMachine<v1::ClearTagRequest>();
    const auto machine = story_.state().machines.find(
        MachineId(std::string(IdIn(request.name(), "small", "machines").value())));
    if (machine != story_.state().machines.end() && !machine->second.tags.empty()) {
      request.set_tag(machine->second.tags.front().number);
    }
    return Box(request);
  }
  Request PutDownSome() {
    auto request = OfMachine<v1::RecordPutDownRequest>();
    request.set_item(dice_.Of(std::vector<std::string>{"chocks", "cones"}));
    request.set_count(static_cast<int64_t>(dice_.Upto(4)));
    return Box(request);
  }
  Request Reloaded() {
    yard::YardFiles files = story_.files();
    const size_t change = dice_.Upto(3);
    if (change == 0)
      files.measurements_csv = Replaced(files.measurements_csv, "8 ft 5 in", "13 ft 11 in");
    if (change == 1)
      files.people_csv =
          Replaced(files.people_csv, "sam,Sam Pell,spotter,,2027-06-30", "sam,Sam Pell,reader,,");
    return Box(LoadOf(files, 2 + static_cast<int>(dice_.Upto(1'000))));
  }

  Story& story_;
  Dice& dice_;
  Request request_;
};

/// Shrinking would play a failing day many times over: the printed seed plays it again as it was.
RC_GTEST_PROP(Chaos, NeverBreaksALaw, ()) {
  const auto throws = *rc::gen::noShrink(rc::gen::resize(
      100, rc::gen::container<std::vector<uint16_t>>(1'200, rc::gen::arbitrary<uint16_t>())));
  Story story = Story::Small();
  Dice dice(throws);
  Chaos chaos(story, dice);
  for (int step = 0; step < 250 && !dice.Over(); ++step) chaos.Step();
  story.CheckReplay();
  RC_ASSERT(!testing::Test::HasFailure());
  int released = 0, begun = 0, closed = 0;
  for (const v1::Entry& entry : story.entries()) {
    released += entry.has_released();
    begun += entry.has_move_begun();
    closed += entry.has_move_closed();
  }
  RC_CLASSIFY(released > 0, "something was released");
  RC_CLASSIFY(begun > 0, "something moved");
  RC_CLASSIFY(closed > 0, "something closed");
}

/// Apply() takes what no Decide() would give: entries about moves that are over, machines that
/// never were, gates unknown.
RC_GTEST_PROP(Apply, IsTotal, (const std::vector<uint16_t>& throws)) {
  Story story = Story::Small();
  story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
  story.BringTo(1, v1::PHASE_HOLD_POINT);
  Dice dice(throws);
  YardState state = story.state();
  const google::protobuf::OneofDescriptor* what = v1::Entry::descriptor()->FindOneofByName("what");
  while (!dice.Over()) {
    v1::Entry entry;
    entry.set_time_us((kNoon + fit::Seconds(static_cast<int64_t>(dice.Upto(1'000)))).micros());
    entry.set_person(dice.Of(kPeople));
    const google::protobuf::FieldDescriptor* field =
        what->field(static_cast<int>(dice.Upto(static_cast<size_t>(what->field_count()))));
    if (field->name() == "move_requested" || field->name() == "yard_loaded")
      continue;  // these have forms of their own
    entry.set_move(static_cast<int64_t>(dice.Upto(3)));
    entry.set_move_state(static_cast<v1::MoveState>(1 + dice.Upto(10)));
    google::protobuf::Message* message = entry.GetReflection()->MutableMessage(&entry, field);
    for (int i = 0; i < message->GetDescriptor()->field_count(); ++i) {
      const google::protobuf::FieldDescriptor* part = message->GetDescriptor()->field(i);
      if (part->is_repeated()) continue;
      if (part->cpp_type() == google::protobuf::FieldDescriptor::CPPTYPE_STRING) {
        message->GetReflection()->SetString(message, part, dice.Of(kMachines));
      }
      if (part->cpp_type() == google::protobuf::FieldDescriptor::CPPTYPE_INT64) {
        message->GetReflection()->SetInt64(message, part, static_cast<int64_t>(dice.Upto(9)));
      }
    }
    Apply(state, entry);
    RC_ASSERT(!Digest(state).empty());
  }
}

}  // namespace
}  // namespace chockwise::moves
