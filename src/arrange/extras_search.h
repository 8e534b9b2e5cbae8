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

// Stepwise lines, walking bass, substitutes, turnarounds, tags, variations, key changes.
std::vector<Extra> practice_extras(const Song& song, const std::vector<Span>& spans);

// All offers of all kinds, ranked, neither priced nor tried on the hands.
std::vector<Extra> every_extra(const Song& song, const TurnCounts& counts);
// An `or` line below it sounds like these bars.
bool has_option(const chart::Line& line, const std::vector<chart::Bar>& bars);
// Every line of it stands in the chart already.
bool is_there(const Song& song, const Extra& extra);

// The same, of the kinds asked for, without those that the chart has already.
std::vector<Extra> found_extras(const Song& song, const ExtrasRequest& request,
                                const TurnCounts& counts);
// extras() with odds of one's own, to judge them.
Result<std::vector<Extra>> extras(const Song& song, const ExtrasRequest& request,
                                  const TurnCounts& counts);

// What all kinds share: an id from kind and content, and the `or` lines from the changes.
std::string extra_id(ExtraKind kind, const std::string& content);
void give_lines(Extra& extra, const Song& song, const std::vector<Change>& changes);

// The chord's name in sentences: "F♯m/A".
std::string shown(const Chord& chord);

}  // namespace stillhand::arrange
