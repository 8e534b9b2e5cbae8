// What a student practises with: a part of a song over and over, one hand alone, two chords in turn.
//
//   Performance chorus = repeated(song, {first, last}, 3);      // three passes, a count-in before each
//   Performance mine = one_hand(chorus, hand::Hand::left);
//   Performance drill = repeated(in_turn(em, a, {.bars = 4 …}), …);
//
// All are Performances like that of the song: their captions, chapters and tables are made in the same way.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "perform/performance.h"

namespace stillhand::perform {

// `part` of the song, `passes` times; before each pass two bars of count-in in the meter of its first bar, less its
// pick-up. `part` begins and ends where bars do.
// - What is held over from before is struck where the part begins; what is held beyond is let go where it ends.
// - A push at the end of the part belongs to what comes after it and is left out; one into the part is struck where the
//   part begins.
// - Every pass names its section anew, also where the part begins in the middle of one.
Performance repeated(const Performance& song, Span part, int passes);

// Without the notes of the other hand; the pedal stays.
Performance one_hand(Performance performance, hand::Hand hand);

// A chord as both hands play it. A hand without keys rests.
struct PracticeChord {
  std::string name;  // as the chart writes it
  std::vector<music::PianoKey> right;
  std::optional<music::PianoKey> left;
};

struct PracticeBars {
  std::string name;  // of the section they make
  music::Meter meter;
  music::Tonality tonality;
  music::Tempo tempo;
  int bars = 4;
};

// The two chords in turn, a bar each, in the plain pulse; without count-in, for repeated().
Performance in_turn(const PracticeChord& first, const PracticeChord& second,
                    const PracticeBars& bars);

}  // namespace stillhand::perform
