#include "cli-client/words.h"

#include <fmt/format.h>
#include <google/protobuf/descriptor.h>

#include <array>
#include <cctype>
#include <ctime>
#include <map>

#include "services/history/words.h"
#include "services/yard/yard.h"

namespace chockwise::cli {
namespace {

Mark MarkOf(v1::MoveState state) {
  switch (state) {
    case v1::MOVE_STATE_REQUESTED:
      return {"o", "○"};
    case v1::MOVE_STATE_RELEASED:
      return {">", "▷"};
    case v1::MOVE_STATE_UNDER_WAY:
      return {">>", "▶▶"};
    case v1::MOVE_STATE_HELD:
      return {"||", "‖"};
    case v1::MOVE_STATE_STOPPED:
      return {"XX", "■"};
    case v1::MOVE_STATE_PARKED:
      return {"_", "▁"};
    case v1::MOVE_STATE_CLOSED:
      return {"*", "●"};
    case v1::MOVE_STATE_WITHDRAWN:
      return {"<", "←"};
    case v1::MOVE_STATE_REFUSED:
      return {"x", "✗"};
    case v1::MOVE_STATE_LEFT_STANDING:
      return {"!", "▲"};
    case v1::MOVE_STATE_UNSPECIFIED:
    case v1::MoveState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::MoveState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return {"?", "?"};
}

Mark MarkOf(v1::GateState state) {
  switch (state) {
    case v1::GATE_STATE_NOT_ASKED:
      return {"?", "○"};
    case v1::GATE_STATE_NOT_CLEAR:
      return {"x", "✗"};
    case v1::GATE_STATE_STALE:
      return {"~", "↺"};
    case v1::GATE_STATE_CLEAR:
      return {"+", "✓"};
    case v1::GATE_STATE_UNSPECIFIED:
    case v1::GateState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::GateState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return {"?", "?"};
}

/// The words of an enum in capitals.
template <class Enum>
std::string_view Capitals(Enum value, std::string_view (*words)(Enum)) {
  static const std::map<int, std::string> all = [words] {
    std::map<int, std::string> capitals;
    const google::protobuf::EnumDescriptor* known = google::protobuf::GetEnumDescriptor<Enum>();
    for (int i = 0; i < known->value_count(); ++i) {
      const int number = known->value(i)->number();
      std::string& text = capitals[number] = words(static_cast<Enum>(number));
      for (char& c : text) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    }
    return capitals;
  }();
  const auto known = all.find(value);
  return known == all.end() ? "UNKNOWN" : std::string_view(known->second);
}

std::string Formatted(const google::protobuf::Timestamp& time, const char* format,
                      std::string_view unset) {
  if (time.seconds() == 0 && time.nanos() == 0) return std::string(unset);
  const std::time_t seconds = static_cast<std::time_t>(time.seconds());
  std::tm local{};
  if (localtime_r(&seconds, &local) == nullptr) return std::string(unset);
  std::array<char, 40> text{};
  return {text.data(), std::strftime(text.data(), text.size(), format, &local)};
}

}  // namespace

std::string_view Word(v1::MoveState state) { return Capitals(state, history::StateWords); }
std::string_view Word(v1::GateState state) { return Capitals(state, history::GateStateWords); }
std::string_view Word(v1::Party party) { return Capitals(party, yard::PartyWord); }
std::string_view Word(v1::StopCause cause) { return history::CauseWords(cause); }

std::string_view Word(v1::Phase phase) {
  switch (phase) {
    case v1::PHASE_START:
      return "before the start";
    case v1::PHASE_HOLD_POINT:
      return "at the hold point";
    case v1::PHASE_CLOSE_OUT:
      return "close-out";
    case v1::PHASE_UNSPECIFIED:
    case v1::Phase_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Phase_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "";
}

Ink InkOf(v1::MoveState state) {
  switch (state) {
    // A release is never painted green: it says nothing about what is out there.
    case v1::MOVE_STATE_RELEASED:
    case v1::MOVE_STATE_UNDER_WAY:
      return Ink::kInfo;
    case v1::MOVE_STATE_HELD:
    case v1::MOVE_STATE_PARKED:
      return Ink::kWarn;
    case v1::MOVE_STATE_STOPPED:
    case v1::MOVE_STATE_REFUSED:
    case v1::MOVE_STATE_LEFT_STANDING:
      return Ink::kBad;
    case v1::MOVE_STATE_CLOSED:
    case v1::MOVE_STATE_WITHDRAWN:
      return Ink::kQuiet;
    case v1::MOVE_STATE_REQUESTED:
      return Ink::kLoud;
    case v1::MOVE_STATE_UNSPECIFIED:
    case v1::MoveState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::MoveState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return Ink::kPlain;
}

Ink InkOf(v1::GateState state) {
  switch (state) {
    case v1::GATE_STATE_CLEAR:
      return Ink::kGood;
    case v1::GATE_STATE_NOT_CLEAR:
      return Ink::kBad;
    case v1::GATE_STATE_STALE:
      return Ink::kWarn;
    case v1::GATE_STATE_NOT_ASKED:
      return Ink::kInfo;
    case v1::GATE_STATE_UNSPECIFIED:
    case v1::GateState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::GateState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return Ink::kPlain;
}

std::string PlainTag(const Style& style, v1::MoveState state) {
  return fmt::format("{} {}", Shown(style, MarkOf(state)), Word(state));
}

std::string PlainTag(const Style& style, v1::GateState state) {
  return fmt::format("{} {}", Shown(style, MarkOf(state)), Word(state));
}

std::string StateTag(const Style& style, v1::MoveState state) {
  return Inked(style, InkOf(state), PlainTag(style, state));
}

std::string StateTag(const Style& style, v1::GateState state) {
  return Inked(style, InkOf(state), PlainTag(style, state));
}

std::string LastPart(std::string_view name) {
  const std::size_t slash = name.rfind('/');
  return std::string(slash == std::string_view::npos ? name : name.substr(slash + 1));
}

std::string Clock(const google::protobuf::Timestamp& time) {
  return Formatted(time, "%H:%M:%S", "--:--:--");
}
std::string ShortClock(const google::protobuf::Timestamp& time) {
  return Formatted(time, "%H:%M", "--:--");
}
std::string DateAndClock(const google::protobuf::Timestamp& time) {
  return Formatted(time, "%Y-%m-%d %H:%M", "---------- --:--");
}

std::string Counted(int count, std::string_view noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

}  // namespace chockwise::cli
