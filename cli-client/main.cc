// chockwise: the command line of drivers, spotters and leads.

#include <sys/ioctl.h>
#include <unistd.h>

#include <cstdlib>
#include <iostream>

#include "cli-client/app.h"

int main(int count, char** arguments) {
  using namespace chockwise::cli;
  Io io{.in = std::cin,
        .out = std::cout,
        .err = std::cerr,
        .environment =
            [](const char* name) {
              const char* value = std::getenv(name);
              return std::string(value == nullptr ? "" : value);
            },
        .in_is_terminal = isatty(STDIN_FILENO) == 1,
        .out_is_terminal = isatty(STDOUT_FILENO) == 1,
        .err_is_terminal = isatty(STDERR_FILENO) == 1};
  winsize size{};
  if (io.out_is_terminal && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
    io.columns = size.ws_col;
    io.rows = size.ws_row;
  }
  return static_cast<int>(Run({arguments + 1, arguments + count}, std::move(io)));
}
