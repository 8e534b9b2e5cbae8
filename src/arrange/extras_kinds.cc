// The kinds of extras that no collection of songs shows, because a written song has made its choice already: common
// practice, no source. Their ranks are our judgement.
#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cstdlib>
#include <map>

#include "arrange/extras_search.h"
#include "arrange/figure.h"

namespace stillhand::arrange {
namespace {

using chart::RoadMapEntry;
using music::Mode;
using music::NoteName;
using music::PianoKey;
using music::Semitones;
using music::Tick;
using music::Tonality;

constexpr double kTurnaroundRank = 0.5;
constexpr double kStepwiseRank = 0.12;
constexpr double kSubstituteRank = 0.3;
constexpr double kWalkingRank = 0.25;
constexpr double kKeyChangeRank = 0.2;
constexpr double kTagRank = 0.2;
constexpr double kVariationRank = 0.15;
constexpr std::size_t kShortestWalk = 4;     // bass notes in one direction by step
constexpr music::PianoKey kHighestSung{74};  // D5: what a congregation reaches

constexpr PianoKey kOctaveFromC3{48};  // any octave does for a walk's names

Chord triad_on(NoteName root, const char* quality) {
  return {root, *music::parse_quality(quality), std::nullopt};
}

bool is_triad(const std::optional<Chord>& chord, NoteName root, const std::string& triad) {
  return chord && !chord->bass && chord->root.pitch_class() == root.pitch_class() &&
         triad_of(chord->quality) == triad && chord->quality.has(3);
}

bool is_tonic(const Span& span) {
  return is_triad(span.chord, span.tonality.tonic, span.tonality.mode == Mode::major ? "" : "m");
}

bool is_in_scale(NoteName note, const Tonality& key) {
  for (int number = 1; number <= 7; ++number) {
    if (key.degree(number) == note) return true;
  }
  return false;
}

// Offers that do the same are one offer with more places.
class Collected {
 public:
  Extra& at(ExtraKind kind, const std::string& change) {
    Extra& extra = extras_[change];
    extra.kind = kind;
    extra.change = change;
    extra.id = extra_id(kind, change);
    return extra;
  }
  void add(const std::string& change, const Span& span, Stretch stretch, const Chord& chord) {
    changes_[change].push_back({&span, stretch, chord});
  }
  std::vector<Extra> take(const Song& song) {
    std::vector<Extra> out;
    for (auto& [change, extra] : extras_) {
      give_lines(extra, song, changes_[change]);
      out.push_back(std::move(extra));
    }
    return out;
  }

 private:
  std::map<std::string, Extra> extras_;
  std::map<std::string, std::vector<Change>> changes_;
};

// ---- stepwise bass: the longest walks over the held chords of each section

// One way to play a span: its bass notes in order, one for all of it or one for each half.
struct Way {
  std::vector<Chord> chords;
  bool is_plain = true;
};

std::vector<Way> ways_of(const Span& span) {
  std::vector<Way> ways{{{*span.chord}, true}};
  if (span.chord->bass) return ways;
  for (const music::Degree& degree : span.chord->quality.degrees) {
    if (degree.number != 3 && degree.number != 5) continue;
    Chord chord = *span.chord;
    chord.bass = chord.note(degree);
    if (!bass_fits(chord)) continue;
    ways.push_back({{chord}, false});
  }
  if (span.duration >= span.meter.count_length() * 2) {
    Chord chord = *span.chord;
    for (const int down : {1, 2}) {
      const NoteName note = span.tonality.spell(chord.root.pitch_class() + Semitones(-down));
      if (!is_in_scale(note, span.tonality)) continue;
      chord.bass = note;
      if (!bass_fits(chord)) continue;
      ways.push_back({{*span.chord, chord}, false});
    }
  }
  return ways;
}

bool is_step(NoteName from, NoteName to, bool up) {
  const int distance =
      up ? music::semitones_up(from, to).value() : music::semitones_up(to, from).value();
  return distance == 1 || distance == 2;
}

// The longest walk that ends in one way of one span.
struct Walk {
  std::size_t notes = 1;
  int changes = 0;
  std::optional<std::size_t> from;  // the way of the span before
  // More notes, then fewer changes.
  bool beats(const Walk& other) const {
    return notes != other.notes ? notes > other.notes : changes < other.changes;
  }
};

class Walks {
 public:
  Walks(const std::vector<Span>& spans, bool up) : spans_(spans), up_(up) {
    for (std::size_t i = 0; i < spans.size(); ++i) add(i);
  }

