#include "music/note_names.h"

#include <array>
#include <cstdlib>

namespace stillhand::music {
namespace {

constexpr std::array<std::string_view, 7> kDoReMi{"Do", "Re", "Mi", "Fa", "Sol", "La", "Si"};

std::string signs(int accidental) {
  std::string out;
  for (int i = 0; i < std::abs(accidental); ++i) out += accidental < 0 ? "♭" : "♯";
  return out;
}

// German letter of the white key: B is H.
char german_letter(Letter letter) {
  return letter == Letter::b ? 'H' : "CDEFGAB"[static_cast<std::size_t>(letter)];
}

std::string german_note(NoteName note) {
  if (note.letter == Letter::b && note.accidental == -1) return "B";
  std::string out(1, german_letter(note.letter));
  for (int i = 0; i < note.accidental; ++i) out += "is";
  for (int i = 0; i > note.accidental; --i) {
    // Es and As, Eses and Asas: the vowel is spoken once.
    const bool is_vowel = note.letter == Letter::e || note.letter == Letter::a;
    out += is_vowel && i == 0 ? "s" : note.letter == Letter::a ? "as" : "es";
  }
  return out;
}

// As the root of a symbol: letters and signs.
std::string german_root(NoteName note) {
  if (note.letter == Letter::b && note.accidental < 0) return "B" + signs(note.accidental + 1);
  return std::string(1, german_letter(note.letter)) + signs(note.accidental);
}

std::string root(NoteName note, NoteNames names) {
  return names == NoteNames::german ? german_root(note) : display(note, names);
}

// Signs instead of # and b where they alter a degree: "m7b5", "7(#9)".
std::string with_signs(std::string_view suffix) {
  std::string out;
  for (std::size_t i = 0; i < suffix.size(); ++i) {
    const bool alters = i + 1 < suffix.size() && suffix[i + 1] >= '0' && suffix[i + 1] <= '9';
    if (suffix[i] == '#' && alters) {
      out += "♯";
    } else if (suffix[i] == 'b' && alters) {
      out += "♭";
    } else {
      out += suffix[i];
    }
  }
  return out;
}

}  // namespace

std::string_view name(NoteNames names) {
  switch (names) {
    case NoteNames::english:
      return "english";
    case NoteNames::german:
      return "german";
    case NoteNames::do_re_mi:
      return "do-re-mi";
  }
  return "";
}

std::optional<NoteNames> note_names_named(std::string_view wanted) {
  for (const NoteNames names : all_note_names()) {
    if (name(names) == wanted) return names;
  }
  return std::nullopt;
}

const std::vector<NoteNames>& all_note_names() {
  static const std::vector<NoteNames> all{NoteNames::english, NoteNames::german,
                                          NoteNames::do_re_mi};
  return all;
}

std::string display(NoteName note, NoteNames names) {
  switch (names) {
    case NoteNames::english:
      return display(note);
    case NoteNames::german:
      return german_note(note);
    case NoteNames::do_re_mi:
      return std::string(kDoReMi[static_cast<std::size_t>(note.letter)]) + signs(note.accidental);
  }
  return "";
}

std::string display(const Chord& chord, NoteNames names) {
  std::string out = root(chord.root, names) + with_signs(chord.quality.suffix);
  if (chord.bass) out += "/" + root(*chord.bass, names);
  return out;
}

std::string display_symbol(std::string_view symbol, NoteNames names) {
  const std::optional<Chord> chord = parse_chord(symbol);
  return chord ? display(*chord, names) : std::string(symbol);
}

std::string text(NoteName note, NoteNames names) {
  return names == NoteNames::english ? text(note) : display(note, names);
}

std::string text(const Pitch& pitch, NoteNames names) {
  return text(pitch.name, names) + std::to_string(pitch.octave);
}

std::string text(const Chord& chord, NoteNames names) {
  return names == NoteNames::english ? text(chord) : display(chord, names);
}

std::string text(Tonality tonality, NoteNames names) {
  return names == NoteNames::english
             ? text(tonality)
             : root(tonality.tonic, names) + (tonality.mode == Mode::minor ? "m" : "");
}

std::string long_text(Tonality tonality, NoteNames names) {
  return text(tonality.tonic, names) + (tonality.mode == Mode::minor ? " minor" : " major");
}

std::string text_of_symbol(std::string_view symbol, NoteNames names) {
  return names == NoteNames::english ? std::string(symbol) : display_symbol(symbol, names);
}

}  // namespace stillhand::music
