#include "tests/moves/story/script.h"

#include <fmt/format.h>
#include <google/protobuf/text_format.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>
#include <stdexcept>

#include "tests/moves/story/story.h"

namespace chockwise::moves {
namespace {

/// One line cut into words; a quoted word keeps its blanks, also behind "name=".
std::vector<std::string> WordsOf(const std::string& line) {
  std::vector<std::string> words;
  std::string word;
  bool quoted = false;
  for (const char c : line + " ") {
    if (c == '"') quoted = !quoted;
    if (c == ' ' && !quoted) {
      if (!word.empty()) words.push_back(word);
      word.clear();
    } else if (c != '"') {
      word += c;
    }
  }
  return words;
}

class Line {
 public:
  explicit Line(const std::string& text) : text_(text), words_(WordsOf(text)) {}

  const std::string& At(size_t index) const {
    if (index >= words_.size()) throw std::invalid_argument("too short: " + text_);
    return words_[index];
  }
  int64_t Number(size_t index) const { return std::stoll(At(index)); }
  size_t size() const { return words_.size(); }
  /// What stands behind "name=", or the fallback.
  std::string Named(const std::string& name, const std::string& fallback = "") const {
    for (const std::string& word : words_) {
      if (word.starts_with(name + "=")) return word.substr(name.size() + 1);
    }
    return fallback;
  }
  bool Has(const std::string& name) const {
    return std::any_of(words_.begin(), words_.end(),
                       [&](const std::string& word) { return word.starts_with(name + "="); });
  }

 private:
  std::string text_;
  std::vector<std::string> words_;
};

std::string What(const v1::Entry& entry) {
  const google::protobuf::FieldDescriptor* what = entry.GetReflection()->GetOneofFieldDescriptor(
      entry, entry.GetDescriptor()->FindOneofByName("what"));
  const google::protobuf::Message& message = entry.GetReflection()->GetMessage(entry, what);
  // Gates that a release or close stood on are told by the tables; here they would drown the story.
  std::string text = what->name();
  for (const char* name : {"number", "limit", "gate_id", "finding", "count", "note", "reason",
                           "text", "cause", "stop", "happening", "spotter", "driver", "tag", "item",
                           "place", "defect", "unattended", "version"}) {
    const auto* field = message.GetDescriptor()->FindFieldByName(name);
    if (field == nullptr || field->is_repeated()) continue;
    if (!message.GetReflection()->HasField(message, field)) continue;
    std::string value;
    google::protobuf::TextFormat::PrintFieldValueToString(message, field, -1, &value);
    text += fmt::format(" {}={}", name, value);
  }
  return text;
}

std::string AnswerText(const Outcome<Entries>& outcome, const Entries& recorded) {
  std::string text;
  if (!outcome) {
    std::istringstream lines("no, " + RefusalText(outcome.error()));
    for (std::string line; std::getline(lines, line);) text += "> " + line + "\n";
    if (recorded.empty()) return text;
    return text + "> (recorded)\n";
  }
  for (const v1::Entry& entry : *outcome) {
    text += "> ";
    if (entry.move() != 0) {
      text += fmt::format(
          "move {} {}: ", entry.move(),
          v1::MoveState_Name(entry.move_state()).substr(std::string("MOVE_STATE_").size()));
    }
    text += What(entry) + (entry.person().empty() ? " by the system\n" : "\n");
  }
  return text.empty() ? "> nothing\n" : text;
}

class Player {
 public:
  std::string Answer(const std::string& text) {
    const Line line(text);
    if (line.At(0) == "yard") return Open(line.At(1));
    if (line.At(0) == "wait") return Wait(line);
    if (line.At(0) == "everybody") {
      const std::string but = line.size() > 4 ? line.At(4) : "";
      story_->ClearAll(line.Number(2), but);
      return "";
    }
    if (line.At(0) == "show") return Show(line.Number(1));
    if (line.At(0) == "tick") return Do("", v1::Tick());
    if (line.At(0) == "service" && line.At(1) == "restarts") return Do("", v1::Restart());
    if (line.At(0) == "clock" && line.At(1) == "steps") {
      v1::ClockStep step;
      step.set_by_us(line.Number(2) * 1'000'000);
      return Do("", step);
    }
    const std::string& verb = line.At(1);
    for (const auto& table : {&Player::PeoplesVerb, &Player::MovesVerb, &Player::YardsVerb}) {
      if (auto answer = (this->*table)(line, verb)) return *answer;
    }
    throw std::invalid_argument("not understood: " + text);
  }

  void CheckReplay() const {
    if (story_) story_->CheckReplay();
  }

 private:
  template <class Request>
  Request About(const Line& line, size_t index) const {
    Request request;
    request.set_name(story_->Name(line.Number(index)));
    return request;
  }
  std::string MachineAt(const Line& line, size_t index) const {
    return MachineName(story_->state().yard->id, line.At(index));
  }

