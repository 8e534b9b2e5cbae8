// The `or` lines of an arranged song: shapes and basses for them, and the song with some of them taken.
//
//   arrange_options(a, choices);                                   fills a.options; arrange() does it
//   Result<Arrangement> richer = take_options(a, choices, chart::first_options(a.song));
//
// Right hand: chords of the plain song keep their shapes. Chords that only options have are solved exactly, all options
// of the song together: posture and moves inside each line, each time it is played in the plain song, the moves into and
// out of it, and the price of learning each new shape. Left hand: exact over each line, the bass before and after it
// staying as it is. An option that the hand cannot play is left out with a warning.
#pragma once

#include <vector>

#include "arrange/arrange.h"
#include "chart/options.h"

namespace stillhand::arrange {

// Fails only where a checker finds a fault of the program.
Result<void> arrange_options(Arrangement& arrangement, const Choices& choices);

// The song played with these options, every shape as it is in `plain`: chords keep theirs, and the left hand keeps its
// bass notes outside the lines taken. Status and bounds: of the searches the shapes come from. The `or` lines not taken
// are arranged anew around it. Fails (Fault::chart) where an option cannot be played.
Result<Arrangement> take_options(const Arrangement& plain, const Choices& choices,
                                 const std::vector<chart::OptionPlace>& taken);

}  // namespace stillhand::arrange
