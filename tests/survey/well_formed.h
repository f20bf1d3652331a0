// Whether a drawing is what a browser and a printer read.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace chockwise::survey {

/// Python's parser judges: it refuses what is not well-formed XML 1.0.
inline bool IsWellFormed(const std::string& svg) {
  const std::filesystem::path file =
      std::filesystem::temp_directory_path() /
      (std::string(::testing::UnitTest::GetInstance()->current_test_info()->name()) + "." +
       std::to_string(::getpid()) + ".svg");
  std::ofstream(file, std::ios::binary) << svg;
  const std::string command =
      "/usr/bin/python3 -c 'import sys, xml.dom.minidom as m; "
      "d = m.parse(sys.argv[1]).documentElement; "
      "sys.exit(d.tagName != \"svg\" or d.getAttribute(\"version\") != "
      "\"1.1\")' " +
      file.string() + " 2>/dev/null";
  const bool well_formed = std::system(command.c_str()) == 0;
  std::filesystem::remove(file);
  return well_formed;
}

}  // namespace chockwise::survey
