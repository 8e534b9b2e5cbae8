#include "arrange/second_opinion.h"

#include <fmt/format.h>

namespace stillhand::arrange {

Result<void> second_opinion(const chart::Song& song, const std::vector<std::string>& complaints) {
  if (complaints.empty()) return {};
  Diagnostics all;
  for (const std::string& complaint : complaints) {
    all.push_back({Severity::error,
                   Fault::chart,
                   song.file,
                   {},
                   fmt::format("the arrangement failed its own check: {}", complaint),
                   "this is a fault of Stillhand; please report it with the chart",
                   {}});
  }
  return tl::unexpected(std::move(all));
}

}  // namespace stillhand::arrange
