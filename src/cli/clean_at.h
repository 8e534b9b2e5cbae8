// --clean-at, for commands that show a tempo ladder.
//
//   read_clean_at("48")      // Tempo(48);  "" is nullopt
#pragma once

#include <optional>
#include <string>

#include "base/result.h"
#include "music/meter.h"

namespace CLI {
class App;
}

namespace stillhand::cli {

void declare_clean_at(CLI::App& app, std::string& clean_at);

// Counts a minute, 10 to 400.
Result<std::optional<music::Tempo>> read_clean_at(const std::string& typed);

}  // namespace stillhand::cli
