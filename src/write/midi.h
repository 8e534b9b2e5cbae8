// A performance as a Standard MIDI File.
//
//   write_file("song.mid", midi(performance, lesson.title));
//
// Type 1, 960 ticks to the quarter, four tracks. The first has the title, which the standard takes for that of the whole
// sequence, tempo, meters, keys, a marker for each section, chord names as text events, words as lyric events; then "Right
// hand" (channel 1), "Left hand" (channel 2), "Click" (channel 10). The sustain pedal, if it is used, stands in both hands'
// tracks as controller 64. Texts are UTF-8, which the standard leaves open. The same performance gives the same bytes.
//
// Source: MIDI Manufacturers Association, Standard MIDI Files 1.0 (RP-001, 1996); programs and
// percussion keys: General MIDI System Level 1 (1991).
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "perform/performance.h"

namespace stillhand::write {

// The bytes of the file. Without a title it is "Song".
std::string midi(const perform::Performance& performance, std::string_view title = {});

// Appends a number the way the standard writes lengths and times: seven bits a byte, the highest
// first, the top bit set in all bytes but the last. Range 0 … 0x0FFFFFFF.
void append_variable_length(std::string& bytes, std::uint32_t number);

}  // namespace stillhand::write
