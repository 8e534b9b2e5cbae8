// The parts of the search for extras: each finds offers of some kinds. extras() ranks, prices and cuts them.
#pragma once

#include <string>
#include <vector>

#include "arrange/extras.h"
#include "arrange/extras_odds.h"
#include "arrange/extras_spans.h"

namespace stillhand::arrange {

// Slash chords, passing chords and suspensions, by the odds of real songs.
std::vector<Extra> turn_extras(const Song& song, const std::vector<Span>& spans,
                               const TurnCounts& counts);

// All offers of the kinds asked for, ranked, neither priced nor tried on the hands.
std::vector<Extra> found_extras(const Song& song, const ExtrasRequest& request,
                                const TurnCounts& counts);
// extras() with odds of one's own, to judge them.
Result<std::vector<Extra>> extras(const Song& song, const ExtrasRequest& request,
                                  const TurnCounts& counts);

// What all kinds share: an id from kind and content, and the `or` lines from the changes.
std::string extra_id(ExtraKind kind, const std::string& content);
void give_lines(Extra& extra, const Song& song, const std::vector<Change>& changes);

// "E" over "C" and so on: the names used in sentences.
std::string shown(const Chord& chord);

}  // namespace stillhand::arrange
