// Measures the server beside a bare gRPC echo, in interleaved rounds of one run. Prints medians;
// asserts nothing about time.
//
//   chockwise_bench --chockwised PROGRAM --yard FOLDER --work FOLDER [--short]
//
// Everything runs on this machine, over loopback: half of the processor's time is the client's.

#include <fmt/format.h>
#include <grpcpp/grpcpp.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <map>

#include "chockwise/v1/moves.grpc.pb.h"
#include "chockwise/v1/people.grpc.pb.h"
#include "tests/bench/echo_and_yard.h"
#include "tests/bench/ledgers.h"
#include "tests/bench/load.h"
#include "tests/bench/memory.h"
#include "tests/bench/watchers.h"
#include "tests/support/programs.h"
#include "tests/support/request_id.h"

namespace chockwise::bench {
namespace {

constexpr char kYard[] = "yards/tumbrel-mill";

struct Options {
  std::string chockwised, yard, work;
  bool brief = false;
  bool echo = false;
};

void Check(const grpc::Status& status, const char* what) {
  if (status.ok()) return;
  fmt::print(stderr, "bench: {}: {}\n", what, status.error_message());
  std::exit(1);
}

/// The driver's token, and moves asked for that stay open.
struct Prepared {
  std::string token;
  std::vector<std::string> moves;
};

Prepared Prepare(const std::string& address, const std::string& safety_lead, int trucks) {
  const auto channel = grpc::CreateChannel(address, grpc::InsecureChannelCredentials());
  Prepared prepared;
  {
    grpc::ClientContext context;
    context.AddMetadata("authorization", "Bearer " + safety_lead);
    v1::IssueTokenRequest request;
    request.set_parent(kYard);
    request.set_request_id(testing::NewRequestId());
    request.set_person("tam");
    v1::IssuedToken issued;
    Check(v1::PeopleService::NewStub(channel)->IssueToken(&context, request, &issued),
          "issue a token");
    prepared.token = issued.secret();
  }
  const auto moves = v1::MoveService::NewStub(channel);
  for (int truck = 1; truck <= trucks; ++truck) {
    grpc::ClientContext context;
    context.AddMetadata("authorization", "Bearer " + prepared.token);
    v1::RequestMoveRequest request;
    request.set_parent(kYard);
    request.set_request_id(testing::NewRequestId());
    request.set_kind("service-truck-reverses-out");
    request.set_machine(fmt::format("BT-{}", truck));
    request.set_to_place("street-gate");
    v1::Receipt receipt;
    Check(moves->RequestMove(&context, request, &receipt), "ask for a move");
    prepared.moves.push_back(receipt.name());
  }
  return prepared;
}

struct Series {
  std::vector<double> rate, p50, p99, ratio;
};

void PrintConfirms(const std::map<int, Series>& echo, const std::map<int, Series>& confirm) {
  fmt::print(
      "\n| callers | echo calls/s (p50/p99 ms) | durable confirms/s (p50/p99 ms) | ratio "
      "|\n|---|---|---|---|\n");
  for (const auto& [callers, series] : confirm) {
    const Series& bare = echo.at(callers);
    fmt::print("| {} | {:.0f} ({:.2f}/{:.2f}) | {:.0f} ({:.2f}/{:.2f}) | {:.2f} |\n", callers,
               Median(bare.rate), Median(bare.p50) / 1e3, Median(bare.p99) / 1e3,
               Median(series.rate), Median(series.p50) / 1e3, Median(series.p99) / 1e3,
               Median(series.ratio));
  }
}

void MeasureConfirms(const Options& options, const std::string& echo_address,
                     const std::string& address, const Prepared& prepared) {
  const int rounds = options.brief ? 1 : 7;
  const std::chrono::milliseconds time(options.brief ? 200 : 2'000);
  std::map<int, Series> echo, confirm;
  for (int round = 0; round < rounds; ++round) {
    for (const int callers : {1, 16, 64, 256}) {
      Load load{.address = echo_address,
                .token = prepared.token,
                .moves = prepared.moves,
                .gate_id = "brake-and-tags",
                .callers = callers,
                .time = time};
      const LoadResult bare = RunLoad(load);
      load.address = address;
      const LoadResult durable = RunLoad(load);
      if (bare.failed + durable.failed > 0) {
        fmt::print(stderr, "bench: {} calls failed: {}{}\n", bare.failed + durable.failed,
                   bare.first_failure, durable.first_failure);
        std::exit(1);
      }
      for (const auto& [result, series] :
           {std::pair(bare, &echo[callers]), std::pair(durable, &confirm[callers])}) {
        series->rate.push_back(result.calls_per_second);
        series->p50.push_back(result.p50_us);
        series->p99.push_back(result.p99_us);
      }
      confirm[callers].ratio.push_back(durable.calls_per_second / bare.calls_per_second);
    }
  }
  PrintConfirms(echo, confirm);
}

void MeasureReady(const Options& options, const std::string& yard, const std::string& data,
                  const char* what) {
  std::vector<double> seconds;
  for (int i = 0; i < (options.brief ? 1 : 5); ++i) {
    testing::Program server({options.chockwised, "--yard", yard, "--data", data, "--listen",
                             "127.0.0.1:0", "--log-level", "warn", "serve"});
    seconds.push_back(server.seconds_to_ready());
  }
  fmt::print("time to ready, {}: {:.0f} ms\n", what, Median(seconds) * 1e3);
}

void Run(const Options& options, const std::string& self) {
  namespace fs = std::filesystem;
  fs::remove_all(options.work);
  const std::string yard = options.work + "/yard", data = options.work + "/data",
                    empty = options.work + "/empty";
  constexpr int kTrucks = 64;
  MakeBenchYard(options.yard, yard, kTrucks);

  testing::InitYard(
      {.chockwised = options.chockwised, .yard = yard, .data = empty, .safety_lead = "wren"});
  MeasureReady(options, yard, empty, "a ledger with the yard alone");

  const std::string safety_lead = testing::InitYard(
      {.chockwised = options.chockwised, .yard = yard, .data = data, .safety_lead = "wren"});
  {
    testing::Program echo({self, "--echo"});
    testing::Program server({options.chockwised, "--yard", yard, "--data", data, "--listen",
                             "127.0.0.1:0", "--log-level", "warn", "serve"});
    const Prepared prepared = Prepare(server.address(), safety_lead, kTrucks);
    MeasureConfirms(options, echo.address(), server.address(), prepared);
    const int watchers = options.brief ? 100 : 1'000;
    const StopResult stops = MeasureStops({.address = server.address(),
                                           .token = prepared.token,
                                           .move = prepared.moves.front(),
                                           .watchers = watchers,
                                           .stops = options.brief ? 5 : 101});
    fmt::print(
        "\nstop call to the driver's watch, {} watchers: p50 {:.1f} ms, p99 {:.1f} ms; to the last "
        "watch: p50 {:.1f} "
        "ms, p99 {:.1f} ms\n",
        watchers, stops.driver_p50_ms, stops.driver_p99_ms, stops.last_p50_ms, stops.last_p99_ms);
  }
  const int64_t entries = options.brief ? 20'000 : 1'000'000;
  const std::string big = options.work + "/big";
  const std::string lead = testing::InitYard(
      {.chockwised = options.chockwised, .yard = yard, .data = big, .safety_lead = "wren"});
  {
    testing::Program server({options.chockwised, "--yard", yard, "--data", big, "--listen",
                             "127.0.0.1:0", "--log-level", "warn", "serve"});
    Prepare(server.address(), lead, kTrucks);
  }
  GrowLedger(big, "tumbrel-mill", entries);
  MeasureReady(options, yard, big, fmt::format("{} entries, every hash checked", entries).c_str());
  const int moves = options.brief ? 5'000 : 100'000;
  fmt::print("memory per open move, {} of them with four words each: {:.0f} bytes\n", moves,
             BytesPerOpenMove(moves));
  fs::remove_all(options.work);
}

}  // namespace
}  // namespace chockwise::bench

int main(int argc, char** argv) {
  chockwise::bench::Options options;
  CLI::App app{"Measures the server beside a bare gRPC echo."};
  app.add_option("--chockwised", options.chockwised);
  app.add_option("--yard", options.yard);
  app.add_option("--work", options.work);
  app.add_flag("--short", options.brief, "A moment of each, to see that it runs");
  app.add_flag("--echo", options.echo, "Serve the echo");
  CLI11_PARSE(app, argc, argv);
  if (options.echo) {
    chockwise::bench::ServeEcho();
    return 0;
  }
  chockwise::bench::Run(options, "/proc/self/exe");
  return 0;
}
