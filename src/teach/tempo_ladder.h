// The tempo ladder: from where the student plays three clean runs up to the song's tempo.
//
//   tempo_ladder(Tempo(96), Tempo(60)).steps      // 60, 69, 78, 87, 96
//   tempo_ladder(Tempo(96), std::nullopt).words   // "Find the first step by trial: …"
//
// Three clean runs before the next step, steps of 5 to 10 counts a minute (common practice, no source). Where the student
// starts is measured and never assumed: without it there are no steps, only the way to find the first one.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "music/meter.h"

namespace stillhand::teach {

struct TempoLadder {
  std::vector<music::Tempo> steps;  // rising, the song's tempo last; empty: the start is not known
  std::string words;
};

// `comfortable`: the tempo at which the student plays three clean runs.
TempoLadder tempo_ladder(music::Tempo song, std::optional<music::Tempo> comfortable);

}  // namespace stillhand::teach
