// The notation of accompaniment patterns: one bar for the left hand, one for the right, counted as chords are.
//
//   left   | bass rest fifth rest |
//   right  | rest chord rest chord |
//
// Every word, dash and parenthesis is one count. A dash holds for one more count, inside a parenthesis words and dashes
// share the count evenly, `rest` lets go, `bass+octave` is struck together, `next` is the coming bar's chord struck early.
// A bar that ends in `and so on` repeats its last count as often as the meter wants.
//
// Where a pattern stands in a chart: docs/chart.md. What is made of it: perform/pattern.h.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/strong.h"
#include "chart/source.h"

namespace stillhand::chart {

enum class PatternTone {
  // left hand
  bass,
  third,
  fifth,
  octave,
  // right hand
  chord,   // all keys of the shape
  low,     // its lowest
  middle,  // those between the lowest and the highest
  high,    // its highest
  upper,   // all but the lowest
  // either hand: the coming bar's first chord, struck early; its bass note, or its whole shape
  next,
};
std::string_view name(PatternTone tone);

enum class PatternHand { left, right };

// A 120th of a count, so that a count divides evenly by 2, 3, 4, 5, 6 and 8.
struct CountPartTag;
using CountPart = Amount<CountPartTag, int>;
inline constexpr CountPart kWholeCount{120};

// What begins at one moment of the bar. It lasts until the next step.
struct PatternStep {
  CountPart start;
  std::vector<PatternTone> tones;  // none: rest
  friend bool operator==(const PatternStep&, const PatternStep&) = default;
};

// One hand's bar. What sounded before goes on until the first step.
struct PatternBar {
  int counts = 1;
  bool goes_on = false;  // "and so on": the last count is repeated to the end of the bar
  std::vector<PatternStep> steps;
  friend bool operator==(const PatternBar&, const PatternBar&) = default;
};

// "bass+octave", "rest".
std::string text(const PatternStep& step);

// The same bar with so many counts: a bar that goes on is drawn out, or cut. nullopt if it has another number of counts
// and does not go on.
std::optional<PatternBar> with_counts(const PatternBar& bar, int counts);

// A pattern as the chart defines it. It fits every meter of its number of counts; any, if both hands go on.
struct PatternDefinition {
  std::string name;
  PatternBar left;
  PatternBar right;
  Place place;
  friend bool operator==(const PatternDefinition& a, const PatternDefinition& b) {
    return a.name == b.name && a.left == b.left && a.right == b.right;
  }
};

// Where a chart asks for a pattern by name.
struct PatternUse {
  std::string name;
  Place place;
  friend bool operator==(const PatternUse& a, const PatternUse& b) { return a.name == b.name; }
};

inline constexpr int kMostPatternCounts = 12;

// "| bass rest fifth rest |". Errors go to the report; then nullopt.
std::optional<PatternBar> read_pattern_bar(Piece content, PatternHand hand, Report& report);
// The bar as it is written, in the canonical layout: "| bass rest (fifth octave) - |". Reading it gives the same bar.
std::string text(const PatternBar& bar);

}  // namespace stillhand::chart
