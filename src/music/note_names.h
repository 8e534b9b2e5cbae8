// How notes are called in other countries: what a student reads, in sentences, pictures and chord symbols.
//
//   display(b_flat, NoteNames::german) == "B"        display(b, NoteNames::german) == "H"
//   display(f_sharp, NoteNames::german) == "Fis"     display(f_sharp, NoteNames::do_re_mi) == "Fa♯"
//   display(*parse_chord("Bbmaj7/D"), NoteNames::german) == "Bmaj7/D"
//
// Charts and files always have the English names; only what is shown changes. English and German letters differ in B alone,
// so a sheet must say which names it uses: name(). Do-Re-Mi is the fixed one, in which Do is always C.
// Source: common practice, no source. In German, notes have names of their own (Fis, Es, As), while chord symbols keep the
// sign: F♯m, E♭, with H for B and B for B♭.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "music/chord.h"
#include "music/pitch.h"
#include "music/tonality.h"

namespace stillhand::music {

enum class NoteNames { english, german, do_re_mi };

std::string_view name(NoteNames names);  // "english", "german", "do-re-mi"
std::optional<NoteNames> note_names_named(std::string_view wanted);
const std::vector<NoteNames>& all_note_names();

std::string display(NoteName note, NoteNames names);
// The symbol, with ♯ and ♭: "F♯m7♭5/E".
std::string display(const Chord& chord, NoteNames names);
// The same for text that holds a symbol of text(Chord); other text ("N.C.") comes back as it is.
std::string display_symbol(std::string_view symbol, NoteNames names);

// For lines of text: in English as it is typed, text(); in other names as display() has it.
std::string text(NoteName note, NoteNames names);           // "F#", "Fis"
std::string text(const Pitch& pitch, NoteNames names);      // "F#4", "Fis4"
std::string text(const Chord& chord, NoteNames names);      // "F#m7b5", "F♯m7♭5"
std::string text(Tonality tonality, NoteNames names);       // "F#m", "F♯m"
std::string long_text(Tonality tonality, NoteNames names);  // "F# minor", "Fis minor"
std::string text_of_symbol(std::string_view symbol, NoteNames names);

}  // namespace stillhand::music
