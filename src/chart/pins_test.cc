#include "chart/pins.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "chart/chart.h"

namespace stillhand::chart {
namespace {

using ::testing::HasSubstr;

Pin pin(std::string_view chord, std::initializer_list<std::string_view> pitches,
        std::vector<int> fingers = {}) {
  Pin out;
  out.chord = *music::parse_chord(chord);
  for (const std::string_view pitch : pitches) out.pitches.push_back(*music::parse_pitch(pitch));
  out.fingers = std::move(fingers);
  return out;
}

const std::string kChart = "key C  ; mine\nsection A\n|  C | G |\nsection B\n| G | C |\n";

TEST(Pins, TheFirstOneStandsAtTheEndAfterABlankLine) {
  EXPECT_EQ(*with_pin(kChart, "t", pin("G", {"G3", "B3", "D4"}, {1, 3, 5}), std::nullopt),
            kChart + "\nshape G    G3 B3 D4  1 3 5\n");
  EXPECT_EQ(*with_pin(kChart + "\n\n", "t", pin("G", {"G3", "B3", "D4"}), "b"),
            kChart + "\nshape G    G3 B3 D4  in B\n");
}

TEST(Pins, OthersFollowTheLastShape) {
  const std::string one = *with_pin(kChart, "t", pin("G", {"G3", "B3", "D4"}), std::nullopt);
  EXPECT_EQ(*with_pin(one + "; end\n", "t", pin("C", {"G3", "C4", "E4"}), std::nullopt),
            one + "shape C    G3 C4 E4\n; end\n");
}

TEST(Pins, AnEqualOneIsReplacedAndKeepsItsComment) {
  const std::string text = kChart + "\nshape G G3 B3 D4 ; low\nshape G B3 D4 G4 in B\n";
  EXPECT_EQ(*with_pin(text, "t", pin("G", {"D4", "G4", "B4"}), std::nullopt),
            kChart + "\nshape G    D4 G4 B4  ; low\nshape G B3 D4 G4 in B\n");
}

TEST(Pins, LineEndingsAndAMissingLastOneAreNoObstacle) {
  EXPECT_EQ(*with_pin("section A\r\n| C | G |", "t", pin("G", {"G3", "B3", "D4"}), std::nullopt),
            "section A\r\n| C | G |\r\n\r\nshape G    G3 B3 D4\r\n");
}

TEST(Pins, AChartInNumbersHasThemInNumbers) {
  const std::string text = "key D\nsection A\n| 1 | 4 |\n";
  EXPECT_EQ(*with_pin(text, "t", pin("G", {"G3", "B3", "D4"}), std::nullopt),
            text + "\nshape 4    G3 B3 D4\n");
}

TEST(Pins, TakenOutTheTextIsAsBefore) {
  for (const auto& section : {std::optional<std::string>(), std::optional<std::string>("B")}) {
    const Pin g = pin("G", {"G3", "B3", "D4"});
    const std::string with = *with_pin(kChart, "t", g, section);
    EXPECT_EQ(*without_pin(with, "t", g.chord, section), kChart);
  }
  EXPECT_EQ(*without_pin(kChart + "shape G G3 B3 D4 ; low\n", "t", *music::parse_chord("G"),
                         std::nullopt),
            kChart + "; low\n");
}

TEST(Pins, WhatIsNotThereIsSaid) {
  const auto none = without_pin(kChart, "t", *music::parse_chord("G"), std::nullopt);
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().front().message, "`G` is not pinned");
  const auto section = with_pin(kChart, "t", pin("G", {"G3", "B3", "D4"}), "Coda");
  ASSERT_FALSE(section);
  EXPECT_EQ(section.error().front().message, "there is no section `Coda`");
  const auto wrong = with_pin(kChart, "t", pin("G", {"G3", "C4"}), std::nullopt);
  ASSERT_FALSE(wrong);
  EXPECT_THAT(wrong.error().front().message, HasSubstr("`C4` is no note of `G`"));
}

TEST(Rows, OfALineOfBarsAndItsWordsAndOfItsOrLines) {
  const auto parsed = parse(
      "section A\n| C | G |\n; a comment\n\" one | two |\nor by step\n| C | G/B |\n\n"
      "| C | C |\n",
      "t");
  ASSERT_TRUE(parsed);
  const auto& lines = parsed->song.sections[0].lines;
  EXPECT_EQ(lines[0].rows.first, 2);
  EXPECT_EQ(lines[0].rows.last, 4);
  EXPECT_EQ(lines[0].options[0].rows.first, 6);
  EXPECT_EQ(lines[0].options[0].rows.last, 6);
  EXPECT_EQ(lines[1].rows.first, 8);
  EXPECT_EQ(lines[1].rows.last, 8);
}

}  // namespace
}  // namespace stillhand::chart
