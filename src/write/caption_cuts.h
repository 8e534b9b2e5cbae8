// Where a track is cut into cues that can be read.
//
//   cheapest_cuts({{0ms}, {700ms, 0, 4}, {2500ms}}) == {0, 2}      // 0.7 s is too short for a cue
//
// A place is where a cue may end and the next begin. Each has a price for cutting there (a chord goes
// on: a pity) and one for not cutting (a new chord comes, and the cue does not change with it). The
// cheapest cutting of the whole track is taken, found by dynamic programming, the earlier cut among
// equals.
#pragma once

#include <cstddef>
#include <vector>

#include "write/track_time.h"

namespace stillhand::write {

// A cue stays for 1 to 8 s (our judgement: a glance at the least; nothing is left standing).
inline constexpr Milliseconds kShortestCue{1000};
inline constexpr Milliseconds kLongestCue{8000};

struct CuePlace {
  Milliseconds at;
  int price_of_cut = 0;
  int price_of_passing = 0;
};

// Indices of the places where cues begin and end, the first and the last place included. Places
// ascend strictly. Where two lie further apart than a cue may last, places are needed between: the
// caller puts them there. Only a track shorter than a second gets a shorter cue than that.
std::vector<std::size_t> cheapest_cuts(const std::vector<CuePlace>& places);

}  // namespace stillhand::write
