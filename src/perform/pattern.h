// Accompaniment patterns: what both hands do in each bar, and which pattern each section of a song gets.
//
//   const Pattern* p = find_pattern("boom-chick");
//   Result<PatternPlan> plan = plan_patterns(arrangement, {.name = "boom-chick"});
//   Performance sound = perform(arrangement, *plan);
//
// The built-in patterns are data (data/patterns.txt), in the notation of chart/pattern.h. Their meters, fullness and
// tempo follow common practice, no source.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "arrange/arrangement.h"
#include "arrange/build_up.h"
#include "arrange/skill.h"
#include "base/result.h"
#include "chart/pattern.h"
#include "chart/song.h"
#include "hand/size.h"
#include "music/meter.h"

namespace stillhand::perform {

using music::Tempo;

// Counts a minute: slow under 72, medium 72 to 108, fast above (our judgement).
enum class Pace { slow, medium, fast };
Pace pace_of(music::Tempo tempo);
std::string_view name(Pace pace);

// A pattern's bar in certain meters.
struct PatternForm {
  std::vector<music::Meter> meters;  // empty: every meter whose counts the bars fit
  chart::PatternBar left;
  chart::PatternBar right;
};

struct Pattern {
  std::string name;  // "boom-chick"
  std::string says;  // one sentence for the student
  arrange::Skills skills;
  arrange::Fullness fullness = arrange::Fullness::light;
  std::vector<Pace> paces;  // it suits
  std::vector<PatternForm> forms;
  // Played instead under a chord where the left hand has no octave (or no fifth, or no third) that this one wants.
  std::string instead;  // "" = none: a tone that is not there is held on or falls back

  // Both bars as this meter plays them; nullopt where the pattern has no form for it.
  struct Bars {
    chart::PatternBar left;
    chart::PatternBar right;
  };
  std::optional<Bars> bars(music::Meter meter) const;
  // The left hand's rung that has the tones it asks for.
  arrange::Rung rung() const;
};

// In the order of the data file: what is learned earlier stands first.
const std::vector<Pattern>& all_patterns();
const Pattern* find_pattern(std::string_view name);  // nullptr if there is none

// What is played where nothing was chosen: the bass on each chord, held; the chord on every count.
const Pattern& plain_pulse();

struct PatternChoice {
  std::optional<std::string> name = {};  // everywhere, whatever the chart asks for
  std::optional<arrange::Skills> skills =
      {};  // sections without a pattern get one that these allow
};

// The pattern of one section as played.
struct SectionPattern {
  std::size_t first_bar = 0;  // index into Arrangement::bars
  std::size_t section = 0;    // index into Song::sections
  Pattern pattern;
  std::string why;  // "asked for", "the chart asks for it", "full: the last chorus"
};

struct PatternPlan {
  std::vector<SectionPattern> sections;  // one each time a section begins; none: the plain pulse
  bool uses_pedal = false;
  Diagnostics
      remarks;  // located as the errors of plan_patterns(): tones of a pattern that its section lacks
};

// The chart's own `pattern` lines count unless choice.name is given; then skills choose by the section's fullness, its
// meter and the tempo; without either the plain pulse is played, without pedal.
// Fails, located where the chart names the pattern: no such pattern (with the nearest name), none for this meter, strokes
// too fast for a hand (kMostChordStrokes, kMostSingleStrokes). A tone that the left hand nowhere has in a section falls back
// (perform/performance.h), with a remark.
Result<PatternPlan> plan_patterns(const arrange::Arrangement& arrangement,
                                  const PatternChoice& choice);

// The rung the left hand needs in each section (index into Song::sections) for the pattern that a name or the chart asks for,
// never an octave in a hand that has none comfortably; sections whose bass notes are enough are left out. For
// arrange::Choices::section_rungs.
std::map<std::size_t, arrange::Rung> wanted_rungs(const chart::Song& song,
                                                  const PatternChoice& choice,
                                                  const hand::HandSize& hand);

// The check of names alone, for a song not yet arranged.
Result<void> check_patterns(const chart::Song& song);

// The most strokes of one hand in ten seconds (our judgement, for students: finger tapping alone tops out at about six a second
// in adults; a whole chord from the wrist is slower).
inline constexpr int kMostChordStrokes = 40;
inline constexpr int kMostSingleStrokes = 70;

}  // namespace stillhand::perform
