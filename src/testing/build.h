// Small songs for tests, written as degrees: one chord a bar in 4/4.
//
//   chart::Song song = song_of("I V vi IV", *music::parse_tonality("D"));
//
// Degrees: I … vii (lower case minor), any chord suffix after them ("V7", "Isus4"), and after a slash the degree in the
// bass ("V/7" = V over its third in the key: degree 7).
#pragma once

#include <string_view>

#include "chart/song.h"
#include "music/tonality.h"

namespace stillhand::testing {

music::Chord chord_of(std::string_view degree, music::Tonality tonality);
chart::Song song_of(std::string_view degrees, music::Tonality tonality);

}  // namespace stillhand::testing
