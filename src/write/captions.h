// Captions of a track: what is played now, what comes next, and the words.
//
//   std::vector<Cue> cues = captions(performance, 100);
//   cues[2] == {7273ms, 10909ms, {"D, next G · Verse 1", "Lamps a-long the"}}
//   write_file("play-along.vtt", web_vtt(cues));
//   write_file("play-along.srt", sub_rip(cues));
//
// Cues follow each other without gap or overlap from the first click to the end of the last bar. Each
// has one or two lines of at most 42 characters (caption_text.h) and stays for 1 to 8 s
// (caption_cuts.h). A new chord, new words and a new section begin a new cue wherever that leaves
// none shorter than a second; otherwise chords share one: "D – Em, next A". A chord that is held
// long is cut at a bar line, or else at a count. A count-in has its counts in place of the words.
// A cue begins on the very click, chord or bar line that it is about, to the millisecond; only
// counts of more than four seconds are cut between.
//
// Sources: WebVTT: The Web Video Text Tracks Format (W3C Candidate Recommendation, 4 April 2019).
// SubRip has no standard: a number, "00:00:01,000 --> 00:00:02,000", the lines, a blank line (common
// practice, no source).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "perform/performance.h"
#include "write/track_time.h"

namespace stillhand::write {

struct Cue {
  Milliseconds start;
  Milliseconds end;
  std::vector<std::string> lines;  // plain text, one or two
  friend bool operator==(const Cue&, const Cue&) = default;
};

// In order of time. `tempo_percent` 10–400, that of the track.
std::vector<Cue> captions(const perform::Performance& performance, int tempo_percent);

// The bytes of the files, in UTF-8. In WebVTT "&", "<" and ">" are escaped. SubRip knows no escape
// and readers take "<" for a tag, so both brackets become "‹" and "›" there.
std::string web_vtt(const std::vector<Cue>& cues);
std::string sub_rip(const std::vector<Cue>& cues);

// One text as WebVTT writes it.
std::string escaped_for_web_vtt(std::string_view text);

}  // namespace stillhand::write
