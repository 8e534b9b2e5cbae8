#include "arrange/extras_spans.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
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
  bool ends_section = false;
};

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
      if (!joins || runs.back().chord != event.chord) runs.push_back({event.chord, {}, false});
      if (is_new) {
        runs.back().parts.push_back({played.section, played.line, played.bar, at, length});
      }
      joins = true;
      at += length;
    }
  }
  if (!runs.empty()) runs.back().ends_section = true;
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

music::NoteName bass_name(const Chord& chord, int semitones, music::Tonality tonality) {
  const music::PitchClass wanted = chord.root.pitch_class() + Semitones(semitones);
  for (const music::NoteName& note : chord.notes()) {
    if (note.pitch_class() == wanted) return note;
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
  const auto root = span.tonality.spell(span.chord->root.pitch_class() + Semitones(turn.root));
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
  std::vector<Span> spans;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    if (!runs[i].parts.empty()) spans.push_back(span_of(song, runs, i));
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
  chord.bass = bass_name(chord, turn.bass, span.tonality);
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
