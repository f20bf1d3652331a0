#include "tests/support/programs.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace chockwise::testing {
namespace {

using Clock = std::chrono::steady_clock;

[[noreturn]] void Die(const std::string& why) {
  fmt::print(stderr, "{}\n", why);
  std::exit(1);
}

std::vector<char*> Pointers(const std::vector<std::string>& command) {
  std::vector<char*> pointers;
  for (const std::string& word : command) pointers.push_back(const_cast<char*>(word.c_str()));
  pointers.push_back(nullptr);
  return pointers;
}

/// One line from a pipe, or what came of it within the time.
std::string ReadLine(int fd, std::chrono::seconds most) {
  std::string line;
  const Clock::time_point end = Clock::now() + most;
  while (Clock::now() < end) {
    pollfd wait{.fd = fd, .events = POLLIN, .revents = 0};
    if (poll(&wait, 1, 100) <= 0) continue;
    char byte = 0;
    if (read(fd, &byte, 1) != 1 || byte == '\n') break;
    line += byte;
  }
  return line;
}

}  // namespace

Program::Program(const std::vector<std::string>& command) {
  int ends[2];
  if (pipe2(ends, O_CLOEXEC) != 0) Die("no pipe");
  const Clock::time_point began = Clock::now();
  pid_ = fork();
  if (pid_ == 0) {
    dup2(ends[1], STDOUT_FILENO);
    execv(command.front().c_str(), Pointers(command).data());
    _exit(127);
  }
  close(ends[1]);
  out_ = ends[0];
  const std::string line = ReadLine(out_, std::chrono::seconds(120));
  seconds_to_ready_ = std::chrono::duration<double>(Clock::now() - began).count();
  const size_t at = line.find("listen=");
  if (at == std::string::npos)
    Die(fmt::format("{} did not get ready: \"{}\"", command.front(), line));
  address_ = line.substr(at + 7, line.find(' ', at) - at - 7);
}

Program::~Program() { End(); }

void Program::End() {
  if (pid_ <= 0) return;
  kill(pid_, SIGTERM);
  for (int waited = 0; waited < 100; ++waited) {
    if (waitpid(pid_, nullptr, WNOHANG) == pid_) {
      pid_ = 0;
      break;
    }
    usleep(100'000);
  }
  if (pid_ > 0) {
    kill(pid_, SIGKILL);
    waitpid(pid_, nullptr, 0);
    pid_ = 0;
  }
  close(out_);
}

void Program::Kill() {
  if (pid_ <= 0) return;
  kill(pid_, SIGKILL);
  waitpid(pid_, nullptr, 0);
  pid_ = 0;
  close(out_);
}

std::string InitYard(const Init& init) {
  std::filesystem::create_directories(init.data);
  const std::string token_file = init.data + "/first.token";
  std::vector<std::string> command = {init.chockwised, "--yard",  init.yard, "--data",
                                      init.data,       "init",    "--as",    init.safety_lead,
                                      "--token-file",  token_file};
  command.insert(command.end(), init.more.begin(), init.more.end());
  std::fflush(stdout);  // or the child would print it again
  const pid_t pid = fork();
  if (pid == 0) {
    if (std::freopen("/dev/null", "w", stdout) == nullptr) _exit(127);
    execv(command.front().c_str(), Pointers(command).data());
    _exit(127);
  }
  int status = 0;
  waitpid(pid, &status, 0);
  if (status != 0) Die("chockwised init failed");
  std::string secret;
  std::ifstream in(token_file);
  std::getline(in, secret);
  return secret;
}

}  // namespace chockwise::testing
