// Any bytes give a chart that parses, or an error; never a crash, and never a fault in a chart of our own making.
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "chart/chart.h"
#include "imports/imports.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  for (const auto import :
       {stillhand::imports::import_file, stillhand::imports::import_chord_lines}) {
    const auto chart = import(bytes, "fuzz");
    if (!chart) {
      const std::string& message = chart.error().front().message;
      const bool is_our_fault = message.find("does not fit into a chart") != std::string::npos;
      const bool is_limit = message.find(" more than ") != std::string::npos ||
                            message.find(" longer than ") != std::string::npos ||
                            message.find(" at most ") != std::string::npos ||
                            message.find(" is the most") != std::string::npos;
      if (is_our_fault && !is_limit) std::abort();
      continue;
    }
    if (!stillhand::chart::parse(*chart, "fuzz")) std::abort();
  }
  return 0;
}
