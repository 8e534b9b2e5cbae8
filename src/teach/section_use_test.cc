#include "teach/section_use.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "arrange/arrange.h"
#include "chart/chart.h"

namespace stillhand::teach {
namespace {

using ::testing::ElementsAre;
using ::testing::UnorderedElementsAre;

Lesson lesson_of(const std::string& body) {
  const auto parsed = chart::parse("title T\nkey C\nmeter 4/4\n" + body, "song");
  EXPECT_TRUE(parsed);
  const auto arrangement = arrange::arrange(parsed->song, {});
  EXPECT_TRUE(arrangement);
  return teach(*arrangement);
}

// "C>G at 2"
std::vector<std::string> moves_of(const Lesson& lesson, const SectionUse& use) {
  std::vector<std::string> out;
  for (const UsedMove& used : use.moves) {
    const Move& move = lesson.moves[used.move];
    out.push_back(lesson.shapes[move.from].chord + ">" + lesson.shapes[move.to].chord + " at " +
                  std::to_string(used.bar));
  }
  return out;
}

TEST(SectionUse, ShapesAndMovesInTheOrderTheyAreNeeded) {
  const Lesson lesson = lesson_of("section A\npick-up | G | C | F G | C |\n");
  const SectionUse use = section_use(lesson, 0);
  EXPECT_THAT(moves_of(lesson, use), ElementsAre("G>C at 1", "C>F at 2", "F>G at 2"));
  EXPECT_EQ(use.shapes.size(), 3U);
  EXPECT_EQ(use.first_shape, 0U);
  EXPECT_EQ(lesson.shapes[*use.last_shape].chord, "C");
}

TEST(SectionUse, ARepeatGoesBack) {
  const Lesson lesson = lesson_of("section A\n| F |: C | G :| Am |\n");
  EXPECT_THAT(moves_of(lesson, section_use(lesson, 0)),
              ElementsAre("F>C at 2", "C>G at 3", "G>C at 3", "G>Am at 4"));
}

TEST(SectionUse, EndingsFollowWhatPrecedesThem) {
  const Lesson lesson = lesson_of("section A\n|: C | F |1. G :|2. Am | C |\n");
  EXPECT_THAT(moves_of(lesson, section_use(lesson, 0)),
              UnorderedElementsAre("C>F at 2", "F>G at 3", "G>C at 4", "F>Am at 4", "Am>C at 5"));
}

TEST(SectionUse, AnOptionHasItsWaysInAndOut) {
  const Lesson lesson = lesson_of("section A\n| C |\n| F |\nor leaning\n| Fsus2 F |\n| G |\n");
  EXPECT_THAT(moves_of(lesson, option_use(lesson, 0, 1, 0)),
              ElementsAre("C>Fsus2 at 2", "Fsus2>F at 2", "F>G at 3"));
}

TEST(SectionUse, SectionsComeAsTheRoadMapDoes) {
  const Lesson lesson =
      lesson_of("section A\n| C |\nsection B\n| F |\nsection C\n| G |\nroad map B, A, B twice\n");
  EXPECT_THAT(played_order(lesson), ElementsAre(1, 0));
  EXPECT_THAT(joins(lesson), ElementsAre(Join{1, 0}, Join{0, 1}, Join{1, 1}));
}

}  // namespace
}  // namespace stillhand::teach
