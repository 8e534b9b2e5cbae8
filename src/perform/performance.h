// Performance: an arrangement as timed notes. Writers of MIDI, audio and captions read this; they
// know no chords.
//
//   Performance p = perform(arrangement);
//   p.notes, p.clicks …; all times in ticks from the first tick of the count-in (music/meter.h: 960
//   to the quarter)
#pragma once

#include <string>
#include <vector>

#include "arrange/arrangement.h"
#include "hand/finger.h"
#include "music/meter.h"
#include "music/pitch.h"
#include "music/tonality.h"

namespace stillhand::perform {

using music::Tick;

// Loudness of a key stroke, 1–127, as in MIDI.
struct VelocityTag;
using Velocity = Amount<VelocityTag, int>;

struct Note {
  hand::Hand hand;
  music::PianoKey key;
  Velocity velocity;
  Tick start;
  Tick duration;
  friend auto operator<=>(const Note&, const Note&) = default;
};

struct Click {
  Tick start;
  bool is_first_of_bar;
  friend auto operator<=>(const Click&, const Click&) = default;
};

template <class T>
struct At {
  Tick start;
  T value;
  friend bool operator==(const At&, const At&) = default;
};

// From `start` up to `end`.
struct Span {
  Tick start;
  Tick end;
  friend bool operator==(const Span&, const Span&) = default;
};

// The sustain pedal.
enum class Pedal { up, down };

struct PatternPlan;  // perform/pattern.h

struct Performance {
  Tick count_in;                                // its length; the song's first tick lies here
  Tick end;                                     // of the last bar
  music::Tempo tempo;                           // counts per minute
  std::vector<At<music::Meter>> meters;         // first at tick 0
  std::vector<At<music::Tonality>> tonalities;  // first at tick 0
  std::vector<At<std::string>> sections;        // "Verse 1", at each beginning
  std::vector<At<std::string>> chords;          // "D/F#", "N.C."
  std::vector<At<std::string>> words;           // one bar's words at its first tick
  std::vector<Note> notes;                      // ordered by start, hand, key
  std::vector<At<Pedal>> pedal = {};            // in order, each other than the one before
  std::vector<Click> clicks;                    // count-in and song
  // Before each pass after the first, in order; the song itself has none (perform/practice.h).
  std::vector<Span> later_count_ins = {};
};

// The first count-in and the later ones, in order; none where there is no count-in.
std::vector<Span> count_ins(const Performance& performance);

// The plain pulse.
// - Count-in: two bars of the first bar's meter, less the pick-up, which completes the second.
// - Both hands strike on the first tick of each chord, the right hand again on every count inside it;
//   the left hand holds its key until the chord changes. A chord between two counts sounds where it
//   stands.
// - Each key is let go a 16th of a count before the hand's next stroke, or half-way to it where that
//   is sooner, so that no key is struck while it is down (our judgement).
// - Velocities, all our judgement: right hand 84 on the first count of a bar, 78 on another chord
//   change, 64 on a repeat; left hand 80.
// - Nothing sounds under N.C.; the clicks go on. Every count of every bar has one.
// Chords and words keep the spelling and text of the chart.
Performance perform(const arrange::Arrangement& arrangement);

// The same with the patterns of a plan.
// - A chord change always strikes: the left hand its bass note, the right hand unless it rests there and strikes later
//   under the same chord.
// - A chord in the middle of a bar joins the pattern where it stands; a pick-up has the end of the pattern's bar.
// - A bar in another meter than the pattern has takes the plain pulse.
// - `next` sounds only if the next bar has the same pattern and a chord.
// - Where the left hand's figure has no such tone: the octave falls back to the fifth, the fifth to the third, the third to
//   the bass; a key that would only be struck again by that is held on.
// - A walking bass takes the place of the pattern from its first note to the end of the chord.
// - No left-hand key lies at or above the lowest right-hand key that is down with it, and no key is struck while down.
// - Pedal, if the plan uses it: up exactly as a new chord or walking note sounds, down again an eighth of a count later
//   (our judgement; half-way to the next change where that is sooner). Up under N.C. and at the end.
Performance perform(const arrange::Arrangement& arrangement, const PatternPlan& plan);

// Seconds from tick 0. Tempo is in counts per minute of the meter in force, and a count keeps its
// pace when the meter changes, so the seconds of a tick depend on the meters before it. `percent`
// 100 is the song's own tempo.
double seconds(const Performance& performance, Tick at, int percent);

}  // namespace stillhand::perform
