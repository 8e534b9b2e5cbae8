// Lesson: everything a reader or listener needs, as one immutable value. Writers read Lessons and
// nothing else.
//
//   Lesson lesson = teach(arrangement);       write::sheet(lesson, options);  write::midi(lesson);
//
// Here all is said in the words and order in which it is taught; pitches and fingers come from the
// Arrangement and are never computed again, so that words and pictures cannot disagree.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "arrange/arrangement.h"
#include "arrange/difficulty.h"
#include "music/note_names.h"
#include "perform/pattern.h"
#include "perform/performance.h"
#include "teach/tempo_ladder.h"

namespace stillhand::teach {

using hand::Finger;
using hand::Hand;
using music::Pitch;

// One chord and how the right hand plays it: a keyboard picture of the shape box.
struct TaughtShape {
  std::string chord;  // "G": the symbol without its bass
  hand::Shape shape;
  std::string where;  // "" = everywhere; else the sections' names: "Chorus", "Verse and Chorus"
  bool is_pinned = false;
  bool is_optional = false;  // only `or` lines play it
};

struct FingerMove {
  Finger finger;
  Pitch from;
  Pitch to;
  friend bool operator==(const FingerMove&, const FingerMove&) = default;
};

struct HeldNote {
  Pitch pitch;                     // as the second chord spells it
  music::NoteName spelled_before;  // as the first chord does
  Finger before;
  Finger after;  // equal to `before` unless the finger changes on the held note
  friend bool operator==(const HeldNote&, const HeldNote&) = default;
};

// From one shape to the next, right hand. Each ordered pair of different shapes in the song appears
// once.
struct Move {
  std::size_t from = 0;  // indices into Lesson::shapes
  std::size_t to = 0;
  int times = 0;      // in the song as performed; of an optional one, in all `or` lines
  std::string words;  // "Thumb up a whole step, G to A; the others stay."
  std::vector<FingerMove> fingers;               // those that move, by finger
  std::vector<HeldNote> held;                    // low to high
  std::vector<std::pair<Finger, Pitch>> lifted;  // fingers of `from` that play nothing in `to`
  std::vector<std::pair<Finger, Pitch>> added;   // fingers of `to` that played nothing in `from`
  bool is_optional = false;                      // only `or` lines need it
  arrange::MoveDifficulty difficulty = {};
  arrange::Milliseconds shortest =
      {};  // the least time there is for it in the song; 0 of an optional one
  arrange::Throughput needed = {};  // its index of difficulty over that time
};

// One place of the left hand in one section. A section has an entry for each position it takes in turn ("Verse, shift at
// bar 5"; with root and fifth, where the hand goes with the chord, "Verse for F and G"), and further ones only for a time
// that is played differently: "Chorus (second time)". Bars count as printed. Octaves and walking basses have one entry with
// the open hand.
struct SectionPosition {
  std::string section;  // to be read; `of` and `time` say the same to code
  arrange::Position position;
  std::vector<std::string> remarks;              // "little finger reaches down a half step to F♯"
  arrange::Rung rung = arrange::Rung::position;  // the highest played in the section
  std::size_t of = 0;                            // index into Lesson::sections
  int time = 1;  // the first time through the section that is played so
};

// A chord over its counts, as printed.
struct SheetChord {
  std::string chord;  // "D/F#", "N.C."
  music::Tick start;  // in the bar
  music::Tick duration;
  bool is_held = false;                   // the same chord goes on from the bar before
  std::optional<std::size_t> shape;       // index into Lesson::shapes
  std::optional<arrange::BassNote> bass;  // at the first time this bar is played
};

struct SheetBar {
  music::Meter meter;
  music::Tonality tonality = {};
  music::Tick length;
  bool is_pick_up = false;
  std::vector<SheetChord> chords;
  std::string words;
  bool repeat_begins = false;
  int repeat_times = 1;
  bool is_vamp = false;
  std::vector<int> endings;
  std::string change;  // "3/4", "key of E": a meter or key change at this bar; "" if none
  // As played, where each time the same part of its end is given to a pick-up that follows; nullopt: its length.
  std::optional<music::Tick> cut_to = {};
  bool is_key_change = false;  // `change` names a key, perhaps besides a meter
};

// An `or` line. Its chords have no shapes and basses where the hand cannot play it or the song never comes to it.
struct SheetOption {
  std::string label;
  std::vector<SheetBar> bars;
  std::vector<std::string> remarks = {};  // of the left hand: "thumb reaches up a whole step to B"
};

struct SheetLine {
  std::vector<SheetBar> bars;
  std::vector<SheetOption> options;
};

struct SheetSection {
  std::string name;
  int bars = 0;  // number of written bars
  std::vector<SheetLine> lines;
};

struct RoadMapStep {
  std::string section;
  int times = 1;
};

struct SectionDifficulty {
  std::string section;
  arrange::Difficulty difficulty;
};

// The student for whom the song was arranged.
struct ForStudent {
  std::string name;  // may be empty
  std::string news;  // "New for Mara: 2 shapes (Em; C first inversion)."
  // "C7 is played as C (not learned yet: seventh chord)"
  std::vector<std::string> reductions;
};

// One moment of a pattern's bar.
struct PatternMoment {
  std::string label;  // "1", "and"; in compound meters the eighths are counted
  std::string left;   // "bass", "bass+octave", "rest", "-" (goes on)
  std::string right;  // "chord", "low", "next", "rest", "-"
};

// A pattern as the lesson plays it in one meter.
struct TaughtPattern {
  std::string name;
  std::string says;  // one sentence; empty for the chart's own patterns
  music::Meter meter;
  std::vector<std::string> sections;  // where: "Verse", "Chorus (second time)"
  std::vector<PatternMoment> moments;
};

struct Lesson {
  std::string title, writers, rights;
  music::Tonality tonality;
  bool tonality_was_proposed = false;
  music::Meter meter;
  music::Tempo tempo;
  std::optional<chart::Range> range;
  std::string manner, hand_size;
  music::NoteNames note_names = music::NoteNames::english;  // in words; data have the English ones
  arrange::Status right_status, left_status;
  arrange::Cost cost, lower_bound;
  std::vector<RoadMapStep> road_map;
  std::vector<TaughtShape> shapes;  // in order of first appearance, the optional ones last
  // By how often they occur, then by first appearance; the optional ones after all others.
  std::vector<Move> moves;
  std::vector<std::size_t> hardest;  // indices into `moves`: at most five, the hardest first
  arrange::Difficulty difficulty;    // of the whole song
  std::vector<SectionDifficulty> section_difficulties;  // of those that are played, as written
  TempoLadder ladder;
  bool one_position = false;  // the left hand stays in one position for the whole song
  std::vector<SectionPosition>
      positions;  // one per section, in order of writing; sections never played have none
  std::vector<SheetSection> sections;
  std::vector<chart::PlayedBar>
      played;  // the bars in playing order; section, line and bar are indices into `sections`
  std::vector<TaughtPattern> patterns;  // in order of first use
  bool uses_pedal = false;
  perform::Performance performance;
  std::optional<ForStudent> student;
  std::vector<std::string> cautions;  // short: pain, octave, listening level, rights
};

// The move that leads back, if the song has it: the same fingers on the same keys, the other way round. Of an optional move
// an optional one.
const Move* way_back(const Lesson& lesson, const Move& move);

// The plan names the patterns; without one the plain pulse is played.
// `comfortable`: the tempo at which the student plays three clean runs, where it is known.
Lesson teach(const arrange::Arrangement& arrangement,
             std::optional<music::Tempo> comfortable = std::nullopt,
             std::optional<ForStudent> student = std::nullopt,
             const perform::PatternPlan& plan = {},
             music::NoteNames names = music::NoteNames::english);

}  // namespace stillhand::teach
