#include "perform/strokes.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "chart/pattern.h"

namespace stillhand::perform {
namespace {

using arrange::Arrangement;
using arrange::BassNote;
using arrange::BassTone;
using chart::kWholeCount;
using chart::PatternBar;
using chart::PatternStep;
using chart::PatternTone;
using hand::Hand;
using music::Meter;
using music::PianoKey;

// An eighth of a count (our judgement): long enough for the old chord to be damped, too short to be missed.
constexpr int kPedalPart = 8;

bool has(const std::vector<PatternTone>& tones, PatternTone tone) {
  return std::find(tones.begin(), tones.end(), tone) != tones.end();
}

bool is_push(const PatternStep& step) { return has(step.tones, PatternTone::next); }

// A step of a pattern at its place in the song.
struct Mark {
  Tick at;
  std::vector<PatternTone> tones;
};

// The keys of the left hand for these tones, and whether all were there as asked.
struct LeftKeys {
  std::vector<PianoKey> keys;
  bool as_asked = true;
};

std::optional<PianoKey> figure_key(const BassNote& bass, BassTone tone) {
  for (const arrange::FigureNote& note : bass.figure) {
    if (note.tone == tone) return note.pitch.key();
  }
  return std::nullopt;
}

// The tone asked for, or what is there of: fifth for octave, third for fifth, bass for third.
PianoKey key_or_fallback(const BassNote& bass, PatternTone tone, bool& as_asked) {
  constexpr std::pair<PatternTone, BassTone> kLadder[] = {{PatternTone::octave, BassTone::octave},
                                                          {PatternTone::fifth, BassTone::fifth},
                                                          {PatternTone::third, BassTone::third}};
  bool is_reached = false;
  for (const auto& [asked, there] : kLadder) {
    is_reached = is_reached || asked == tone;
    if (!is_reached) continue;
    if (const auto key = figure_key(bass, there)) return *key;
    as_asked = false;
  }
  return bass.pitch.key();
}

LeftKeys left_keys(const BassNote& bass, const std::vector<PatternTone>& tones) {
  LeftKeys out;
  for (const PatternTone tone : tones)
    out.keys.push_back(key_or_fallback(bass, tone, out.as_asked));
  std::sort(out.keys.begin(), out.keys.end());
  out.keys.erase(std::unique(out.keys.begin(), out.keys.end()), out.keys.end());
  return out;
}

std::vector<PianoKey> right_keys(const hand::Shape& shape, const std::vector<PatternTone>& tones) {
  std::vector<PianoKey> all;
  for (const hand::ShapeNote& note : shape.notes) all.push_back(note.key());
  std::vector<PianoKey> out;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const bool is_low = i == 0;
    const bool is_high = i + 1 == all.size();
    const bool wanted = has(tones, PatternTone::chord) || has(tones, PatternTone::next) ||
                        (is_low && has(tones, PatternTone::low)) ||
                        (is_high && has(tones, PatternTone::high)) ||
                        (!is_low && has(tones, PatternTone::upper)) ||
                        (!is_low && !is_high && has(tones, PatternTone::middle));
    if (wanted) out.push_back(all[i]);
  }
  // A shape of two keys has no middle: its lowest; a single key is all there is.
  if (out.empty() && !all.empty()) out.push_back(all.front());
  return out;
}

class Striker {
 public:
  Striker(const Arrangement& a, const PatternPlan& plan) : a_(a) {
    std::size_t section = 0;
    for (std::size_t bar = 0; bar < a.bars.size(); ++bar) {
      while (section + 1 < plan.sections.size() && plan.sections[section + 1].first_bar <= bar)
        ++section;
      pattern_.push_back(plan.sections.empty() ? &plain_pulse() : &plan.sections[section].pattern);
    }
    for (const Hand hand : {Hand::left, Hand::right}) push(hand);
  }

  // When a chord sounds in this hand: its own beginning, or earlier if it is pushed.
  Tick begin(Hand hand, std::size_t chord) const {
    const auto& pushed = hand == Hand::left ? pushed_left_ : pushed_right_;
    return pushed[chord].value_or(a_.chords[chord].start);
  }
  Tick end(Hand hand, std::size_t chord) const {
    if (chord + 1 < a_.chords.size()) return begin(hand, chord + 1);
    return a_.chords[chord].start + a_.chords[chord].duration;
  }

