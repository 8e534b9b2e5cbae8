// A chart as typed, for commands that read one.
//
//   Result<std::string> text = read_chart("song.stillhand");
//
// A MIDI file, MusicXML or a page that somebody made of a chart is no chart: the error (Fault::chart) says what it is and
// which command is meant. All else comes back as it is, and the reader of charts says what is wrong with it.
#pragma once

#include <string>

#include "base/result.h"

namespace stillhand::cli {

Result<std::string> read_chart(const std::string& path);

}  // namespace stillhand::cli
