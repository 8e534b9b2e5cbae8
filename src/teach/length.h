// How long a song is, in the words that every place uses.
//
//   SongLength length = length_of(arrangement, lesson.performance);      // {24, 60.0}
//   duration_in_words(length.seconds) == "1 min 00 s"
#pragma once

#include <cstddef>
#include <string>

#include "arrange/arrangement.h"
#include "perform/performance.h"

namespace stillhand::teach {

struct SongLength {
  std::size_t bars = 0;  // as played; a pick-up is none
  double seconds = 0;    // at its own tempo, without the count-in
};

// Precondition: the performance is one of this arrangement.
SongLength length_of(const arrange::Arrangement& arrangement,
                     const perform::Performance& performance);

// "3 min 05 s"; to the nearest second.
std::string duration_in_words(double seconds);

}  // namespace stillhand::teach
