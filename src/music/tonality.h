// A tonality: what the chart and the user call the key of the song, "D", "F#m", "Bb minor".
//
//   Tonality d = *parse_tonality("D");
//   d.fifths() == 2;  text(d) == "D";  long_text(d) == "D major"
//   d.spell(PitchClass(6)) == F#      // the song's own name for any key under the hand
//   transpose(F#, d, *parse_tonality("Eb")) == G
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "music/pitch.h"

namespace stillhand::music {

enum class Mode : std::int8_t { major, minor };

struct Tonality {
  NoteName tonic;
  Mode mode = Mode::major;

  // Sharps (> 0) or flats (< 0) of the key signature, -7 … 7.
  int fifths() const { return tonic.fifths() - (mode == Mode::minor ? 3 : 0); }
  // Scale degree 1–7 of the major or the natural minor scale.
  NoteName degree(int number) const;
  // The usual name of a pitch class here: scale notes as written in the signature; outside it the
  // name nearest on the line of fifths, raised sixth and seventh in minor (G# in A minor, never
  // Ab).
  NoteName spell(PitchClass pitch_class) const;
  friend constexpr auto operator<=>(const Tonality&, const Tonality&) = default;
};

// "D", "Dm", "D minor", "d minor" is refused (a chart writes Dm); "D major" and "Dmin" are
// accepted. Only keys with a signature of at most seven sharps or flats.
std::optional<Tonality> parse_tonality(std::string_view text);

std::string text(Tonality tonality);       // "D", "F#m"
std::string long_text(Tonality tonality);  // "D major", "F# minor"

// The same tonic written so that the signature is shortest (C# major -> Db major); six stays as it
// is.
Tonality simplest(Tonality tonality);

// `name` moved from one tonality to another, letter by letter, so that degree 4 stays degree 4 and
// keeps its alteration. A name that would need a double accidental is respelled on the same key.
NoteName transpose(NoteName name, Tonality from, Tonality to);

}  // namespace stillhand::music
