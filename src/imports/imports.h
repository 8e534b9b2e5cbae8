// Reading what others have written: plain text with a line of chords over each line of words, MusicXML, MIDI files. Each gives
// a chart in its standard layout, with what was uncertain as comments; the teacher corrects it there.
//
//   Result<std::string> chart = imports::import_file(bytes, "quay.musicxml");
//
// Open standards and plain typing habits only. Nothing is ever fetched.
//   - Plain text (UTF-8): docs/import.md says what is understood.
//   - MusicXML 4.0 (W3C Community Group, 2021) and earlier, partwise; also compressed (.mxl).
//   - Standard MIDI Files 1.0, format 0 and 1: chords are found in the notes.
// Limits, all our judgement: 16 MB of bytes, 64 MB and 1,000 entries inside an archive, 5,000 bars, 1,000,000 MIDI events.
#pragma once

#include <string>
#include <string_view>

#include "base/result.h"

namespace stillhand::imports {

inline constexpr std::size_t kLargestFile = std::size_t{16} << 20;  // bytes

enum class Kind { chord_lines, musicxml, compressed_musicxml, midi };
// By content, never by the file's name.
Kind kind_of(std::string_view bytes);

// Errors name the place in a text, or what is wrong with the file as a whole: Fault::chart.
Result<std::string> import_file(std::string_view bytes, const std::string& file);

// Each kind by itself.
Result<std::string> import_chord_lines(std::string_view text, const std::string& file);
Result<std::string> import_musicxml(std::string_view xml, const std::string& file);
Result<std::string> import_compressed_musicxml(std::string_view bytes, const std::string& file);
Result<std::string> import_midi(std::string_view bytes, const std::string& file);

}  // namespace stillhand::imports
