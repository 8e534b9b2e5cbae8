#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <random>
#include <set>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "perform/performance.h"
#include "testing/random_songs.h"

namespace stillhand::perform {
namespace {

using arrange::Arrangement;
using hand::Hand;
using music::Meter;
using music::PianoKey;
using music::Tempo;

Performance performance_of(std::string_view chart) {
  const auto parsed = chart::parse(chart, "test");
  EXPECT_TRUE(parsed) << render(parsed.error().front());
  const auto arrangement = arrange::arrange(parsed->song, {});
  EXPECT_TRUE(arrangement);
  return perform(*arrangement);
}

std::vector<int> starts(const Performance& p, Hand hand) {
  std::vector<int> out;
  for (const Note& n : p.notes) {
    if (n.hand == hand && (out.empty() || out.back() != n.start.value()))
      out.push_back(n.start.value());
  }
  return out;
}

constexpr const char* kHead = "title T\nkey C\nmeter 4/4\ntempo 60\nsection A\n";

TEST(Perform, TwoBarsOfCountInThenBothHandsOnTheChordAndTheRightOnEveryCount) {
  const Performance p = performance_of(std::string(kHead) + "| C | F G |\n");
  EXPECT_EQ(p.count_in, Tick(7680));
  EXPECT_EQ(p.end, Tick(7680 * 2));
  EXPECT_EQ(p.clicks.size(), 16U);
  EXPECT_TRUE(p.clicks[0].is_first_of_bar);
  EXPECT_FALSE(p.clicks[1].is_first_of_bar);
  EXPECT_THAT(starts(p, Hand::left), ::testing::ElementsAre(7680, 11520, 13440));
  EXPECT_THAT(starts(p, Hand::right),
              ::testing::ElementsAre(7680, 8640, 9600, 10560, 11520, 12480, 13440, 14400));
  EXPECT_DOUBLE_EQ(seconds(p, Tick(7680), 100), 8.0);
  EXPECT_DOUBLE_EQ(seconds(p, Tick(7680), 60), 8.0 / 0.6);
}

TEST(Perform, APickUpShortensTheCountIn) {
  const Performance p = performance_of(std::string(kHead) + "pick-up | G |\n| C | C |\n");
  EXPECT_EQ(p.count_in, Tick(7680 - 960));
  EXPECT_EQ(p.clicks[7].start, Tick(6720));
  EXPECT_FALSE(p.clicks[7].is_first_of_bar);
  EXPECT_TRUE(p.clicks[8].is_first_of_bar);
}

TEST(Perform, ACountKeepsItsPaceWhenTheMeterChanges) {
  const Performance p = performance_of(std::string(kHead) + "| C |\nmeter 6/8\n| F | G |\n");
  ASSERT_EQ(p.meters.size(), 2U);
  // Four counts of 4/4, then two counts of 6/8 for each bar; one count a second.
  EXPECT_DOUBLE_EQ(seconds(p, p.end, 100), 8 + 4 + 2 + 2);
}

TEST(Perform, NothingSoundsUnderNoChord) {
  const Performance p = performance_of(std::string(kHead) + "| C | N.C. | C |\n");
  for (const Note& n : p.notes) {
    EXPECT_FALSE(n.start >= Tick(7680 + 3840) && n.start < Tick(7680 + 2 * 3840));
  }
  EXPECT_EQ(p.clicks.size(), 8U + 12U);
  EXPECT_EQ(p.chords[1].value, "N.C.");
}

TEST(Perform, AChordOffTheCountSoundsWhereItStandsAndNoKeyIsStruckWhileDown) {
  const Performance p = performance_of(std::string(kHead) + "| C - - (C G) | G (C F) - - |\n");
  std::map<std::pair<Hand, int>, Tick> free_from;
  for (const Note& n : p.notes) {
    EXPECT_GT(n.duration, Tick(0));
    Tick& free = free_from[{n.hand, n.key.number()}];
    EXPECT_LE(free, n.start);
    free = n.start + n.duration;
  }
  EXPECT_THAT(starts(p, Hand::left), ::testing::ElementsAre(7680, 11040, 12480, 12960));
}

// An arrangement made by hand: C in the right hand over C, G over B, whatever else would be better.
class Made {
 public:
  explicit Made(Meter meter, const char* tonality = "C") {
    a_.song.meter = meter;
    a_.song.tonality = *music::parse_tonality(tonality);
    a_.song.tempo = Tempo(60);
  }

