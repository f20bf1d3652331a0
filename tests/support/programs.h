// Servers as processes of their own: started, waited for, ended or killed by their own pid.
//
//   Program server({chockwised, "--yard", yard, "--data", data, "--listen", "127.0.0.1:0",
//   "serve"}); auto channel = grpc::CreateChannel(server.address(),
//   grpc::InsecureChannelCredentials()); server.Kill();
#pragma once

#include <sys/types.h>

#include <memory>
#include <string>
#include <vector>

namespace chockwise::testing {

/// A child process that says "ready listen=ADDRESS"; ended by its own pid when this goes.
class Program {
 public:
  /// Starts it and waits for its line. Aborts with what it said where it does not come.
  explicit Program(const std::vector<std::string>& command);
  ~Program();
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  const std::string& address() const { return address_; }
  double seconds_to_ready() const { return seconds_to_ready_; }
  /// Asks it to drain and waits; SIGKILL after some seconds.
  void End();
  /// SIGKILL: it gets no chance to finish anything.
  void Kill();

 private:
  pid_t pid_ = 0;
  int out_ = -1;
  std::string address_;
  double seconds_to_ready_ = 0;
};

struct Init {
  std::string chockwised, yard, data, safety_lead;
  std::vector<std::string> more = {};  // further options, e.g. of a rehearsal
};
/// Runs `chockwised init` and gives the safety lead's secret.
std::string InitYard(const Init& init);

}  // namespace chockwise::testing