  std::vector<Stroke> strokes(Hand hand) const {
    std::vector<Stroke> out;
    for (std::size_t chord = 0; chord < a_.chords.size(); ++chord) {
      const bool sounds =
          hand == Hand::left ? a_.left.bass[chord].has_value() : a_.shape_at(chord) != nullptr;
      if (a_.chords[chord].chord && sounds) add_chord(out, hand, chord);
    }
    return out;
  }

  // The walk's notes that are really played.
  std::vector<Stroke> walk(std::size_t chord) const {
    std::vector<Stroke> out;
    if (!a_.left.bass[chord]) return out;
    const Tick last = end(Hand::left, chord);
    for (const arrange::WalkNote& note : a_.left.bass[chord]->walk) {
      const Tick start = a_.chords[chord].start + note.start;
      if (start >= last) break;
      if (!out.empty()) out.back().end = std::min(out.back().end, start);
      out.push_back(
          {chord, start, std::min(last, start + note.duration), {note.pitch.key()}, false, false});
    }
    return out;
  }

 private:
  const chart::Bar& written(std::size_t bar) const { return chart::bar_of(a_.song, a_.bars[bar]); }
  Tick bar_end(std::size_t bar) const { return a_.bars[bar].start + a_.bars[bar].length; }

  std::size_t bar_at(Tick at) const {
    const auto after =
        std::upper_bound(a_.bars.begin(), a_.bars.end(), at,
                         [](Tick t, const chart::PlayedBar& bar) { return t < bar.start; });
    return static_cast<std::size_t>(after - a_.bars.begin()) - 1;
  }

  PatternBar bar_of(const Pattern& pattern, Hand hand, std::size_t bar) const {
    const Meter meter = written(bar).meter;
    auto bars = pattern.bars(meter);
    if (!bars) bars = plain_pulse().bars(meter);
    return hand == Hand::left ? bars->left : bars->right;
  }

  // The steps of a pattern's bar at their places; what falls outside the bar as played is cut off.
  std::vector<Mark> marks(const PatternBar& pattern, std::size_t bar) const {
    const chart::PlayedBar& played = a_.bars[bar];
    const Meter meter = written(bar).meter;
    // A pick-up is the end of a bar.
    const Tick into = written(bar).is_pick_up ? meter.bar_length() - played.length : Tick(0);
    std::vector<Mark> out;
    for (const PatternStep& step : pattern.steps) {
      const Tick at =
          meter.count_length() * step.start.value() / kWholeCount.value() - into + played.start;
      if (at < played.start || at >= bar_end(bar)) continue;
      if (is_push(step) && !may_push(bar, at)) continue;
      out.push_back({at, step.tones});
    }
    return out;
  }

  // The next bar goes on in the same pattern and begins with a chord, and nothing changes from here to the bar line.
  bool may_push(std::size_t bar, Tick at) const {
    if (bar + 1 >= a_.bars.size()) return false;
    const std::size_t now = chart::chord_at(a_.chords, at);
    const std::size_t coming = chart::chord_at(a_.chords, a_.bars[bar + 1].start);
    if (pattern_[bar]->name != pattern_[bar + 1]->name) return false;
    if (!pattern_[bar + 1]->bars(written(bar + 1).meter)) return false;
    if (!a_.chords[coming].chord || !a_.chords[now].chord) return false;
    if (coming == now) return true;
    return coming == now + 1 && a_.chords[coming].start == a_.bars[bar + 1].start &&
           a_.chords[now].start < at && keys_stay_apart(now, coming);
  }

  // Either hand may push alone: the new bass lies below the old shape, the new shape above the old bass and its figure.
  bool keys_stay_apart(std::size_t now, std::size_t coming) const {
    const hand::Shape* old_shape = a_.shape_at(now);
    const hand::Shape* new_shape = a_.shape_at(coming);
    return old_shape != nullptr && new_shape != nullptr && a_.left.bass[now] &&
           a_.left.bass[coming] && a_.left.bass[coming]->pitch.key() < old_shape->lowest() &&
           highest_left(now) < new_shape->lowest();
  }

