#include "cli-client/words.h"

#include <fmt/format.h>

#include <array>
#include <ctime>

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

std::string_view Word(v1::MoveState state) {
  switch (state) {
    case v1::MOVE_STATE_REQUESTED:
      return "ASKED FOR";
    case v1::MOVE_STATE_RELEASED:
      return "RELEASED";
    case v1::MOVE_STATE_UNDER_WAY:
      return "UNDER WAY";
    case v1::MOVE_STATE_HELD:
      return "HELD";
    case v1::MOVE_STATE_STOPPED:
      return "STOPPED";
    case v1::MOVE_STATE_PARKED:
      return "PARKED";
    case v1::MOVE_STATE_CLOSED:
      return "CLOSED";
    case v1::MOVE_STATE_WITHDRAWN:
      return "WITHDRAWN";
    case v1::MOVE_STATE_REFUSED:
      return "REFUSED";
    case v1::MOVE_STATE_LEFT_STANDING:
      return "LEFT STANDING";
    case v1::MOVE_STATE_UNSPECIFIED:
    case v1::MoveState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::MoveState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "UNKNOWN";
}

std::string_view Word(v1::GateState state) {
  switch (state) {
    case v1::GATE_STATE_NOT_ASKED:
      return "NOT ASKED";
    case v1::GATE_STATE_NOT_CLEAR:
      return "NOT CLEAR";
    case v1::GATE_STATE_STALE:
      return "STALE";
    case v1::GATE_STATE_CLEAR:
      return "CLEAR";
    case v1::GATE_STATE_UNSPECIFIED:
    case v1::GateState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::GateState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "UNKNOWN";
}

std::string_view Word(v1::StopCause cause) {
  switch (cause) {
    case v1::STOP_CAUSE_UNSPECIFIED:
    case v1::STOP_CAUSE_CALLED:
      return "stop called";
    case v1::STOP_CAUSE_LOST_SIGHT:
      return "lost sight";
    case v1::STOP_CAUSE_SIGNAL_NOT_UNDERSTOOD:
      return "signal not understood";
    case v1::STOP_CAUSE_CONTACT:
      return "something was touched";
    case v1::STOP_CAUSE_DOOR_MOVED:
      return "a door moved";
    case v1::STOP_CAUSE_YARD_HOLD:
      return "the yard is held";
    case v1::STOP_CAUSE_SPOTTER_LEFT:
      return "the spotter left";
    case v1::STOP_CAUSE_FACT_CHANGED:
      return "a fact changed";
    case v1::STOP_CAUSE_SHIFT_END:
      return "the shift ended";
    case v1::STOP_CAUSE_SERVICE_RESTARTED:
      return "the server restarted";
    case v1::STOP_CAUSE_CLOCK_STEPPED:
      return "the clock stepped";
    case v1::STOP_CAUSE_UNATTENDED:
      return "the driver was away";
    case v1::StopCause_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::StopCause_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "stopped";
}

std::string_view Word(v1::Party party) {
  switch (party) {
    case v1::PARTY_DRIVER:
      return "DRIVER";
    case v1::PARTY_SPOTTER:
      return "SPOTTER";
    case v1::PARTY_YARD_LEAD:
      return "YARD LEAD";
    case v1::PARTY_TECH:
      return "TECH";
    case v1::PARTY_UNSPECIFIED:
    case v1::Party_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Party_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "SOMEBODY";
}

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

bool IsOpen(v1::MoveState state) {
  switch (state) {
    case v1::MOVE_STATE_REQUESTED:
    case v1::MOVE_STATE_RELEASED:
    case v1::MOVE_STATE_UNDER_WAY:
    case v1::MOVE_STATE_HELD:
    case v1::MOVE_STATE_STOPPED:
    case v1::MOVE_STATE_PARKED:
      return true;
    case v1::MOVE_STATE_CLOSED:
    case v1::MOVE_STATE_WITHDRAWN:
    case v1::MOVE_STATE_REFUSED:
    case v1::MOVE_STATE_LEFT_STANDING:
    case v1::MOVE_STATE_UNSPECIFIED:
    case v1::MoveState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::MoveState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return false;
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
