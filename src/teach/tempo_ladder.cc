#include "teach/tempo_ladder.h"

#include <fmt/format.h>

namespace stillhand::teach {
namespace {

using music::Tempo;

constexpr int kLargestStep = 10;  // counts a minute

// The fewest equal steps, to the nearest count a minute below.
std::vector<Tempo> steps_between(Tempo first, Tempo last) {
  const int way = (last - first).value();
  const int steps = (way + kLargestStep - 1) / kLargestStep;
  std::vector<Tempo> all{first};
  for (int i = 1; i <= steps; ++i) all.push_back(first + Tempo(way * i / steps));
  return all;
}

}  // namespace

TempoLadder tempo_ladder(Tempo song, std::optional<Tempo> comfortable) {
  if (!comfortable) {
    return {{},
            fmt::format("Find the first step by trial: the fastest tempo at which three runs in a "
                        "row come clean. Then up by 5 to 10 counts a minute after every three "
                        "clean runs, to {}.",
                        song.value())};
  }
  if (*comfortable >= song) {
    return {{song}, fmt::format("At the song's tempo already: {} counts a minute.", song.value())};
  }
  const std::vector<Tempo> steps = steps_between(*comfortable, song);
  std::string list;
  for (const Tempo step : steps) {
    list += fmt::format("{}{}", list.empty() ? "" : ", ", step.value());
  }
  return {steps, fmt::format("{} counts a minute: three clean runs before each next step.", list)};
}

}  // namespace stillhand::teach
