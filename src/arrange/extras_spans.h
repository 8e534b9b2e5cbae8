// The song as written, cut into held chords with their neighbours: where extras are looked for.
//
//   for (const Span& s : spans_of(song)) if (s.chord) …  s.before, s.after, s.duration
//
// Each written bar is seen once, as it is first played; repeats and further playings of a section are left out.
#pragma once

#include <compare>
#include <optional>
#include <string>
#include <vector>

#include "chart/song.h"

namespace stillhand::arrange {

// A stretch of one written bar.
struct SpanPart {
  std::size_t section = 0;
  std::size_t line = 0;
  std::size_t bar = 0;
  music::Tick from;  // from the bar's beginning
  music::Tick length;
};

// One chord as long as it is held.
struct Span {
  std::optional<music::Chord> chord;  // nullopt under N.C.
  std::optional<music::Chord> before;
  std::optional<music::Chord> after;  // the first time
  // Whatever follows, over all playings; nullopt is the song's end or N.C.
  std::vector<std::optional<music::Chord>> afters;
  music::Tick duration;
  music::Tick begins_at;  // in its bar
  music::Meter meter;     // of its first bar
  music::Tonality tonality;
  bool ends_line = false;
  bool ends_section = false;
  // The plain bass comes into it or goes on from it by step, three notes or more in one direction.
  bool bass_steps_in = false;
  bool bass_steps_out = false;
  std::vector<SpanPart> parts;  // in order of playing, never empty
};

std::vector<Span> spans_of(const chart::Song& song);

// Which part of a span another chord takes: all of it, its first or last counts, or, of a chord held over a bar line, the
// counts behind or before each bar line inside it.
enum class Part { whole, first, last, behind_bar_lines, before_bar_lines };

// A change as the trade says it, without a key: "the last count of this chord over its third".
enum class TurnKind { bass, suspension, passing };
struct Turn {
  TurnKind kind = TurnKind::bass;
  Part part = Part::whole;
  int counts = 0;       // of all parts but the whole
  int root = 0;         // semitones up from the chord's root: where the passing chord stands
  std::string quality;  // of a passing chord "", "m", "dim"; of a suspension "sus4", "sus2"
  int bass = 0;         // semitones up from the (new) root
  friend auto operator<=>(const Turn&, const Turn&) = default;
};
std::string text(const Turn& turn);  // "bass last 1 0  4": how data/extras.tsv writes it
std::optional<Turn> turn_named(std::string_view text);

// The chord that the turn makes here, spelled in the key; nullopt where it makes none.
std::optional<music::Chord> chord_after(const Turn& turn, const Span& span);
// The stretches that it takes, from the span's beginning; none where the span is too short.
struct Stretch {
  music::Tick from;
  music::Tick to;
};
std::vector<Stretch> stretches_of(const Turn& turn, const Span& span);

// No bass stands a half step beside the third, fifth or seventh of its chord under the same letter (D/F, C13/B), as the
// other third or seventh, or as a third under a suspension (common practice, no source).
bool bass_fits(const music::Chord& chord);

// The chord would break a bass that goes by step as it stands.
bool breaks_bass(const Span& span, const Stretch& stretch, const music::Chord& chord);

// "", "m", "dim", "aug", "5": the triad that a chord is built on, "" also for suspensions.
std::string triad_of(const music::ChordQuality& quality);

// One chord put in the place of another.
struct Change {
  const Span* span = nullptr;
  Stretch stretch;
  music::Chord chord;
};
// The bars of a written line with the changes that fall into it; without words.
std::vector<chart::Bar> changed_bars(const chart::Song& song, std::size_t section, std::size_t line,
                                     const std::vector<Change>& changes);

}  // namespace stillhand::arrange
