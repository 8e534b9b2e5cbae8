// Arrangement: what the hands do in one song. The result of arrange(); everything shown to anybody
// derives from it.
//
//   Result<Arrangement> a = arrange(song, choices);
//   for (const ShapeChoice& s : a->right.shapes) …
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "arrange/cost.h"
#include "chart/options.h"
#include "chart/song.h"
#include "hand/shape.h"

namespace stillhand::arrange {

using chart::Song;
using hand::Finger;
using hand::Shape;
using music::Chord;
using music::PianoKey;
using music::Pitch;
using music::Tick;

enum class Status {
  optimal,        // proven
  limit_reached,  // the best found, not proven; lower_bound says how far off it can be
};
std::string_view name(Status status);  // "optimal", "limit reached"

// The shape taught for one chord (bass ignored). A chord pinned differently in one section has more
// than one entry, and so has a chord with a second shape.
struct ShapeChoice {
  Chord chord;  // without bass
  Shape shape;
  bool is_pinned = false;
  std::vector<std::size_t> sections;  // only there, rising; none = everywhere else in the song
};

// Whether the shape is for this section alone, or for this and a few others.
bool is_only_in(const ShapeChoice& choice, std::size_t section);

// Which of these shapes is played for a chord in a section: the first one limited to that section, or else the first one
// that is for everywhere. A shape without its root, unless pinned, serves only where the bass has the root.
std::optional<std::size_t> shape_for(const std::vector<ShapeChoice>& shapes, const Chord& chord,
                                     std::size_t section);

struct RightHand {
  Status status = Status::optimal;
  Cost cost;
  Cost lower_bound;
  std::int64_t states_expanded = 0;  // of the search: deterministic, gated in perf/
  std::vector<ShapeChoice> shapes;   // in order of first appearance
};

// Five keys under five fingers, little finger lowest; or the open hand of octaves and walking basses, which has no keys
// of its own and goes along with the bass.
struct Position {
  std::vector<Pitch> keys;  // five, low to high: fingers 5 4 3 2 1; none: the open hand
  bool is_open() const { return keys.empty(); }
  // Not of the open hand.
  const Pitch& little_finger() const { return keys.front(); }
  const Pitch& thumb() const { return keys.back(); }
  friend bool operator==(const Position&, const Position&) = default;
};

// How a finger leaves its key of the position: a step down, a step up, or (little finger only) by
// sliding on down, step by step, below its reach while the hand comes along; the position stays the
// hand's home.
enum class Reach { none, reach_down, reach_up, slide };

// What the left hand does with a bass note, from the least to the most. On the first rung one hand position is no
// matter; on the second the five fingers stay in a position; above it the hand plays more than the bass note.
enum class Rung { one_root, position, root_and_fifth, octave, root_fifth_octave, walking_bass };
std::string_view name(Rung rung);  // "one root", "five-finger position", "root and fifth", …

// One more key that the left hand may play under a chord, with its finger. `fifth` is the chord's own, altered or not;
// over a slash bass it is the chord's root or fifth, whichever lies nearer to a fifth above the bass.
enum class BassTone { third, fifth, octave };
struct FigureNote {
  BassTone tone;
  Pitch pitch;
  Finger finger;
  friend bool operator==(const FigureNote&, const FigureNote&) = default;
};

// One note of a walking bass: from a chord's bass note into the next one.
struct WalkNote {
  Pitch pitch;
  Finger finger;
  Tick start;  // from the chord's beginning
  Tick duration;
  friend bool operator==(const WalkNote&, const WalkNote&) = default;
};

struct BassNote {
  Pitch pitch;
  Finger finger;
  Reach reach = Reach::none;
  std::size_t position = 0;  // index into LeftHand::positions
  bool shifts = false;       // the hand has moved here from another position since the note before
  Rung rung = Rung::position;  // what is really played: less than wanted where the hand cannot
  std::vector<FigureNote> figure =
      {};                           // the further keys of its rung, low to high; patterns use them
  std::vector<WalkNote> walk = {};  // in order; empty unless the rung is walking_bass
};

struct LeftHand {
  Status status = Status::optimal;
  Cost cost;
  std::vector<Position> positions;            // in order of first use
  std::vector<std::optional<BassNote>> bass;  // one per Arrangement::chords; nullopt under N.C.
  // Of the fingering of all walking lines (hand/line_fingering.h): the least there is.
  std::int64_t line_points = 0;
};

// One time that a line is played, with an `or` line in its place: from a chord before the line to a chord after it, as
// many as it takes for the hands to be where they are in the plain song.
struct OptionPassage {
  std::vector<chart::PlayedChord> chords;
  std::vector<std::optional<std::size_t>> shapes;  // Arrangement::shape_choice; nullopt under N.C.
  std::vector<std::optional<BassNote>> bass;       // position: Arrangement::position
};

struct ArrangedOption {
  chart::OptionPlace place;
  std::vector<OptionPassage> passages;  // one each time the line is played
};

// The `or` lines. Chords that the plain song plays too keep its shapes; the others are solved together, each line by
// itself in the plain song. The plain song is the same with and without them.
struct Options {
  Status status = Status::optimal;
  Cost cost;  // of all passages, known shapes included
  Cost lower_bound;
  std::int64_t states_expanded = 0;
  std::vector<ShapeChoice> shapes;    // of chords that only options have
  std::vector<Position> positions;    // that only options take
  std::vector<ArrangedOption> lines;  // those that can be played; unplayable ones are remarked on
};

struct Arrangement {
  Song song;  // as arranged (after transposition)
  std::string manner;
  std::string hand_size;
  std::vector<chart::PlayedBar> bars;      // chart::perform(song)
  std::vector<chart::PlayedChord> chords;  // chart::played_chords(song, bars)
  RightHand right;
  std::vector<std::optional<std::size_t>>
      shape_of_chord;  // per chord: index into right.shapes; nullopt under N.C.
  LeftHand left;
  Options options;
  Diagnostics remarks;

  // The shape played for chords[i]; nullptr under N.C.
  const Shape* shape_at(std::size_t chord) const;
  // Those of the plain song first, then those that only options have.
  const ShapeChoice& shape_choice(std::size_t index) const;
  const Position& position(std::size_t index) const;
};

}  // namespace stillhand::arrange