  Made& section(const char* name, int times = 1) {
    a_.song.road_map.push_back({a_.song.sections.size(), times});
    a_.song.sections.push_back({name, {{}}, {}});
    return *this;
  }

  // Chords by their symbols, "" for N.C., each with its counts.
  Made& bar(const std::vector<std::pair<const char*, int>>& chords, const char* words = "") {
    chart::Bar bar;
    bar.meter = a_.song.meter;
    bar.tonality = a_.song.tonality;
    bar.words = words;
    for (const auto& [symbol, counts] : chords) {
      chart::ChordEvent event;
      if (*symbol != 0) event.chord = *music::parse_chord(symbol);
      event.duration = bar.meter.count_length() * counts;
      bar.length += event.duration;
      bar.chords.push_back(event);
    }
    bar.is_pick_up = bar.length < bar.meter.bar_length();
    a_.song.sections.back().lines.back().bars.push_back(bar);
    return *this;
  }

  // From the next bar on.
  Made& change(Meter meter, const char* tonality) {
    a_.song.meter = meter;
    a_.song.tonality = *music::parse_tonality(tonality);
    return *this;
  }

  Arrangement arrangement() {
    a_.bars = chart::perform(a_.song);
    a_.chords = chart::played_chords(a_.song, a_.bars);
    a_.right.shapes = {shape("C", {"G3", "C4", "E4"}), shape("G", {"G3", "B3", "D4"})};
    for (const chart::PlayedChord& played : a_.chords) {
      a_.shape_of_chord.emplace_back();
      a_.left.bass.emplace_back();
      if (!played.chord) continue;
      const bool is_c = played.chord->root == music::parse_chord("C")->root;
      a_.shape_of_chord.back() = is_c ? 0 : 1;
      a_.left.bass.back() = arrange::BassNote{*music::parse_pitch(is_c ? "C3" : "B2"),
                                              hand::Finger(5), arrange::Reach::none, 0, false};
    }
    return a_;
  }

 private:
  static arrange::ShapeChoice shape(const char* chord, const std::vector<const char*>& pitches) {
    arrange::ShapeChoice choice{*music::parse_chord(chord), {}, false, {}};
    for (const char* pitch : pitches) {
      choice.shape.notes.push_back({*music::parse_pitch(pitch), {}, hand::Finger(1)});
    }
    return choice;
  }

