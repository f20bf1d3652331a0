#include "tests/bench/echo_and_yard.h"

#include <fmt/format.h>
#include <grpcpp/grpcpp.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <sstream>

#include "chockwise/v1/moves.grpc.pb.h"

namespace chockwise::bench {
namespace {

std::string ReadFile(const std::filesystem::path& path) {
  std::ifstream in(path);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

/// The answer of the echo: as large as a real receipt.
class Echo final : public v1::MoveService::CallbackService {
  grpc::ServerUnaryReactor* Confirm(grpc::CallbackServerContext* context,
                                    const v1::ConfirmRequest* request,
                                    v1::Receipt* receipt) override {
    receipt->set_name(request->name());
    receipt->set_entry(123'456);
    receipt->mutable_entry_time()->set_seconds(1'795'561'200);
    receipt->mutable_entry_time()->set_nanos(123'456'000);
    receipt->set_move_state(v1::MOVE_STATE_REQUESTED);
    grpc::ServerUnaryReactor* reactor = context->DefaultReactor();
    reactor->Finish(grpc::Status::OK);
    return reactor;
  }
};

}  // namespace

void ServeEcho() {
  Echo echo;
  int port = 0;
  grpc::ServerBuilder builder;
  builder.AddListeningPort("127.0.0.1:0", grpc::InsecureServerCredentials(), &port);
  builder.RegisterService(&echo);
  const std::unique_ptr<grpc::Server> server = builder.BuildAndStart();
  fmt::print("ready listen=127.0.0.1:{}\n", port);
  std::fflush(stdout);
  server->Wait();
}

void MakeBenchYard(const std::string& from, const std::string& to, int trucks) {
  namespace fs = std::filesystem;
  fs::create_directories(to);
  for (const char* file : {"people.csv", "measurements.csv", "rules.txtpb"}) {
    fs::copy_file(fs::path(from) / file, fs::path(to) / file, fs::copy_options::overwrite_existing);
  }
  nlohmann::json map = nlohmann::json::parse(ReadFile(fs::path(from) / "map.geojson"));
  for (nlohmann::json& feature : map["features"]) {
    if (feature["id"] == "truck-row") feature["properties"]["capacity"] = 100;
  }
  std::ofstream(fs::path(to) / "map.geojson") << map.dump();
  std::ofstream machines(fs::path(to) / "machines.csv");
  machines << ReadFile(fs::path(from) / "machines.csv");
  for (int i = 1; i <= trucks; ++i)
    machines << fmt::format("BT-{},Bench truck,service-truck,truck-row,,0,front-axle,\n", i);
}

}  // namespace chockwise::bench
