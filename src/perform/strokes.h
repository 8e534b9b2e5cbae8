// From a plan of patterns to strokes: what each hand strikes, when, and until when. Inside the room; perform() makes
// notes of it. Times are ticks from the first tick of the song.
#pragma once

#include <vector>

#include "arrange/arrangement.h"
#include "hand/finger.h"
#include "perform/pattern.h"
#include "perform/performance.h"

namespace stillhand::perform {

struct Stroke {
  std::size_t chord = 0;  // index into Arrangement::chords
  Tick start;
  Tick end;                           // where the next stroke or rest of the hand begins
  std::vector<music::PianoKey> keys;  // low to high
  bool is_first = false;              // of its chord in this hand
  bool has_bass = false;
};

// In order of time.
std::vector<Stroke> strokes(const arrange::Arrangement& a, const PatternPlan& plan,
                            hand::Hand hand);

// The sustain pedal, in ticks from the first tick of the count-in.
std::vector<At<Pedal>> pedal(const arrange::Arrangement& a, const PatternPlan& plan, Tick count_in);

// Leaves out what the left hand would play at or above a right-hand key that is down at the same time. Each hand's notes are
// in order of time.
void keep_hands_apart(std::vector<Note>& notes);

}  // namespace stillhand::perform
