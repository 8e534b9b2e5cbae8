// Notes as they are written and keys as they are pressed.
//
//   Pitch f_sharp{NoteName{Letter::f, 1}, 3};      // F#3
//   f_sharp.key() == PianoKey(54)                   // C4, middle C, is 60
//   parse_note("F#")  -> NoteName;   parse_pitch("F#3") -> Pitch;   text(f_sharp) == "F#3"
//
// NoteName keeps the spelling (F# is not Gb), PitchClass forgets it, PianoKey is one of the keys
// under the hand. Octave numbers: C4 = middle C = MIDI 60 (scientific pitch notation; the same in
// the MIDI 1.0 convention used here).
#pragma once

#include <array>
#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/strong.h"

namespace stillhand::music {

struct SemitonesTag;
using Semitones = Amount<SemitonesTag, int>;

// 0 = C … 11 = B.
class PitchClass {
 public:
  constexpr PitchClass() = default;
  constexpr explicit PitchClass(int any)
      : value_(static_cast<std::int8_t>(((any % 12) + 12) % 12)) {}
  constexpr int value() const { return value_; }
  friend constexpr PitchClass operator+(PitchClass p, Semitones s) {
    return PitchClass(p.value_ + s.value());
  }
  friend constexpr auto operator<=>(PitchClass, PitchClass) = default;

 private:
  std::int8_t value_ = 0;
};

// A key of the instrument, numbered as in MIDI: 0–127, 60 = middle C. (A piano has 21–108.)
class PianoKey {
 public:
  constexpr PianoKey() = default;
  constexpr explicit PianoKey(int number) : number_(static_cast<std::int16_t>(number)) {}
  constexpr int number() const { return number_; }
  constexpr PitchClass pitch_class() const { return PitchClass(number_); }
  constexpr bool is_black() const { return ((0b010101001010 >> pitch_class().value()) & 1) != 0; }
  friend constexpr PianoKey operator+(PianoKey k, Semitones s) {
    return PianoKey(k.number_ + s.value());
  }
  friend constexpr PianoKey operator-(PianoKey k, Semitones s) {
    return PianoKey(k.number_ - s.value());
  }
  friend constexpr Semitones operator-(PianoKey a, PianoKey b) {
    return Semitones(a.number_ - b.number_);
  }
  friend constexpr auto operator<=>(PianoKey, PianoKey) = default;

 private:
  std::int16_t number_ = 60;
};

enum class Letter : std::int8_t { c, d, e, f, g, a, b };

// An interval with its spelling: `steps` counts letters (0 = unison, 2 = a third), `size`
// semitones.
struct Interval {
  int steps = 0;
  Semitones size{};
  friend constexpr auto operator<=>(const Interval&, const Interval&) = default;
};

// A letter with sharps (> 0) or flats (< 0). Written in charts with # and b; range -3 … +3.
struct NoteName {
  Letter letter = Letter::c;
  std::int8_t accidental = 0;

  constexpr PitchClass pitch_class() const {
    return PitchClass(kNatural[static_cast<std::size_t>(letter)] + accidental);
  }
  // Place on the line of fifths: … F = -1, C = 0, G = 1, D = 2 …, Bb = -2.
  constexpr int fifths() const {
    constexpr std::array<int, 7> natural{0, 2, 4, -1, 1, 3, 5};
    return natural[static_cast<std::size_t>(letter)] + 7 * accidental;
  }
  static NoteName at_fifths(int fifths);
  NoteName up(Interval interval) const;
  NoteName down(Interval interval) const;
  friend constexpr auto operator<=>(const NoteName&, const NoteName&) = default;

  static constexpr std::array<int, 7> kNatural{0, 2, 4, 5, 7, 9, 11};
};

// The interval from one name up to the next higher place of another, less than an octave of
// letters.
Interval interval_up(NoteName from, NoteName to);

// A written note in an octave. Cb4 is B3's key: the octave belongs to the letter.
struct Pitch {
  NoteName name;
  int octave = 4;

  constexpr PianoKey key() const {
    return PianoKey(12 * (octave + 1) + NoteName::kNatural[static_cast<std::size_t>(name.letter)] +
                    name.accidental);
  }
  friend constexpr auto operator<=>(const Pitch&, const Pitch&) = default;
};

// From one note up to the next place of the other: 0–11.
constexpr Semitones semitones_up(NoteName from, NoteName to) {
  return Semitones(PitchClass(to.pitch_class().value() - from.pitch_class().value()).value());
}
// A half or whole step apart, up or down, whatever the octave.
constexpr bool is_step(NoteName a, NoteName b) {
  const int up = semitones_up(a, b).value();
  return up == 1 || up == 2 || up == 10 || up == 11;
}

// The pitch that spells `key` with `name`. Precondition: name.pitch_class() == key.pitch_class().
Pitch pitch_at(PianoKey key, NoteName name);

// "C", "F#", "Bb", "B♭", "C##", "Cx" is not accepted. Whole text must be the note.
std::optional<NoteName> parse_note(std::string_view text);
// "F#3", "Bb-1". Whole text must be the pitch; keys outside 0–127 are refused.
std::optional<Pitch> parse_pitch(std::string_view text);
// Reads a note at the front of `text` and removes it there; nothing is removed on failure.
std::optional<NoteName> take_note(std::string_view& text);

std::string text(NoteName name);     // "F#", "Bb": the plain form used in charts and files
std::string text(Pitch pitch);       // "F#3"
std::string display(NoteName name);  // "F♯", "B♭": for sentences and pictures

}  // namespace stillhand::music
