// Right files, damaged at random from a fixed seed: the readers never crash, never say nothing, and never take a bare
// number for a measurement. Law 2.
#include <array>
#include <random>

#include <gtest/gtest.h>

#include "services/yard/text.h"
#include "tests/yard/sample_yard.h"

namespace chockwise::yard {
namespace {

constexpr int kRounds = 8'000;

const std::array<std::string, 34> kPieces = {
    "\"", ",", ";", "\n", "\r\n", "\r", std::string(1, '\0'), "\xff", "\xe2\x82", "\xef\xbb\xbf", "{", "}", "[", "]", ":",
    "null", "true", "-1", "1e999", "0", "4.11", "nan", "13 ft 6 in", " lb", "1/2", "2027-02-30", "until", "driver",
    "\"\"", "\\u0000", "\\xff", "gates {", "[[[[[[[[", "99999999999999999999"};

size_t At(std::mt19937_64& random, const std::string& text) { return random() % (text.size() + 1); }

void Damage(std::mt19937_64& random, std::string& text) {
  const size_t at = At(random, text);
  const size_t bytes = 1 + random() % 20;
  switch (random() % 6) {
    case 0:
      if (at < text.size()) text[at] = static_cast<char>(random());
      break;
    case 1:
      text.erase(at, bytes);
      break;
    case 2:
      text.insert(at, kPieces[random() % kPieces.size()]);
      break;
    case 3:
      text.replace(at, bytes, kPieces[random() % kPieces.size()]);
      break;
    case 4:
      text.insert(At(random, text), text.substr(at, bytes * 10));
      break;
    case 5:
      if (random() % 10 == 0) text.resize(at);
      break;
  }
}

bool HasUnit(const std::string& text) {
  return text.find_first_not_of("0123456789.,-/ \t") != std::string::npos;
}

TEST(Mutation, DamagedFilesAreComplaintsOrARightYard) {
  constexpr std::array kFiles = {&YardFiles::map_geojson, &YardFiles::machines_csv, &YardFiles::people_csv,
                                 &YardFiles::measurements_csv, &YardFiles::rules_txtpb};
  std::mt19937_64 random(20261124);
  auto sample = SampleFiles();
  sample.rules_txtpb += SampleBaseRules().substr(SampleBaseRules().find("gates {"));  // every base rule said again
  ASSERT_EQ(ComplaintsText(ReadSample(sample)), "");
  int read = 0;
  for (int round = 0; round < kRounds; ++round) {
    auto files = sample;
    std::string& file = files.*kFiles[random() % kFiles.size()];
    for (size_t times = 1 + random() % 3; times > 0; --times) Damage(random, file);
    const auto yard = ReadSample(files);
    if (!yard) {
      ASSERT_FALSE(yard.error().empty());
      for (const Complaint& complaint : yard.error()) {
        const std::string text = complaint.Text();
        ASSERT_TRUE(IsLine(text, 10'000)) << "round " << round << ": " << text;
      }
      continue;
    }
    ++read;
    for (const Measurement& reading : yard->measurements.all()) {
      ASSERT_TRUE(HasUnit(reading.as_written)) << "round " << round << ": " << reading.as_written;
    }
    for (const auto& [id, unused] : yard->places) ASSERT_TRUE(IsId(id.value()));
  }
  // Some damage is harmless (a letter of a name), most is not; were it all one or the other, nothing would be tested.
  EXPECT_GT(read, kRounds / 100);
  EXPECT_LT(read, kRounds / 2);
  RecordProperty("read", read);
}

TEST(Mutation, ValuesAreNeverReadWithoutAUnit) {
  std::mt19937_64 random(42);
  const std::array<std::string, 6> kRight = {"13 ft 6 1/2 in", "42,000 lb", "4.11 m", "97 dB(A)", "2 %", "3.5 mph"};
  int read = 0;
  for (int round = 0; round < 200'000; ++round) {
    std::string text = kRight[random() % kRight.size()];
    for (size_t times = 1 + random() % 3; times > 0; --times) Damage(random, text);
    const auto value = ReadMeasuredValue(text);
    if (!value) continue;
    ++read;
    ASSERT_TRUE(HasUnit(text)) << text;
  }
  EXPECT_GT(read, 1'000);
}

}  // namespace
}  // namespace chockwise::yard
