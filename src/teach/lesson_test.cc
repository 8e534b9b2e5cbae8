#include "teach/lesson.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "teach/words.h"

namespace stillhand::teach {
namespace {

Lesson lesson_of(std::string_view body) {
  const std::string text = "title T\nkey C\nmeter 4/4\ntempo 80\n" + std::string(body);
  const auto parsed = chart::parse(text, "song");
  EXPECT_TRUE(parsed) << (parsed ? "" : render(parsed.error().front()));
  const auto arrangement = arrange::arrange(parsed->song, {});
  EXPECT_TRUE(arrangement);
  return teach(*arrangement);
}

TEST(Lesson, MovesAreCountedOverTheSongAsPerformed) {
  const Lesson lesson = lesson_of("section A\n| C | G | C | F |\nroad map A twice\n");
  int all = 0;
  for (const Move& m : lesson.moves) {
    EXPECT_NE(m.from, m.to);
    EXPECT_EQ(m.words, describe_move(lesson.shapes[m.from].shape, lesson.shapes[m.to].shape).words);
    all += m.times;
  }
  EXPECT_EQ(all, 7);  // eight chords in a row, every one another than the one before
  for (std::size_t i = 1; i < lesson.moves.size(); ++i)
    EXPECT_GE(lesson.moves[i - 1].times, lesson.moves[i].times);
}

TEST(Lesson, EverySectionSaysWhereTheLeftHandRests) {
  const Lesson lesson =
      lesson_of("section A\n| F | G | Am | C |\nsection B\n| F | C/E | F | G |\n");
  ASSERT_EQ(lesson.positions.size(), 2U);
  EXPECT_EQ(lesson.positions[0].section, "A");
  EXPECT_EQ(text(lesson.positions[0].position.little_finger()), "F2");
  EXPECT_EQ(text(lesson.positions[0].position.thumb()), "C3");
  EXPECT_THAT(lesson.positions[1].remarks,
              ::testing::ElementsAre("little finger reaches down a half step to E"));
  EXPECT_TRUE(lesson.one_position);
}

TEST(Lesson, BarsCarryShapesBassesAndWhatIsHeld) {
  const Lesson lesson = lesson_of("section A\n| C | C G/B | N.C. | F |\n\" one | two | | four |\n");
  const auto& bars = lesson.sections[0].lines[0].bars;
  EXPECT_EQ(lesson.sections[0].bars, 4);
  EXPECT_FALSE(bars[0].chords[0].is_held);
  EXPECT_TRUE(bars[1].chords[0].is_held);
  EXPECT_EQ(bars[1].chords[1].chord, "G/B");
  EXPECT_EQ(lesson.shapes[*bars[1].chords[1].shape].chord, "G");
  EXPECT_EQ(bars[1].chords[1].bass->pitch.name, *music::parse_note("B"));
  EXPECT_EQ(bars[2].chords[0].chord, "N.C.");
  EXPECT_FALSE(bars[2].chords[0].shape);
  EXPECT_FALSE(bars[2].chords[0].bass);
  EXPECT_EQ(bars[0].words, "one");
}

// What is printed as held must be held every time the bar is played, not only after the bar written before it.
TEST(Lesson, AChordStruckAtOneOfItsTimesIsNotHeld) {
  const Lesson lesson = lesson_of("section A\npick-up | C |\n|: C | F |1. G :|2. G | C |\n");
  const auto& bars = lesson.sections[0].lines[1].bars;
  EXPECT_FALSE(
      bars[0].chords[0].is_held);  // the first time after the pick-up's C, the second after G
  EXPECT_FALSE(bars[3].chords[0].is_held);  // written after G, played after F
  const Lesson twice = lesson_of("section A\n| C | C | F |\nroad map A twice\n");
  EXPECT_TRUE(twice.sections[0].lines[0].bars[1].chords[0].is_held);
}

TEST(Lesson, AShiftIsAPositionOfItsOwnAndBarsCountAsPrinted) {
  const Lesson lesson =
      lesson_of("section A\npick-up | G |\n|: C | F | G | C :|\nkey F#\n| F# | B | C# | F# |\n");
  ASSERT_EQ(lesson.positions.size(), 2U);
  EXPECT_EQ(lesson.positions[1].section, "A, shift at bar 5");
  EXPECT_FALSE(lesson.positions[0].position == lesson.positions[1].position);
}

TEST(Lesson, MeterAndKeyChangesAreSaidAtTheirBar) {
  const Lesson lesson = lesson_of("section A\n| C | F |\nmeter 3/4\nkey D\n| D | G |\n");
  EXPECT_EQ(lesson.sections[0].lines[1].bars[0].change, "3/4, key of D");
  EXPECT_EQ(lesson.sections[0].lines[1].bars[1].change, "");
}

TEST(Lesson, AnOptionStandsBesideItsLineAndIsNotPlayed) {
  const Lesson lesson = lesson_of("section A\n| C | F |\nor leaning\n| C | Fsus2 F |\n");
  ASSERT_EQ(lesson.sections[0].lines[0].options.size(), 1U);
  const SheetOption& option = lesson.sections[0].lines[0].options[0];
  EXPECT_EQ(option.label, "leaning");
  ASSERT_EQ(lesson.shapes.size(), 3U);
  EXPECT_FALSE(lesson.shapes[1].is_optional);
  EXPECT_TRUE(lesson.shapes[2].is_optional);
  EXPECT_EQ(lesson.shapes[2].chord, "Fsus2");
  EXPECT_EQ(option.bars[1].chords[0].shape, 2U);
  EXPECT_EQ(option.bars[1].chords[1].shape, 1U);
  EXPECT_EQ(option.bars[1].chords[1].bass->pitch.name, *music::parse_note("F"));
  ASSERT_EQ(lesson.moves.size(), 3U);
  EXPECT_FALSE(lesson.moves[0].is_optional);
  EXPECT_TRUE(lesson.moves[1].is_optional);
  EXPECT_EQ(lesson.moves[1].to, 2U);
  EXPECT_EQ(lesson.moves[1].words,
            describe_move(lesson.shapes[0].shape, lesson.shapes[2].shape).words);
  for (const perform::At<std::string>& chord : lesson.performance.chords)
    EXPECT_NE(chord.value, "Fsus2");
}

TEST(Lesson, AnOptionSaysWhatTheLeftHandDoesThere) {
  const Lesson lesson = lesson_of(
      "section A\n| F | G | Am | C |\n| F | G | F | C |\nor further down\n| F | E | D | C |\n");
  EXPECT_THAT(lesson.sections[0].lines[1].options[0].remarks,
              ::testing::ElementsAre("little finger reaches down a half step to E",
                                     "little finger slides to D, a minor third below its place",
                                     "little finger slides to C, a fourth below its place"));
}

}  // namespace
}  // namespace stillhand::teach
