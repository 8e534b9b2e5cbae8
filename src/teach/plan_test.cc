#include "teach/plan.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <random>
#include <set>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "perform/pattern.h"
#include "teach/section_use.h"
#include "teach/words.h"
#include "testing/corpus.h"
#include "testing/random_songs.h"

namespace stillhand::teach {
namespace {

using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

Lesson lesson_of(const std::string& body, std::optional<music::Tempo> clean_at = std::nullopt) {
  const std::string text = "title T\nkey C\nmeter 4/4\ntempo 80\n" + body;
  const auto parsed = chart::parse(text, "song");
  EXPECT_TRUE(parsed) << (parsed ? "" : render(parsed.error().front()));
  const auto arrangement = arrange::arrange(parsed->song, {});
  EXPECT_TRUE(arrangement);
  return teach(*arrangement, clean_at);
}

// In the order in which they are taught.
std::vector<const Step*> steps_of(const Plan& plan) {
  std::vector<const Step*> out;
  for (const Sitting& sitting : plan.sittings) {
    for (const Step& step : sitting.steps) out.push_back(&step);
  }
  for (const Step& step : plan.options) out.push_back(&step);
  return out;
}

Step step_named(const Plan& plan, std::string_view title) {
  for (const Step* step : steps_of(plan)) {
    if (step->title == title) return *step;
  }
  ADD_FAILURE() << "no step " << title;
  return {};
}

std::vector<std::string> titles(const Plan& plan) {
  std::vector<std::string> out;
  for (const Step* step : steps_of(plan)) out.push_back(step->title);
  return out;
}

// What must hold of every lesson.
void check(const Lesson& lesson) {
  const Plan plan = teaching_plan(lesson);
  std::map<std::size_t, int> shapes, moves, positions, patterns, sections;
  const auto knows = [](const std::map<std::size_t, int>& known, std::size_t i) {
    return known.contains(i);
  };
  for (const Step* step : steps_of(plan)) {
    for (const std::size_t i : step->shapes) ++shapes[i];
    for (const std::size_t i : step->moves) {
      ++moves[i];
      EXPECT_TRUE(knows(shapes, lesson.moves[i].from)) << step->title;
      EXPECT_TRUE(knows(shapes, lesson.moves[i].to)) << step->title;
    }
    for (const std::size_t i : step->positions) ++positions[i];
    for (const std::size_t i : step->patterns) ++patterns[i];
    for (const std::size_t i : step->sections) {
      ++sections[i];
      const SectionUse use = section_use(lesson, i);
      for (const std::size_t shape : use.shapes) EXPECT_TRUE(knows(shapes, shape)) << step->title;
      for (const UsedMove& used : use.moves) EXPECT_TRUE(knows(moves, used.move)) << step->title;
      EXPECT_EQ(step->counts, count_aloud(lesson.sections[i], lesson.note_names));
    }
    const bool is_optional = step->kind == StepKind::option || step->kind == StepKind::unplayed;
    EXPECT_EQ(step->fallback.empty(), !is_optional) << step->title;
    EXPECT_FALSE(step->title.empty());
  }
  const auto each_once = [](const std::map<std::size_t, int>& seen, std::size_t number) {
    return seen.size() == number &&
           std::all_of(seen.begin(), seen.end(), [](const auto& s) { return s.second == 1; });
  };
  EXPECT_TRUE(each_once(shapes, lesson.shapes.size()));
  EXPECT_TRUE(each_once(moves, lesson.moves.size()));
  EXPECT_TRUE(each_once(positions, lesson.positions.size()));
  EXPECT_TRUE(each_once(patterns, lesson.patterns.size()));
  EXPECT_TRUE(each_once(sections, lesson.sections.size()));

  Minutes all;
  for (const Sitting& sitting : plan.sittings) {
    Minutes sum;
    std::size_t fresh = 0;
    std::size_t own = 0;
    for (const Step& step : sitting.steps) {
      sum += step.minutes;
      fresh += step.shapes.size();
      own += step.kind == StepKind::recall ? 0 : 1;
    }
    EXPECT_EQ(sum, sitting.minutes);
    EXPECT_TRUE(sum <= kLongestSitting || own == 1);
    EXPECT_LE(fresh, kMostNewShapes);
    all += sum;
  }
  EXPECT_EQ(all, plan.minutes);
  Minutes optional;
  for (const Step& step : plan.options) optional += step.minutes;
  EXPECT_EQ(optional, plan.optional_minutes);
}

TEST(Plan, GoesFromTheEarToTheWholeSong) {
  const Plan plan = teaching_plan(lesson_of("section A\n| C | F | G | C |\nroad map A twice\n"));
  EXPECT_THAT(titles(plan),
              ElementsAre("Listen and sing", "Clap and count", "Three shapes: C, F and G",
                          "Left hand of A", "Recall", "A in time", "From section to section",
                          "The pattern: plain pulse", "The whole song"));
}

TEST(Plan, ASectionOfManyShapesIsTaughtLineByLine) {
  const Plan plan = teaching_plan(lesson_of("section A\n| C | F | G | C |\n| Am | Dm | G | C |\n"));
  const std::vector<std::string> all = titles(plan);
  const auto at = [&](const char* title) {
    const auto found = std::find(all.begin(), all.end(), title);
    EXPECT_NE(found, all.end()) << title;
    return found;
  };
  EXPECT_LT(at("Three shapes: C, F and G"), at("A, line 1 in time"));
  EXPECT_LT(at("A, line 1 in time"), at("Two shapes: Am and Dm"));
  EXPECT_LT(at("Two shapes: Am and Dm"), at("A in time"));
  ASSERT_EQ(step_named(plan, "A, line 1 in time").counts.lines.size(), 1U);
}

TEST(Plan, ANewShapeComesFromOneThatIsKnownInTheWordsOfTheMove) {
  const Lesson lesson = lesson_of("section A\n| C | G | C | G |\n");
  const Step step = step_named(teaching_plan(lesson), "Two shapes: C and G");
  const std::string words = lesson.moves.at(*find_move(lesson, 0, 1)).words;
  EXPECT_THAT(step.say, Contains("Now G, coming from C. " + words));
  EXPECT_THAT(step.say, Contains("And back to C: the same way, the other way round."));
  EXPECT_THAT(step.say.front(), HasSubstr("Right hand, C: thumb on "));
}

TEST(Plan, AVerseWithTheSameChordsAsksNothingNew) {
  const Plan plan = teaching_plan(lesson_of(
      "section Verse 1\n| C | G |\nsection Verse 2\n| C | G |\nroad map Verse 1, Verse 2\n"));
  const Step second = step_named(plan, "Verse 2 in time");
  EXPECT_EQ(second.why, "The same chords as Verse 1: only the words change.");
  EXPECT_LT(second.minutes, step_named(plan, "Verse 1 in time").minutes + Minutes(1));
}

// The last bar of Verse 1 gives a count to the pick-up of Verse 2.
TEST(Plan, APickUpThatFollowsMakesNoOtherVerse) {
  const Plan plan = teaching_plan(
      lesson_of("section Verse 1\npick-up | C | C | G |\nsection Verse 2\npick-up | C | C | G |\n"
                "road map Verse 1, Verse 2\n"));
  EXPECT_EQ(step_named(plan, "Verse 2 in time").why,
            "The same chords as Verse 1: only the words change.");
}

TEST(Plan, OfTheLeftHandOnlyWhatIsNewIsSaid) {
  Lesson lesson = lesson_of("section A\n| C | G |\n");
  lesson.positions.front().remarks = {"thumb reaches up a whole step to A"};
  lesson.positions.push_back(lesson.positions.front());
  lesson.positions.back().section = "A (second time)";
  check(lesson);
  EXPECT_THAT(
      step_named(teaching_plan(lesson), "Left hand of A").say,
      ElementsAre(HasSubstr("Left hand: little finger on "), HasSubstr("one finger to a key"),
                  "Thumb reaches up a whole step to A.", HasSubstr("Under the chords: ")));
}

TEST(Plan, ThePatternIsSaidCountByCount) {
  Lesson lesson = lesson_of("section A\n| C | G |\n");
  lesson.patterns = {{"p",
                      "",
                      *music::Meter::make(2, 4),
                      {"A"},
                      {{"1", "bass", "chord"},
                       {"and", "-", "chord"},
                       {"2", "fifth", "rest"},
                       {"and", "rest", "next"}}}};
  EXPECT_THAT(
      step_named(teaching_plan(lesson), "The pattern: p").say,
      ElementsAre("Left hand: the bass note on one; the fifth on two.",
                  "Right hand: the chord on one-and; what the next bar brings, early, on the "
                  "“and” of two."));
}

TEST(Plan, TheWayFromSectionToSectionIsTold) {
  const Lesson lesson = lesson_of("section A\n| C | G |\nsection B\n| F | C |\nroad map A, B, A\n");
  const Step step = step_named(teaching_plan(lesson), "From section to section");
  const Move& move = lesson.moves.at(*find_move(lesson, 1, 2));
  EXPECT_THAT(step.say, Contains("A into B: G to F. " + move.words));
  EXPECT_THAT(step.say, Contains("B into A: the right hand stays on C."));
}

TEST(Plan, APickUpIsCountedIn) {
  const Plan plan = teaching_plan(lesson_of("section A\npick-up | G | C | F |\n"));
  EXPECT_THAT(step_named(plan, "Clap and count").say,
              Contains("I count one, two, three, four, one, two, three: the song comes in before "
                       "the bar, on “four”."));
}

TEST(Plan, AnOrLineHasItsFallbackAndStandsApart) {
  const Plan plan = teaching_plan(lesson_of(
      "section A\n| C | F |\nor leaning\n| C | Fsus2 F |\nsection B\n| C | F |\nor leaning\n"
      "| C | Fsus2 F |\n"));
  ASSERT_EQ(plan.options.size(), 1U);
  const Step& step = plan.options[0];
  EXPECT_EQ(step.title, "Leaning");
  EXPECT_EQ(step.why,
            "For a student whose plain line is safe. It may stand in A, line 1; B, line 1.");
  EXPECT_EQ(step.fallback, "the plain line: C, two, three, four | F, two, three, four");
  EXPECT_EQ(step.shapes.size(), 1U);
  EXPECT_GT(plan.optional_minutes, Minutes(0));
}

TEST(Plan, ASectionThatTheRoadMapLeavesOutIsOptional) {
  const Plan plan = teaching_plan(lesson_of("section A\n| C |\nsection B\n| F |\nroad map A\n"));
  ASSERT_EQ(plan.options.size(), 1U);
  EXPECT_EQ(plan.options[0].kind, StepKind::unplayed);
  EXPECT_EQ(plan.options[0].title, "B, which the road map leaves out");
}

TEST(Plan, TheTempoOfTheFirstRunsIsWhereTheStudentPlaysCleanIfThatIsSlower) {
  const Step step =
      step_named(teaching_plan(lesson_of("section A\n| C | F |\n", music::Tempo(30))), "A in time");
  EXPECT_THAT(step.say, Contains("Both hands, 30 counts a minute, where three runs come clean."));
  EXPECT_THAT(step_named(teaching_plan(lesson_of("section A\n| C | F |\n")), "A in time").say,
              Contains("Both hands, 40 to 48 counts a minute."));
}

TEST(Plan, OfNothingIsStillAPlan) {
  check(Lesson{});
  EXPECT_EQ(teaching_plan(Lesson{}).sittings.size(), 1U);
}

TEST(Plan, HoldsForRandomSongs) {
  std::mt19937 random(4);
  for (int i = 0; i < 150; ++i) {
    const chart::Song song = testing::random_song(random);
    const arrange::Choices choices = testing::random_choices(random);
    const auto arrangement = arrange::arrange(song, choices);
    if (!arrangement) continue;
    SCOPED_TRACE(i);
    check(teach(*arrangement));
  }
}

// Real songs: McGill Billboard 2.0 (Burgoyne, Wild & Fujinaga 2011), OpenEWLD (Simonetta 2018).
TEST(Plan, HoldsForRealSongs) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  const auto songs = testing::read_whole_corpus();
  for (std::size_t i = 0; i < songs.size(); i += 25) {
    const auto arrangement = arrange::arrange(songs[i], {});
    ASSERT_TRUE(arrangement) << songs[i].title;
    SCOPED_TRACE(songs[i].title);
    check(teach(*arrangement));
  }
}

TEST(Plan, AVerseThatEndsOtherwiseSaysSoAndIsNotCountedOutAgain) {
  const Step step =
      step_named(teaching_plan(lesson_of("section Verse 1\npick-up | C | C | G |\nsection Verse 2\n"
                                         "pick-up | C | C | G |\nroad map Verse 1, Verse 2\n")),
                 "Verse 2 in time");
  EXPECT_THAT(step.say.front(), ::testing::StartsWith("Count it as Verse 1, but its last bar: G, "
                                                      "two, three, four. Both hands at once, "));
  EXPECT_EQ(step.counted_as, 0U);
}

TEST(Plan, APickUpOnALineOfItsOwnIsNoLine) {
  const Plan plan = teaching_plan(
      lesson_of("section A\npick-up | C |\n| C | F | G | C |\nor leaning\n| C | Fsus2 F | G | C |\n"
                "| Am | Dm | G | C |\n"));
  const Step first = step_named(plan, "A, line 1 in time");
  EXPECT_EQ(first.counts.lines.size(), 2U);
  EXPECT_EQ(plan.options.at(0).why,
            "For a student whose plain line is safe. It may stand in A, line 1.");
}

// After the last bar of the song there is no bar for which the hand would have to come back.
TEST(Plan, AnOrLineWithLessToSayAtTheEndIsTheSameOrLine) {
  Lesson lesson = lesson_of(
      "section A\n| C | F |\nor leaning\n| C | Fsus2 F |\nsection B\n| C | F |\nor leaning\n"
      "| C | Fsus2 F |\n");
  lesson.sections[0].lines[0].options[0].remarks = {
      "hand shifts at F: little finger on F, thumb on C",
      "after it the hand shifts at C: little finger on C, thumb on G"};
  lesson.sections[1].lines[0].options[0].remarks = {
      "hand shifts at F: little finger on F, thumb on C"};
  const Plan plan = teaching_plan(lesson);
  ASSERT_EQ(plan.options.size(), 1U);
  EXPECT_THAT(plan.options[0].say,
              Contains("The left hand shifts at F: little finger on F, thumb on C."));
  EXPECT_THAT(plan.options[0].say,
              Contains("After it the left hand shifts at C: little finger on C, thumb on G."));
}

}  // namespace
}  // namespace stillhand::teach
