#include "cli/clean_at.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <charconv>

#include "cli/command.h"

namespace stillhand::cli {

void declare_clean_at(CLI::App& app, std::string& clean_at) {
  app.add_option("--clean-at", clean_at,
                 "the tempo at which the student plays three clean runs: where the ladder starts")
      ->type_name("TEMPO");
}

Result<std::optional<music::Tempo>> read_clean_at(const std::string& typed) {
  if (typed.empty()) return std::nullopt;
  int value = 0;
  const char* end = typed.data() + typed.size();
  const auto read = std::from_chars(typed.data(), end, value);
  const music::Tempo tempo(value);
  if (read.ec != std::errc{} || read.ptr != end || tempo < music::kSlowestTempo ||
      tempo > music::kFastestTempo) {
    return wrong_call(fmt::format("--clean-at {}: no tempo", typed),
                      "give counts a minute, 10 to 400");
  }
  return tempo;
}

}  // namespace stillhand::cli
