#include "teach/length.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace stillhand::teach {

SongLength length_of(const arrange::Arrangement& arrangement,
                     const perform::Performance& performance) {
  const auto bars = std::count_if(
      arrangement.bars.begin(), arrangement.bars.end(),
      [&](const auto& played) { return !chart::bar_of(arrangement.song, played).is_pick_up; });
  return {static_cast<std::size_t>(bars),
          perform::seconds(performance, performance.end, 100) -
              perform::seconds(performance, performance.count_in, 100)};
}

std::string duration_in_words(double seconds) {
  const auto whole = std::lround(seconds);
  return fmt::format("{} min {:02} s", whole / 60, whole % 60);
}

}  // namespace stillhand::teach
