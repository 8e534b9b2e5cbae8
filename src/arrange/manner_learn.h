// A teacher's own manner, learned from charts in which she pinned shapes.
//
//   Result<Learned> learned = learn_manner({song_a, song_b}, choices);
//   write_file("mine.json", manner_file(learned->manner, *learned));
//
// Of `choices` the hand and the registers count; the manner that is learned starts from `home` or
// from `closest`, whichever explains the pins better. What the pins say nothing about stays as it
// is there; `descending_bass` is that of `home`. The method stands in manner_fit.h.
#pragma once

#include <string>
#include <vector>

#include "arrange/arrange.h"
#include "arrange/manner.h"

namespace stillhand::arrange {

struct Learned {
  Manner manner;
  std::string started_from;         // "home" or "closest"
  std::vector<std::string> titles;  // of the songs with pins, in the order given
  // Pins on chords that are played; how many of them a manner plays by itself, unpinned.
  std::size_t pins = 0;
  std::size_t by_home = 0;
  std::size_t by_learned = 0;
  // At pins. Warnings: two pins, or one alone, that no weights can make cheapest. Notes: a pin that
  // the learned manner does not play, with what it plays instead.
  Diagnostics remarks;
};

// Fails with Fault::chart: no pin in any of the songs (no song at all included); a chart that cannot
// be arranged, its pins included (of all charts at once, each located).
Result<Learned> learn_manner(const std::vector<Song>& songs, const Choices& choices);

// The text of a manner file (manner.h reads it); "about" and "source" say what it was learned from.
std::string manner_file(const Manner& manner, const Learned& learned);

}  // namespace stillhand::arrange
