// Generated songs: writing them as a chart, laying it out and reading it gives the same song.

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <string>
#include <vector>

#include "chart/chart.h"
#include "testing/chart_text.h"

namespace stillhand::chart {
namespace {

using music::NoteName;

Chord any_chord() {
  const auto& qualities = music::known_qualities();
  Chord chord;
  chord.root = NoteName::at_fifths(*rc::gen::inRange(-6, 7));
  chord.quality = qualities[*rc::gen::inRange<std::size_t>(0, qualities.size())];
  if (*rc::gen::inRange(0, 3) == 0) chord.bass = chord.root.up({2, music::Semitones(4)});
  return chord;
}

Meter any_meter() {
  const std::vector<std::string> names{"4/4", "3/4", "2/4",  "5/4", "2/2",
                                       "6/8", "9/8", "12/8", "7/8"};
  return *music::parse_meter(*rc::gen::elementOf(names));
}

Bar any_bar(Meter meter, Tonality tonality, bool is_pick_up) {
  Bar bar;
  bar.meter = meter;
  bar.tonality = tonality;
  bar.is_pick_up = is_pick_up;
  const int whole = meter.counts().value();
  const int counts = is_pick_up ? *rc::gen::inRange(1, whole) : whole;
  bar.length = meter.count_length() * counts;
  for (int count = 0; count < counts; ++count) {
    const int parts = *rc::gen::element(0, 1, 1, 2, 3);
    if (parts == 0 && count > 0) {
      bar.chords.back().duration += meter.count_length();
      continue;
    }
    for (int i = 0; i < std::max(1, parts); ++i) {
      ChordEvent event{std::nullopt, meter.count_length() / std::max(1, parts), {}};
      if (*rc::gen::inRange(0, 8) > 0) event.chord = any_chord();
      bar.chords.push_back(event);
    }
  }
  bar.words = *rc::gen::element<std::string>("", "la", "quí-et night", "O");
  return bar;
}

// A repeat over the whole line: plain, with passes, a vamp or two endings.
void any_repeat(std::vector<Bar>& bars) {
  const int kind = *rc::gen::inRange(0, 6);
  if (kind > 3) return;
  bars.front().repeat_begins = true;
  if (kind < 3 || bars.size() < 3 || bars.front().is_pick_up) {
    bars.back().repeat_times = *rc::gen::inRange(2, 6);
    bars.back().is_vamp = kind == 1;
    return;
  }
  bars[bars.size() - 2].endings = {1};
  bars[bars.size() - 2].repeat_times = 2;
  bars.back().endings = {2};
}

Option any_option(const Line& line, int number) {
  Option option;
  option.label = "way " + std::to_string(number);
  for (const Bar& above : line.bars) {
    Bar bar = any_bar(above.meter, above.tonality, false);
    bar.repeat_begins = above.repeat_begins;
    bar.repeat_times = above.repeat_times;
    bar.is_vamp = above.is_vamp;
    bar.endings = above.endings;
    option.bars.push_back(bar);
  }
  return option;
}

PatternBar any_pattern_bar(PatternHand hand, int counts) {
  const std::vector<std::string> left{"-", "-", "rest", "bass", "fifth", "bass+octave", "next"};
  const std::vector<std::string> right{"-", "rest", "chord", "low", "middle+high", "next"};
  const auto word = [&] { return *rc::gen::elementOf(hand == PatternHand::left ? left : right); };
  std::string text = "|";
  for (int count = 0; count < counts; ++count) {
    const int parts = *rc::gen::element(1, 1, 2, 3, 4, 5, 6, 8);
    text += parts == 1 ? " " : " (";
    for (int i = 0; i < parts; ++i) text += (i == 0 ? "" : " ") + word();
    if (parts > 1) text += ")";
  }
  if (*rc::gen::arbitrary<bool>()) text += " and so on";
  text += " |";
  const auto source = Source::read(text, "bar");
  Report report(*source);
  const auto bar = read_pattern_bar(source->line(1), hand, report);
  RC_ASSERT(bar.has_value());
  return *bar;
}

void any_patterns(Song& song) {
  const int patterns = *rc::gen::inRange(0, 3);
  for (int i = 0; i < patterns; ++i) {
    const int counts = *rc::gen::inRange(1, 13);
    song.patterns.push_back({"way " + std::to_string(i),
                             any_pattern_bar(PatternHand::left, counts),
                             any_pattern_bar(PatternHand::right, counts),
                             {}});
  }
  if (*rc::gen::arbitrary<bool>()) song.pattern = PatternUse{"boom-chick", {}};
  if (*rc::gen::arbitrary<bool>()) song.sections.back().pattern = PatternUse{"way 0", {}};
}

Song any_song() {
  Song song;
  song.title = *rc::gen::element<std::string>("", "Lamps", "Ünder the quay");
  song.tonality = {NoteName::at_fifths(*rc::gen::inRange(-4, 5)),
                   *rc::gen::arbitrary<bool>() ? music::Mode::minor : music::Mode::major};
  song.meter = any_meter();
  song.tempo = Tempo(*rc::gen::inRange(10, 401));
  const int sections = *rc::gen::inRange(1, 4);
  for (int s = 0; s < sections; ++s) {
    Section section;
    section.name = "Part " + std::to_string(s + 1);
    Meter meter = song.meter;
    Tonality tonality = song.tonality;
    const int lines = *rc::gen::inRange(1, 4);
    for (int l = 0; l < lines; ++l) {
      if (*rc::gen::inRange(0, 5) == 0) meter = any_meter();
      if (*rc::gen::inRange(0, 5) == 0)
        tonality.tonic = NoteName::at_fifths(*rc::gen::inRange(-3, 4));
      Line line;
      const bool has_pick_up =
          s == 0 && l == 0 && meter.counts().value() > 1 && *rc::gen::arbitrary<bool>();
      const int bars = *rc::gen::inRange(1, 5);
      for (int b = 0; b < bars; ++b)
        line.bars.push_back(any_bar(meter, tonality, has_pick_up && b == 0));
      if (!has_pick_up) {
        any_repeat(line.bars);
        if (*rc::gen::inRange(0, 3) == 0) line.options.push_back(any_option(line, 1));
      }
      section.lines.push_back(line);
    }
    song.sections.push_back(section);
  }
  any_patterns(song);
  song.road_map.push_back({0, 1});
  for (int i = 1; i < sections; ++i)
    song.road_map.push_back({static_cast<std::size_t>(i), *rc::gen::inRange(1, 4)});
  return song;
}

RC_GTEST_PROP(RoundTrip, AGeneratedSongComesBack, ()) {
  const Song song = any_song();
  const std::string text = testing::chart_text(song);
  RC_LOG() << text;
  const auto parsed = parse(text, "x");
  if (!parsed) RC_LOG() << render(parsed.error().front());
  RC_ASSERT(parsed.has_value());
  RC_ASSERT(parsed->song == song);
  const std::string once = *format(text, "x");
  RC_LOG() << once;
  RC_ASSERT(parse(once, "x")->song == song);
  RC_ASSERT(*format(once, "x") == once);
}

// Moving there and back gives the same keys, and one semitone twelve times gives the same sounds.
RC_GTEST_PROP(RoundTrip, AMovedSongSoundsTheSameIntervals, ()) {
  const Song song = any_song();
  const Tonality to{NoteName::at_fifths(*rc::gen::inRange(-4, 5)), song.tonality.mode};
  const auto moved = transpose(song, to);
  RC_ASSERT(moved.has_value());
  const int by = to.tonic.pitch_class().value() - song.tonality.tonic.pitch_class().value();
  const auto before = played_chords(song, perform(song));
  const auto after = played_chords(*moved, perform(*moved));
  RC_ASSERT(before.size() == after.size());
  for (std::size_t i = 0; i < before.size(); ++i) {
    RC_ASSERT(before[i].duration == after[i].duration);
    RC_ASSERT(before[i].chord.has_value() == after[i].chord.has_value());
    if (!before[i].chord) continue;
    const auto shift = music::Semitones(by);
    RC_ASSERT(before[i].chord->root.pitch_class() + shift == after[i].chord->root.pitch_class());
    RC_ASSERT(before[i].chord->bass_note().pitch_class() + shift ==
              after[i].chord->bass_note().pitch_class());
  }
}

}  // namespace
}  // namespace stillhand::chart
