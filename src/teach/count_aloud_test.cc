// The lines were counted by hand.
#include "teach/count_aloud.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "arrange/arrange.h"
#include "chart/chart.h"

namespace stillhand::teach {
namespace {

using music::NoteNames;
using ::testing::ElementsAre;

Lesson lesson_of(const std::string& chart) {
  const auto parsed = chart::parse("title T\nkey C\n" + chart, "song");
  EXPECT_TRUE(parsed) << (parsed ? "" : render(parsed.error().front()));
  const auto arrangement = arrange::arrange(parsed->song, {});
  EXPECT_TRUE(arrangement);
  return teach(*arrangement);
}

std::vector<std::string> counted(const std::string& chart, std::size_t section = 0,
                                 NoteNames names = NoteNames::english) {
  const Lesson lesson = lesson_of(chart);
  std::vector<std::string> out;
  for (const CountedLine& line : count_aloud(lesson.sections.at(section), names).lines)
    out.push_back(in_words(line));
  return out;
}

TEST(CountAloud, ANameWhereAChordComesANumberWhereItStays) {
  EXPECT_THAT(
      counted("meter 4/4\nsection A\n| C | G C/E | F - - G | C |\n"),
      ElementsAre(
          "C, two, three, four | G, two, C/E, four | F, two, three, G | C, two, three, four"));
  EXPECT_THAT(counted("meter 4/4\nsection A\n| C G F C | Am |\n"),
              ElementsAre("C, G, F, C | Am, two, three, four"));
}

TEST(CountAloud, OtherMeters) {
  EXPECT_THAT(counted("meter 3/4\nsection A\n| C | F - G | C F G |\n"),
              ElementsAre("C, two, three | F, two, G | C, F, G"));
  EXPECT_THAT(counted("meter 2/2\nsection A\n| C | F G |\n"), ElementsAre("C, two | F, G"));
  EXPECT_THAT(counted("meter 5/4\nsection A\n| C - - G - |\n"),
              ElementsAre("C, two, three, G, five"));
  EXPECT_THAT(counted("meter 7/8\nsection A\n| C - - - G - - |\n"),
              ElementsAre("C, two, three, four, G, six, seven"));
}

// The eighths, as the patterns count them.
TEST(CountAloud, CompoundMeters) {
  EXPECT_THAT(counted("meter 6/8\nsection A\n| C | F G | (C - G) F |\n"),
              ElementsAre("C, two, three, four, five, six | F, two, three, G, five, six | "
                          "C, two, G, F, five, six"));
  EXPECT_THAT(counted("meter 3/8\nsection A\n| C | F |\n"),
              ElementsAre("C, two, three | F, two, three"));
  EXPECT_THAT(counted("meter 12/8\nsection A\n| C F G C |\n"),
              ElementsAre("C, two, three, F, five, six, G, eight, nine, C, eleven, twelve"));
}

TEST(CountAloud, ChordsThatShareACountAreJoined) {
  EXPECT_THAT(counted("meter 4/4\nsection A\n| (C G) F - C |\n"), ElementsAre("C–G, F, three, C"));
  EXPECT_THAT(counted("meter 4/4\nsection A\n| C - (- G) F |\n"),
              ElementsAre("C, two, three–G, F"));
}

TEST(CountAloud, AHeldChordGoesOnUnlessALineBegins) {
  EXPECT_THAT(counted("meter 4/4\nsection A\n| C | C G | G |\n| G | F |\n"),
              ElementsAre("C, two, three, four | one, two, G, four | one, two, three, four",
                          "G, two, three, four | F, two, three, four"));
}

TEST(CountAloud, PickUpsHaveTheLastCounts) {
  EXPECT_THAT(counted("meter 3/4\nsection A\npick-up | G | G | C |\n"),
              ElementsAre("G | G, two, three | C, two, three"));
  EXPECT_THAT(counted("meter 4/4\nsection A\npick-up | N.C. | C | F |\n"),
              ElementsAre("four | C, two, three, four | F, two, three, four"));
  EXPECT_THAT(counted("meter 4/4\nsection A\npick-up | G - | C |\n"),
              ElementsAre("G, four | C, two, three, four"));
}

// The last bar of A gives its third count to the pick-up of B.
TEST(CountAloud, ABarCutByAPickUpEndsThere) {
  const std::string chart =
      "meter 3/4\nsection A\n| C | F |\nsection B\npick-up | G | C | F |\nroad map A, B\n";
  EXPECT_THAT(counted(chart), ElementsAre("C, two, three | F, two"));
  EXPECT_THAT(counted(chart, 1), ElementsAre("G | C, two, three | F, two, three"));
}

TEST(CountAloud, AnotherChordOnTheLastCountIsNotAlike) {
  const Lesson lesson = lesson_of("meter 4/4\nsection A\n| C - - F |\nsection B\n| C - - Fm |\n");
  const CountAloud plain = count_aloud(lesson.sections.at(0), NoteNames::english);
  const CountAloud minor = count_aloud(lesson.sections.at(1), NoteNames::english);
  EXPECT_FALSE(is_counted_alike(plain, minor));
  EXPECT_FALSE(is_counted_alike(minor, plain));
  EXPECT_TRUE(is_counted_alike(plain, plain));
}

TEST(CountAloud, RestWhereNothingIsPlayed) {
  EXPECT_THAT(counted("meter 4/4\nsection A\n| C - N.C. - | F |\n"),
              ElementsAre("C, two, rest, four | F, two, three, four"));
}

TEST(CountAloud, RepeatsAreReadOnce) {
  EXPECT_THAT(counted("meter 4/4\nsection A\n|: C | F :|\n"),
              ElementsAre("C, two, three, four | F, two, three, four | again"));
  EXPECT_THAT(
      counted("meter 4/4\nsection A\n| G |: C | F :| 3 times\n"),
      ElementsAre("G, two, three, four | from here: C, two, three, four | F, two, three, four | "
                  "again, three times in all"));
  EXPECT_THAT(counted("meter 4/4\nsection A\n|: C |1. F :|2. G | C |\n"),
              ElementsAre("C, two, three, four | first time: F, two, three, four | again | "
                          "second time: G, two, three, four | C, two, three, four"));
}

TEST(CountAloud, AVampGoesOnUntilTheCue) {
  EXPECT_THAT(counted("meter 4/4\nsection A\n|: C | F :| vamp 4 times\n| G |\n").front(),
              "C, two, three, four | F, two, three, four | again and again, until the cue");
}

TEST(CountAloud, AChangeOfMeterIsSaid) {
  EXPECT_THAT(counted("meter 4/4\nsection A\n| C |\nmeter 3/4\n| F |\n"),
              ElementsAre("C, two, three, four", "now 3/4: F, two, three"));
}

TEST(CountAloud, InTheStudentsNames) {
  EXPECT_THAT(counted("meter 4/4\nsection A\n| Bb | B7/D# |\n", 0, NoteNames::german),
              ElementsAre("B, two, three, four | H7/D♯, two, three, four"));
  EXPECT_THAT(counted("meter 4/4\nsection A\n| F#m |\n", 0, NoteNames::do_re_mi),
              ElementsAre("Fa♯m, two, three, four"));
}

TEST(CountAloud, AnOptionAlone) {
  const Lesson lesson = lesson_of("meter 4/4\nsection A\n| C | F |\nor leaning\n| C | Fsus2 F |\n");
  EXPECT_EQ(in_words(count_aloud(lesson.sections[0].lines[0].options[0], NoteNames::english)),
            "C, two, three, four | Fsus2, two, F, four");
}

TEST(CountAloud, ASectionIsCountedAsOneBeforeItButForItsEnd) {
  const Lesson lesson =
      lesson_of("meter 3/4\nsection A\npick-up | G | C | G |\nsection B\npick-up | G | C | G |\n");
  const CountAloud first = count_aloud(lesson.sections.at(0), NoteNames::english);
  const CountAloud second = count_aloud(lesson.sections.at(1), NoteNames::english);
  ASSERT_TRUE(is_counted_alike(first, second));
  EXPECT_EQ(counted_as("A", first, second), "as A, but its last bar: G, two, three");
  EXPECT_EQ(counted_as("A", first, first), "as A");
}

TEST(CountAloud, TimesInWords) {
  EXPECT_EQ(at_its_time("Chorus", 1), "Chorus");
  EXPECT_EQ(at_its_time("Chorus", 2), "Chorus (second time)");
  EXPECT_EQ(at_its_time("Chorus", 12), "Chorus (twelfth time)");
  EXPECT_EQ(ordinal_in_words(13), "13th");
  EXPECT_EQ(ordinal_in_words(20), "20th");
  EXPECT_EQ(ordinal_in_words(21), "21st");
  EXPECT_EQ(ordinal_in_words(22), "22nd");
  EXPECT_EQ(ordinal_in_words(103), "103rd");
  EXPECT_EQ(ordinal_in_words(111), "111th");
}

}  // namespace
}  // namespace stillhand::teach
