#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "perform/performance.h"

namespace stillhand::perform {
namespace {

using hand::Hand;

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

}  // namespace
}  // namespace stillhand::perform
