// The kinds of chord that MusicXML names (kind-value; W3C Community Group, version 4.0, 2021), each with the suffix of
// data/chords.tsv that has the same degrees. The functional kinds (Neapolitan, Italian, French, German, Tristan), `pedal`,
// `other` and `none` have no tones of their own there and are left out.
//
//   for (const KindValue& kind : kKindValues) …      // {"minor-seventh", "m7"}
#pragma once

#include <string_view>

namespace stillhand::music {

struct KindValue {
  std::string_view name;
  std::string_view suffix;
};

inline constexpr KindValue kKindValues[] = {
    {"major", ""},
    {"minor", "m"},
    {"augmented", "aug"},
    {"diminished", "dim"},
    {"dominant", "7"},
    {"major-seventh", "maj7"},
    {"minor-seventh", "m7"},
    {"diminished-seventh", "dim7"},
    {"augmented-seventh", "aug7"},
    {"half-diminished", "m7b5"},
    {"major-minor", "m(maj7)"},
    {"major-sixth", "6"},
    {"minor-sixth", "m6"},
    {"dominant-ninth", "9"},
    {"major-ninth", "maj9"},
    {"minor-ninth", "m9"},
    {"dominant-11th", "11"},
    {"major-11th", "maj11"},
    {"minor-11th", "m11"},
    {"dominant-13th", "13"},
    {"major-13th", "maj13"},
    {"minor-13th", "m13"},
    {"suspended-second", "sus2"},
    {"suspended-fourth", "sus4"},
    {"power", "5"},
};

}  // namespace stillhand::music
