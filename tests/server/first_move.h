// The steps of one move of the smallest yard, by name. Each step expects a yes.
#pragma once

#include <gtest/gtest.h>

#include <string>

#include "tests/server/in_process_server.h"

namespace chockwise::server {

class FirstMove {
 public:
  explicit FirstMove(InProcessServer& server, std::string machine = "C-1")
      : server_(server),
        dan_(server.As("dan")),
        kim_(server.As("kim")),
        yves_(server.As("yves")),
        machine_(std::move(machine)) {}

  /// Opens the shift where none runs, and asks.
  void Ask() {
    v1::BeginShiftRequest shift;
    shift.set_name("yards/pads");
    shift.set_title("day");
    shift.mutable_end_time()->set_seconds(server_.clock().Now().micros() / 1'000'000 + 8 * 3'600);
    Good(yves_.Call(&v1::YardService::Stub::BeginShift, shift));
    v1::RequestMoveRequest request;
    request.set_parent("yards/pads");
    request.set_kind("shuttle");
    request.set_machine(machine_);
    request.set_to_place("south-pad");
    request.set_spotter("kim");
    name_ = Good(dan_.Call(&v1::MoveService::Stub::RequestMove, request)).name();
  }
  void ClearAllGates() {
    v1::AcceptSpottingRequest accept;
    accept.set_name(name_);
    accept.set_machine(machine_);
    Good(kim_.Call(&v1::MoveService::Stub::AcceptSpotting, accept));
    Confirm(dan_, "walked-round");
    Confirm(kim_, "law-second-word");
  }
  /// From the asking to the first motion.
  void GetUnderWay() {
    Ask();
    ClearAllGates();
    Release();
    Begin();
  }
  v1::Receipt Release() {
    return Good(
        dan_.Call(&v1::MoveService::Stub::RequestRelease, Named<v1::RequestReleaseRequest>()));
  }
  void Begin() {
    auto request = Named<v1::BeginMoveRequest>();
    request.set_machine(machine_);
    Good(dan_.Call(&v1::MoveService::Stub::BeginMove, request));
  }
  void Park() { Good(dan_.Call(&v1::MoveService::Stub::ParkMove, Named<v1::ParkMoveRequest>())); }
  void Close() {
    Confirm(dan_, "cart-braked");
    Good(dan_.Call(&v1::MoveService::Stub::CloseMove, Named<v1::CloseMoveRequest>()));
  }
  void Confirm(Person& person, const std::string& gate) {
    auto request = Named<v1::ConfirmRequest>();
    request.set_gate_id(gate);
    Good(person.Call(&v1::MoveService::Stub::Confirm, request));
  }
  v1::Move Get() {
    return Good(dan_.Call(&v1::MoveService::Stub::GetMove, Named<v1::GetMoveRequest>()));
  }
  /// After a restart, when the old connections are gone.
  v1::Move GetAgain() {
    return Good(
        server_.As("dan").Call(&v1::MoveService::Stub::GetMove, Named<v1::GetMoveRequest>()));
  }

  Person& dan() { return dan_; }
  Person& kim() { return kim_; }
  Person& yves() { return yves_; }
  const std::string& name() const { return name_; }

  template <class Request>
  Request Named() const {
    Request request;
    request.set_name(name_);
    return request;
  }

 private:
  template <class Response>
  Response Good(const Answer<Response>& answer) {
    EXPECT_TRUE(answer.ok()) << answer.status.error_code() << " " << answer.status.error_message();
    return answer.response;
  }

  InProcessServer& server_;
  Person dan_, kim_, yves_;
  std::string machine_;
  std::string name_;
};

}  // namespace chockwise::server
