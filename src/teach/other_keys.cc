#include "teach/other_keys.h"

#include <algorithm>
#include <utility>

#include "arrange/keys.h"

namespace stillhand::teach {

using music::Semitones;
using music::Tonality;

Semitones shortest_way(const Tonality& from, const Tonality& to) {
  const Semitones up = music::semitones_up(from.tonic, to.tonic);
  return up > kAllKeys ? up - Semitones(12) : up;
}

std::vector<Lesson> in_other_keys(const Arranged& arranged, const Wishes& wishes, Semitones reach) {
  const Tonality own = arranged.loaded.song.tonality;
  std::vector<std::pair<Semitones, Tonality>> keys;
  for (const Tonality& tonality : arrange::usual_tonalities(arranged.loaded.song)) {
    const Semitones up = shortest_way(own, tonality);
    if (up != Semitones(0) && up <= reach && up >= -reach) keys.emplace_back(up, tonality);
  }
  std::sort(keys.begin(), keys.end(),
            [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Lesson> out;
  for (const auto& [up, tonality] : keys) {
    Wishes there = wishes;
    there.key = tonality;
    Diagnostics untold;
    auto song = load_for(arranged.loaded.text, "", there, untold);
    if (!song) continue;
    auto moved = arrange_loaded(std::move(*song), there, untold);
    if (!moved) continue;
    moved->note_names = arranged.note_names;
    out.push_back(lesson_of(*moved));
  }
  return out;
}

}  // namespace stillhand::teach
