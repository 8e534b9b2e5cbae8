// Small songs by chance, for properties and for the plain oracles: random charts that share nothing
// with the songs the weights were fitted to.
//
//   std::mt19937 random(1);
//   chart::Song song = random_song(random);        // 2–4 distinct chords, 3–9 bars, any meter
//
// The same generator state gives the same song on every machine.
#pragma once

#include <random>

#include "arrange/arrange.h"
#include "chart/song.h"

namespace stillhand::testing {

// A whole number from 0 to n - 1.
int below(std::mt19937& random, int n);

// One or two sections, major or minor, chords from a count to a bar long, N.C. and slash basses now
// and then.
chart::Song random_song(std::mt19937& random);

// One of the song's chords pinned to a shape that the hand can play, for the whole song or for one
// section, with its fingers or without.
chart::Pin random_pin(std::mt19937& random, const chart::Song& song,
                      const arrange::Choices& choices);

// One of the three hands; the manner home, closest, or small weights by chance, which make ties.
arrange::Choices random_choices(std::mt19937& random);

}  // namespace stillhand::testing
