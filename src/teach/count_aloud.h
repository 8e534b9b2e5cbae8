// What is said aloud while a section is played: the chord's name where it comes, the count's number while it stays.
//
//   CountAloud verse = count_aloud(lesson.sections[0], lesson.note_names);
//   in_words(verse.lines[0])      // "four | D, two, three, four | G, two, D/F♯, four"
//
// - The words are those of the written meter's counts; in compound meters the eighths are counted, as the patterns do it:
//   "B♭, two, three, F7, five, six".
// - Chords that share one count are joined by a dash: "D–Em, two"; "two–Em" where the second comes between two counts.
// - A pick-up has the last counts of its bar. The bar after it, and the first of each line, always say their chord.
// - "rest" where nothing is played.
// - A repeat is read once and closed by "again"; endings are read in turn, each after "first time:", "second time:" …
// Common practice, no source; the rule of name and number is our own wording of it.
#pragma once

#include <string>
#include <vector>

#include "teach/lesson.h"

namespace stillhand::teach {

struct CountedBar {
  std::string before;  // "first time:", "from here:", "now 3/4:"; mostly empty
  std::string words;   // "G, two, D/F♯, four"
  std::string
      after;  // "again", "again, three times in all", "again and again, until the cue"; mostly empty
  friend bool operator==(const CountedBar&, const CountedBar&) = default;
};

struct CountedLine {
  std::vector<CountedBar> bars;  // one for each bar of the typed line
  friend bool operator==(const CountedLine&, const CountedLine&) = default;
};

struct CountAloud {
  std::vector<CountedLine> lines;
  friend bool operator==(const CountAloud&, const CountAloud&) = default;
};

CountAloud count_aloud(const SheetSection& section, music::NoteNames names);

// The same but for whole counts at the end of the last bar, which a pick-up after it may take.
bool is_counted_alike(const CountAloud& a, const CountAloud& b);

// How to count a section that is counted as one before, to be read aloud: "as Verse 1"; where the ends of the two differ,
// "as Verse 1, but its last bar: G, two, three". Only of sections that is_counted_alike().
std::string counted_as(const std::string& section, const CountAloud& before, const CountAloud& now);

// An `or` line alone.
CountedLine count_aloud(const SheetOption& option, music::NoteNames names);

// Bars between bar lines.
std::string in_words(const CountedLine& line);

// "one" to "twelve"; digits beyond.
std::string number_in_words(int number);

// "first" to "twelfth"; "13th", "21st" beyond.
std::string ordinal_in_words(int number);

// A section when it comes again: "Chorus (second time)"; the first time its name alone.
std::string at_its_time(const std::string& section, int time);

// What is counted in a bar of this meter, without chords: "one, two, three, four".
std::string counts_in_words(music::Meter meter);

}  // namespace stillhand::teach
