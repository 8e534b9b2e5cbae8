// From the written lines to the Song. Reports every error it meets and always goes on.
#pragma once

#include "chart/song.h"
#include "chart/text.h"

namespace stillhand::chart {

// `key_if_missing` stands in where the chart has no key line. The song is meaningful only if the
// report has no errors.
Song build_song(const Source& source, const ChartText& text, Tonality key_if_missing,
                Report& report);

// The `key` line above the first section, if there is one that can be read.
bool has_key_line(const ChartText& text);

}  // namespace stillhand::chart
