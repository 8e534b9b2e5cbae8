// One bar of chords as a chart writes it.
//
//   bar_text({{Tick(0), "D"}, {Tick(1920), "A"}}, four_four, four_four.bar_length()) == "D A"
//   bar_text({{Tick(0), "D"}, {Tick(2880), "A"}}, …)                                 == "D - - A"
//   bar_text({{Tick(0), "D"}, {Tick(480), "A"}}, …)                                  == "(D A) - - -"
//
// Chords share a whole bar evenly where they divide its counts; otherwise each count is a chord, a dash, or a parenthesis of
// 2, 3, 4, 5, 6 or 8 parts.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "music/meter.h"

namespace stillhand::chart {

struct Onset {
  music::Tick at;      // from the bar's beginning
  std::string symbol;  // "F#m7", "N.C."
};

// `onsets` ascend; `length` is shorter than the meter's bar in a pick-up, which is always written in counts. nullopt where no
// parenthesis can say it, or the length is no whole number of counts.
std::optional<std::string> bar_text(const std::vector<Onset>& onsets, music::Meter meter,
                                    music::Tick length);

// The one count that begins at `begin`: "D", "-", "(D - Em)".
std::optional<std::string> count_text(const std::vector<Onset>& onsets, music::Tick begin,
                                      music::Tick length);

}  // namespace stillhand::chart
