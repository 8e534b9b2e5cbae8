#include "write/sheet_layout.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <map>
#include <pugixml.hpp>
#include <set>
#include <sstream>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "testing/corpus.h"
#include "write/demo_lesson.h"
#include "write/moves_sheet_layout.h"
#include "write/sheet.h"
#include "write/sheet_bass.h"
#include "write/sheet_checks.h"
#include "write/sheet_pattern.h"
#include "write/sheet_svg.h"

namespace stillhand::write {
namespace {

using test::all_text;
using test::collisions;
using test::EvenMeasurer;
using test::fonts;
using test::outside;

// Every kind, paper, print and writing of chords, one after the other.
SheetOptions options_of(std::size_t turn) {
  SheetOptions out;
  out.paper = turn % 2 == 0 ? Paper::a4 : Paper::letter;
  out.print = turn / 2 % 2 == 0 ? Print::normal : Print::large;
  const auto& kinds = all_sheet_kinds();
  out.kind = kinds[turn / 4 % kinds.size()];
  if (out.kind == SheetKind::moves) out.print = Print::normal;
  if (turn / (4 * kinds.size()) % 2 == 1) out.chords = ChordWriting::numbers;
  return out;
}
std::size_t all_options() { return 8 * all_sheet_kinds().size(); }

std::string in_words(const SheetOptions& options) {
  return fmt::format("{}, {}, {}, {}", name(options.kind),
                     options.paper == Paper::a4 ? "A4" : "Letter",
                     options.print == Print::large ? "large" : "normal",
                     options.chords == ChordWriting::numbers ? "numbers" : "letters");
}

void expect_nothing_overlaps(const teach::Lesson& lesson, const SheetOptions& options,
                             const std::string& what) {
  SheetStyle style = style_for(options.paper, options.print);
  if (options.kind == SheetKind::moves) style = for_moves(style);
  const SheetPages pages = lay_out(lesson, options, fonts());
  ASSERT_EQ(collisions(pages, style), std::vector<std::string>()) << what << in_words(options);
  ASSERT_EQ(outside(pages, style), std::vector<std::string>()) << what << in_words(options);
}

teach::Lesson lesson_of_example(const std::string& name, arrange::Choices choices = {}) {
  std::ifstream in(std::string(STILLHAND_SOURCE_DIR) + "/examples/" + name + ".stillhand");
  std::stringstream text;
  text << in.rdbuf();
  const auto parsed = chart::parse(text.str(), name);
  return teach::teach(arrange::arrange(parsed.value().song, choices).value());
}

TEST(SheetLayout, NothingOverlapsOrLeavesTheMargins) {
  for (std::size_t turn = 0; turn < all_options(); ++turn)
    expect_nothing_overlaps(test::demo_lesson(), options_of(turn), "demo, ");
}

TEST(SheetLayout, NothingOverlapsWhateverTheLesson) {
  for (unsigned seed = 1; seed <= 48; ++seed) {
    expect_nothing_overlaps(test::random_lesson(seed), options_of(seed),
                            fmt::format("seed {}, ", seed));
  }
}

TEST(SheetLayout, NothingOverlapsOnAnyRung) {
  for (const auto rung : {arrange::Rung::root_and_fifth, arrange::Rung::octave,
                          arrange::Rung::root_fifth_octave, arrange::Rung::walking_bass}) {
    arrange::Choices choices;
    choices.rung = rung;
    const teach::Lesson lesson = lesson_of_example("lamps-along-the-quay", choices);
    for (std::size_t turn = 0; turn < 4; ++turn)
      expect_nothing_overlaps(lesson, options_of(turn), "");
  }
}

TEST(SheetLayout, EveryExampleStandsOnTwoFacingPages) {
  for (const char* name :
       {"amazing-grace", "god-rest-ye-merry", "lamps-along-the-quay", "silent-night"}) {
    const teach::Lesson lesson = lesson_of_example(name);
    for (const Paper paper : {Paper::a4, Paper::letter}) {
      EXPECT_LE(lay_out(lesson, {paper}, fonts()).pages.size(), 2U) << name;
    }
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
    expect_nothing_overlaps(teach::teach(*arrangement), options_of(i / kEvery),
                            songs[i].title + ", ");
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

// Source: UK Association for Accessible Formats, G003: 16 points at least, no serifs.
TEST(SheetLayout, LargePrintIsLargeThroughoutAndHasNoSerifs) {
  for (const SheetKind kind : {SheetKind::song, SheetKind::numbers}) {
    const SheetOptions options{Paper::a4, kind, Print::large};
    for (const Marks& page : lay_out(test::demo_lesson(), options, fonts()).pages) {
      for (const Mark& mark : page) {
        const auto* text = std::get_if<TextMark>(&mark);
        if (text == nullptr) continue;
        EXPECT_GE(text->font.size, 16) << text->text;
        EXPECT_TRUE(text->font.face == Face::sans || text->font.face == Face::sans_bold);
      }
    }
  }
}

TEST(SheetLayout, LargePrintBreaksBetweenSections) {
  const SheetPages pages =
      lay_out(test::demo_lesson(), {Paper::a4, SheetKind::numbers, Print::large}, fonts());
  ASSERT_GT(pages.pages.size(), 1U);
  for (std::size_t i = 1; i < pages.pages.size(); ++i) {
    const auto is_text = [](const Mark& mark) { return std::holds_alternative<TextMark>(mark); };
    const auto first = std::find_if(pages.pages[i].begin(), pages.pages[i].end(), is_text);
    ASSERT_NE(first, pages.pages[i].end());
    EXPECT_EQ(std::get<TextMark>(*first).role, Role::heading) << std::get<TextMark>(*first).text;
  }
}

teach::Lesson demo_in_its_key() {
  teach::Lesson lesson = test::demo_lesson();
  for (auto& section : lesson.sections) {
    for (auto& line : section.lines) {
      for (auto& bar : line.bars) bar.tonality = lesson.tonality;
      for (auto& option : line.options) {
        for (auto& bar : option.bars) bar.tonality = lesson.tonality;
      }
    }
  }
  return lesson;
}

TEST(SheetLayout, ANumberChartHasNumbersAndNoHands) {
  const std::string text =
      all_text(lay_out(demo_in_its_key(), {Paper::a4, SheetKind::numbers}, EvenMeasurer()));
  for (const char* expected : {"Degrees of the key", "1", "D", "4", "1/3", "6m", "5sus4", "N.C.",
                               "Chorus ×2", "or: stepping down"}) {
    EXPECT_NE(("\n" + text).find("\n" + std::string(expected) + "\n"), std::string::npos)
        << expected;
  }
  for (const char* absent : {"Right hand", "Left hand", "What moves", "D/F♯", "Bm"})
    EXPECT_EQ(text.find(absent + std::string("\n")), std::string::npos) << absent;
}

TEST(SheetLayout, ASongSheetMayHaveNumbersOverShapesNamedByLetters) {
  SheetOptions options;
  options.chords = ChordWriting::numbers;
  const std::string text = all_text(lay_out(demo_in_its_key(), options, EvenMeasurer()));
  for (const char* expected : {"Asus4\n5sus4: root position\n", "\n1/3\n", "Right hand\n"})
    EXPECT_NE(text.find(expected), std::string::npos) << expected;
  EXPECT_EQ(text.find("D/F♯\n"), std::string::npos);
}

TEST(SheetLayout, ANumberChartNamesTheNewKey) {
  teach::Lesson lesson{};
  lesson.tonality = *music::parse_tonality("D");
  teach::SheetLine line;
  line.bars = {test::bar({"A7"}, ""), test::bar({"B/D#"}, "")};
  for (auto& bar : line.bars) bar.tonality = lesson.tonality;
  line.bars[1].tonality = *music::parse_tonality("E");
  line.bars[1].change = "key of E";
  line.bars[1].is_key_change = true;
  lesson.sections = {{"Verse", 2, {line}}};
  const std::string text =
      all_text(lay_out(lesson, {Paper::a4, SheetKind::numbers}, EvenMeasurer()));
  for (const char* expected : {"5(7)\n", "5/7\n", "key of E: 1 is E\n"})
    EXPECT_NE(text.find(expected), std::string::npos) << expected << text;
}

// Two verses and a chorus, each as long as a page can stand: apart they need more pages than two.
TEST(SheetLayout, VersesOfTheSameChordsShareTheirBarsWhereThePagesWouldBeTooMany) {
  teach::Lesson lesson{};
  const auto section = [](const std::string& name, const std::string& words, int lines) {
    teach::SheetSection out{name, 4 * lines, {}};
    for (int i = 0; i < lines; ++i) {
      teach::SheetLine line;
      for (int b = 0; b < 4; ++b) line.bars.push_back(test::bar({"G"}, words));
      out.lines.push_back(line);
    }
    return out;
  };
  lesson.sections = {section("Verse 1", "lamps", 2), section("Verse 2", "ropes", 2)};
  std::string text = all_text(lay_out(lesson, SheetStyle(), EvenMeasurer()));
  EXPECT_NE(text.find("Verse 1\n"), std::string::npos) << "apart where there is room";
  lesson.sections = {section("Verse 1", "lamps", 14), section("Verse 2", "ropes", 14)};
  text = all_text(lay_out(lesson, SheetStyle(), EvenMeasurer()));
  EXPECT_NE(text.find("Verse 1, Verse 2\n"), std::string::npos);
  EXPECT_NE(text.find("lamps\n"), std::string::npos);
  EXPECT_NE(text.find("ropes\n"), std::string::npos);
  lesson.sections[1].lines[3].bars[2].chords[0].chord = "Am";
  text = all_text(lay_out(lesson, SheetStyle(), EvenMeasurer()));
  EXPECT_EQ(text.find("Verse 1, Verse 2\n"), std::string::npos) << "another chord";
}

music::Pitch pitch(std::string_view name) { return music::parse_pitch(name).value(); }

TEST(SheetBass, AWalkStandsWhereItIsPlayedEvenInTheBarAfterItsChord) {
  teach::SheetSection section{"Verse", 2, {{{test::bar({"C"}, ""), test::bar({"C"}, "")}, {}}}};
  auto& bars = section.lines[0].bars;
  arrange::BassNote note{pitch("C3"), hand::Finger(5)};
  note.rung = arrange::Rung::walking_bass;
  note.walk = {{pitch("D3"), hand::Finger(4), music::Tick(6 * 960), music::Tick(960)},
               {pitch("E3"), hand::Finger(3), music::Tick(7 * 960), music::Tick(960)}};
  for (auto& bar : bars) bar.chords[0].bass = note;
  bars[1].chords[0].is_held = true;
  ASSERT_TRUE(has_bass_in_bars(section));
  const auto lines = bass_in_bars(section);
  ASSERT_EQ(lines[0].bars[0].strokes.size(), 1U);
  EXPECT_EQ(lines[0].bars[0].strokes[0].tones[0].pitch, pitch("C3"));
  ASSERT_EQ(lines[0].bars[1].strokes.size(), 2U);
  EXPECT_EQ(lines[0].bars[1].strokes[0].at, music::Tick(2 * 960));
  EXPECT_EQ(lines[0].bars[1].strokes[1].tones[0].pitch, pitch("E3"));
  EXPECT_TRUE(lines[0].bars[1].strokes[1].is_step);
}

TEST(SheetBass, StandsInTheBarsFromRootAndFifthUp) {
  arrange::Choices choices;
  const auto text = [&](arrange::Rung rung) {
    choices.rung = rung;
    return all_text(
        lay_out(lesson_of_example("amazing-grace", choices), SheetStyle(), EvenMeasurer()));
  };
  EXPECT_NE(text(arrange::Rung::walking_bass).find("walking bass; the notes"), std::string::npos);
  EXPECT_NE(text(arrange::Rung::octave).find("octaves; the notes and"), std::string::npos);
  EXPECT_EQ(text(arrange::Rung::walking_bass).find("walk up"), std::string::npos);
  EXPECT_EQ(text(arrange::Rung::position).find("in the bars"), std::string::npos);
}

TEST(SheetPattern, IsToldInWords) {
  teach::TaughtPattern pattern;
  pattern.moments = {{"1", "bass", "rest"}, {"and", "-", "chord"}, {"2", "-", "-"}};
  EXPECT_EQ(spoken(pattern), "1: left hand bass, right hand rest; and: right hand chord");
}

TEST(SheetPattern, StandsOnTheSheetWithItsCounts) {
  teach::Lesson lesson = test::demo_lesson();
  teach::TaughtPattern pattern;
  pattern.name = "oom-pah-pah";
  pattern.says = "The left hand plays the first count.";
  pattern.sections = {"Verse"};
  pattern.moments = {{"1", "bass", "rest"}, {"2", "rest", "chord"}, {"3", "rest", "chord"}};
  lesson.patterns = {pattern};
  const std::string text = all_text(lay_out(lesson, SheetStyle(), EvenMeasurer()));
  EXPECT_NE(text.find("Pattern\noom-pah-pah\nthe whole song\n1\n2\n3\n"), std::string::npos)
      << text;
}

// Read by pugixml, which shares nothing with the writer.
TEST(SheetSvg, IsXmlWhoseTextsAreThoseOfThePages) {
  teach::Lesson hostile = test::demo_lesson();
  hostile.title = "A < B & \"C\" > שלום \xEF\xBF\xBE";
  for (const teach::Lesson& lesson :
       {test::demo_lesson(), hostile, test::random_lesson(3), test::random_lesson(4)}) {
    for (const SheetKind kind : all_sheet_kinds()) {
      const SheetOptions options{Paper::letter, kind};
      const SheetPages pages = lay_out(lesson, options, fonts());
      const auto svg = sheet_svg(lesson, options).value();
      ASSERT_EQ(svg.size(), pages.pages.size());
      for (std::size_t i = 0; i < svg.size(); ++i) {
        pugi::xml_document document;
        const auto parsed = document.load_string(svg[i].c_str(), pugi::parse_full);
        ASSERT_TRUE(parsed) << parsed.description();
        const pugi::xml_node root = document.child("svg");
        EXPECT_EQ(std::string(root.attribute("viewBox").value()), "0 0 612 792");
        EXPECT_NE(std::string(root.child("title").text().get()), "");
        EXPECT_NE(std::string(root.child("desc").text().get()), "");
        std::vector<std::string> written, wanted;
        for (const pugi::xpath_node found : root.select_nodes("//text")) {
          const pugi::xml_node text = found.node();
          written.emplace_back(text.text().get());
          EXPECT_GT(text.attribute("textLength").as_double(1), 0);
          EXPECT_NE(std::string(text.attribute("font-family").value()).find("serif"),
                    std::string::npos);
        }
        if (kind == SheetKind::moves && i == 0 && !lesson.moves.empty()) {
          EXPECT_FALSE(root.select_nodes("//g[@role='img'][@aria-label!='']").empty());
        }
        for (const Mark& mark : pages.pages[i]) {
          const auto* text = std::get_if<TextMark>(&mark);
          if (text == nullptr || one_line(text->text).empty()) continue;
          std::string line = one_line(text->text);
          for (const char* bad : {"\xEF\xBF\xBE", "\xEF\xBF\xBF"}) {
            for (auto at = line.find(bad); at != std::string::npos; at = line.find(bad))
              line.replace(at, 3, "\uFFFD");
          }
          wanted.push_back(line);
        }
        EXPECT_EQ(written, wanted);
      }
    }
  }
}

TEST(SheetSvg, SameLessonSameBytes) {
  EXPECT_EQ(sheet_svg(test::demo_lesson(), {}).value(), sheet_svg(test::demo_lesson(), {}).value());
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