  PianoKey highest_left(std::size_t chord) const {
    const BassNote& bass = *a_.left.bass[chord];
    PianoKey highest = bass.pitch.key();
    for (const auto& note : bass.figure) highest = std::max(highest, note.pitch.key());
    for (const auto& note : bass.walk) highest = std::max(highest, note.pitch.key());
    return highest;
  }

  void push(Hand hand) {
    auto& pushed = hand == Hand::left ? pushed_left_ : pushed_right_;
    pushed.assign(a_.chords.size(), std::nullopt);
    for (std::size_t bar = 0; bar + 1 < a_.bars.size(); ++bar) {
      const std::size_t coming = chart::chord_at(a_.chords, a_.bars[bar + 1].start);
      if (a_.chords[coming].start != a_.bars[bar + 1].start) continue;
      for (const Mark& mark : marks(bar_of(*pattern_[bar], hand, bar), bar)) {
        if (has(mark.tones, PatternTone::next) && !pushed[coming]) pushed[coming] = mark.at;
      }
    }
  }

  // The pattern of a bar under one chord: another one where the left hand lacks a tone.
  const Pattern& pattern_under(std::size_t bar, Hand hand, std::size_t chord) const {
    const Pattern* pattern = pattern_[bar];
    while (hand == Hand::left && !pattern->instead.empty()) {
      const PatternBar left = bar_of(*pattern, Hand::left, bar);
      const bool has_all =
          std::all_of(left.steps.begin(), left.steps.end(), [&](const PatternStep& step) {
            return left_keys(*a_.left.bass[chord], step.tones).as_asked;
          });
      if (has_all) break;
      pattern = find_pattern(pattern->instead);
    }
    return *pattern;
  }

  void add_chord(std::vector<Stroke>& out, Hand hand, std::size_t chord) const {
    const Tick from = begin(hand, chord);
    const Tick last = end(hand, chord);
    const std::vector<Stroke> walking = hand == Hand::left ? walk(chord) : std::vector<Stroke>{};
    const Tick to = walking.empty() ? last : std::min(last, walking.front().start);
    const std::vector<Mark> marks = marks_under(hand, chord, from, to);
    std::vector<Stroke> strokes;
    for (std::size_t i = 0; i < marks.size(); ++i) {
      const Tick until = i + 1 < marks.size() ? marks[i + 1].at : to;
      if (marks[i].tones.empty()) continue;
      Stroke stroke{chord, marks[i].at, until, {}, strokes.empty(), false};
      if (hand == Hand::right) {
        stroke.keys = right_keys(*a_.shape_at(chord), marks[i].tones);
      } else if (!strike_left(strokes, stroke, marks[i].tones)) {
        continue;
      }
      strokes.push_back(stroke);
    }
    out.insert(out.end(), strokes.begin(), strokes.end());
    out.insert(out.end(), walking.begin(), walking.end());
  }

  // The first stroke of a chord is its bass. A key that is down and would only be struck again for want of another one
  // is held on: then false.
  bool strike_left(std::vector<Stroke>& before, Stroke& stroke,
                   std::vector<PatternTone> tones) const {
    const BassNote& bass = *a_.left.bass[stroke.chord];
    if (has(tones, PatternTone::next) || (before.empty() && !has(tones, PatternTone::bass)))
      tones = {PatternTone::bass};
    const LeftKeys keys = left_keys(bass, tones);
    const bool still_down = !before.empty() && before.back().end == stroke.start;
    if (!keys.as_asked && still_down && before.back().keys == keys.keys) {
      before.back().end = stroke.end;
      return false;
    }
    stroke.keys = keys.keys;
    stroke.has_bass = keys.keys.front() == bass.pitch.key();
    return true;
  }

  // What the hand does from `from` to `to`, beginning with a stroke where the chord must sound at once.
  std::vector<Mark> marks_under(Hand hand, std::size_t chord, Tick from, Tick to) const {
    std::vector<Mark> out;
    std::optional<Mark> before;
    bool is_silent = false;
    for (std::size_t bar = bar_at(from); bar < a_.bars.size() && a_.bars[bar].start < to; ++bar) {
      const PatternBar pattern = bar_of(pattern_under(bar, hand, chord), hand, bar);
      if (out.empty() && !before) is_silent = never_strikes(pattern);
      for (const Mark& mark : marks(pattern, bar)) {
        if (mark.at < from) before = mark;
        if (mark.at >= from && mark.at < to) out.push_back(mark);
      }
    }
    if (is_silent || (!out.empty() && out.front().at == from && !out.front().tones.empty()))
      return out;
    const bool rests =
        (!out.empty() && out.front().at == from) || (before && before->tones.empty());
    const bool strikes_later =
        std::any_of(out.begin(), out.end(), [](const Mark& mark) { return !mark.tones.empty(); });
    if (rests && strikes_later) return out;
    if (!out.empty() && out.front().at == from) out.erase(out.begin());
    out.insert(out.begin(), Mark{from, opening(hand, before)});
    return out;
  }