  struct Step {
    std::size_t span = 0;
    const Way* way = nullptr;
  };
  // The walks, longest first where they overlap, none twice.
  std::vector<std::vector<Step>> take() const {
    std::vector<std::vector<Step>> out;
    std::size_t end = spans_.size();
    while (end > 0) {
      const std::size_t i = --end;
      const std::size_t best = 0;  // the plain way: a walk arrives at a root
      if (walks_[i].empty() || walks_[i][best].notes < kShortestWalk || goes_on(i)) continue;
      if (walks_[i][best].changes < 2) continue;
      std::vector<Step> steps;
      std::optional<std::size_t> w = best;
      for (std::size_t at = i;; --at) {
        steps.insert(steps.begin(), {at, &ways_[at][*w]});
        w = walks_[at][*w].from;
        if (!w) break;
      }
      end = steps.front().span;
      out.push_back(std::move(steps));
    }
    return out;
  }

 private:
  bool follows(std::size_t i) const {
    return i > 0 && !ways_[i - 1].empty() && !spans_[i - 1].ends_section &&
           spans_[i - 1].parts.back().section == spans_[i].parts.front().section;
  }
  bool goes_on(std::size_t i) const {
    if (i + 1 >= spans_.size() || !follows(i + 1)) return false;
    return !walks_[i + 1].empty() && walks_[i + 1].front().notes > walks_[i].front().notes;
  }

  void add(std::size_t i) {
    ways_.emplace_back();
    walks_.emplace_back();
    if (!spans_[i].chord) return;
    ways_[i] = ways_of(spans_[i]);
    for (const Way& way : ways_[i]) {
      const bool inside = way.chords.size() == 1 ||
                          is_step(way.chords[0].bass_note(), way.chords[1].bass_note(), up_);
      Walk best{way.chords.size(), way.is_plain ? 0 : 1, std::nullopt};
      if (!inside) best.notes = 0;
      for (std::size_t w = 0; inside && follows(i) && w < ways_[i - 1].size(); ++w) {
        const Walk& before = walks_[i - 1][w];
        if (before.notes == 0) continue;
        if (!is_step(ways_[i - 1][w].chords.back().bass_note(), way.chords.front().bass_note(),
                     up_)) {
          continue;
        }
        const Walk longer{before.notes + way.chords.size(), before.changes + (way.is_plain ? 0 : 1),
                          w};
        if (longer.beats(best)) best = longer;
      }
      walks_[i].push_back(best);
    }
  }

