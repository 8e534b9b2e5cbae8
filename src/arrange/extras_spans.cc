#include "arrange/extras_spans.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <map>
#include <set>
#include <sstream>
#include <tuple>
#include <utility>

namespace stillhand::arrange {
namespace {

using chart::Bar;
using chart::ChordEvent;
using chart::Song;
using music::Chord;
using music::Degree;
using music::Semitones;
using music::Tick;

struct Run {
  std::optional<Chord> chord;
  std::vector<SpanPart> parts;  // of written bars not seen before
  SpanPart last;                // seen before or not
  bool ends_section = false;
  bool bass_steps_in = false;
  bool bass_steps_out = false;
};

// 1 up by step, -1 down by step, else 0.
int step_after(const std::vector<Run>& runs, std::size_t i) {
  if (runs[i].ends_section || !runs[i].chord || !runs[i + 1].chord) return 0;
  const int up = (runs[i + 1].chord->bass_note().pitch_class().value() -
                  runs[i].chord->bass_note().pitch_class().value() + 12) %
                 12;
  return up == 1 || up == 2 ? 1 : up == 10 || up == 11 ? -1 : 0;
}

void mark_steps(std::vector<Run>& runs) {
  for (std::size_t i = 0; i + 2 < runs.size(); ++i) {
    const int step = step_after(runs, i);
    if (step == 0 || step != step_after(runs, i + 1)) continue;
    runs[i].bass_steps_out = runs[i + 1].bass_steps_out = true;
    runs[i + 1].bass_steps_in = runs[i + 2].bass_steps_in = true;
  }
}

std::vector<Run> runs_of(const Song& song) {
  std::vector<Run> runs;
  std::set<std::tuple<std::size_t, std::size_t, std::size_t>> seen;
  for (const chart::PlayedBar& played : chart::perform(song)) {
    const bool is_new = seen.insert({played.section, played.line, played.bar}).second;
    Tick at{0};
    bool joins = !played.section_begins && !runs.empty();
    if (!joins && !runs.empty()) runs.back().ends_section = true;
    for (const ChordEvent& event : chart::bar_of(song, played).chords) {
      const Tick length = std::min(event.duration, played.length - at);
      if (length <= Tick(0)) break;
      if (!joins || runs.back().chord != event.chord) {
        runs.push_back({});
        runs.back().chord = event.chord;
      }
      runs.back().last = {played.section, played.line, played.bar, at, length};
      if (is_new) {
        runs.back().parts.push_back({played.section, played.line, played.bar, at, length});
      }
      joins = true;
      at += length;
    }
  }
  if (!runs.empty()) runs.back().ends_section = true;
  mark_steps(runs);
  return runs;
}

bool ends_line(const Song& song, const SpanPart& last) {
  const auto& bars = song.sections[last.section].lines[last.line].bars;
  return last.bar + 1 == bars.size() && last.from + last.length >= bars.back().length;
}

Span span_of(const Song& song, const std::vector<Run>& runs, std::size_t i) {
  const Run& run = runs[i];
  const SpanPart& first = run.parts.front();
  const Bar& bar = song.sections[first.section].lines[first.line].bars[first.bar];
  Span span;
  span.chord = run.chord;
  if (i > 0) span.before = runs[i - 1].chord;
  if (i + 1 < runs.size()) span.after = runs[i + 1].chord;
  for (const SpanPart& part : run.parts) span.duration += part.length;
  span.begins_at = first.from;
  span.meter = bar.meter;
  span.tonality = bar.tonality;
  span.ends_line = ends_line(song, run.parts.back());
  span.ends_section = run.ends_section;
  span.bass_steps_in = run.bass_steps_in;
  span.bass_steps_out = run.bass_steps_out;
  span.parts = run.parts;
  return span;
}

constexpr std::array<std::pair<Part, std::string_view>, 5> kParts{{
    {Part::whole, "whole"},
    {Part::first, "first"},
    {Part::last, "last"},
    {Part::behind_bar_lines, "behind"},
    {Part::before_bar_lines, "before"},
}};

std::string_view part_name(Part part) {
  for (const auto& [known, word] : kParts) {
    if (known == part) return word;
  }
  return "";
}

// A half step from its goal under the goal's neighbouring letter: F# to G, Ab to G.
std::optional<music::NoteName> beside(music::NoteName goal, music::PitchClass wanted) {
  const int up = (goal.pitch_class().value() - wanted.value() + 12) % 12;
  if (up != 1 && up != 11) return std::nullopt;
  const music::NoteName name = up == 1 ? goal.down({1, Semitones(1)}) : goal.up({1, Semitones(1)});
  if (std::abs(name.accidental) > 1) return std::nullopt;
  return name;
}

music::NoteName bass_name(const Chord& chord, int semitones, music::Tonality tonality,
                          std::optional<music::NoteName> goal) {
  const music::PitchClass wanted = chord.root.pitch_class() + Semitones(semitones);
  for (const music::NoteName& note : chord.notes()) {
    if (note.pitch_class() == wanted) return note;
  }
  if (goal) {
    if (const auto name = beside(*goal, wanted)) return *name;
  }
  return tonality.spell(wanted);
}

std::optional<Chord> suspended(const Chord& chord, const std::string& suspension) {
  if (!chord.quality.has(3) || !chord.quality.has(5)) return std::nullopt;
  std::vector<Degree> degrees;
  for (const Degree& degree : chord.quality.degrees) {
    if (degree.number == 5 && degree.alteration != 0) return std::nullopt;
    if (degree == Degree{7, 0}) continue;  // no suspension keeps the major seventh
    if (degree.number == 1 || degree.number == 5 || degree.number == 7) degrees.push_back(degree);
  }
  degrees.push_back(suspension == "sus2" ? Degree{2, 0} : Degree{4, 0});
  return Chord{chord.root, music::quality_of(degrees), chord.bass};
}

std::optional<Chord> passing(const Turn& turn, const Span& span) {
  const auto quality = music::parse_quality(turn.quality);
  if (!quality) return std::nullopt;
  const auto wanted = span.chord->root.pitch_class() + Semitones(turn.root);
  const auto leading = span.after && turn.part == Part::last
                           ? beside(span.after->bass_note(), wanted)
                           : std::nullopt;
  const auto root = leading.value_or(span.tonality.spell(wanted));
  if (std::abs(root.accidental) > 1) return std::nullopt;
  const Chord chord{root, *quality, std::nullopt};
  const auto same_root = [&](const std::optional<Chord>& other) {
    return other && other->root.pitch_class() == root.pitch_class();
  };
  if (same_root(span.chord) || same_root(span.after)) return std::nullopt;
  return chord;
}

// The chord sounding from `from` to `to` of the bar is `chord`.
void put(Bar& bar, Tick from, Tick to, const Chord& chord) {
  std::vector<ChordEvent> events;
  const auto add = [&](ChordEvent event, Tick length) {
    if (length <= Tick(0)) return;
    event.duration = length;
    if (!events.empty() && events.back().chord == event.chord) {
      events.back().duration += length;
    } else {
      events.push_back(std::move(event));
    }
  };
  Tick at{0};
  for (const ChordEvent& event : bar.chords) {
    const Tick end = at + event.duration;
    add(event, std::min(end, from) - at);
    add({chord, {}, event.place}, std::min(end, to) - std::max(at, from));
    add(event, end - std::max(at, to));
    at = end;
  }
  bar.chords = std::move(events);
}

}  // namespace

std::vector<Span> spans_of(const Song& song) {
  const std::vector<Run> runs = runs_of(song);
  using Place = std::tuple<std::size_t, std::size_t, std::size_t, Tick>;
  const auto place = [](const SpanPart& p) { return Place{p.section, p.line, p.bar, p.from}; };
  std::map<Place, std::vector<std::optional<Chord>>> afters;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    auto& known = afters[place(runs[i].last)];
    const auto after = i + 1 < runs.size() ? runs[i + 1].chord : std::nullopt;
    if (std::find(known.begin(), known.end(), after) == known.end()) known.push_back(after);
  }
  std::vector<Span> spans;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    if (runs[i].parts.empty()) continue;
    spans.push_back(span_of(song, runs, i));
    spans.back().afters = afters[place(runs[i].last)];
  }
  return spans;
}

