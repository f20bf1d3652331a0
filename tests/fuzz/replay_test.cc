// Runs every input of a fuzzer's corpus through it once, as a normal test.
#include <gtest/gtest.h>

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size);

TEST(Fuzz, ReplaysTheCorpus) {
  int inputs = 0;
  for (const auto& entry : std::filesystem::directory_iterator(CHOCKWISE_CORPUS)) {
    std::ifstream in(entry.path(), std::ios::binary);
    const std::string bytes((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
    EXPECT_EQ(LLVMFuzzerTestOneInput(reinterpret_cast<const uint8_t*>(bytes.data()), bytes.size()),
              0)
        << entry.path();
    ++inputs;
  }
  EXPECT_GE(inputs, 4);
}
