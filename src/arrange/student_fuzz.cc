// Any bytes as a student file: a student that is written and read back the same, or located errors, never a crash.
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "arrange/student.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace stillhand::arrange;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto read = read_student(text, "fuzz.student");
  if (!read) {
    if (read.error().empty()) __builtin_trap();
    return 0;
  }
  const auto again = read_student(write_student(read->student), "fuzz.student");
  if (!again || !(again->student == read->student)) __builtin_trap();
  return 0;
}
