#include "write/sheet_layout.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <map>
#include <set>
#include <sstream>

#include "arrange/arrange.h"
#include "testing/corpus.h"
#include "write/demo_lesson.h"
#include "write/sheet.h"
#include "write/sheet_checks.h"

namespace stillhand::write {
namespace {

using test::all_text;
using test::collisions;
using test::EvenMeasurer;
using test::fonts;
using test::outside;

TEST(SheetLayout, NothingOverlapsOrLeavesTheMargins) {
  for (const Paper paper : {Paper::a4, Paper::letter}) {
    const SheetStyle style = style_for(paper);
    const SheetPages pages = lay_out(test::demo_lesson(), style, fonts());
    EXPECT_EQ(collisions(pages, style), std::vector<std::string>());
    EXPECT_EQ(outside(pages, style), std::vector<std::string>());
  }
}

TEST(SheetLayout, NothingOverlapsWhateverTheLesson) {
  for (unsigned seed = 1; seed <= 30; ++seed) {
    const SheetStyle style = style_for(seed % 2 == 0 ? Paper::a4 : Paper::letter);
    const SheetPages pages = lay_out(test::random_lesson(seed), style, fonts());
    ASSERT_EQ(collisions(pages, style), std::vector<std::string>()) << "seed " << seed;
    ASSERT_EQ(outside(pages, style), std::vector<std::string>()) << "seed " << seed;
  }
}

// Real songs: McGill Billboard 2.0 (Burgoyne, Wild & Fujinaga 2011), OpenEWLD (Simonetta 2018).
TEST(SheetLayout, RealSongsComeOutWhole) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  constexpr std::size_t kEvery = 10;
  const auto songs = testing::read_whole_corpus();
  for (std::size_t i = 0; i < songs.size(); i += kEvery) {
    const auto arrangement = arrange::arrange(songs[i], {});
    ASSERT_TRUE(arrangement) << songs[i].title;
    const SheetStyle style = style_for(i % 2 == 0 ? Paper::a4 : Paper::letter);
    const SheetPages pages = lay_out(teach::teach(*arrangement), style, fonts());
    ASSERT_EQ(collisions(pages, style), std::vector<std::string>()) << songs[i].title;
    ASSERT_EQ(outside(pages, style), std::vector<std::string>()) << songs[i].title;
  }
}

TEST(SheetLayout, TypeIsAsLargeAsAMusicStandNeeds) {
  const SheetStyle style;
  for (const Font& font :
       {style.chord, style.chord_light, style.chord_option, style.picture_chord}) {
    EXPECT_GE(font.size, 13);
  }
  EXPECT_GE(style.words.size, 11);
  EXPECT_GE(style.finger.size, 7.5);
  const SheetPages pages = lay_out(test::demo_lesson(), style, fonts());
  for (const Marks& page : pages.pages) {
    for (const Mark& mark : page) {
      const auto* text = std::get_if<TextMark>(&mark);
      if (text != nullptr) {
        EXPECT_GE(text->font.size, 7.5);
      }
    }
  }
}

TEST(SheetLayout, PagesForAnOrdinarySongAreTwo) {
  for (const Paper paper : {Paper::a4, Paper::letter}) {
    EXPECT_EQ(lay_out(test::demo_lesson(), style_for(paper), fonts()).pages.size(), 2U);
  }
}

TEST(SheetLayout, SaysEverythingOfTheSong) {
  const std::string text = all_text(lay_out(test::demo_lesson(), SheetStyle(), EvenMeasurer()));
  for (const char* expected : {"Lamps Along the Quay",
                               "Words and music: the Stillhand project",
                               "Free to copy, print and perform",
                               "D major",
                               "4/4, 4 counts a bar",
                               "66 counts a minute",
                               "A3 to B4",
                               "Chorus ×2",
                               "second inversion",
                               "the whole song",
                               "9 bars",
                               "or: stepping down",
                               "D/F♯",
                               "N.C.",
                               "pick-up",
                               "slower",
                               "1.",
                               "2.",
                               "Asus4 to A",
                               "Finger 3 down a half step, D to C♯; the others stay.",
                               "×7",
                               "Rest after 20 minutes."}) {
    EXPECT_NE(text.find(expected + std::string("\n")), std::string::npos) << expected;
  }
}

TEST(SheetLayout, SixBarsBreakIntoThreeAndThreeAndLongWordsTakeFewerBars) {
  const auto rows = [](int bars, const std::string& words) {
    teach::Lesson lesson{};
    lesson.title = "t";
    teach::SheetLine line;
    for (int i = 0; i < bars; ++i) line.bars.push_back(test::bar({"G"}, words));
    lesson.sections = {{"Verse", bars, {line}}};
    const SheetPages pages = lay_out(lesson, SheetStyle(), EvenMeasurer());
    std::map<double, int> chords_at;
    for (const Mark& mark : pages.pages.front()) {
      const auto* text = std::get_if<TextMark>(&mark);
      if (text != nullptr && text->text == "G") ++chords_at[text->baseline];
    }
    std::vector<int> out;
    for (const auto& [baseline, count] : chords_at) out.push_back(count);
    return out;
  };
  EXPECT_EQ(rows(4, ""), (std::vector{4}));
  EXPECT_EQ(rows(5, ""), (std::vector{5}));
  EXPECT_EQ(rows(6, ""), (std::vector{3, 3}));
  EXPECT_EQ(rows(8, ""), (std::vector{4, 4}));
  EXPECT_EQ(rows(9, ""), (std::vector{3, 3, 3}));
  EXPECT_EQ(rows(4, "as many words as half a row"), (std::vector{2, 2}));
  EXPECT_EQ(rows(2, "as many words as half a row and then some more of them"), (std::vector{1, 1}));
}

TEST(SheetLayout, APatternOfTwoMetersIsNamedOnce) {
  teach::Lesson lesson{};
  teach::SheetLine line;
  line.bars.push_back(test::bar({"G"}, ""));
  lesson.sections = {{"Verse", 1, {line}}};
  for (const int upper : {4, 3}) {
    lesson.patterns.push_back({"plain pulse", "", *music::Meter::make(upper, 4), {"Verse"}, {}});
  }
  const std::string text = all_text(lay_out(lesson, SheetStyle(), EvenMeasurer()));
  EXPECT_NE(text.find("1 bar, plain pulse\n"), std::string::npos);
}

TEST(SheetLayout, ALongRoadMapRunsOverTheWholeWidth) {
  teach::Lesson lesson = test::demo_lesson();
  lesson.road_map.assign(30, {"Chorus", 1});
  const SheetPages pages = lay_out(lesson, SheetStyle(), EvenMeasurer());
  std::set<double> lefts;
  for (const Mark& mark : pages.pages.front()) {
    const auto* text = std::get_if<TextMark>(&mark);
    if (text != nullptr && text->text == "Chorus" && text->font == SheetStyle().road) {
      lefts.insert(text->x);
    }
  }
  EXPECT_EQ(lefts.size(), 4U);
}

// Approved by looking at the pages; STILLHAND_UPDATE_GOLDENS=1 writes it anew.
TEST(SheetLayout, IsTheApprovedOne) {
  const std::string file = std::string(STILLHAND_SOURCE_DIR) + "/golden/sheet_layout.txt";
  const std::string now = text(lay_out(test::demo_lesson(), SheetStyle(), EvenMeasurer()));
  if (std::getenv("STILLHAND_UPDATE_GOLDENS") != nullptr) std::ofstream(file) << now;
  std::ifstream in(file);
  std::stringstream approved;
  approved << in.rdbuf();
  EXPECT_EQ(now, approved.str());
}

}  // namespace
}  // namespace stillhand::write
