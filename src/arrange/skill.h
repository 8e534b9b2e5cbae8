// Skill: one thing a student can do. Levels are sets of skills, extras name the one they ask, patterns and the left
// hand's rungs need some.
//
//   name(Skill::walking_bass) == "walking bass"
//   skill_named("slash chord") == Skill::slash_chord      the names that student files use
//
// The list and its order follow common practice (no source): what is met earlier stands first.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace stillhand::arrange {

enum class Skill {
  roots,              // single notes, both hands
  triads,             // root position triads
  inversions,         // triads in inversion
  bass_position,      // a fixed left hand of five fingers
  pulse,              // the chord on every count
  pedal,              // the sustain pedal, changed with the chord
  bass_reach,         // a finger of the left hand leaves its key by a step
  bass_shift,         // the left hand goes to another position
  second_shape,       // two shapes of one chord in one song
  slash_chord,        // another bass note than the root
  suspension,         // sus2, sus4
  seventh_chord,      // 7, m7, maj7
  added_note,         // 6, add9
  compound_meter,     // 6/8, 9/8, 12/8
  broken_chord,       // one note after the other
  eighth_pulse,       // twice on every count
  alternating_hands,  // bass and chord in turn
  root_and_fifth,
  push,               // the chord an eighth early
  octave,             // the left hand's octave
  root_fifth_octave,  // all three, one after the other
  key_change,
  walking_bass,
  larger_chord,      // ninths and more, diminished, augmented, altered
  many_accidentals,  // more than three sharps or flats
  singing,           // while playing
};

using Skills = std::set<Skill>;
std::string listed(const Skills& skills);  // "triads, inversions"

std::string_view name(Skill skill);  // "bass position", "key change"
std::optional<Skill> skill_named(std::string_view name);
const std::vector<Skill>& all_skills();  // in the order above

}  // namespace stillhand::arrange
