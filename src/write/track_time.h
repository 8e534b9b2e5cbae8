// Where a moment of a performance lies in a track, in whole milliseconds.
//
//   TrackTime time(performance, 60);          // the track at 60 % of the song's tempo
//   time.at(performance.count_in)             // 14545ms
//
// The same moments as perform::seconds, but worked out in whole numbers and rounded once, a half up,
// so that every file of a track says the same time and any machine says the same.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "perform/performance.h"

namespace stillhand::write {

using Milliseconds = std::chrono::milliseconds;

// What the time before the first section is called.
inline constexpr std::string_view kCountIn = "Count-in";

class TrackTime {
 public:
  // `tempo_percent` 10–400, as in AudioOptions; 100 is the song's own tempo.
  TrackTime(const perform::Performance& performance, int tempo_percent);

  Milliseconds at(music::Tick tick) const;

 private:
  // From here on a count has this many ticks.
  struct Stretch {
    music::Tick start;
    std::int64_t parts_before;  // of a count, all that lies before
    std::int64_t parts_per_tick;
  };
  std::vector<Stretch> stretches_;
  std::int64_t counts_per_minute_percent_;  // counts a minute times per cent of the tempo
};

// "00:01:02.345", hours with as many digits as they need, at least two. The mark stands before the
// milliseconds: a full stop in WebVTT, a comma in SubRip.
std::string clock_text(Milliseconds time, char mark);

}  // namespace stillhand::write
