// Chord symbols as they are written: letters (D/F#), numbers (5/7) or Roman numerals (V/7).
//
//   Symbol s = *parse_symbol("5/7", Notation::numbers);
//   chord_of(s, *parse_tonality("D"))  -> A/C#;     text(s, Notation::numbers) == "5/7"
//
// Degrees count on the major scale of the tonic in a major key. In a minor key 3, 6 and 7 are those
// of the minor scale; b3, b6, b7 name the same notes, #6 and #7 the raised ones. A diminished chord
// on 7 and the bass 7 under a chord that holds the raised seventh are the raised seventh too.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "chart/song.h"

namespace stillhand::chart {

// A degree of the key, 1–7, with its alteration: b7 is {7, -1}.
struct ScaleStep {
  int number = 1;
  int alteration = 0;
  friend bool operator==(const ScaleStep&, const ScaleStep&) = default;
};
using SymbolNote = std::variant<music::NoteName, ScaleStep>;

struct Symbol {
  SymbolNote root;
  music::ChordQuality quality;
  std::optional<SymbolNote> bass;
  friend bool operator==(const Symbol&, const Symbol&) = default;
};

// The notation this word would be a chord in, judged by its first characters; nullopt if in none.
std::optional<Notation> notation_of(std::string_view word);

std::optional<Symbol> parse_symbol(std::string_view word, Notation notation);
// A note or degree alone: the bass of a pedal point.
std::optional<SymbolNote> parse_symbol_note(std::string_view word, Notation notation);

std::string text(const Symbol& symbol, Notation notation);
std::string text(const SymbolNote& note, Notation notation);

Chord chord_of(const Symbol& symbol, Tonality tonality);
// The way back: the chord in numbers, so that chord_of() gives it again. A name further than two alterations from the
// key (Cb in C# major) is first spelled as the key spells it.
//   in_numbers(A/C#, D major) == 5/7        in_numbers(E/G#, A minor) == 5/#7     in_numbers(E/G, A minor) == 5/b7
Symbol in_numbers(const Chord& chord, Tonality tonality);
music::NoteName note_of(const SymbolNote& note, Tonality tonality);

// "letters", "numbers", "Roman numerals".
std::string_view name_of(Notation notation);

}  // namespace stillhand::chart
