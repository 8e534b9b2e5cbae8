// A Song written as a chart, plainly and in letters: for tests that need charts of real or generated
// songs.
//
//   chart::parse(chart_text(song), "x")->song == song      // for songs that a chart can say
//
// Durations must lie on divisions of a count by 1 … 6 or 8; others throw std::runtime_error.
#pragma once

#include <string>

#include "chart/song.h"

namespace stillhand::testing {

std::string chart_text(const chart::Song& song);

// The chords of one bar: "D - (Em A) G".
std::string bar_text(const chart::Bar& bar);

}  // namespace stillhand::testing
