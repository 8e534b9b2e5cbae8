// Finding the tonality of a song from how long each pitch class sounds.
//
//   best_tonality(weights, "rock")   // the rotation of that profile with the highest correlation
//
// Method: Pearson correlation with the 24 rotations (C. Krumhansl, Cognitive Foundations of Musical
// Pitch, 1990). The profiles and their sources stand in data/key_profiles.tsv.
#pragma once

#include <array>
#include <string_view>
#include <vector>

#include "chart/song.h"

namespace stillhand::chart {

using PitchClassWeights = std::array<double, 12>;  // C … B, in any unit

// Each chord adds its duration to each of its notes, and to its bass.
PitchClassWeights weights_of(const std::vector<PlayedChord>& chords);

// C major if nothing sounds. Of equal ones the first in the order C, Db, … B, major before minor.
Tonality best_tonality(const PitchClassWeights& weights, std::string_view profile);

// Major or minor on a given tonic, by the profile that propose_tonality() uses.
Tonality best_tonality_on(music::NoteName tonic, const PitchClassWeights& weights);

std::vector<std::string_view> known_profiles();

}  // namespace stillhand::chart