  Arrangement a_;
};

std::vector<std::pair<int, bool>> clicks_of(const Performance& p) {
  std::vector<std::pair<int, bool>> out;
  for (const Click& c : p.clicks) out.emplace_back(c.start.value(), c.is_first_of_bar);
  return out;
}

TEST(Perform, EveryNoteOfATinySong) {
  const Performance p =
      perform(Made(*Meter::make(2, 4)).section("A").bar({{"C", 1}, {"G/B", 1}}).arrangement());
  const Tick held{900};  // a count less its 16th part
  const auto right = [&](int key, int velocity, int start) {
    return Note{Hand::right, PianoKey(key), Velocity(velocity), Tick(start), held};
  };
  EXPECT_THAT(p.notes, ::testing::ElementsAre(
                           right(55, 84, 3840), right(60, 84, 3840), right(64, 84, 3840),
                           Note{Hand::left, PianoKey(48), Velocity(80), Tick(3840), held},
                           right(55, 78, 4800), right(59, 78, 4800), right(62, 78, 4800),
                           Note{Hand::left, PianoKey(47), Velocity(80), Tick(4800), held}));
  EXPECT_THAT(p.chords, ::testing::ElementsAre(At<std::string>{Tick(3840), "C"},
                                               At<std::string>{Tick(4800), "G/B"}));
}

TEST(Perform, ARepeatIsSofterAndTheFirstCountOfABarLeads) {
  const Performance p = perform(Made(*Meter::make(3, 4))
                                    .section("A")
                                    .bar({{"C", 3}})
                                    .bar({{"C", 2}, {"G", 1}})
                                    .arrangement());
  std::vector<int> velocities;
  for (const Note& n : p.notes) {
    if (n.hand == Hand::right && n.key == PianoKey(55)) velocities.push_back(n.velocity.value());
  }
  EXPECT_THAT(velocities, ::testing::ElementsAre(84, 64, 64, 84, 64, 78));
  // The left hand holds C over the bar line.
  EXPECT_THAT(starts(p, Hand::left), ::testing::ElementsAre(5760, 5760 + 5 * 960));
}

TEST(Perform, InACompoundMeterTheCountIsTheDottedQuarter) {
  const Performance p =
      perform(Made(*Meter::make(6, 8)).section("A").bar({{"G", 1}}).bar({{"C", 2}}).arrangement());
  EXPECT_EQ(p.count_in, Tick(3 * 1440));
  EXPECT_THAT(clicks_of(p), ::testing::ElementsAre(std::pair(0, true), std::pair(1440, false),
                                                   std::pair(2880, true), std::pair(4320, false),
                                                   std::pair(5760, true), std::pair(7200, false)));
  EXPECT_THAT(starts(p, Hand::right), ::testing::ElementsAre(4320, 5760, 7200));
  EXPECT_EQ(p.notes.front().duration, Tick(1440 - 90));
}

TEST(Perform, TheCountInAndThePickUpAreTwoBarsInEveryMeter) {
  for (const int lower : {2, 4, 8}) {
    for (int upper = 1; upper <= 12; ++upper) {
      const auto meter = Meter::make(upper, lower);
      if (!meter) continue;
      const int counts = meter->counts().value();
      for (int pick_up = 0; pick_up < counts; ++pick_up) {
        Made made(*meter);
        made.section("A");
        if (pick_up > 0) made.bar({{"G", pick_up}});
        const Performance p = perform(made.bar({{"C", counts}}).arrangement());
        EXPECT_EQ(p.count_in, meter->bar_length() * 2 - meter->count_length() * pick_up);
        EXPECT_EQ(p.end, meter->bar_length() * 3);
        ASSERT_EQ(p.clicks.size(), static_cast<std::size_t>(3 * counts)) << text(*meter);
        for (int i = 0; i < 3 * counts; ++i) {
          EXPECT_EQ(p.clicks[static_cast<std::size_t>(i)],
                    (Click{meter->count_length() * i, i % counts == 0}));
        }
      }
    }
  }
}

TEST(Perform, MetersKeysSectionsAndWordsStandWhereTheyBegin) {
  const Performance p = perform(Made(*Meter::make(4, 4))
                                    .section("Verse", 2)
                                    .bar({{"C", 4}}, "la la")
                                    .section("End")
                                    .change(*Meter::make(6, 8), "Eb")
                                    .bar({{"", 2}})
                                    .bar({{"C", 2}}, "ah")
                                    .arrangement());
  using Text = At<std::string>;
  const Tick verse{7680};
  const Tick again{7680 + 3840};
  const Tick end{7680 + 2 * 3840};
  EXPECT_THAT(p.meters, ::testing::ElementsAre(At<Meter>{Tick(0), *Meter::make(4, 4)},
                                               At<Meter>{end, *Meter::make(6, 8)}));
  EXPECT_THAT(p.tonalities,
              ::testing::ElementsAre(At<music::Tonality>{Tick(0), *music::parse_tonality("C")},
                                     At<music::Tonality>{end, *music::parse_tonality("Eb")}));
  EXPECT_THAT(p.sections,
              ::testing::ElementsAre(Text{verse, "Verse"}, Text{again, "Verse"}, Text{end, "End"}));
  EXPECT_THAT(p.words, ::testing::ElementsAre(Text{verse, "la la"}, Text{again, "la la"},
                                              Text{end + Tick(2880), "ah"}));
  EXPECT_THAT(p.chords, ::testing::ElementsAre(Text{verse, "C"}, Text{again, "C"},
                                               Text{end, "N.C."}, Text{end + Tick(2880), "C"}));
}

TEST(Perform, APickUpInsideTheSongCompletesTheBarBefore) {
  const Performance p = perform(Made(*Meter::make(4, 4))
                                    .section("A")
                                    .bar({{"C", 4}})
                                    .section("B")
                                    .bar({{"G", 1}})
                                    .bar({{"C", 4}})
                                    .arrangement());
  EXPECT_EQ(p.end, Tick(4 * 3840));
  EXPECT_EQ(p.sections[1].start, Tick(3 * 3840 - 960));
  EXPECT_EQ(clicks_of(p)[11], std::pair(3 * 3840 - 960, false));
  EXPECT_EQ(clicks_of(p)[12], std::pair(3 * 3840, true));
}

TEST(Perform, ASongWithoutBarsIsItsCountIn) {
  const Performance p = perform(Made(*Meter::make(3, 4)).arrangement());
  EXPECT_TRUE(p.notes.empty());
  EXPECT_EQ(p.clicks.size(), 6U);
  EXPECT_EQ(p.end, p.count_in);
}

// What must be struck, worked out chord by chord from the rule: the first tick and every count inside.
std::set<int> strokes_of(const Performance& p, Tick start, Tick end) {
  std::set<int> out{start.value()};
  for (const Click& c : p.clicks) {
    if (c.start >= start && c.start < end) out.insert(c.start.value());
  }
  return out;
}

void check_chord(const Arrangement& a, const Performance& p, std::size_t i) {
  const chart::PlayedChord& chord = a.chords[i];
  const Tick start = p.count_in + chord.start;
  const Tick end = start + chord.duration;
  std::map<std::pair<Hand, int>, std::set<int>> struck;
  for (const Note& n : p.notes) {
    if (n.start < start || n.start >= end) continue;
    EXPECT_LT(n.start + n.duration, end) << "a key is let go before the chord changes";
    struck[{n.hand, n.key.number()}].insert(n.start.value());
  }
  std::map<std::pair<Hand, int>, std::set<int>> wanted;
  if (chord.chord) {
    for (const hand::ShapeNote& note : a.shape_at(i)->notes) {
      wanted[{Hand::right, note.key().number()}] = strokes_of(p, start, end);
    }
    wanted[{Hand::left, a.left.bass[i]->pitch.key().number()}] = {start.value()};
  }
  EXPECT_EQ(struck, wanted);
}

TEST(Perform, RandomSongsSoundAsTheRuleSaysAndNoKeyIsStruckWhileDown) {
  std::mt19937 random(20);
  int arranged = 0;
  for (int round = 0; round < 150; ++round) {
    const auto arrangement = arrange::arrange(testing::random_song(random), {});
    if (!arrangement) continue;
    ++arranged;
    const Performance p = perform(*arrangement);
    for (std::size_t i = 0; i < arrangement->chords.size(); ++i) check_chord(*arrangement, p, i);
    EXPECT_TRUE(std::is_sorted(p.notes.begin(), p.notes.end(), [](const Note& a, const Note& b) {
      return std::tuple(a.start, a.hand, a.key) < std::tuple(b.start, b.hand, b.key);
    }));
    std::map<std::pair<Hand, int>, Tick> free_from;
    for (const Note& n : p.notes) {
      EXPECT_GT(n.duration, Tick(0));
      EXPECT_LE((free_from[{n.hand, n.key.number()}]), n.start);
      free_from[{n.hand, n.key.number()}] = n.start + n.duration;
    }
    for (std::size_t i = 1; i < p.clicks.size(); ++i) {
      EXPECT_EQ(p.clicks[i].start - p.clicks[i - 1].start, p.meters[0].value.count_length());
    }
    EXPECT_EQ(p.clicks.back().start + p.meters[0].value.count_length(), p.end);
    EXPECT_NEAR(seconds(p, p.end, 100),
                60.0 * static_cast<double>(p.clicks.size()) / p.tempo.value(), 1e-9);
    EXPECT_EQ(perform(*arrangement).notes, p.notes);
  }
  EXPECT_GE(arranged, 100);
}

TEST(Perform, SlowIsTheSameTimesStretched) {
  const Performance p = perform(Made(*Meter::make(4, 4))
                                    .section("A")
                                    .bar({{"C", 4}})
                                    .change(*Meter::make(7, 8), "C")
                                    .bar({{"G", 7}})
                                    .arrangement());
  for (int at = 0; at <= p.end.value(); at += 37) {
    EXPECT_NEAR(seconds(p, Tick(at), 60) * 0.6, seconds(p, Tick(at), 100), 1e-9) << at;
  }
  // One count a second: twelve of 4/4, then seven eighths.
  ASSERT_EQ(p.clicks.size(), 12U + 7U);
  for (std::size_t i = 0; i < p.clicks.size(); ++i) {
    EXPECT_DOUBLE_EQ(seconds(p, p.clicks[i].start, 100), static_cast<double>(i));
  }
  EXPECT_DOUBLE_EQ(seconds(p, p.end, 100), 12 + 7);
}

}  // namespace
}  // namespace stillhand::perform
