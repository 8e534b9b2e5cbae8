// The tracks of a lesson: what there is to play along and to practise with, as values. Nothing sounds here.
//
//   for (const Track& track : tracks(lesson, {})) …             // the usual ones
//   tracks(lesson, {.parts = {TrackPart::pair}, .percents = {50, 75}})
//
// - The whole song, as the road map has it, once.
// - Each section that is played, as it is played the first time, three times.
// - Each of the five hardest pairs of chords in the right hand (as Lesson::hardest ranks them; there and back is one
//   pair), in turn, a bar each, four bars, three times.
// Before each time two bars of count-in. Three times, because three clean runs are the step to the next tempo (common
// practice, no source). Tempos are those at which it is played, at the same pitch; no sound is stretched.
//
// The usual set is what lessons hand out: the song at 100, 80 and 60 %, and at 60 % the right hand alone, the left hand
// alone, each section and each pair, because that is the order in which a student comes to the song (right hand, left
// hand, together at 60 %, then faster; common practice, no source). The full set is nine times as many tracks as there
// are parts; most of it nobody opens.
#pragma once

#include <cstddef>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "perform/performance.h"
#include "teach/lesson.h"

namespace stillhand::write {

enum class TrackPart { song, section, pair };
enum class TrackHands { both, right, left };

// Which tracks. An empty set of parts means all three; of hands, both together; of percents, 100, 80 and 60. With all three
// empty it is the usual set.
struct TrackChoice {
  std::set<TrackPart> parts = {};
  std::set<TrackHands> hands = {};
  std::set<int> percents = {};  // 10–400
  bool is_usual() const { return parts.empty() && hands.empty() && percents.empty(); }
};

// The least and the most per cent of the tempo that a track may have.
inline constexpr int kSlowestPercent = 10;
inline constexpr int kFastestPercent = 400;

struct Track {
  // Of its files, without their endings: "play-along-60-right", "section-2-chorus-60", "pair-1-em-a-60". ASCII.
  std::string name;
  std::string title;  // "Lamps Along the Quay: Chorus, right hand, 60 %"
  int number = 0;     // in the album: each track that there could be has its own, so they have gaps
  TrackPart part = TrackPart::song;
  TrackHands hands = TrackHands::both;
  int tempo_percent = 100;
  perform::Performance performance;
  std::optional<std::size_t> section = {};  // of a section: index into Lesson::sections
  std::optional<std::pair<std::size_t, std::size_t>> shapes =
      {};  // of a pair: indices into Lesson::shapes
};

// In order of their numbers: the song, the sections as played, the pairs from the hardest on; of each the hands together
// first, then right, then left; of each of these from the fastest down.
std::vector<Track> tracks(const teach::Lesson& lesson, const TrackChoice& choice);

// "Verse 1" → "verse-1"; small letters and figures, "#" as "sharp"; nothing else but single hyphens; at most 40.
std::string file_word(std::string_view name);

}  // namespace stillhand::write
