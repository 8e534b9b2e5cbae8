// The left hand written into the bars: what a hand that goes along with the chords plays at each moment, as note names
// with fingers.
//
//   SectionBass bass = bass_in_bars(section);       bass[line].bars[bar].strokes.front().tones.front().pitch
//
// Only for sections on a rung from root and fifth up: below it the five keys under the five fingers say it all.
#pragma once

#include <vector>

#include "teach/lesson.h"

namespace stillhand::write {

struct BassTone {
  music::Pitch pitch;
  hand::Finger finger;
};

// What the left hand has under it from one moment on, low to high: a bass note with its fifth and octave, or one step of a walk.
struct BassStroke {
  music::Tick at;  // in the bar
  std::vector<BassTone> tones;
  bool is_step = false;  // of a walk
};

struct BarBass {
  std::vector<BassStroke> strokes;
};

struct LineBass {
  std::vector<BarBass> bars;
  std::vector<std::vector<BarBass>> options;  // of each `or` line
};

// True where a bass note of the section is on such a rung.
bool has_bass_in_bars(const teach::SheetSection& section);

// One for each line of the section; as many bars as the line has. A walk stands where it is played even when its chord
// began in a bar before.
std::vector<LineBass> bass_in_bars(const teach::SheetSection& section);

}  // namespace stillhand::write
