// When everything happens in a track, as a table for whoever cuts a film to it.
//
//   write_file("play-along-timing.csv", timing_table(performance, 100));
//
//   start,end,section,bar,count,chord,next chord,words
//   7.273,10.909,Verse 1,1,1,D,G,Lamps a-long the
//
// A row for every bar and every chord of the count-in and the song, in order, each ending where the
// next begins. Start and end in seconds of the track, to the millisecond. Bars count as they are
// played, from 1 each time a section begins; a pick-up is bar 0. Counts from 1; between two counts a
// decimal number (2.5 is half-way to the third). A row holds the chord that sounds, as the chart
// writes it, and the words of a bar where they begin.
//
// Source: RFC 4180 (Y. Shafranovich, 2005): a header, lines ended by CR LF, texts with commas, quotes or
// line ends in quotes. UTF-8.
#pragma once

#include <string>

#include "perform/performance.h"

namespace stillhand::write {

// The bytes of the file. `tempo_percent` 10–400, that of the track.
std::string timing_table(const perform::Performance& performance, int tempo_percent);

}  // namespace stillhand::write
