// The chart text and the Song: reading, writing (which is formatting) and transposing. Language:
// docs/chart.md.
//
//   Result<Parsed> parsed = chart::parse(text, "quay.stillhand");  // all errors at once
//   Result<std::string> formatted = chart::format(text, "quay.stillhand");
//   Result<Song> in_e_flat = chart::transpose(song, *music::parse_tonality("Eb"));
#pragma once

#include <string>
#include <string_view>

#include "base/result.h"
#include "chart/song.h"

namespace stillhand::chart {

inline constexpr std::size_t kLargestChart =
    1 << 20;  // bytes (our judgement: a long chart has 10 KB)

struct Parsed {
  Song song;
  Diagnostics remarks;  // warnings and notes; errors make parse() fail
};

// Errors: every one in the text, in the order of the lines, Fault::chart, with caret and
// suggestion.
Result<Parsed> parse(std::string_view text, const std::string& file);

// The chart in its canonical layout; comments and blank lines are kept. parse(format(t)) is the
// same Song as parse(t), and format(format(t)) == format(t). Fails exactly where parse() fails.
Result<std::string> format(std::string_view text, const std::string& file);

// The song in another tonality of the same mode, basses and options included, degree by degree; key
// changes inside the song move along. Pins keep inversion and fingers and move to the nearest
// octave inside E3–D5. The range moves along. Fails (Fault::usage) if `to` has the other mode.
Result<Song> transpose(const Song& song, music::Tonality to);
// The same for the text: comments, layout and notation are kept.
Result<std::string> transpose(std::string_view text, const std::string& file, music::Tonality to);

// The tonality that fits the song's chords best (key profiles, duration-weighted).
music::Tonality propose_tonality(const std::vector<PlayedChord>& chords);

}  // namespace stillhand::chart