  const std::vector<Span>& spans_;
  bool up_;
  std::vector<std::vector<Way>> ways_;
  std::vector<std::vector<Walk>> walks_;
};

void add_walks(const std::vector<Span>& spans, bool up, Collected& out) {
  const Walks walks(spans, up);
  for (const auto& steps : walks.take()) {
    std::string notes;
    for (const auto& step : steps) {
      for (const Chord& chord : step.way->chords) {
        notes += (notes.empty() ? "" : " ") + music::text(chord.bass_note());
      }
    }
    const std::string change = fmt::format("bass {}", notes);
    Extra& extra = out.at(ExtraKind::stepwise_bass, change);
    extra.reason = fmt::format("The bass goes {} by step, {} notes in a row.", up ? "up" : "down",
                               std::count(notes.begin(), notes.end(), ' ') + 1);
    extra.skill = Skill::slash_chord;
    extra.rank += kStepwiseRank;
    for (const auto& step : steps) {
      if (step.way->is_plain) continue;
      const Span& span = spans[step.span];
      if (step.way->chords.size() == 1) {
        out.add(change, span, {Tick(0), span.duration}, step.way->chords[0]);
        continue;
      }
      const Tick count = span.meter.count_length();
      const Tick half = count * (span.duration.value() / count.value() / 2);
      out.add(change, span, {span.duration - half, span.duration}, step.way->chords[1]);
    }
  }
}

// ---- walking bass: two notes by step, a count each, into a chord a fourth away

PianoKey key_of(NoteName note) { return kOctaveFromC3 + Semitones(note.pitch_class().value()); }

void add_walking_bass(const Span& span, Collected& out) {
  if (!span.chord || span.chord->bass || !span.after || span.after->bass) return;
  const Tick count = span.meter.count_length();
  if (span.duration < count * 3) return;
  const int up = music::semitones_up(span.chord->root, span.after->root).value();
  if (up != 5 && up != 7) return;
  // From the root's key up or down a fourth.
  const bool rises = up == 5;
  const Pitch from = music::pitch_at(key_of(span.chord->root), span.chord->root);
  const Pitch to = music::pitch_at(from.key() + Semitones(rises ? 5 : -5), span.after->root);
  std::vector<Chord> over;
  NoteName last = span.chord->root;
  for (const Pitch& note : walk(*span.chord, from, to, span.tonality, 2)) {
    Chord chord = *span.chord;
    chord.bass = note.name;
    if (!is_step(last, note.name, rises) || !bass_fits(chord)) return;
    over.push_back(chord);
    last = note.name;
  }
  if (over.size() != 2) return;
  const NoteName first = *over[0].bass;
  const std::string change = fmt::format("walk {} {} {} {}", text(*span.chord), music::text(first),
                                         music::text(last), text(*span.after));
  Extra& extra = out.at(ExtraKind::walking_bass, change);
  extra.reason = fmt::format("{} and {} walk the bass from {} {} to {}.", music::display(first),
                             music::display(last), shown(*span.chord), rises ? "up" : "down",
                             shown(*span.after));
  extra.skill = Skill::walking_bass;
  extra.rank = std::min(extra.rank + kWalkingRank, 2 * kWalkingRank);
  Tick at = span.duration - count * 2;
  for (const Chord& chord : over) {
    out.add(change, span, {at, at + count}, chord);
    at += count;
  }
}

// ---- substitutes

void add_substitute(const Span& span, const Chord& other, Stretch stretch,
                    const std::string& reason, Collected& out) {
  if (breaks_bass(span, stretch, other)) return;
  const std::string change = fmt::format("{} for {}", text(other), text(*span.chord));
  Extra& extra = out.at(ExtraKind::substitute, change);
  extra.reason = reason;
  extra.skill = Skill::triads;
  extra.rank = std::min(extra.rank + kSubstituteRank, 2 * kSubstituteRank);
  out.add(change, span, stretch, other);
}

bool begins_section(const Span& span) {
  const SpanPart& first = span.parts.front();
  return first.line == 0 && first.bar == 0 && first.from == Tick(0);
}

// In every playing.
bool always_goes_to(const Span& span, NoteName root) {
  return std::all_of(span.afters.begin(), span.afters.end(),
                     [&](const auto& after) { return is_triad(after, root, ""); });
}

// The chord that opens a section or ends a line says where the song is at home or rests: it stays.
void add_substitutes(const Span& span, Collected& out) {
  if (!span.chord || begins_section(span) || span.ends_line) return;
  const Tonality& key = span.tonality;
  const Tick bar = span.meter.bar_length();
  const bool major = key.mode == Mode::major;
  if (is_tonic(span) && span.duration >= bar * 2) {
    const Chord other = triad_on(key.degree(6), major ? "m" : "");
    if (!span.after || span.after->root != other.root) {
      const Tick half = bar * (span.duration.value() / bar.value() / 2);
      add_substitute(span, other, {span.duration - half, span.duration},
                     fmt::format("{} shares two notes with {} and gives the long chord a second "
                                 "colour.",
                                 shown(other), shown(*span.chord)),
                     out);
    }
  }
  if (!major) return;
  const NoteName fourth = key.degree(4);
  if (is_triad(span.chord, fourth, "") && always_goes_to(span, key.degree(5))) {
    const Chord other = triad_on(key.degree(2), "m");
    add_substitute(span, other, {Tick(0), span.duration},
                   fmt::format("{} shares two notes with {} and leads to {} as well.", shown(other),
                               shown(*span.chord), shown(*span.after)),
                   out);
  }
  if (is_tonic(span) && span.duration * 2 >= bar && always_goes_to(span, fourth)) {
    const Chord other = triad_on(key.degree(3), "m");
    const Tick half = span.duration > bar ? bar : span.duration;
    add_substitute(span, other, {span.duration - half, span.duration},
                   fmt::format("{} stands for {} over its third; the bass rises by half step into "
                               "{}.",
                               shown(other), shown(*span.chord), shown(*span.after)),
                   out);
  }
}

// ---- turnaround

void add_turnaround(const Span& span, Collected& out) {
  if (!span.ends_section || !span.after || !is_tonic(span)) return;
  const Tick count = span.meter.count_length();
  if (span.meter.counts().value() < 3 || span.duration < span.meter.bar_length()) return;
  const Tonality& key = span.tonality;
  const Chord five = triad_on(key.degree(5), "");
  const Chord four = triad_on(key.degree(4), key.mode == Mode::major ? "" : "m");
  const Chord open = triad_on(key.degree(5), "sus4");
  bool ends_song = false;
  for (const auto& after : span.afters) {
    const bool is_home = is_triad(after, key.tonic, key.mode == Mode::major ? "" : "m");
    if (after && !is_home) return;
    ends_song = ends_song || !after;
  }
  for (const Chord& first : {four, open}) {
    const std::string change = fmt::format("{} {} at the end", text(first), text(five));
    Extra& extra = out.at(ExtraKind::turnaround, change);
    extra.reason =
        fmt::format("{} and {} lead back to {}.", shown(first), shown(five), shown(*span.after));
    if (ends_song) extra.reason += " Leave them out at the end of the song.";
    extra.skill = first == open ? Skill::suspension : Skill::triads;
    extra.rank = std::min(extra.rank + kTurnaroundRank * (first == open ? 0.8 : 1), 1.0);
    out.add(change, span, {span.duration - count * 2, span.duration - count}, first);
    out.add(change, span, {span.duration - count, span.duration}, five);
  }
}

// ---- variation: a section that comes again

int times_played(const Song& song, std::size_t section) {
  int times = 0;
  for (const RoadMapEntry& entry : song.road_map)
    times += entry.section == section ? entry.times : 0;
  return times;
}

void add_variation(const Song& song, const Span& span, Collected& out) {
  if (!span.chord || span.chord->bass || span.duration < span.meter.bar_length()) return;
  const std::size_t section = span.parts.front().section;
  if (times_played(song, section) < 2 || span.tonality.mode != Mode::major) return;
  const Tonality& key = span.tonality;
  if (!is_tonic(span) && !is_triad(span.chord, key.degree(4), "")) return;
  if (span.chord->quality.degrees.size() != 3) return;
  const Chord other = triad_on(span.chord->root, "add9");
  const std::string change = fmt::format("last {} with ninths", song.sections[section].name);
  Extra& extra = out.at(ExtraKind::variation, change);
  extra.reason = fmt::format("A ninth on the long chords gives the last {} another colour.",
                             song.sections[section].name);
  extra.skill = Skill::added_note;
  extra.rank = kVariationRank;
  out.add(change, span, {Tick(0), span.duration}, other);
}

// ---- what needs a section of its own

bool is_named(const Song& song, std::string_view name) {
  return std::any_of(song.sections.begin(), song.sections.end(), [&](const chart::Section& s) {
    return s.name.size() == name.size() &&
           std::equal(s.name.begin(), s.name.end(), name.begin(), [](char a, char b) {
             return std::tolower(static_cast<unsigned char>(a)) ==
                    std::tolower(static_cast<unsigned char>(b));
           });
  });
}

// What changes at the section's last playing is a section of its own; false where it cannot be.
bool make_section(const Song& song, Extra& extra) {
  ExtraSection section;
  section.copy_of = extra.lines.front().section;
  section.name = song.sections[section.copy_of].name + " with ninths";
  if (is_named(song, section.name)) return false;
  for (const ExtraLine& line : extra.lines) {
    for (const chart::Bar& bar : line.plain) {
      if (bar.repeat_begins || bar.repeat_times > 1 || !bar.endings.empty() || bar.is_pick_up)
        return false;
    }
  }
  section.changed = std::move(extra.lines);
  section.replaces_last = true;
  section.fallback = song.road_map;
  extra.lines.clear();
  extra.section = std::move(section);
  return true;
}

ExtraPlace whole_section(const Song& song, std::size_t section) {
  const auto& lines = song.sections[section].lines;
  return {section, 0, 0, lines.front().bars.size() - 1};
}

void add_tag(const Song& song, std::vector<Extra>& out) {
  const std::size_t last = song.road_map.back().section;
  const auto& lines = song.sections[last].lines;
  const chart::Line& line = lines.back();
  const bool repeats = std::any_of(line.bars.begin(), line.bars.end(), [](const chart::Bar& bar) {
    return bar.repeat_begins || bar.repeat_times > 1 || !bar.endings.empty() || bar.is_pick_up;
  });
  if (is_named(song, "Tag") || repeats || lines.size() < 2) return;
  if (line.bars.front().tonality != song.tonality || line.bars.front().meter != song.meter) return;
  Extra extra;
  extra.kind = ExtraKind::tag;
  extra.change = fmt::format("last line of {} again", song.sections[last].name);
  extra.id = extra_id(extra.kind, extra.change);
  extra.reason = "The last phrase once more tells everybody that the song ends.";
  extra.skill = Skill::roots;
  extra.rank = kTagRank;
  extra.places = {{last, lines.size() - 1, 0, line.bars.size() - 1}};
  ExtraSection section;
  section.copy_of = last;
  section.line = lines.size() - 1;
  section.name = "Tag";
  section.fallback = song.road_map;
  extra.section = section;
  out.push_back(std::move(extra));
}

void add_key_change(const Song& song, int semitones_up, std::vector<Extra>& out) {
  const RoadMapEntry last = song.road_map.back();
  if (times_played(song, last.section) < 2) return;
  if (song.range && song.range->highest.key() + Semitones(semitones_up) > kHighestSung) return;
  const Tonality from = song.tonality;
  const NoteName up =
      semitones_up == 1 ? from.tonic.up({1, Semitones(1)}) : from.tonic.up({1, Semitones(2)});
  if (std::abs(up.fifths()) > 12) return;
  const Tonality to = music::simplest({up, from.mode});
  if (std::abs(to.fifths()) > 6) return;
  for (const chart::Section& section : song.sections) {
    for (const chart::Line& line : section.lines) {
      for (const chart::Bar& bar : line.bars) {
        if (bar.tonality != from) return;  // the song has a plan of keys of its own
      }
    }
  }
  const chart::Section& moved = song.sections[last.section];
  if (moved.lines.front().bars.front().is_pick_up) return;
  Extra extra;
  extra.kind = ExtraKind::key_change;
  ExtraSection section;
  section.copy_of = last.section;
  section.tonality = to;
  section.pivot = triad_on(to.degree(5), "7");
  section.name = fmt::format("{} in {}", moved.name, music::text(to));
  section.pivot_name = fmt::format("Into {}", music::text(to));
  section.replaces_last = true;
  section.fallback = song.road_map;
  if (is_named(song, section.name) || is_named(song, section.pivot_name)) return;
  extra.change = fmt::format("last {} in {}", moved.name, music::text(to));
  extra.id = extra_id(extra.kind, extra.change);
  extra.reason =
      fmt::format("{} is the dominant of {}: one bar of it lifts the last {} by a {} step.",
                  shown(*section.pivot), music::display(to.tonic), moved.name,
                  semitones_up == 1 ? "half" : "whole");
  if (!song.range) extra.reason += " The chart names no range: try whether it can be sung.";
  extra.skill = Skill::key_change;
  extra.rank = kKeyChangeRank / (semitones_up == 1 ? 1.1 : 1.0);
  extra.places = {whole_section(song, last.section)};
  extra.section = section;
  out.push_back(std::move(extra));
}

}  // namespace

std::vector<Extra> practice_extras(const Song& song, const std::vector<Span>& spans) {
  Collected collected;
  for (const bool up : {true, false}) add_walks(spans, up, collected);
  for (const Span& span : spans) {
    add_walking_bass(span, collected);
    add_substitutes(span, collected);
    add_turnaround(span, collected);
    add_variation(song, span, collected);
  }
  std::vector<Extra> out = collected.take(song);
  for (auto extra = out.begin(); extra != out.end();) {
    const bool stays = extra->kind != ExtraKind::variation || make_section(song, *extra);
    extra = stays ? extra + 1 : out.erase(extra);
  }
  add_tag(song, out);
  for (const int semitones_up : {1, 2}) add_key_change(song, semitones_up, out);
  return out;
}

}  // namespace stillhand::arrange