std::string text(const Turn& turn) {
  const char* kind = turn.kind == TurnKind::bass         ? "bass"
                     : turn.kind == TurnKind::suspension ? "suspension"
                                                         : "passing";
  return fmt::format("{} {} {} {} {} {}", kind, part_name(turn.part), turn.counts, turn.root,
                     turn.quality.empty() ? "major" : turn.quality, turn.bass);
}

std::optional<Turn> turn_named(std::string_view text) {
  std::istringstream in{std::string(text)};
  std::string kind;
  std::string part;
  Turn turn;
  if (!(in >> kind >> part >> turn.counts >> turn.root >> turn.quality >> turn.bass)) return {};
  if (kind != "bass" && kind != "suspension" && kind != "passing") return {};
  turn.kind = kind == "bass"         ? TurnKind::bass
              : kind == "suspension" ? TurnKind::suspension
                                     : TurnKind::passing;
  for (const auto& [known, word] : kParts) {
    if (word == part) turn.part = known;
  }
  if (turn.quality == "major") turn.quality.clear();
  return turn;
}

std::string triad_of(const music::ChordQuality& quality) {
  const auto has = [&](Degree degree) {
    return std::find(quality.degrees.begin(), quality.degrees.end(), degree) !=
           quality.degrees.end();
  };
  if (has({3, -1})) return has({5, -1}) ? "dim" : "m";
  if (has({3, 0})) return has({5, 1}) ? "aug" : "";
  return has({4, 0}) || has({2, 0}) ? "" : "5";
}

