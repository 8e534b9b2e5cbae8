// The left hand's ladder: which rung each section of the song is played on.
//
//   rungs(song, bars, choices)      one rung each time a section begins, in playing order, as build_up() lists them
//
// Without rung and skills a section stands on that of Choices::section_rungs, else on Rung::position. With a rung alone, all of them stand on it, whatever
// the hand: the teacher has asked. With skills, a section takes the highest rung
//   - that its fullness asks for: sparse one root, light position, middling root and fifth, full octave, fullest any;
//   - that the student knows, and not above Choices::rung if there is one;
//   - without an octave where the hand has none comfortably (hand::HandSize::may_play_octaves): never in a small hand;
//   - without the rungs of many strokes, root-fifth-octave and walking bass, where the song is fast.
// The order of the ladder and the build of a song follow common practice, no source.
#pragma once

#include <vector>

#include "arrange/arrange.h"
#include "arrange/build_up.h"

namespace stillhand::arrange {

// Over this many counts a minute a song is fast (our judgement).
inline constexpr music::Tempo kFastAbove{108};

std::vector<Rung> rungs(const Song& song, const std::vector<PlayedSection>& sections,
                        const Choices& choices);

// Whether a student with these skills has met the rung. One root is met before anything else.
bool knows(const Skills& skills, Rung rung);

bool has_octave(Rung rung);

}  // namespace stillhand::arrange
