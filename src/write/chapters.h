// The sections of a track as chapters.
//
//   for (const Chapter& chapter : chapters(performance, 60)) …
//   chapters_web_vtt(list)    "00:00:00.000 --> 00:00:14.545" and "Count-in", for a player
//   chapters_text(list)       "00:14 Verse 1", a line each, for a description
//
// They follow each other without gap from the first click to the end of the last bar: the count-in,
// then each section each time it is played, and a practice track's further count-ins. A later time says so: "Chorus (second time)". The plain list
// counts whole seconds, cut off rather than rounded, so that no chapter is entered late; from an hour
// on "1:02:03".
//
// Source: WebVTT (W3C Candidate Recommendation, 4 April 2019), chapter title text.
#pragma once

#include <string>
#include <vector>

#include "perform/performance.h"
#include "write/track_time.h"

namespace stillhand::write {

struct Chapter {
  Milliseconds start;
  Milliseconds end;
  std::string title;  // one line, not empty
  friend bool operator==(const Chapter&, const Chapter&) = default;
};

std::vector<Chapter> chapters(const perform::Performance& performance, int tempo_percent);

std::string chapters_web_vtt(const std::vector<Chapter>& chapters);
std::string chapters_text(const std::vector<Chapter>& chapters);

}  // namespace stillhand::write
