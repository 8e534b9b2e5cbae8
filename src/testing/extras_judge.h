// Extras judged on real songs: what teachers and players put there is taken out, and an offer must bring it back.
//
//   Stripped plain = stripped(song);                     // no slash basses, suspensions, passing chords
//   auto offers = arrange::extras(plain.song, request);
//   Verdicts v = judged(plain, *offers);
#pragma once

#include <string>
#include <vector>

#include "arrange/extras.h"
#include "arrange/extras_search.h"
#include "chart/song.h"

namespace stillhand::testing {

enum class Taken { slash_bass, suspension, passing_chord };

// What was taken out, in ticks from the song's beginning.
struct TakenPlace {
  Taken kind = Taken::slash_bass;
  music::Tick start;
  music::Tick duration;
  music::Chord original;
  std::string material;  // the same for the same change in the same surroundings
};

// - a slash bass: the chord stays;
// - a suspension: becomes the chord on the same root that follows or goes before; if there is none, the chord that the
//   song has longest on this root, or the triad (dominant seventh) on it;
// - a passing chord, in root position, at most half a bar long, its bass a step from the bass before and after: the chord
//   before it is held on. Of two in a row only the first is taken.
struct Stripped {
  chart::Song song;
  std::vector<TakenPlace> places;
};
Stripped stripped(const chart::Song& song);  // of read_corpus(): one section, played once

// Counts what was done at the held chords of the stripped song. Material that comes again weighs 1/2, 1/3 …
void learn(const Stripped& plain, arrange::TurnCounts& counts);

// First inversion wherever the third lies a step from a neighbouring bass, in the order of the song; put together like
// our offers: the same change of the same chord is one offer.
std::vector<arrange::Extra> first_inversions(const chart::Song& song);

// For one place: which of the offers covering it, best first, was the first to bring the original back. 0 = none.
struct Verdict {
  Taken kind = Taken::slash_bass;
  std::string material;
  int exact = 0;  // the very chord symbol
  int alike = 0;  // root, bass, third or suspension; sevenths and further notes do not count
  int covering = 0;
};
std::vector<Verdict> judged(const Stripped& plain, const std::vector<arrange::Extra>& offers);

}  // namespace stillhand::testing
