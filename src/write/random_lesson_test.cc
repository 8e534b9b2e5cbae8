#include <algorithm>
#include <random>

#include "write/demo_lesson.h"

namespace stillhand::write::test {
namespace {

// Only raw numbers of the generator: the standard fixes them, but not what the distributions make
// of them.
class Dice {
 public:
  explicit Dice(unsigned seed) : generator_(seed) {}
  int below(int limit) { return static_cast<int>(generator_() % static_cast<unsigned>(limit)); }
  bool one_in(int n) { return below(n) == 0; }
  template <class T>
  const T& one_of(const std::vector<T>& all) {
    return all[static_cast<std::size_t>(below(static_cast<int>(all.size())))];
  }

 private:
  std::mt19937 generator_;
};

const std::vector<std::string>& words() {
  static const std::vector<std::string> all{
      "",
      "quay",
      "lamps a-",
      "long the",
      "Donaudampfschifffahrtsgesellschaftskapitän",
      "mehr Licht, mehr Licht am Hafen und im Haus",
      "שלום על החוף",
      "سلام على الميناء",
      "港の灯り",
      "e\u0301te\u0301",
      "line\nfeed\tand tab",
      "bad \xff\xc3 bytes",
      std::string(240, 'm'),
      "a b c d e f g h i j k l m n o p q r s t u v w x y z a b c d e f g h i j k l m n o p q"};
  return all;
}

const std::vector<std::string>& chords() {
  static const std::vector<std::string> all{
      "C",      "D",         "Bb",           "F#m",        "N.C.",     "Asus4", "G/B",
      "Ebmaj7", "C#m7b5/G#", "Dbmaj7#11/Ab", "F#7(b9)/C#", "Gm(maj7)", "E"};
  return all;
}

const std::vector<teach::TaughtShape>& shapes() {
  static const std::vector<teach::TaughtShape> all{shape("D", "A3 D4 F#4", {1, 3, 5}),
                                                   shape("Em7", "G3 B3 D4 E4", {1, 2, 4, 5}),
                                                   shape("C", "E3 G3 C4", {1, 2, 5}),
                                                   shape("C#m", "G#3 C#4 E4", {1, 3, 5}),
                                                   shape("Gb", "Gb3 Bb3 Db4", {1, 3, 5}),
                                                   shape("Cbmaj7", "Bb3 Cb4 Eb4 Gb4", {1, 2, 4, 5}),
                                                   shape("Cdim7", "C4 Eb4 Gb4 Bbb4", {1, 2, 3, 5}),
                                                   shape("D", "F#4 A4 D5", {1, 2, 5})};
  return all;
}

teach::SheetBar random_bar(Dice& dice) {
  static const std::vector<music::Meter> meters{
      *music::Meter::make(4, 4), *music::Meter::make(6, 8),  *music::Meter::make(2, 4),
      *music::Meter::make(7, 8), *music::Meter::make(12, 8), *music::Meter::make(12, 4)};
  const int most = dice.one_in(6) ? 16 : 4;
  std::vector<std::string> symbols;
  for (int i = 0, n = 1 + dice.below(most); i < n; ++i) symbols.push_back(dice.one_of(chords()));
  teach::SheetBar out = bar(symbols, dice.one_of(words()));
  out.meter = dice.one_of(meters);
  out.length = out.meter.bar_length();
  out.is_pick_up = dice.one_in(10);
  if (out.is_pick_up) out.length = out.meter.count_length();
  music::Tick start;
  for (auto& chord : out.chords) {
    chord.duration = out.length / static_cast<int>(out.chords.size());
    chord.start = start;
    chord.is_held = dice.one_in(5);
    start += chord.duration;
  }
  out.repeat_begins = dice.one_in(6);
  out.repeat_times = dice.one_in(6) ? 1 + dice.below(9) : 1;
  out.is_vamp = dice.one_in(12);
  if (dice.one_in(8)) out.endings = {1 + dice.below(3)};
  if (dice.one_in(8)) out.endings = {1, 2, 3, 4};
  if (dice.one_in(8)) out.change = "3/4, key of F#m";
  return out;
}

std::string phrase(Dice& dice, int most) {
  std::string out;
  for (int i = 0, n = dice.below(most + 1); i < n; ++i) out += dice.one_of(words()) + " ";
  return out;
}

teach::SheetLine random_line(Dice& dice) {
  teach::SheetLine out;
  for (int i = 0, n = dice.below(13); i < n; ++i) out.bars.push_back(random_bar(dice));
  for (int i = 0, n = dice.below(3); i < n; ++i) {
    teach::SheetOption option{phrase(dice, 2), {}};
    for (int b = 0, m = dice.below(13); b < m; ++b) option.bars.push_back(random_bar(dice));
    out.options.push_back(option);
  }
  return out;
}

teach::TaughtPattern random_pattern(Dice& dice) {
  static const std::vector<std::string> left{"bass",        "third", "fifth", "octave",
                                             "bass+octave", "next",  "rest",  "-"};
  static const std::vector<std::string> right{"chord", "low",  "middle", "high",
                                              "upper", "next", "rest",   "-"};
  teach::TaughtPattern out;
  out.name = dice.one_of(words());
  out.says = dice.one_of(words());
  out.meter = *music::Meter::make(4, 4);
  for (int i = 0, n = dice.below(3); i < n; ++i) out.sections.push_back(dice.one_of(words()));
  for (int i = 0, n = dice.below(26); i < n; ++i) {
    out.moments.push_back(
        {i % 2 == 0 ? std::to_string(i / 2 + 1) : "and", dice.one_of(left), dice.one_of(right)});
  }
  return out;
}

// Whole octaves with their fifths, or walks of up to three notes.
void add_bass(teach::SheetSection& section, Dice& dice) {
  const auto low = demo_lesson().positions.front().position.keys;
  for (auto& line : section.lines) {
    for (auto& bar : line.bars) {
      for (auto& chord : bar.chords) {
        if (chord.chord == "N.C." || dice.one_in(6)) continue;
        arrange::BassNote note{dice.one_of(low), hand::Finger(5)};
        if (dice.one_in(2)) {
          note.rung = arrange::Rung::root_fifth_octave;
          music::Pitch octave = note.pitch;
          ++octave.octave;
          note.figure = {{arrange::BassTone::fifth, dice.one_of(low), hand::Finger(2)},
                         {arrange::BassTone::octave, octave, hand::Finger(1)}};
        } else {
          note.rung = arrange::Rung::walking_bass;
          for (int i = 0, n = dice.below(4); i < n; ++i) {
            note.walk.push_back({dice.one_of(low), hand::Finger(1 + dice.below(5)),
                                 chord.duration * i / 4, chord.duration / 4});
          }
        }
        chord.bass = note;
      }
    }
  }
}

const std::vector<music::Meter>& any_meter() {
  static const std::vector<music::Meter> all{
      *music::Meter::make(4, 4), *music::Meter::make(3, 4),  *music::Meter::make(6, 8),
      *music::Meter::make(7, 8), *music::Meter::make(12, 8), *music::Meter::make(3, 2),
      *music::Meter::make(1, 4), *music::Meter::make(12, 4)};
  return all;
}

void add_clicks(perform::Performance& p, music::Tick length, music::Meter meter,
                music::Tick into_bar) {
  for (music::Tick at; at < length; at += meter.count_length()) {
    p.clicks.push_back({p.end + at, (into_bar + at).value() % meter.bar_length().value() == 0});
  }
}

void add_chords(perform::Performance& p, music::Tick length, music::Meter meter, Dice& dice) {
  if (!p.chords.empty() && dice.one_in(3)) return;  // held
  const int parts = dice.one_in(4) ? 1 + dice.below(6) : 1;
  const music::Tick each = meter.count_length() / parts;
  const music::Tick step = dice.one_in(2) ? each : length;
  for (music::Tick at; at < length; at += step) {
    p.chords.push_back({p.end + at, dice.one_of(chords())});
  }
}

}  // namespace

perform::Performance random_performance(unsigned seed) {
  Dice dice(seed);
  perform::Performance out;
  out.tempo = music::Tempo(dice.one_in(4) ? 10 + dice.below(391) : 50 + dice.below(120));
  music::Meter meter = dice.one_of(any_meter());
  out.meters = {{music::Tick(0), meter}};
  out.tonalities = {{music::Tick(0), *music::parse_tonality("D")}};
  const music::Tick pick_up = meter.count_length() * dice.below(meter.counts().value());
  out.count_in = meter.bar_length() * 2 - pick_up;
  add_clicks(out, out.count_in, meter, music::Tick(0));
  out.end = out.count_in;
  for (int bar = 0, bars = dice.below(60); bar < bars; ++bar) {
    const bool begins = bar == 0 || dice.one_in(8);
    music::Tick into_bar;
    if (bar == 0 && pick_up > music::Tick(0)) into_bar = meter.bar_length() - pick_up;
    if (bar > 0 && dice.one_in(10)) meter = dice.one_of(any_meter());
    if (meter != out.meters.back().value) out.meters.push_back({out.end, meter});
    if (begins) out.sections.push_back({out.end, dice.one_of(words())});
    const std::string sung = dice.one_of(words());
    if (!sung.empty()) out.words.push_back({out.end, sung});
    const music::Tick length = meter.bar_length() - into_bar;
    add_clicks(out, length, meter, into_bar);
    add_chords(out, length, meter, dice);
    out.end += length;
  }
  return out;
}

teach::Lesson random_lesson(unsigned seed) {
  Dice dice(seed);
  teach::Lesson out = demo_lesson();
  out.title = phrase(dice, dice.one_in(4) ? 40 : 3);
  out.writers = phrase(dice, 6);
  out.rights = phrase(dice, 6);
  out.shapes.clear();
  for (int i = 0, n = dice.below(dice.one_in(3) ? 61 : 10); i < n; ++i) {
    out.shapes.push_back(dice.one_of(shapes()));
    if (dice.one_in(4)) out.shapes.back().where = dice.one_of(words());
    if (dice.one_in(4)) out.shapes.back().chord = dice.one_of(chords());
  }
  out.moves.clear();
  for (int i = 0, n = out.shapes.empty() ? 0 : dice.below(60); i < n; ++i) {
    teach::Move move;
    move.from = static_cast<std::size_t>(dice.below(static_cast<int>(out.shapes.size())));
    move.to = static_cast<std::size_t>(dice.below(static_cast<int>(out.shapes.size())));
    move.times = dice.below(1000);
    move.words = phrase(dice, 5);
    out.moves.push_back(move);
  }
  out.sections.clear();
  for (int i = 0, n = dice.below(8); i < n; ++i) {
    teach::SheetSection section{phrase(dice, 2), dice.below(40), {}};
    for (int l = 0, m = dice.below(4); l < m; ++l) section.lines.push_back(random_line(dice));
    out.sections.push_back(section);
  }
  out.road_map.clear();
  for (int i = 0, n = dice.below(dice.one_in(3) ? 150 : 8); i < n; ++i) {
    out.road_map.push_back({phrase(dice, 1), 1 + dice.below(3)});
  }
  const auto low = demo_lesson().positions.front().position;
  auto high = low;
  for (auto& key : high.keys) ++key.octave;
  out.one_position = dice.one_in(2);
  out.positions.clear();
  for (int i = 0, n = dice.below(12); i < n; ++i) {
    teach::SectionPosition position{phrase(dice, 1), dice.one_in(2) ? low : high, {}};
    for (int r = 0, m = dice.below(5); r < m; ++r) position.remarks.push_back(phrase(dice, 2));
    out.positions.push_back(position);
  }
  for (int i = 0, n = dice.below(6); i < n; ++i) out.cautions.push_back(phrase(dice, 3));
  for (int i = 0, n = dice.below(4); i < n; ++i) out.patterns.push_back(random_pattern(dice));
  for (auto& section : out.sections) {
    if (dice.one_in(2)) add_bass(section, dice);
  }
  return out;
}

}  // namespace stillhand::write::test
