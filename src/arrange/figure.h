// What the left hand may play over a bass note, and how a bass walks into the next one: names and keys, no fingers.
//
//   figure_tones(G7).fifth == D;  figure_tones(Dm7b5).fifth == Ab;  figure_tones(C5 without third).third == nullopt
//   figure_tones(D/F#).fifth == D     // over a slash bass the chord's root or fifth, nearer to a fifth above the bass
//   walk(C, C3, F3, C major, 2)       // D3 E3: the last notes before F3
//
// Common practice, no source: the fifth is altered where the chord's is and left out where it is; there are no thirds
// below C3; a walk goes by step of the key, takes a chord note's accidental before the key's, and comes by half step
// where no step of the key lies between.
#pragma once

#include <optional>
#include <vector>

#include "arrange/arrangement.h"
#include "music/tonality.h"

namespace stillhand::arrange {

struct FigureTones {
  std::optional<music::NoteName> third;  // of a chord over its own root
  std::optional<music::NoteName> fifth;
};
FigureTones figure_tones(const Chord& chord);

inline constexpr PianoKey kLowestThird{48};  // C3: below it thirds are mud
// A1: below it a fifth between root and octave is mud and the octave is played alone (our judgement).
inline constexpr PianoKey kLowestFullGrip{33};
inline constexpr std::size_t kMostWalkNotes = 3;  // our judgement

// The keys of a walk from one bass key into another, in playing order: at most `most` notes, each strictly between the
// two, the last a half or whole step from the goal, each a half or whole step from the next. Empty where the two are
// less than a whole step apart, or the first note would leap more than a fourth.
std::vector<Pitch> walk(const Chord& chord, const Pitch& from, const Pitch& to,
                        const music::Tonality& tonality, std::size_t most);

// How many notes of one count a chord has time for: at most half of its counts.
std::size_t walk_notes(Tick duration, Tick count);

}  // namespace stillhand::arrange
