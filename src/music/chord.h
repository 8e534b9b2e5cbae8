// Chords: a symbol is read into a root, degrees and an optional bass note, all correctly spelled.
//
//   Chord c = *parse_chord("F#m7b5/E");
//   c.root == F#;  c.quality.degrees == {1, b3, b5, b7};  *c.bass == E;  text(c) == "F#m7b5/E"
//   c.notes() == {F#, A, C, E}
//
// The known suffixes and their usual spellings are data: data/chords.tsv. To them any alterations
// may be added (b5 #5 b9 #9 #11 b13), additions (add2 add4 add9 add11 add13) and omissions (no3
// no5), with or without parentheses.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "music/pitch.h"

namespace stillhand::music {

// A degree of the major scale on the root, with its alteration: {7, -1} is b7.
struct Degree {
  std::int8_t number = 1;      // 1–13
  std::int8_t alteration = 0;  // -2 … +1
  Interval interval() const;   // from the root up: {9, 0} is a major ninth
  PitchClass above(PitchClass root) const { return root + interval().size; }
  friend constexpr auto operator<=>(const Degree&, const Degree&) = default;
};
std::string text(Degree degree);  // "b7", "#11", "5"

struct ChordQuality {
  std::vector<Degree> degrees;  // ascending by number, then alteration; holds {1,0}
  std::string suffix;           // canonical writing: "", "m7b5", "7b9", "sus4"
  bool has(int number) const;
  // Two qualities are the same when their degrees are; the writing does not count.
  friend bool operator==(const ChordQuality& a, const ChordQuality& b) {
    return a.degrees == b.degrees;
  }
};

struct Chord {
  NoteName root;
  ChordQuality quality;
  std::optional<NoteName> bass;  // only when written after a slash

  NoteName bass_note() const { return bass.value_or(root); }
  NoteName note(Degree degree) const { return root.up(degree.interval()); }
  std::vector<NoteName> notes() const;  // one per degree, in degree order; the bass is not added
  Chord without_bass() const { return {root, quality, std::nullopt}; }
  friend bool operator==(const Chord&, const Chord&) = default;
};

std::string text(const Chord& chord);  // canonical symbol

// nullopt when the whole text is no chord symbol. suggest_chord() then has an idea.
std::optional<Chord> parse_chord(std::string_view text);
// What follows the root: "m7", "sus4", "7(b9)".
std::optional<ChordQuality> parse_quality(std::string_view suffix);
// The known symbol nearest to a mistyped one by edit distance ("Amm" -> "Am"), if one is near.
std::optional<std::string> suggest_chord(std::string_view text);

// The quality with these degrees, written with the shortest known suffix. Degrees need not be
// sorted.
ChordQuality quality_of(std::vector<Degree> degrees);

// All suffixes of the table, canonical, in table order.
const std::vector<ChordQuality>& known_qualities();

}  // namespace stillhand::music
