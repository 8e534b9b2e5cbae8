// Song: what a chart says, as one value. Nothing here knows about hands.
//
//   Song song = *chart::parse(text, "quay.stillhand");
//   for (const PlayedBar& bar : chart::perform(song)) …       // the road map expanded
//
// Time inside a bar is in ticks of music/meter.h; chords never cross a bar line (a held chord is
// repeated and its `again` flag is derived by whoever reads it).
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/result.h"
#include "chart/pattern.h"
#include "music/chord.h"
#include "music/meter.h"
#include "music/pitch.h"
#include "music/tonality.h"

namespace stillhand::chart {

using music::Chord;
using music::Meter;
using music::PianoKey;
using music::Pitch;
using music::Tempo;
using music::Tick;
using music::Tonality;

// How chords are written in this chart. Numbers and Roman numerals need a named key.
enum class Notation { letters, numbers, roman };

struct ChordEvent {
  std::optional<Chord> chord;  // nullopt = N.C.
  Tick duration;
  Place place;  // where it stands in the chart text
  // Places are not part of what a Song says.
  friend bool operator==(const ChordEvent& a, const ChordEvent& b) {
    return a.chord == b.chord && a.duration == b.duration;
  }
};

struct Bar {
  Meter meter;
  Tonality tonality;
  Tick length;  // meter.bar_length(), less for a pick-up
  bool is_pick_up = false;
  std::vector<ChordEvent> chords;  // durations add up to `length`
  std::string words;               // the words under this bar, "" if none
  bool repeat_begins = false;      // |: before this bar
  int repeat_times = 1;            // > 1 after this bar: :| with that many passes in all
  bool is_vamp =
      false;  // the repeat that ends here is open: "until the cue"; repeat_times is a proposal
  std::vector<int> endings;  // numbers of the ending this bar belongs to; empty = every pass
  Place place;
  friend bool operator==(const Bar& a, const Bar& b) {
    return a.meter == b.meter && a.tonality == b.tonality && a.length == b.length &&
           a.is_pick_up == b.is_pick_up && a.chords == b.chords && a.words == b.words &&
           a.repeat_begins == b.repeat_begins && a.repeat_times == b.repeat_times &&
           a.is_vamp == b.is_vamp && a.endings == b.endings;
  }
};

// Lines of the text, from 1: the one with the bars, and the last that belongs to it (its words, or the same). 0: of no text.
struct Rows {
  int first = 0;
  int last = 0;
};

// An `or` line: another way to play the line above it.
struct Option {
  std::string label;  // "stepping down"; may be empty
  std::vector<Bar> bars;
  Rows rows = {};                 // its label is none of them
  std::string label_before = {};  // it was transposed, if that changed it: it is still known by it
  friend bool operator==(const Option& a, const Option& b) {
    return a.label == b.label && a.bars == b.bars;
  }
};

// One typed line of bars, with what belongs to it.
struct Line {
  std::vector<Bar> bars;
  std::vector<Option> options;
  Rows rows = {};
  friend bool operator==(const Line& a, const Line& b) {
    return a.bars == b.bars && a.options == b.options;
  }
};

struct Section {
  std::string name;
  std::vector<Line> lines;
  Place place;
  std::optional<PatternUse> pattern = {};  // only there
  friend bool operator==(const Section& a, const Section& b) {
    return a.name == b.name && a.lines == b.lines && a.pattern == b.pattern;
  }
};

struct RoadMapEntry {
  std::size_t section = 0;  // index into Song::sections
  int times = 1;
  friend bool operator==(const RoadMapEntry&, const RoadMapEntry&) = default;
};

// "shape G  G3 B3 D4  1 3 5  in Chorus". Keys low to high; fingers empty or one per key.
struct Pin {
  Chord chord;  // without bass
  std::vector<Pitch> pitches;
  std::vector<int> fingers;            // 1–5, or empty
  std::optional<std::size_t> section;  // only there
  Place place;
  friend bool operator==(const Pin& a, const Pin& b) {
    return a.chord == b.chord && a.pitches == b.pitches && a.fingers == b.fingers &&
           a.section == b.section;
  }
};

struct Range {
  Pitch lowest;
  Pitch highest;
  friend bool operator==(const Range&, const Range&) = default;
};

struct Song {
  std::string title;
  std::string writers;                 // may be empty
  std::string rights;                  // the rights line of the sheet; may be empty
  Tonality tonality;                   // at the beginning
  bool tonality_was_proposed = false;  // no key line: found by key profiles
  Meter meter;                         // at the beginning
  Tempo tempo{80};
  std::optional<Range> range;  // of the melody, in this key
  Notation notation = Notation::letters;
  std::vector<Section> sections;       // in order of writing
  std::vector<RoadMapEntry> road_map;  // never empty: every section once if the chart has none
  std::vector<Pin> pins;
  std::vector<PatternDefinition> patterns;  // defined in the chart, in order
  std::optional<PatternUse> pattern;        // of every section that names none
  std::string file;                         // as the user named it, for diagnostics
  // The same music: the file's name and the places in it do not count.
  friend bool operator==(const Song& a, const Song& b) {
    return a.title == b.title && a.writers == b.writers && a.rights == b.rights &&
           a.tonality == b.tonality && a.tonality_was_proposed == b.tonality_was_proposed &&
           a.meter == b.meter && a.tempo == b.tempo && a.range == b.range &&
           a.notation == b.notation && a.sections == b.sections && a.road_map == b.road_map &&
           a.pins == b.pins && a.patterns == b.patterns && a.pattern == b.pattern;
  }
};

// A bar as it is played: road map, repeats, endings and vamps expanded, pick-ups taken from the bar
// before.
struct PlayedBar {
  std::size_t section = 0;  // index into Song::sections
  std::size_t line = 0;
  std::size_t bar = 0;   // within the line
  int section_pass = 1;  // which time this section is played, from 1
  bool section_begins = false;
  Tick start;   // from the first tick of the song
  Tick length;  // shorter than written where a pick-up follows
};

// The song in playing order. At most kMostPlayedBars; parse() refuses charts that would give more.
std::vector<PlayedBar> perform(const Song& song);
inline constexpr std::size_t kMostPlayedBars =
    5000;  // over two hours of 4/4 at 120 (our judgement)
// How many bars perform() would give, without playing them.
std::size_t count_played_bars(const Song& song);

inline const Bar& bar_of(const Song& song, const PlayedBar& played) {
  return song.sections[played.section].lines[played.line].bars[played.bar];
}

// One chord as it is played; neighbouring equal chords (bass included) are joined, also across bar
// lines, but not across a section's beginning.
struct PlayedChord {
  std::optional<Chord> chord;  // nullopt = N.C.
  Tick start;
  Tick duration;
  std::size_t played_bar = 0;  // index into perform(song), of its first tick
  std::size_t section = 0;
  Place place;  // of its first tick
};
std::vector<PlayedChord> played_chords(const Song& song, const std::vector<PlayedBar>& bars);
// Which of them sounds at this moment: an index. Precondition: the first one has begun.
std::size_t chord_at(const std::vector<PlayedChord>& chords, Tick moment);

}  // namespace stillhand::chart