  static bool never_strikes(const PatternBar& pattern) {
    return !pattern.steps.empty() &&
           std::all_of(pattern.steps.begin(), pattern.steps.end(),
                       [](const PatternStep& step) { return step.tones.empty(); });
  }

  // A chord that comes between two steps sounds as the step before it.
  static std::vector<PatternTone> opening(Hand hand, const std::optional<Mark>& before) {
    const bool is_known =
        before && !before->tones.empty() && !has(before->tones, PatternTone::next);
    if (is_known) return before->tones;
    return {hand == Hand::left ? PatternTone::bass : PatternTone::chord};
  }

  const Arrangement& a_;
  std::vector<const Pattern*> pattern_;  // of each bar
  std::vector<std::optional<Tick>> pushed_left_;
  std::vector<std::optional<Tick>> pushed_right_;
};

}  // namespace

std::vector<Stroke> strokes(const Arrangement& a, const PatternPlan& plan, Hand hand) {
  return Striker(a, plan).strokes(hand);
}

std::vector<At<Pedal>> pedal(const Arrangement& a, const PatternPlan& plan, Tick count_in) {
  const Striker striker(a, plan);
  struct Moment {
    Tick at;
    bool goes_down_again;
    Tick delay;
  };
  std::vector<Moment> moments;
  Tick end{0};
  for (std::size_t i = 0; i < a.chords.size(); ++i) {
    const Meter meter = chart::bar_of(a.song, a.bars[a.chords[i].played_bar]).meter;
    const Tick delay = meter.count_length() / kPedalPart;
    end = a.chords[i].start + a.chords[i].duration;
    if (!a.chords[i].chord) {
      moments.push_back({a.chords[i].start, false, Tick(0)});
      continue;
    }
    for (const Hand hand : {Hand::left, Hand::right})
      moments.push_back({striker.begin(hand, i), true, delay});
    for (const Stroke& note : striker.walk(i)) moments.push_back({note.start, true, delay});
  }
  moments.push_back({end, false, Tick(0)});
  std::sort(moments.begin(), moments.end(),
            [](const Moment& x, const Moment& y) { return x.at < y.at; });
  std::vector<At<Pedal>> out;
  for (std::size_t i = 0; i < moments.size(); ++i) {
    const Moment& now = moments[i];
    if (i > 0 && moments[i - 1].at == now.at) continue;
    if (!out.empty() && out.back().value == Pedal::down)
      out.push_back({count_in + now.at, Pedal::up});
    if (!now.goes_down_again) continue;
    Tick delay = now.delay;
    const auto next = std::find_if(moments.begin() + static_cast<std::ptrdiff_t>(i), moments.end(),
                                   [&](const Moment& m) { return m.at > now.at; });
    if (next != moments.end()) delay = std::min(delay, (next->at - now.at) / 2);
    out.push_back({count_in + now.at + delay, Pedal::down});
  }
  return out;
}

void keep_hands_apart(std::vector<Note>& notes) {
  // A hand's strokes follow each other, so these are ordered by their ends too.
  std::vector<Note> right;
  for (const Note& note : notes) {
    if (note.hand == Hand::right) right.push_back(note);
  }
  const auto is_in_the_way = [&](const Note& left) {
    auto at = std::upper_bound(right.begin(), right.end(), left.start,
                               [](Tick t, const Note& n) { return t < n.start + n.duration; });
    for (; at != right.end() && at->start < left.start + left.duration; ++at) {
      if (at->key <= left.key) return true;
    }
    return false;
  };
  std::erase_if(notes, [&](const Note& n) { return n.hand == Hand::left && is_in_the_way(n); });
}

}  // namespace stillhand::perform
