#include "testing/extras_judge.h"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

namespace stillhand::testing {
namespace {

using arrange::Extra;
using arrange::Part;
using arrange::Span;
using arrange::Turn;
using arrange::TurnKind;
using chart::Bar;
using chart::PlayedChord;
using chart::Song;
using music::Chord;
using music::Degree;
using music::Tick;

int up(music::NoteName from, music::NoteName to) {
  return (to.pitch_class().value() - from.pitch_class().value() + 12) % 12;
}

bool has(const Chord& chord, Degree degree) {
  const auto& all = chord.quality.degrees;
  return std::find(all.begin(), all.end(), degree) != all.end();
}

bool is_suspended(const Chord& chord) {
  return !chord.quality.has(3) && (has(chord, {4, 0}) || has(chord, {2, 0}));
}

bool is_slash(const Chord& chord) {
  return chord.bass && chord.bass->pitch_class() != chord.root.pitch_class();
}

using Durations = std::map<std::string, std::map<std::string, int>>;  // root, symbol, ticks

Durations plain_durations(const std::vector<PlayedChord>& chords) {
  Durations out;
  for (const PlayedChord& played : chords) {
    if (!played.chord || is_suspended(*played.chord)) continue;
    out[music::text(played.chord->root)][text(played.chord->without_bass())] +=
        played.duration.value();
  }
  return out;
}

Chord resolved(const Chord& chord, const std::optional<Chord>& before,
               const std::optional<Chord>& after, const Durations& durations) {
  for (const auto& other : {after, before}) {
    if (other && other->root == chord.root && !is_suspended(*other)) return other->without_bass();
  }
  if (const auto found = durations.find(music::text(chord.root)); found != durations.end()) {
    const auto longest =
        std::max_element(found->second.begin(), found->second.end(),
                         [](const auto& a, const auto& b) { return a.second < b.second; });
    return *music::parse_chord(longest->first);
  }
  return {chord.root, *music::parse_quality(has(chord, {7, -1}) ? "7" : ""), std::nullopt};
}

bool is_passing(const std::vector<PlayedChord>& chords, std::size_t i, Tick bar) {
  if (i == 0 || i + 1 == chords.size() || chords[i].duration * 2 > bar) return false;
  const auto& before = chords[i - 1].chord;
  const auto& after = chords[i + 1].chord;
  const music::NoteName bass = chords[i].chord->bass_note();
  return before && after && music::is_step(before->bass_note(), bass) &&
         music::is_step(bass, after->bass_note());
}

std::string shown(const std::optional<Chord>& chord) { return chord ? text(*chord) : "N.C."; }

// The sounding chord of the written bars, by tick.
struct Event {
  std::optional<Chord> chord;
  Tick start;
  Tick end;
};

std::vector<Event> events_of(const std::vector<Bar>& bars, Tick start) {
  std::vector<Event> out;
  for (const Bar& bar : bars) {
    for (const chart::ChordEvent& event : bar.chords) {
      out.push_back({event.chord, start, start + event.duration});
      start += event.duration;
    }
  }
  return out;
}

// Where each line begins.
std::vector<Tick> line_starts(const Song& song) {
  std::vector<Tick> out;
  Tick at{0};
  for (const chart::Line& line : song.sections.front().lines) {
    out.push_back(at);
    for (const Bar& bar : line.bars) at += bar.length;
  }
  return out;
}

bool alike(const Chord& a, const Chord& b) {
  const auto third = [](const Chord& chord) {
    const auto& degrees = chord.quality.degrees;
    if (chord.quality.has(3)) return arrange::triad_of(chord.quality);
    if (has(chord, {4, 0})) return std::string("sus4");
    return has(chord, {2, 0}) ? std::string("sus2") : std::string(degrees.size() > 1 ? "5" : "1");
  };
  return a.root.pitch_class() == b.root.pitch_class() &&
         a.bass_note().pitch_class() == b.bass_note().pitch_class() && third(a) == third(b);
}

bool exactly(const Chord& a, const Chord& b) {
  return a.root.pitch_class() == b.root.pitch_class() && a.quality == b.quality &&
         a.bass_note().pitch_class() == b.bass_note().pitch_class();
}

// One offer as it sounds: its lines with their beginnings.
struct Sounding {
  std::vector<Event> changed;  // where it differs from the plain line
};

Sounding sounding(const Extra& extra, const std::vector<Tick>& starts) {
  Sounding out;
  for (const arrange::ExtraLine& line : extra.lines) {
    const std::vector<Event> plain = events_of(line.plain, starts[line.line]);
    for (const Event& event : events_of(line.option.bars, starts[line.line])) {
      for (const Event& old : plain) {
        const Tick from = std::max(event.start, old.start);
        const Tick to = std::min(event.end, old.end);
        if (from < to && old.chord != event.chord) out.changed.push_back({event.chord, from, to});
      }
    }
  }
  return out;
}

template <class Same>
Tick time_of(const Sounding& offer, const TakenPlace& place, Same same) {
  Tick sum{0};
  for (const Event& event : offer.changed) {
    const Tick from = std::max(event.start, place.start);
    const Tick to = std::min(event.end, place.start + place.duration);
    if (from < to && event.chord && same(*event.chord, place.original)) sum += to - from;
  }
  return sum;
}

bool at_bar_line(const Span& span, Tick at) {
  Tick now{0};
  for (const arrange::SpanPart& part : span.parts) {
    if (part.from == Tick(0) && now == at) return true;
    now += part.length;
  }
  return false;
}

std::optional<Part> part_of(const Span& span, Tick from, Tick to) {
  if (from == Tick(0)) return to == span.duration ? Part::whole : Part::first;
  if (to == span.duration) return Part::last;
  if (to - from >= span.meter.bar_length()) return std::nullopt;
  if (at_bar_line(span, to)) return Part::before_bar_lines;
  if (at_bar_line(span, from)) return Part::behind_bar_lines;
  return std::nullopt;
}

std::optional<Turn> turn_of(const TakenPlace& place, const Span& span, Tick span_start) {
  const Tick from = place.start - span_start;
  const auto part = part_of(span, from, from + place.duration);
  if (!part) return std::nullopt;
  Turn turn;
  turn.part = *part;
  if (turn.part != Part::whole) {
    const Tick count = span.meter.count_length();
    if (place.duration.value() % count.value() != 0) return std::nullopt;
    turn.counts = place.duration.value() / count.value();
  }
  const Chord& original = place.original;
  switch (place.kind) {
    case Taken::slash_bass:
      turn.kind = TurnKind::bass;
      turn.bass = up(original.root, original.bass_note());
      break;
    case Taken::suspension:
      if (original.bass) return std::nullopt;
      turn.kind = TurnKind::suspension;
      turn.quality = has(original, {4, 0}) ? "sus4" : "sus2";
      break;
    case Taken::passing_chord:
      turn.kind = TurnKind::passing;
      turn.root = up(span.chord->root, original.root);
      turn.quality = arrange::triad_of(original.quality);
      if (turn.quality == "5") turn.quality.clear();
      break;
  }
  return turn;
}

}  // namespace

Stripped stripped(const Song& song) {
  Stripped out{song, {}};
  const auto bars = chart::perform(song);
  const auto chords = chart::played_chords(song, bars);
  const Durations durations = plain_durations(chords);
  std::vector<Event> plain;
  bool took_passing = false;  // the chord before: two in a row would leave nothing to pass from
  for (std::size_t i = 0; i < chords.size(); ++i) {
    const PlayedChord& played = chords[i];
    Event event{played.chord, played.start, played.start + played.duration};
    if (played.chord) {
      const Chord& chord = *played.chord;
      const auto before = i == 0 ? std::nullopt : chords[i - 1].chord;
      const auto after = i + 1 == chords.size() ? std::nullopt : chords[i + 1].chord;
      const auto take = [&](Taken kind, const Chord& left) {
        event.chord = left;
        out.places.push_back({kind, played.start, played.duration, chord,
                              shown(before) + " " + text(chord) + " " + shown(after)});
      };
      const Tick bar = bars[played.played_bar].length;
      if (is_suspended(chord)) {
        take(Taken::suspension, resolved(chord, before, after, durations));
      } else if (is_slash(chord)) {
        take(Taken::slash_bass, chord.without_bass());
      } else if (!took_passing && is_passing(chords, i, bar)) {
        take(Taken::passing_chord, *plain.back().chord);
      }
    }
    took_passing = !out.places.empty() && out.places.back().kind == Taken::passing_chord &&
                   out.places.back().start == played.start;
    plain.push_back(event);
  }
  Tick at{0};
  std::size_t e = 0;
  for (chart::Line& line : out.song.sections.front().lines) {
    for (Bar& bar : line.bars) {
      std::vector<chart::ChordEvent> events;
      for (const chart::ChordEvent& old : bar.chords) {
        while (plain[e].end <= at) ++e;
        if (!events.empty() && events.back().chord == plain[e].chord) {
          events.back().duration += old.duration;
        } else {
          events.push_back({plain[e].chord, old.duration, {}});
        }
        at += old.duration;
      }
      bar.chords = std::move(events);
    }
  }
  return out;
}

void learn(const Stripped& plain, arrange::TurnCounts& counts) {
  const std::vector<Tick> starts = line_starts(plain.song);
  std::map<std::string, int> met;
  Tick at{0};
  for (const Span& span : arrange::spans_of(plain.song)) {
    const Tick start = at;
    at += span.duration;
    if (!span.chord || span.chord->bass) continue;
    const arrange::Contexts contexts = arrange::contexts_of(span);
    const double weight = 1.0 / ++met[shown(span.chord) + contexts.back()];
    counts.see(contexts, weight);
    std::set<Turn> turns;
    for (const TakenPlace& place : plain.places) {
      if (place.start < start || place.start >= at) continue;
      if (const auto turn = turn_of(place, span, start)) turns.insert(*turn);
    }
    for (const Turn& turn : turns) counts.see(contexts, turn, weight);
  }
}

std::vector<Extra> first_inversions(const Song& song) {
  const std::vector<Span> spans = arrange::spans_of(song);
  std::vector<std::pair<std::string, std::vector<arrange::Change>>> groups;
  for (const Span& span : spans) {
    if (!span.chord || span.chord->bass || !span.chord->quality.has(3)) continue;
    Chord chord = *span.chord;
    const int third = has(chord, {3, -1}) ? -1 : 0;
    chord.bass = chord.note({3, static_cast<std::int8_t>(third)});
    const auto steps = [&](const std::optional<Chord>& other) {
      return other && music::is_step(*chord.bass, other->bass_note());
    };
    if (!steps(span.before) && !steps(span.after)) continue;
    const std::string key = text(chord);
    auto found = std::find_if(groups.begin(), groups.end(),
                              [&](const auto& group) { return group.first == key; });
    if (found == groups.end()) found = groups.insert(groups.end(), {key, {}});
    found->second.push_back({&span, {Tick(0), span.duration}, chord});
  }
  std::vector<Extra> out;
  for (const auto& [key, changes] : groups) {
    Extra extra;
    extra.change = key;
    arrange::give_lines(extra, song, changes);
    out.push_back(std::move(extra));
  }
  return out;
}

std::vector<Verdict> judged(const Stripped& plain, const std::vector<Extra>& offers) {
  const std::vector<Tick> starts = line_starts(plain.song);
  std::vector<Sounding> all;
  for (const Extra& offer : offers) all.push_back(sounding(offer, starts));
  std::vector<Verdict> out;
  for (const TakenPlace& place : plain.places) {
    Verdict verdict;
    verdict.kind = place.kind;
    verdict.material = place.material;
    for (const Sounding& offer : all) {
      const Tick covered = time_of(offer, place, [](const Chord&, const Chord&) { return true; });
      if (covered == Tick(0)) continue;
      ++verdict.covering;
      if (verdict.exact == 0 && time_of(offer, place, exactly) * 2 >= place.duration) {
        verdict.exact = verdict.covering;
      }
      if (verdict.alike == 0 && time_of(offer, place, alike) * 2 >= place.duration) {
        verdict.alike = verdict.covering;
      }
    }
    out.push_back(std::move(verdict));
  }
  return out;
}

}  // namespace stillhand::testing
