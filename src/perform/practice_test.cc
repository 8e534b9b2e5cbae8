#include "perform/practice.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "perform/pattern.h"

namespace stillhand::perform {
namespace {

using hand::Hand;
using music::Meter;
using music::PianoKey;
using music::Tempo;
using testing::ElementsAre;

Performance performance_of(std::string_view chart) {
  const auto parsed = chart::parse(chart, "test");
  EXPECT_TRUE(parsed) << render(parsed.error().front());
  const auto arrangement = arrange::arrange(parsed->song, {});
  EXPECT_TRUE(arrangement);
  const auto plan = plan_patterns(*arrangement, {});
  EXPECT_TRUE(plan) << render(plan.error().front());
  return perform(*arrangement, *plan);
}

constexpr Tick kBar{3840};
constexpr const char* kTwoSections =
    "title T\nkey C\nmeter 4/4\ntempo 60\nsection A\n| C | F |\nsection B\n| F | G |\n";

std::vector<int> starts(const Performance& p, Hand hand) {
  std::vector<int> out;
  for (const Note& n : p.notes) {
    if (n.hand == hand && (out.empty() || out.back() != n.start.value()))
      out.push_back(n.start.value());
  }
  return out;
}

// What must hold of any performance: order, no key struck while it is down, all inside.
void expect_sound(const Performance& p) {
  std::map<std::pair<Hand, int>, Tick> down;
  Tick last(0);
  for (const Note& n : p.notes) {
    EXPECT_GE(n.start, last);
    EXPECT_GT(n.duration, Tick(0));
    EXPECT_LE(n.start + n.duration, p.end);
    const auto key = std::pair(n.hand, n.key.number());
    const auto before = down.find(key);
    if (before != down.end()) {
      EXPECT_LE(before->second, n.start);
    }
    down[key] = n.start + n.duration;
    last = n.start;
  }
  for (std::size_t i = 1; i < p.pedal.size(); ++i)
    EXPECT_NE(p.pedal[i].value, p.pedal[i - 1].value);
  if (!p.pedal.empty()) {
    EXPECT_EQ(p.pedal.back().value, Pedal::up);
  }
  for (std::size_t i = 1; i < p.clicks.size(); ++i) {
    EXPECT_GT(p.clicks[i].start, p.clicks[i - 1].start);
  }
}

TEST(Repeated, EachPassHasItsCountInAndItsSection) {
  const Performance song = performance_of(kTwoSections);
  const Performance p = repeated(song, {song.sections[1].start, song.end}, 3);
  EXPECT_EQ(p.count_in, kBar * 2);
  EXPECT_EQ(p.end, kBar * 12);
  EXPECT_THAT(count_ins(p), ElementsAre(Span{Tick(0), kBar * 2}, Span{kBar * 4, kBar * 6},
                                        Span{kBar * 8, kBar * 10}));
  EXPECT_EQ(p.clicks.size(), 48U);
  EXPECT_EQ(p.meters.size(), 1U);
  ASSERT_EQ(p.sections.size(), 3U);
  EXPECT_EQ(p.sections[1], (At<std::string>{kBar * 6, "B"}));
  // The chord that goes on from before is there, and its bass is struck.
  EXPECT_EQ(p.chords[0], (At<std::string>{kBar * 2, "F"}));
  EXPECT_EQ(p.chords.size(), 6U);
  EXPECT_THAT(starts(p, Hand::left),
              ElementsAre(kBar.value() * 2, kBar.value() * 3, kBar.value() * 6, kBar.value() * 7,
                          kBar.value() * 10, kBar.value() * 11));
  expect_sound(p);
}

TEST(Repeated, AHeldKeyIsLetGoWhereThePartEnds) {
  const Performance song = performance_of(kTwoSections);
  const Performance p = repeated(song, {song.sections[0].start, song.sections[1].start}, 1);
  EXPECT_EQ(p.end, kBar * 4);
  EXPECT_THAT(starts(p, Hand::left), ElementsAre(kBar.value() * 2, kBar.value() * 3));
  expect_sound(p);
}

TEST(Repeated, APickUpShortensEachCountIn) {
  const Performance song =
      performance_of("title T\nkey C\nmeter 3/4\ntempo 60\nsection A\npick-up | G |\n| C | F |\n");
  const Performance p = repeated(song, {song.count_in, song.end}, 2);
  EXPECT_EQ(p.count_in, Tick(2 * 2880 - 960));
  ASSERT_EQ(p.later_count_ins.size(), 1U);
  EXPECT_EQ(p.later_count_ins[0].end - p.later_count_ins[0].start, p.count_in);
  EXPECT_TRUE(p.clicks[6].is_first_of_bar);
  expect_sound(p);
}

TEST(Repeated, TheCountInIsInTheMeterOfThePartsFirstBar) {
  const Performance song = performance_of(
      "title T\nkey C\nmeter 4/4\ntempo 60\nsection A\n| C |\nsection B\nmeter 6/8\n| F |\nmeter "
      "3/4\n| G |\n");
  const Performance p = repeated(song, {song.sections[1].start, song.end}, 2);
  EXPECT_EQ(p.count_in, Tick(2880 * 2));
  ASSERT_EQ(p.meters.size(), 4U);  // 6/8, 3/4, and again
  EXPECT_EQ(p.meters[2].start, p.later_count_ins[0].start);
  EXPECT_EQ(p.meters[2].value, *Meter::make(6, 8));
  expect_sound(p);
}

TEST(Repeated, TheWholeSongOnceIsTheSong) {
  const Performance song = performance_of(kTwoSections);
  const Performance p = repeated(song, {song.count_in, song.end}, 1);
  EXPECT_EQ(p.notes, song.notes);
  EXPECT_EQ(p.clicks, song.clicks);
  EXPECT_EQ(p.chords, song.chords);
  EXPECT_EQ(p.sections, song.sections);
  EXPECT_EQ(p.count_in, song.count_in);
}

TEST(Repeated, APushBelongsToTheChordItBrings) {
  const Performance song = performance_of(
      "title T\nkey C\nmeter 4/4\ntempo 90\npattern own\nleft | bass - - - |\nright | chord - - (- "
      "next) |\n"
      "section A\n| C | F |\nsection B\n| G | C |\n");
  expect_sound(repeated(song, {song.sections[0].start, song.sections[1].start}, 2));
  expect_sound(repeated(song, {song.sections[1].start, song.end}, 2));
}

TEST(OneHand, LeavesTheOtherOut) {
  const Performance song = performance_of(kTwoSections);
  const Performance right = one_hand(song, Hand::right);
  EXPECT_THAT(starts(right, Hand::left), testing::IsEmpty());
  EXPECT_EQ(starts(right, Hand::right), starts(song, Hand::right));
  EXPECT_EQ(right.clicks, song.clicks);
}

TEST(InTurn, ABarEachInThePlainPulse) {
  const PracticeChord c{"C", {PianoKey(60), PianoKey(64), PianoKey(67)}, PianoKey(48)};
  const PracticeChord g{"G", {PianoKey(59), PianoKey(62), PianoKey(67)}, std::nullopt};
  const Performance once =
      in_turn(c, g, {"C and G", *Meter::make(6, 8), *music::parse_tonality("C"), Tempo(60), 4});
  EXPECT_EQ(once.end, Tick(2880 * 4));
  EXPECT_THAT(starts(once, Hand::left), ElementsAre(0, 5760));
  EXPECT_EQ(starts(once, Hand::right).size(), 8U);
  EXPECT_EQ(once.chords.size(), 4U);
  EXPECT_EQ(once.chords[1].value, "G");
  expect_sound(once);
  const Performance p = repeated(once, {Tick(0), once.end}, 3);
  EXPECT_EQ(p.count_in, Tick(5760));
  EXPECT_EQ(p.end, Tick(3 * (5760 + 4 * 2880)));
  expect_sound(p);
}

}  // namespace
}  // namespace stillhand::perform
