// Chord labels of research corpora: "A:min7/b3", "C:7(#9)", "G:maj(*3)", "N", "X".
//
//   parse_harte("D:maj/3")->chord  == D/F#      // bass degrees count from the chord's root
//   parse_harte("N")->chord        == nullopt   // no chord, or unknown (X)
//
// Syntax: C. Harte, M. Sandler, S. Abdallah & E. Gómez, "Symbolic representation of musical chords: a
// proposed syntax for text annotations", ISMIR 2005. Shorthands beyond it (sus2, 11, 13, 5, 1 …) as
// the label files of the McGill Billboard collection use them (Burgoyne, Wild & Fujinaga, ISMIR 2011).
#pragma once

#include <optional>
#include <string_view>

#include "music/chord.h"

namespace stillhand::testing {

struct HarteLabel {
  std::optional<music::Chord> chord;  // empty for N and X
};

// nullopt when the text is no label.
std::optional<HarteLabel> parse_harte(std::string_view label);

}  // namespace stillhand::testing
