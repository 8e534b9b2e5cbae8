#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>

#include "arrange/extras_search.h"

namespace stillhand::arrange {
namespace {

using music::Tick;

// Of all turns at one chord only these are looked at: below it nothing is offered (our judgement).
constexpr double kLeastProbable = 0.001;
// A place belongs to an offer where it is at least this part as probable there as at the best place.
constexpr double kLeastShare = 0.2;

bool is_half_step(music::NoteName a, music::NoteName b) {
  const int up = music::semitones_up(a, b).value();
  return up == 1 || up == 11;
}

// Added where the third in the bass leads by half step into the next bass note: V over its third before I, I over its
// third before IV (common practice, no source; how much is our judgement).
constexpr double kLeadingThird = 0.02;

struct Place {
  const Span* span = nullptr;
  std::vector<Stretch> stretches;
  Chord chord;
  double probability = 0;
};

// What makes two changes the same thing to learn: the same chord, the same change.
struct Key {
  TurnKind kind;
  Part part;
  std::string chord;
  std::string changed;
  friend auto operator<=>(const Key&, const Key&) = default;
};

using Groups = std::map<Key, std::vector<Place>>;

Key key_of(const Turn& turn, const Span& span, const Chord& changed) {
  return {turn.kind, turn.part, text(*span.chord), text(changed)};
}

// What needs no next chord: the last chord of a song stays as it is.
bool resolves_by_itself(const Turn& turn) {
  return turn.part != Part::whole && turn.part != Part::last && turn.kind != TurnKind::bass;
}

bool leads(const Turn& turn, const Span& span, const Chord& changed) {
  const bool is_last = turn.part == Part::whole || turn.part == Part::last;
  return turn.kind == TurnKind::bass && is_last && (turn.bass == 3 || turn.bass == 4) &&
         span.after && is_half_step(changed.bass_note(), span.after->bass_note());
}

bool has_same_root(const Chord& chord, const std::optional<Chord>& other) {
  return other && other->root.pitch_class() == chord.root.pitch_class();
}

// A suspension resolves: where the next chord does not do it, the second half of the change does. nullopt where there
// is no time for it.
std::optional<Turn> resolved(Turn turn, const Span& span) {
  const bool is_last = turn.part == Part::whole || turn.part == Part::last;
  if (turn.kind != TurnKind::suspension || !is_last) return turn;
  if (has_same_root(*span.chord, span.after) && span.after->quality.has(3) && !span.ends_section)
    return turn;
  const int counts = span.duration.value() / span.meter.count_length().value();
  if (turn.part == Part::last || counts < 2) return std::nullopt;
  turn.part = Part::first;
  turn.counts = counts / 2;
  return turn;
}

bool is_fit(const Span& span, const std::vector<Stretch>& stretches, const Chord& chord) {
  // Beside the same chord nothing would be left of the change.
  return bass_fits(chord) && chord != span.before && chord != span.after &&
         std::none_of(stretches.begin(), stretches.end(),
                      [&](const Stretch& stretch) { return breaks_bass(span, stretch, chord); });
}

// What is true of it here; empty where nothing speaks for it.
std::string passing_reason(const Turn& turn, const Span& span, const Chord& chord) {
  const bool is_inside = turn.part != Part::last;
  const std::optional<Chord>& next = is_inside ? span.chord : span.after;
  if (!next) return "";
  const music::NoteName bass = chord.bass_note();
  const music::NoteName from = span.chord->bass_note();
  const music::NoteName to = next->bass_note();
  if (is_inside && music::is_step(from, bass)) {
    return fmt::format("{} lies a {} beside the held {}, which comes back.", shown(chord),
                       is_half_step(from, bass) ? "half step" : "step", shown(*span.chord));
  }
  const bool one_way =
      (music::semitones_up(from, bass).value() < 6) == (music::semitones_up(bass, to).value() < 6);
  if (music::is_step(from, bass) && music::is_step(bass, to) && one_way) {
    return fmt::format("{} fills the way from {} to {} by step.", shown(chord), shown(*span.chord),
                       shown(*next));
  }
  if (music::is_step(bass, to)) {
    return fmt::format("{} leads by {} into {}.", shown(chord),
                       is_half_step(bass, to) ? "half step" : "step", shown(*next));
  }
  if (music::semitones_up(chord.root, next->root).value() == 5 && triad_of(chord.quality).empty()) {
    return fmt::format("{} is the dominant of {} and leads there.", shown(chord), shown(*next));
  }
  const auto held = span.chord->notes();
  const auto shared = std::count_if(held.begin(), held.end(), [&](music::NoteName note) {
    const auto notes = chord.notes();
    return std::any_of(notes.begin(), notes.end(), [&](music::NoteName other) {
      return other.pitch_class() == note.pitch_class();
    });
  });
  if (shared < 2) return "";
  constexpr std::array<std::string_view, 3> kNumbers{"two", "three", "four"};
  return fmt::format("{} shares {} notes with {}.", shown(chord),
                     kNumbers.at(std::min<std::size_t>(static_cast<std::size_t>(shared), 4) - 2),
                     shown(*span.chord));
}

// One place per key: the most probable length.
void add_places(const Span& span, const std::vector<Odds>& all, Groups& groups) {
  std::map<Key, Place> best;
  for (const Odds& odds : all) {
    const auto turn = resolved(odds.turn, span);
    const auto chord = turn ? chord_after(*turn, span) : std::nullopt;
    if (!chord || (!span.after && !resolves_by_itself(*turn))) continue;
    const bool is_leading = leads(*turn, span, *chord);
    if (odds.probability < kLeastProbable && !is_leading) continue;
    std::vector<Stretch> stretches = stretches_of(*turn, span);
    if (stretches.empty() || !is_fit(span, stretches, *chord)) continue;
    const Key key = key_of(*turn, span, *chord);
    if (turn->kind == TurnKind::passing && passing_reason(*turn, span, *chord).empty()) continue;
    const double start = is_leading ? kLeadingThird : 0;
    const auto [there, is_new] =
        best.emplace(key, Place{&span, std::move(stretches), *chord, start});
    there->second.probability += odds.probability;
  }
  for (auto& [key, place] : best) groups[key].push_back(place);
}

std::string bass_reason(const Place& place) {
  const Span& span = *place.span;
  const Chord& chord = place.chord;
  const music::NoteName bass = chord.bass_note();
  const bool into = span.after && music::is_step(bass, span.after->bass_note()) &&
                    place.stretches.back().to == span.duration;
  const bool from = span.before && music::is_step(span.before->bass_note(), bass) &&
                    place.stretches.front().from == Tick(0);
  const auto way = [&](music::NoteName a, music::NoteName b) {
    return is_half_step(a, b) ? "half step" : "step";
  };
  if (into && from && span.before->bass_note() == span.after->bass_note()) {
    return fmt::format("The bass goes by {} from {} to {} and back.",
                       way(bass, span.after->bass_note()), music::display(span.after->bass_note()),
                       music::display(bass));
  }
  if (into && from) {
    return fmt::format("{} in the bass joins {} and {} by step.", music::display(bass),
                       shown(*span.before), shown(*span.after));
  }
  if (into) {
    return fmt::format("{} in the bass leads by {} into {}.", music::display(bass),
                       way(bass, span.after->bass_note()), shown(*span.after));
  }
  if (from) {
    return fmt::format("The bass goes on from {} by {}.", shown(*span.before),
                       way(span.before->bass_note(), bass));
  }
  const auto same = [&](const std::optional<Chord>& other) {
    return other && other->bass_note() == bass;
  };
  if (same(span.before) || same(span.after)) {
    return fmt::format("The bass stays on {} while the chord changes.", music::display(bass));
  }
  return fmt::format("{} in the bass gives {} another colour.", music::display(bass),
                     shown(*span.chord));
}

std::string reason_of(const Turn& turn, const Place& place) {
  const Span& span = *place.span;
  switch (turn.kind) {
    case TurnKind::bass:
      return bass_reason(place);
    case TurnKind::suspension:
      if (turn.part == Part::first) {
        return fmt::format("{} is held long enough to wait for its third.", shown(*span.chord));
      }
      if (turn.part == Part::behind_bar_lines) {
        return fmt::format("{} waits for its third at each new bar.", shown(*span.chord));
      }
      if (turn.part == Part::before_bar_lines) {
        return fmt::format("The suspension opens the held {}; its third comes back with the bar.",
                           shown(*span.chord));
      }
      return fmt::format("The suspension keeps {} open until its third comes in {}.",
                         shown(*span.chord), shown(*span.after));
    case TurnKind::passing:
      break;
  }
  return passing_reason(turn, span, place.chord);
}

ExtraKind kind_of(TurnKind kind) {
  switch (kind) {
    case TurnKind::bass:
      return ExtraKind::slash_chord;
    case TurnKind::suspension:
      return ExtraKind::suspension;
    case TurnKind::passing:
      break;
  }
  return ExtraKind::passing_chord;
}

std::string_view when(Part part) {
  switch (part) {
    case Part::whole:
      return "";
    case Part::first:
      return " first";
    case Part::last:
      return " last";
    case Part::behind_bar_lines:
      return " on new bars";
    case Part::before_bar_lines:
      return " at bar ends";
  }
  return "";
}

std::string change_text(const Key& key) {
  return fmt::format("{} {} {}{}", key.changed, key.kind == TurnKind::passing ? "after" : "for",
                     key.chord, key.kind == TurnKind::passing ? "" : when(key.part));
}

Skill skill_of(TurnKind kind, const Chord& chord) {
  if (kind == TurnKind::bass) return Skill::slash_chord;
  if (kind == TurnKind::suspension) return Skill::suspension;
  return triad_of(chord.quality) == "dim" ? Skill::larger_chord : Skill::triads;
}

// Where the reason holds: " (Verse, line 2, bar 3, the first time)".
std::string holds_at(const Song& song, const Span& span) {
  const SpanPart& part = span.parts.front();
  return fmt::format(" ({}, line {}, bar {}{})", song.sections[part.section].name, part.line + 1,
                     part.bar + 1, span.afters.size() > 1 ? ", the first time" : "");
}

Extra extra_of(const Song& song, const Key& key, const std::vector<Place>& places) {
  const auto best = std::max_element(
      places.begin(), places.end(),
      [](const Place& a, const Place& b) { return a.probability < b.probability; });
  Extra extra;
  extra.kind = kind_of(key.kind);
  extra.change = change_text(key);
  extra.id = extra_id(extra.kind, extra.change + std::string(when(key.part)));
  extra.skill = skill_of(key.kind, best->chord);
  Turn turn;
  turn.kind = key.kind;
  turn.part = key.part;
  extra.reason = reason_of(turn, *best);
  bool is_one_reason = best->span->afters.size() < 2;
  std::vector<Change> changes;
  for (const Place& place : places) {
    if (place.probability < kLeastShare * best->probability) continue;
    extra.rank += place.probability;
    is_one_reason = is_one_reason && reason_of(turn, place) == extra.reason;
    for (const Stretch& stretch : place.stretches) {
      changes.push_back({place.span, stretch, place.chord});
    }
  }
  // A suspension inside its chord has the same reason everywhere.
  if (!is_one_reason && !resolves_by_itself(turn))
    extra.reason.insert(extra.reason.size() - 1, holds_at(song, *best->span));
  give_lines(extra, song, changes);
  return extra;
}

}  // namespace

std::vector<Extra> turn_extras(const Song& song, const std::vector<Span>& spans,
                               const TurnCounts& counts) {
  Groups groups;
  std::map<std::string, std::vector<Odds>>
      known;  // by the uppermost context, which says the others
  for (const Span& span : spans) {
    if (!span.chord || span.chord->bass) continue;
    const Contexts contexts = contexts_of(span);
    auto found = known.find(contexts.back());
    if (found == known.end()) {
      found = known.emplace(contexts.back(), counts.odds_at(contexts)).first;
    }
    add_places(span, found->second, groups);
  }
  std::vector<Extra> out;
  for (const auto& [key, places] : groups) out.push_back(extra_of(song, key, places));
  return out;
}

}  // namespace stillhand::arrange
