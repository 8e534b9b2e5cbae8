// The `or` lines of a song: which there are, and the song with some of them taken.
//
//   Song richer = with_options(song, first_options(song));
//   with_options(song, *options_named(song, "stepping down"))     only those of that name
//
// A taken line is played instead of the line above it. Its repeats are those of that line; where it has no words of its
// own it is sung to the same ones.
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "chart/song.h"

namespace stillhand::chart {

// song.sections[section].lines[line].options[option]
struct OptionPlace {
  std::size_t section = 0;
  std::size_t line = 0;
  std::size_t option = 0;
  friend auto operator<=>(const OptionPlace&, const OptionPlace&) = default;
};

const Option& option_at(const Song& song, const OptionPlace& place);

// In order of writing.
std::vector<OptionPlace> all_options(const Song& song);
// One for each line that has any.
std::vector<OptionPlace> first_options(const Song& song);
// Those of this name, capitals or not. Fails with Fault::usage when no `or` line has it, and names those that there are.
Result<std::vector<OptionPlace>> options_named(const Song& song, std::string_view label);

// Precondition: the places are in the song, at most one for each line. The other `or` lines of a line whose option is
// taken are left out; those of other lines stay.
Song with_options(const Song& song, const std::vector<OptionPlace>& taken);

// What is played in these bars, a run of perform(song), with one option taken. PlayedChord::played_bar counts from the
// first of the bars given.
std::vector<PlayedChord> played_chords(const Song& song, const std::vector<PlayedBar>& bars,
                                       const OptionPlace& taken);

}  // namespace stillhand::chart