  std::string Open(const std::string& which) {
    story_ = which == "full" ? Story::Full() : Story::Small();
    return "";
  }

  std::string Wait(const Line& line) {
    const int64_t n = line.Number(1);
    const std::string& unit = line.At(2);
    if (unit != "min" && unit != "s" && unit != "h")
      throw std::invalid_argument("wait in s, min or h");
    story_->Advance(unit == "min" ? fit::Minutes(n)
                    : unit == "s" ? fit::Seconds(n)
                                  : fit::Hours(n));
    return "";
  }

  std::string Do(const std::string& person, const google::protobuf::Message& request) {
    const auto before = static_cast<std::ptrdiff_t>(story_->entries().size());
    const Outcome<Entries> outcome = story_->Do(person, request);
    return AnswerText(outcome,
                      Entries(story_->entries().begin() + before, story_->entries().end()));
  }

  std::string Show(MoveNumber number) const {
    std::string text;
    for (const GateStatus& gate : story_->Gates(number)) {
      if (gate.state == v1::GATE_STATE_CLEAR) continue;
      text += fmt::format(
          "> - {} {}: {}{}\n", gate.rule->id(),
          v1::GateState_Name(gate.state).substr(std::string("GATE_STATE_").size()), gate.reason,
          gate.accepted_by.empty() ? "" : " (accepted by " + gate.accepted_by.value() + ")");
    }
    return text.empty() ? "> all clear\n" : text;
  }

  std::optional<std::string> PeoplesVerb(const Line& line, const std::string& verb) {
    const std::string& person = line.At(0);
    if (verb == "asks") {
      v1::RequestMoveRequest request;
      request.set_parent(YardName(story_->state().yard->id));
      request.set_kind(line.At(2));
      request.set_machine(line.At(3));
      request.set_to_place(line.At(4));
      request.set_driver(line.Named("driver"));
      request.set_spotter(line.Named("spotter"));
      request.set_carrier(line.Named("carrier"));
      return Do(person, request);
    }
    if (verb == "accepts") {
      auto request = About<v1::AcceptSpottingRequest>(line, 2);
      request.set_machine(line.At(3));
      return Do(person, request);
    }
    if (verb == "names") {
      auto request = About<v1::NameSpotterRequest>(line, 2);
      request.set_spotter(line.At(3));
      return Do(person, request);
    }
    if (verb == "leaves") return Do(person, About<v1::LeaveSpottingRequest>(line, 2));
    if (verb == "swaps") {
      auto request = About<v1::SwapDriverRequest>(line, 2);
      request.set_driver(line.At(3));
      return Do(person, request);
    }
    if (verb == "says") return Do(person, WordIn(line));
    if (verb == "takes") {
      auto request = About<v1::AcceptGateRequest>(line, 2);
      request.set_gate_id(line.At(3));
      request.set_control(line.Named("control"));
      request.set_reason(line.Named("reason"));
      return Do(person, request);
    }
    return std::nullopt;
  }

  v1::ConfirmRequest WordIn(const Line& line) const {
    auto request = About<v1::ConfirmRequest>(line, 2);
    request.set_gate_id(line.At(3));
    request.set_finding(line.Named("finding"));
    request.set_post_code(line.Named("code"));
    request.set_note(line.Named("note"));
    if (line.Has("count")) request.set_count(std::stoll(line.Named("count")));
    return request;
  }

  std::optional<std::string> MovesVerb(const Line& line, const std::string& verb) {
    const std::string& person = line.At(0);
    if (verb == "wants") return Do(person, About<v1::RequestReleaseRequest>(line, 3));
    if (verb == "begins") {
      auto request = About<v1::BeginMoveRequest>(line, 2);
      request.set_machine(line.At(3));
      return Do(person, request);
    }
    if (verb == "holds" && line.At(2) != "yard") {
      auto request = About<v1::HoldMoveRequest>(line, 2);
      request.set_stop(line.At(3));
      return Do(person, request);
    }
    if (verb == "parks") return Do(person, About<v1::ParkMoveRequest>(line, 2));
    if (verb == "closes") return Do(person, About<v1::CloseMoveRequest>(line, 2));
    if (verb == "stops") {
      v1::StopMoveRequest request;
      const bool by_number = std::isdigit(static_cast<unsigned char>(line.At(2)[0])) != 0;
      request.set_name(by_number ? story_->Name(line.Number(2)) : MachineAt(line, 2));
      v1::StopCause cause = v1::STOP_CAUSE_UNSPECIFIED;
      if (line.Has("cause")) v1::StopCause_Parse("STOP_CAUSE_" + line.Named("cause"), &cause);
      request.set_cause(cause);
      request.set_text(line.Named("text"));
      return Do(person, request);
    }
    if (verb == "allows") return Do(person, About<v1::AllowRestartRequest>(line, 2));
    if (verb == "refuses") {
      auto request = About<v1::RefuseMoveRequest>(line, 2);
      request.set_reason(line.Named("reason"));
      return Do(person, request);
    }
    if (verb == "withdraws") {
      auto request = About<v1::WithdrawMoveRequest>(line, 2);
      request.set_reason(line.Named("reason"));
      return Do(person, request);
    }
    if (verb == "away") {
      auto request = About<v1::ReportAwayRequest>(line, 2);
      request.set_distance_mm(line.Number(3));
      request.set_in_view(line.At(4) == "seen");
      return Do(person, request);
    }
    if (verb == "broke") {
      auto request = About<v1::ReportBreakdownRequest>(line, 2);
      request.set_text(line.Named("text"));
      return Do(person, request);
    }
    return std::nullopt;
  }

