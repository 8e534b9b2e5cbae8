// A shape that a student has learned before: it costs nothing to learn again (`learn_root_position` and
// `learn_inversion` of the manner are not charged for it). Everything else is priced as ever.
//
//   KnownShape{F, {}, {}}                         F in root position, with any fingers
//   KnownShape{F, {C4, F4, A4}, {1, 3, 5}}        F on these keys, or on the same ones some octaves up or down
#pragma once

#include <vector>

#include "hand/shape.h"

namespace stillhand::arrange {

struct KnownShape {
  music::Chord chord;                 // without bass
  std::vector<music::Pitch> pitches;  // low to high; none: the root position
  std::vector<hand::Finger> fingers;  // one per key; none: any
  friend bool operator==(const KnownShape&, const KnownShape&) = default;
};

// Whether `shape`, played for `chord`, is one of them. A shape known in one octave is known in every octave; Am7 and C6
// are on the same keys, but they are two chords to a student.
bool is_known(const music::Chord& chord, const hand::Shape& shape,
              const std::vector<KnownShape>& known);

}  // namespace stillhand::arrange
