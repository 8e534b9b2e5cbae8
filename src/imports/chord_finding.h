// Which chords sound in a stream of notes: the song is cut where chords change, and each piece gets the chord whose notes
// explain it best. Dynamic programming over all cuts on a grid, exact for the score below.
//
//   std::vector<FoundChord> chords = find_chords(midi.notes, grid);
//
// Score of a piece of d counts under a chord: d × (share of its sound that is in the chord − `outside` × the rest), less for
// each tone of the chord that is not heard, each tone beyond three, and for beginning away from a bar line; more where the
// lowest note at its beginning is the root, less where other notes lie lowest later on. Templates and Viterbi as in M. Müller, Fundamentals of Music Processing, 2015,
// chapter 5 (from memory); the weights are fitted, docs/import.md says on what.
#pragma once

#include <optional>
#include <vector>

#include "imports/midi_file.h"
#include "music/chord.h"

namespace stillhand::imports {

// Where a chord may begin, from the least remarkable to the most.
enum class Accent { between_counts, count, half_bar, bar };

struct GridPoint {
  Tick start;
  Accent accent = Accent::count;
};

struct FoundChord {
  Tick start;
  Tick end;
  std::optional<music::PitchClass> root;  // nullopt = nothing sounds
  music::ChordQuality quality;
  music::PitchClass bass;
  bool is_doubtful = false;  // much else sounds, or another chord explains it nearly as well
};

struct FindingWeights {
  double outside = 1.2;
  double missing_third = 0.30, missing_fifth = 0.05, missing_root = 0.30, missing_other = 0.30;
  double extra_tone = 0.12;
  double at_bar = 0.25, at_half_bar = 0.40, at_count = 0.55, between_counts = 1.1;
  double bass_is_root = 0.20, bass_is_foreign = 0.20;
  // A count of another lowest note than the piece's, its root and its fifth.
  double bass_moves = 0.60;
  double melody = 0.35;  // what a note of a melody weighs, beside 1 for the others
};

// The grid is ascending, one point for each half count or so, and ends with the end of the song; `count` is a count's length.
std::vector<FoundChord> find_chords(const std::vector<MidiNote>& notes,
                                    const std::vector<GridPoint>& grid, Tick end, Tick count,
                                    const FindingWeights& weights = {});

}  // namespace stillhand::imports