  std::optional<std::string> YardsVerb(const Line& line, const std::string& verb) {
    const std::string& person = line.At(0);
    const std::string yard = YardName(story_->state().yard->id);
    if (verb == "opens") {
      v1::BeginShiftRequest request;
      request.set_name(yard);
      request.set_title(line.At(3));
      request.mutable_end_time()->set_seconds(
          (story_->now() + fit::Hours(line.Number(4))).micros() / 1'000'000);
      return Do(person, request);
    }
    if (verb == "ends") return Do(person, Named<v1::EndShiftRequest>(yard));
    if (verb == "holds") {
      auto request = Named<v1::HoldYardRequest>(yard);
      request.set_reason(line.Named("reason"));
      return Do(person, request);
    }
    if (verb == "lifts") return Do(person, Named<v1::LiftHoldRequest>(yard));
    if (verb == "reports") {
      auto request = Named<v1::ReportDoorRequest>(DoorName(story_->state().yard->id, line.At(2)));
      request.set_report(line.At(3) == "moved" ? v1::DOOR_REPORT_MOVED : v1::DOOR_REPORT_FAULTY);
      return Do(person, request);
    }
    if (verb == "returns")
      return Do(person,
                Named<v1::ReturnDoorRequest>(DoorName(story_->state().yard->id, line.At(2))));
    if (verb == "frees") {
      auto request = About<v1::ClearGroundRequest>(line, 2);
      request.set_place(line.At(3));
      return Do(person, request);
    }
    return MachinesVerb(line, verb);
  }

  std::optional<std::string> MachinesVerb(const Line& line, const std::string& verb) {
    const std::string& person = line.At(0);
    if (verb == "tags") {
      auto request = Named<v1::HangTagRequest>(MachineAt(line, 2));
      request.set_text(line.Named("text"));
      return Do(person, request);
    }
    if (verb == "untags") {
      auto request = Named<v1::ClearTagRequest>(MachineAt(line, 2));
      request.set_tag(line.Number(3));
      return Do(person, request);
    }
    if (verb == "inspects") {
      auto request = Named<v1::RecordInspectionRequest>(MachineAt(line, 2));
      request.set_defect(line.Named("defect"));
      return Do(person, request);
    }
    if (verb == "sets") {
      auto request = Named<v1::RecordPutDownRequest>(MachineAt(line, 2));
      request.set_item(line.At(3));
      request.set_count(line.Number(4));
      return Do(person, request);
    }
    return std::nullopt;
  }

  template <class Request>
  static Request Named(const std::string& name) {
    Request request;
    request.set_name(name);
    return request;
  }

  std::optional<Story> story_;
};

std::string ReadAll(const std::string& path) {
  std::ifstream in(path);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

}  // namespace

std::string Played(const std::string& script) {
  Player player;
  std::string played;
  std::istringstream lines(script);
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with(">")) continue;
    played += line + "\n";
    if (line.empty() || line.starts_with("#")) continue;
    played += player.Answer(line);
  }
  player.CheckReplay();
  return played;
}

std::vector<std::string> ScriptsIn(const std::string& folder) {
  std::vector<std::string> paths;
  const std::string top = std::string(CHOCKWISE_SOURCES) + "/tests/moves/" + folder;
  for (const auto& file : std::filesystem::directory_iterator(top)) {
    if (file.path().extension() == ".txt") paths.push_back(file.path().string());
  }
  std::sort(paths.begin(), paths.end());
  return paths;
}

void CheckScript(const std::string& path) {
  const std::string script = ReadAll(path);
  const std::string played = Played(script);
  if (std::getenv("CHOCKWISE_REWRITE") != nullptr) {
    std::ofstream(path) << played;
    return;
  }
  EXPECT_EQ(played, script) << "CHOCKWISE_REWRITE=1 writes the answers anew; read the difference";
}

}  // namespace chockwise::moves
