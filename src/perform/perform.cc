#include <algorithm>
#include <array>
#include <tuple>

#include "music/chord.h"
#include "perform/pattern.h"
#include "perform/performance.h"
#include "perform/strokes.h"
#include "perform/touch.h"

namespace stillhand::perform {
namespace {

using arrange::Arrangement;
using hand::Hand;
using music::Meter;

class Performer {
 public:
  Performer(const Arrangement& a, const PatternPlan& plan) : a_(a), plan_(plan) {}

  Performance perform() {
    out_.tempo = a_.song.tempo;
    count_in();
    bars();
    chords();
    std::sort(out_.notes.begin(), out_.notes.end(), [](const Note& a, const Note& b) {
      return std::tuple(a.start, a.hand, a.key) < std::tuple(b.start, b.hand, b.key);
    });
    return std::move(out_);
  }

 private:
  const chart::Bar& written(const chart::PlayedBar& played) const {
    return chart::bar_of(a_.song, played);
  }

  // Two bars of the first bar's meter; a pick-up takes the place of the last counts.
  void count_in() {
    const Meter meter = a_.bars.empty() ? a_.song.meter : written(a_.bars.front()).meter;
    const bool pick_up = !a_.bars.empty() && written(a_.bars.front()).is_pick_up;
    const Tick whole = meter.bar_length() * kBarsOfCountIn;
    out_.count_in = pick_up ? whole - a_.bars.front().length : whole;
    out_.meters.push_back({Tick(0), meter});
    out_.tonalities.push_back(
        {Tick(0), a_.bars.empty() ? a_.song.tonality : written(a_.bars.front()).tonality});
    clicks(Tick(0), out_.count_in, meter, Tick(0));
    out_.end = out_.count_in;
  }

  // Clicks on every count from `from` to `to`; `into` is how far into its bar `from` lies.
  void clicks(Tick from, Tick to, Meter meter, Tick into) {
    const Tick count = meter.count_length();
    for (Tick at = from; at < to; at += count, into += count) {
      out_.clicks.push_back({at, into.value() % meter.bar_length().value() == 0});
    }
  }

  void bars() {
    for (std::size_t i = 0; i < a_.bars.size(); ++i) {
      const chart::PlayedBar& played = a_.bars[i];
      const chart::Bar& bar = written(played);
      const Tick start = out_.count_in + played.start;
      if (bar.meter != out_.meters.back().value) out_.meters.push_back({start, bar.meter});
      if (bar.tonality != out_.tonalities.back().value)
        out_.tonalities.push_back({start, bar.tonality});
      if (played.section_begins)
        out_.sections.push_back({start, a_.song.sections[played.section].name});
      if (!bar.words.empty()) out_.words.push_back({start, bar.words});
      // A pick-up fills up the bar before it.
      const Tick into = bar.is_pick_up ? bar.meter.bar_length() - played.length : Tick(0);
      clicks(start, start + played.length, bar.meter, into);
      out_.end = start + played.length;
    }
  }

  void chords() {
    for (const chart::PlayedChord& played : a_.chords) {
      out_.chords.push_back(
          {out_.count_in + played.start, played.chord ? text(*played.chord) : "N.C."});
    }
    for (const Hand hand : {Hand::right, Hand::left}) {
      for (const Stroke& stroke : strokes(a_, plan_, hand)) strike(hand, stroke);
    }
    keep_hands_apart(out_.notes);
    if (plan_.uses_pedal) out_.pedal = pedal(a_, plan_, out_.count_in);
  }

  void strike(Hand hand, const Stroke& stroke) {
    const Tick start = out_.count_in + stroke.start;
    const Meter meter = written(a_.bars[a_.chords[stroke.chord].played_bar]).meter;
    const Tick whole = stroke.end - stroke.start;
    const Tick gap = meter.count_length() / kReleasePart;
    const Tick duration = std::max(whole - gap, whole / 2);
    for (const music::PianoKey key : stroke.keys)
      out_.notes.push_back({hand, key, velocity(hand, stroke, start), start, duration});
  }

  Velocity velocity(Hand hand, const Stroke& stroke, Tick start) const {
    if (hand == Hand::left) return stroke.has_bass ? kBass : kFigure;
    if (is_first_of_bar(start)) return kFirstOfBar;
    return stroke.is_first ? kChordChange : kRepeat;
  }

  bool is_first_of_bar(Tick at) const {
    const auto click = std::lower_bound(out_.clicks.begin(), out_.clicks.end(), at,
                                        [](const Click& c, Tick t) { return c.start < t; });
    return click != out_.clicks.end() && click->start == at && click->is_first_of_bar;
  }

  const Arrangement& a_;
  const PatternPlan& plan_;
  Performance out_;
};

}  // namespace

Performance perform(const Arrangement& arrangement) { return perform(arrangement, {}); }

Performance perform(const Arrangement& arrangement, const PatternPlan& plan) {
  return Performer(arrangement, plan).perform();
}

std::vector<Span> count_ins(const Performance& performance) {
  std::vector<Span> out;
  if (performance.count_in > Tick(0)) out.push_back({Tick(0), performance.count_in});
  out.insert(out.end(), performance.later_count_ins.begin(), performance.later_count_ins.end());
  return out;
}

double seconds(const Performance& performance, Tick at, int percent) {
  double counts = 0;
  for (std::size_t i = 0; i < performance.meters.size(); ++i) {
    const Tick from = performance.meters[i].start;
    if (at <= from && i > 0) break;
    const bool last = i + 1 == performance.meters.size();
    const Tick to = last ? at : std::min(at, performance.meters[i + 1].start);
    counts += static_cast<double>((to - from).value()) /
              static_cast<double>(performance.meters[i].value.count_length().value());
  }
  return counts * 60.0 * 100.0 / (static_cast<double>(performance.tempo.value()) * percent);
}

}  // namespace stillhand::perform
