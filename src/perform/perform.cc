#include <algorithm>
#include <array>
#include <tuple>

#include "music/chord.h"
#include "perform/performance.h"

namespace stillhand::perform {
namespace {

using arrange::Arrangement;
using hand::Hand;
using music::Meter;

// Key strokes, out of 127 (our judgement): the first count of a bar leads, the bass carries, repeats step back.
constexpr Velocity kFirstOfBar{84};
constexpr Velocity kChordChange{78};
constexpr Velocity kRepeat{64};
constexpr Velocity kBass{80};
constexpr int kBarsOfCountIn = 2;
// A key is let go this part of a count before the next stroke (our judgement).
constexpr int kReleasePart = 16;

class Performer {
 public:
  explicit Performer(const Arrangement& a) : a_(a) {}

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
    for (std::size_t i = 0; i < a_.chords.size(); ++i) {
      const chart::PlayedChord& played = a_.chords[i];
      const Tick start = out_.count_in + played.start;
      out_.chords.push_back({start, played.chord ? text(*played.chord) : "N.C."});
      if (!played.chord) continue;
      const Tick end = start + played.duration;
      if (const auto& bass = a_.left.bass[i]) {
        out_.notes.push_back(
            {Hand::left, bass->pitch.key(), kBass, start, released(start, end, i)});
      }
      right_hand(i, start, end);
    }
  }

  // How long a key stays down that is struck at `start` and may be struck again at `end`.
  Tick released(Tick start, Tick end, std::size_t chord) const {
    const Meter meter = written(a_.bars[a_.chords[chord].played_bar]).meter;
    const Tick gap = meter.count_length() / kReleasePart;
    return std::max(end - start - gap, (end - start) / 2);
  }

  // On the chord's first tick, then on every count until it changes.
  void right_hand(std::size_t i, Tick start, Tick end) {
    const hand::Shape* shape = a_.shape_at(i);
    std::vector<Tick> strokes{start};
    std::size_t click = static_cast<std::size_t>(
        std::upper_bound(out_.clicks.begin(), out_.clicks.end(), start,
                         [](Tick t, const Click& c) { return t < c.start; }) -
        out_.clicks.begin());
    for (; click < out_.clicks.size() && out_.clicks[click].start < end; ++click) {
      strokes.push_back(out_.clicks[click].start);
    }
    for (std::size_t s = 0; s < strokes.size(); ++s) {
      const Tick until = s + 1 < strokes.size() ? strokes[s + 1] : end;
      const Velocity velocity = is_first_of_bar(strokes[s]) ? kFirstOfBar
                                : s == 0                    ? kChordChange
                                                            : kRepeat;
      for (const hand::ShapeNote& note : shape->notes) {
        out_.notes.push_back(
            {Hand::right, note.key(), velocity, strokes[s], released(strokes[s], until, i)});
      }
    }
  }

  bool is_first_of_bar(Tick at) const {
    const auto click = std::lower_bound(out_.clicks.begin(), out_.clicks.end(), at,
                                        [](const Click& c, Tick t) { return c.start < t; });
    return click != out_.clicks.end() && click->start == at && click->is_first_of_bar;
  }

  const Arrangement& a_;
  Performance out_;
};

}  // namespace

Performance perform(const Arrangement& arrangement) { return Performer(arrangement).perform(); }

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
