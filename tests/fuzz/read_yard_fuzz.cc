// All of a yard's readers, from bytes that anyone may have written. The first byte says which of
// the five files of a right yard is replaced by the rest.
#include <array>
#include <cstdint>
#include <cstdlib>

#include "services/yard/text.h"
#include "tests/yard/sample_yard.h"

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  using chockwise::yard::YardFiles;
  constexpr std::array kFiles = {&YardFiles::map_geojson, &YardFiles::machines_csv,
                                 &YardFiles::people_csv, &YardFiles::measurements_csv,
                                 &YardFiles::rules_txtpb};
  if (size == 0) return 0;
  YardFiles files = chockwise::yard::SampleFiles();
  files.*kFiles[data[0] % kFiles.size()] =
      std::string(reinterpret_cast<const char*>(data) + 1, size - 1);
  const auto yard = chockwise::yard::ReadSample(files);
  if (!yard) {
    if (yard.error().empty()) std::abort();
    for (const auto& complaint : yard.error()) {
      if (!chockwise::yard::IsLine(complaint.Text(), 10'000)) std::abort();  // goes to a terminal
    }
    return 0;
  }
  for (const auto& reading : yard->measurements.all()) {
    // Law 2: a bare number is never a measurement.
    if (reading.as_written.find_first_not_of("0123456789.,-/ \t") == std::string::npos)
      std::abort();
  }
  return 0;
}
