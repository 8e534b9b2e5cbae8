// The right hand of one song as a network of costs: one variable for each distinct chord (bass
// ignored), one value for each of its shapes, one edge for each pair of chords that follow one
// another.
//
//   Result<RightHandTask> task = right_hand_task(song, chords, choices);
//   Solution s = solve(task->network, limit);
#pragma once

#include <optional>
#include <vector>

#include "arrange/arrange.h"
#include "arrange/solver.h"

namespace stillhand::arrange {

// What is priced about one shape, apart from how often it is played.
struct Posture {
  int stretch = 0;       // units outside the relaxed spans, over all finger pairs
  int skipped = 0;       // neighbouring notes a step apart under fingers that are no neighbours
  int black_thumb = 0;   // 0 or 1
  int black_little = 0;  // 0 or 1
  int outside = 0;       // semitones outside the preferred register
  int off_centre = 0;    // semitones between the middles
  int inverted = 0;      // 0 or 1
  int missing_fifth = 0, missing_root = 0, extra_notes = 0;
};
Posture posture(const Chord& chord, const Shape& shape, const Choices& choices);

// What is priced about one change of shape.
struct Motion {
  int shift = 0;           // tenths of a millimetre that the hand as a whole moves
  int semitones = 0;       // over all voices
  int fingers = 0;         // that move; 1 for a hand sliding in its frame
  int frame_changes = 0;   // 0 or 1
  int grip_changes = 0;    // 0 or 1: the set of fingers that play
  int finger_changes = 0;  // held notes that change their finger
};
Motion motion(const Shape& from, const Shape& to);

// A chord that has a shape of its own: the same chord in a section with its own pin is another
// variable.
struct Variable {
  Chord chord;
  std::optional<std::size_t> section;
  bool is_pinned = false;
  std::vector<Shape> shapes;  // its values, in canonical order
  // With Pins::examples, of a pinned chord: which of its shapes the pin means (rising indices; more
  // than one where the pin names no fingers).
  std::vector<std::size_t> pinned = {};
  std::optional<std::size_t> known =
      std::nullopt;  // which of the shapes known before: the only value
};
ShapeChoice choice_of(const Variable& variable, std::size_t value);

// A pin is an order: the chord has no other shape. Or it is an example to learn from: the chord
// keeps all its shapes, and a pinned one that is not among them comes last.
enum class Pins { orders, examples };

struct RightHandTask {
  std::vector<Variable> variables;                      // in order of first appearance
  std::vector<std::optional<std::size_t>> variable_at;  // one per played chord; nullopt under N.C.
  Network network;
};

// A stretch of the song as played, or as it may be played.
using Passage = std::vector<chart::PlayedChord>;

Result<RightHandTask> right_hand_task(const Song& song, const Passage& chords,
                                      const Choices& choices, Pins pins = Pins::orders);

// Every free chord has a variable of its own in each section, with the same shapes in all of them. Learning a shape of a
// free chord is not priced here: learning_price does it.
Result<RightHandTask> right_hand_task_by_section(const Song& song, const Passage& chords,
                                                 const Choices& choices);
std::int64_t learning_price(const Chord& chord, const Shape& shape, const Choices& choices);

// Shapes found before.
struct KnownShapes {
  std::vector<ShapeChoice> shapes;
  std::size_t learned = 0;  // the first so many are learned already, the others have their price
};

// Several passages, each priced by itself. Chords that have a shape already keep it (shape_for in arrangement.h says
// which). `variable_at` runs through all passages.
Result<RightHandTask> right_hand_task(const Song& song, const std::vector<Passage>& passages,
                                      const KnownShapes& known, const Choices& choices);

}  // namespace stillhand::arrange
