// Pins in the text of a chart: written in, replaced, taken out. Everything else of the text stays as it is, comments too.
//
//   Result<std::string> text = with_pin(text, "quay.stillhand", {.chord = g, .pitches = …, .fingers = {1, 3, 5}}, "Chorus");
//   Result<std::string> back = without_pin(*text, "quay.stillhand", g, "Chorus");
//
// A new pin stands behind the last `shape` line; in a chart without any, at its end, a blank line before it. A pin of the same
// chord and section is replaced where it stands. Errors: those of the chart; Fault::usage for a section or a pin that is not there.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "chart/song.h"

namespace stillhand::chart {

// pin.section and pin.place are not looked at: `section` names it; nullopt = everywhere.
Result<std::string> with_pin(std::string_view text, const std::string& file, const Pin& pin,
                             const std::optional<std::string>& section);

// A comment behind the pin stays, in a line of its own.
Result<std::string> without_pin(std::string_view text, const std::string& file, const Chord& chord,
                                const std::optional<std::string>& section);

}  // namespace stillhand::chart
