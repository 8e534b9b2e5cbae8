// The practice plan of one student for one song: how long, what on which day, the hardest changes as drills, the tempo
// ladder, and which track to play along with.
//
//   Practice practice = practice_plan(lesson, {{.file = "play-along-slow.flac", .tempo = TempoPercent(60)}});
//   for (const PracticeDay& day : practice.days) …
//
// Days: as the teaching plan introduces the sections, one a day, two where a section has more than four new shapes; sections
// that are played alike share one. Then a day for the ways between them, one for each step of the tempo ladder above the
// first, and one for the song at its tempo. Where the student starts is not known, the number of steps is reckoned from 60 %
// of the tempo, and the plan says that the first step is found by trial. 25 minutes a day in two parts, five days a week (common practice: 20 to 30 minutes, no source).
//
// - Every section that is played has its day, and every one of the hardest changes its drill, named on at least one day.
// - The minutes of a day are those of its blocks.
// - Tracks are only those that are handed in; without any the plan speaks of playing with a click.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "teach/claims.h"
#include "teach/lesson.h"
#include "teach/plan.h"

namespace stillhand::teach {

struct TempoPercentTag;
using TempoPercent = Amount<TempoPercentTag, int>;  // of the song's tempo

// A track that lies beside the plan.
struct PracticeTrack {
  std::string file;
  TempoPercent tempo{100};
  std::optional<Hand> hand = {};  // only this one sounds; nullopt: both
  // Index into Lesson::sections. Neither section nor change: the whole song.
  std::optional<std::size_t> section = {};
  std::optional<std::pair<std::size_t, std::size_t>> change = {};  // two shapes, back and forth
};

// There and back between two shapes.
struct Drill {
  std::string title;               // "A and D"
  std::vector<std::size_t> moves;  // one or two, indices into Lesson::moves; the harder first
  std::vector<std::string> words;  // "From A to D. Finger 3 up a half step, …"
  std::string time;  // "At the song's tempo there are 0.9 s for it."; empty where not known
  std::vector<std::string> tracks = {};
};

struct PracticeBlock {
  std::string name;  // "Warm up"
  std::string what;
  std::vector<Claim> claims = {};
  std::vector<std::string> tracks = {};  // files
  Minutes minutes = {};
};

struct PracticeDay {
  int number = 1;
  std::string aim;  // "Verse 1: D and G, hands together"
  std::vector<PracticeBlock> blocks;
  Minutes minutes;
};

struct Rule {
  std::string text;
  std::vector<Claim> claims;
};

inline constexpr int kDaysAWeek = 5;
inline constexpr Minutes kMinutesADay{25};

struct Practice {
  std::vector<Rule> before;   // pain, breaks, hand, listening
  std::vector<Rule> rules;    // how to practise
  std::vector<Drill> drills;  // the hardest first
  std::vector<PracticeDay> days;
  TempoLadder ladder;
  std::string ladder_words;  // what to do with it
};

Practice practice_plan(const Lesson& lesson, const std::vector<PracticeTrack>& tracks = {});

}  // namespace stillhand::teach
