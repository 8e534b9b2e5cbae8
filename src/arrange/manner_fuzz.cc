// Any bytes as a manner file: a manner or located errors, never a crash.
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "arrange/manner.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto manner = stillhand::arrange::Manner::read(text, "fuzz.json");
  if (!manner && manner.error().empty()) __builtin_trap();
  return 0;
}
