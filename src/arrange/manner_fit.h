// Inverse optimisation: weights under which a teacher's own choices come out cheapest.
//
//   std::vector<CostTables> songs = …;                     // of songs with pins
//   Fit fit = fit_weights(songs, Manner::home().right);
//
// Her arrangement of each song is her pins, completed by the cheapest shapes for the chords she
// left free (the latent variables of C.-N. J. Yu & T. Joachims, "Learning structural SVMs with
// latent variables", ICML 2009). It is compared with every other shape of every pinned chord, and
// with whole arrangements that the exact search finds cheaper (cutting planes: I. Tsochantaridis et
// al., JMLR 6, 2005). Each comparison has a margin: the difference of the two costs, divided by the
// sum of its parts taken positive, so that it lies between -1 and 1 whatever the song's length and
// the weights' size. A smooth loss of the margins is minimised, together with the squared distance
// of the weights' logarithms from the start: what the examples say nothing about stays as it was.
// Then the pins that clearly go against all the others, at most a fifth, are set aside, and the
// rest is fitted again.
//
// Deterministic: the same input gives the same weights on the same machine and C library.
#pragma once

#include <vector>

#include "arrange/cost_tables.h"

namespace stillhand::arrange {

struct Fit {
  RightHandWeights weights;  // the largest is kLargestWeight; `haste` in percent, as always
  double loss = 0;           // smaller fits better; comparable between starts for the same songs
  std::vector<std::vector<bool>> set_aside;  // by song, by variable: a pin against all the others
};

// Some song must have a pin.
Fit fit_weights(const std::vector<CostTables>& songs, const RightHandWeights& start);

}  // namespace stillhand::arrange
