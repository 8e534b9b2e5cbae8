// A song for a student who does not know all its chords yet: larger chords are reduced to those that the student's
// skills meet, by the trade's rules. The same chart gives each student a song to play.
//
//   Simplified s = simplified(song, skills_of_level(Level(2)));
//   arrange(s.song, choices)                 plays C where the chart says C7, and G where it says G/B
//   s.remarks                                one note for each chord that was reduced
//
// Rules (common practice, no source):
//   - ninths and more, and altered ones, come down to the seventh chord, and that to the triad: C13 → C7 → C;
//   - sixths, added notes: the triad. C6/9 → C6 → C; Cadd9 → C;
//   - suspensions: the triad. Its third is that of the next chord on the same root, else the one of the key (in
//     minor the fifth degree is major), else major: Asus4 A → A A;
//   - a slash bass gives way to the root in the left hand; where that breaks a stepwise bass, a warning says so;
//   - a diminished or augmented triad stays, for no plainer chord stands for it; a note says so.
// An `or` line which then says the same as the line above it is dropped. Neighbouring chords of one bar that have
// become equal are joined. Pins stay; those of a chord that no longer occurs are dropped.
#pragma once

#include "arrange/skill.h"
#include "base/result.h"
#include "chart/song.h"
#include "music/note_names.h"

namespace stillhand::arrange {

// What a chord asks of the student, by its kind and its bass.
Skills skills_of(const music::Chord& chord);

// The same with what its bars ask: compound meters, key changes, more than three sharps or flats.
Skills skills_of(const chart::Song& song);

// The chord such a student plays instead. `third` is the one that takes the place of a suspension.
enum class Third { major, minor };
music::Chord simplified(const music::Chord& chord, const Skills& skills, Third third);

struct Simplified {
  chart::Song song;
  Diagnostics remarks;  // notes and warnings, each once for a chord, located where it stands first
};
// Symbols in the remarks have these names.
Simplified simplified(const chart::Song& song, const Skills& skills,
                      music::NoteNames names = music::NoteNames::english);

}  // namespace stillhand::arrange
