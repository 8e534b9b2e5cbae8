// What an importer has understood of a foreign text, before it is a chart: bars with chords at ticks, words, and what was
// uncertain. draft_chart() writes it as chart text.
//
//   Draft draft;  draft.sections.push_back({"Verse", {bar, …}, {}});
//   Result<std::string> chart = draft_chart(draft, "quay.txt");     // formatted; it parses
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "music/chord.h"
#include "music/meter.h"
#include "music/tonality.h"

namespace stillhand::imports {

using music::Chord;
using music::Meter;
using music::Tempo;
using music::Tick;
using music::Tonality;

struct DraftChord {
  Tick start;                  // in the bar
  std::optional<Chord> chord;  // nullopt = N.C.
};

struct DraftBar {
  Meter meter;
  Tonality tonality;
  Tick length;                     // meter.bar_length(); less for a pick-up
  std::vector<DraftChord> chords;  // by start; where none stands at 0, the chord before goes on
  std::string words;
  bool repeat_begins = false;
  int repeat_times = 1;             // > 1: a repeat ends behind this bar
  std::vector<int> endings;         // numbers of the ending it belongs to
  bool ends_line = false;           // the next bar begins a new line of the chart
  std::vector<std::string> doubts;  // what was uncertain here, each a short remark
};

struct DraftSection {
  std::string name;
  std::vector<DraftBar> bars;
};

struct Draft {
  std::string title, writers, rights;
  std::optional<Tonality> tonality;  // nullopt: proposed from the chords
  Meter meter;
  std::optional<Tempo> tempo;
  std::vector<DraftSection> sections;
  std::vector<std::pair<std::size_t, int>> road_map;  // section and times; empty = each once
  std::vector<std::string> doubts;                    // about the whole, written at the head
};

// The meter of a bar that is not as long as `like` says, over the same lower number; nullopt where a chart has none.
std::optional<Meter> meter_of_length(Meter like, Tick length);

// The chart in its standard layout; doubts stand in it as comments. Text of foreign files is made harmless: no line
// breaks, no bar lines in words, names of sections made unique and free of the road map's words.
// A chord that begins between the parts of a count that a chart can write is moved to the nearest quarter of a count, with a
// doubt. Fails (Fault::chart) where nothing is left to write: no chord at all.
Result<std::string> draft_chart(const Draft& draft, const std::string& file);

}  // namespace stillhand::imports
