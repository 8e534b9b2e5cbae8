// The same song in the keys around its own, each arranged anew: other keys have other hands.
//
//   std::vector<Lesson> others = in_other_keys(arranged, wishes, kUsualReach);
//
// From the lowest upwards, `reach` semitones down and up at most and without the song's own key. Keys are named as
// arrange::usual_tonalities() names them. A key that the hands cannot play is left out; its remarks are not told, for nobody
// asked for that key. As many arrangements as keys.
#pragma once

#include <vector>

#include "music/pitch.h"
#include "teach/from_chart.h"
#include "teach/lesson.h"

namespace stillhand::teach {

// A whole step either way is what a singer usually asks for (common practice, no source).
inline constexpr music::Semitones kUsualReach{2};
inline constexpr music::Semitones kAllKeys{6};

// From one tonic to the other, -5 … +6.
music::Semitones shortest_way(const music::Tonality& from, const music::Tonality& to);

// `wishes` are those that `arranged` was made with.
std::vector<Lesson> in_other_keys(const Arranged& arranged, const Wishes& wishes,
                                  music::Semitones reach);

}  // namespace stillhand::teach
