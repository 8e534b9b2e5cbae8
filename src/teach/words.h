// Moves in words, made from the fingers and from nothing else, so that a sentence cannot contradict
// its picture.
//
//   Move m = describe_move(g_shape, a_shape);
//   m.words == "Thumb up a whole step, G to A; the others stay on C and E."
//
// Every sentence names each finger that moves with both notes and the distance, each held note, and
// each held note that changes its finger. A hand that slides as a whole says so first.
#pragma once

#include <string>
#include <vector>

#include "teach/lesson.h"

namespace stillhand::teach {

// "third inversion, without root and fifth": what stands beside the picture.
std::string about(const TaughtShape& taught);

// Fills everything of a Move but its indices and its number of times.
Move describe_move(const hand::Shape& from, const hand::Shape& to,
                   music::NoteNames names = music::NoteNames::english);

// "a half step", "a whole step", and beyond that the interval's plain name by its letters: "a minor
// third", "a fourth", "an augmented fourth", "an octave". Where letters and keys disagree by more
// than that, the keys decide.
std::string distance_in_words(Pitch from, Pitch to);

// "C", "C and E", "C, E and G".
std::string list_in_words(const std::vector<std::string>& items);

}  // namespace stillhand::teach