std::optional<Chord> chord_after(const Turn& turn, const Span& span) {
  if (!span.chord || span.chord->bass) return std::nullopt;
  if (turn.kind == TurnKind::suspension) return suspended(*span.chord, turn.quality);
  if (turn.kind == TurnKind::passing) return passing(turn, span);
  Chord chord = *span.chord;
  const bool leads = span.after && (turn.part == Part::whole || turn.part == Part::last);
  chord.bass = bass_name(chord, turn.bass, span.tonality,
                         leads ? std::optional(span.after->bass_note()) : std::nullopt);
  if (chord.bass->pitch_class() == chord.root.pitch_class()) return std::nullopt;
  if (std::abs(chord.bass->accidental) > 1) return std::nullopt;
  return chord;
}

std::vector<Stretch> stretches_of(const Turn& turn, const Span& span) {
  if (turn.part == Part::whole) return {{Tick(0), span.duration}};
  const Tick length = span.meter.count_length() * turn.counts;
  if (length >= span.duration || length <= Tick(0)) return {};
  if (turn.part == Part::first) return {{Tick(0), length}};
  if (turn.part == Part::last) return {{span.duration - length, span.duration}};
  if (length >= span.meter.bar_length()) return {};
  std::vector<Stretch> out;
  Tick at{0};
  for (const SpanPart& part : span.parts) {
    if (part.from == Tick(0) && at > Tick(0)) {
      if (turn.part == Part::behind_bar_lines && at + length < span.duration) {
        out.push_back({at, at + length});
      }
      if (turn.part == Part::before_bar_lines && at - length > Tick(0)) {
        out.push_back({at - length, at});
      }
    }
    at += part.length;
  }
  return out;
}

bool bass_fits(const Chord& chord) {
  if (!chord.bass) return true;
  const auto above = [&](music::NoteName note) {
    return (note.pitch_class().value() - chord.root.pitch_class().value() + 12) % 12;
  };
  const int bass = above(*chord.bass);
  const bool is_suspended = !chord.quality.has(3) && (chord.quality.has(4) || chord.quality.has(2));
  if (is_suspended && (bass == 3 || bass == 4)) return false;
  return std::none_of(chord.quality.degrees.begin(), chord.quality.degrees.end(),
                      [&](const Degree& degree) {
                        if (degree.number != 3 && degree.number != 5 && degree.number != 7)
                          return false;
                        const music::NoteName note = chord.note(degree);
                        const int off = (bass - above(note) + 12) % 12;
                        if (off == 0) return false;
                        const bool other_third = degree.number == 3 && (bass == 3 || bass == 4);
                        const bool other_seventh = degree.number == 7 && (bass == 10 || bass == 11);
                        return note.letter == chord.bass->letter || other_third || other_seventh;
                      });
}

bool breaks_bass(const Span& span, const Stretch& stretch, const Chord& chord) {
  const auto key = [](const Chord& c) { return c.bass_note().pitch_class(); };
  if (!span.chord || key(chord) == key(*span.chord)) return false;
  if (span.bass_steps_in && stretch.from == Tick(0)) return true;
  if (!span.bass_steps_out || stretch.to < span.duration) return false;
  // The half step between two notes a whole step apart only makes the steps smaller.
  const auto half_step = [](music::PitchClass a, music::PitchClass b) {
    const int up = (b.value() - a.value() + 12) % 12;
    return up == 1 || up == 11;
  };
  return stretch.from == Tick(0) || !half_step(key(*span.chord), key(chord)) ||
         !half_step(key(chord), key(*span.after));
}

std::vector<Bar> changed_bars(const Song& song, std::size_t section, std::size_t line,
                              const std::vector<Change>& changes) {
  std::vector<Bar> bars = song.sections[section].lines[line].bars;
  for (Bar& bar : bars) bar.words.clear();
  for (const Change& change : changes) {
    Tick at{0};
    for (const SpanPart& part : change.span->parts) {
      const Tick from = std::max(change.stretch.from - at, Tick(0));
      const Tick to = std::min(change.stretch.to - at, part.length);
      if (part.section == section && part.line == line && from < to) {
        put(bars[part.bar], part.from + from, part.from + to, change.chord);
      }
      at += part.length;
    }
  }
  return bars;
}

}  // namespace stillhand::arrange
