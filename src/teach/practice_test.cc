#include "teach/practice.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>
#include <set>

#include "arrange/arrange.h"
#include "chart/chart.h"
#include "teach/section_use.h"
#include "testing/random_songs.h"

namespace stillhand::teach {
namespace {

using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

Lesson lesson_of(const std::string& body, std::optional<music::Tempo> clean_at = std::nullopt) {
  const auto parsed = chart::parse("title T\nkey C\nmeter 4/4\ntempo 80\n" + body, "song");
  EXPECT_TRUE(parsed);
  const auto arrangement = arrange::arrange(parsed->song, {});
  EXPECT_TRUE(arrangement);
  return teach(*arrangement, clean_at);
}

const char* const kSong =
    "section Verse 1\n| C | G | Am | F |\nsection Chorus\n| F | G | C | Dm |\n"
    "section Verse 2\n| C | G | Am | F |\nroad map Verse 1, Chorus, Verse 2, Chorus\n";

std::vector<std::string> aims(const Practice& practice) {
  std::vector<std::string> out;
  for (const PracticeDay& day : practice.days) out.push_back(day.aim);
  return out;
}

void check(const Lesson& lesson) {
  const Practice practice = practice_plan(lesson);
  std::string days;
  for (const PracticeDay& day : practice.days) {
    Minutes sum;
    for (const PracticeBlock& block : day.blocks) {
      sum += block.minutes;
      EXPECT_FALSE(block.what.empty());
      EXPECT_THAT(block.tracks, IsEmpty());
      days += block.what + "\n";
    }
    EXPECT_EQ(sum, day.minutes);
    EXPECT_EQ(sum, kMinutesADay);
    EXPECT_EQ(&day - practice.days.data() + 1, day.number);
    days += day.aim + "\n";
  }
  std::set<std::size_t> drilled;
  for (const Drill& drill : practice.drills) {
    EXPECT_THAT(days, HasSubstr(drill.title));
    for (const std::size_t move : drill.moves) EXPECT_TRUE(drilled.insert(move).second);
  }
  for (const std::size_t hard : lesson.hardest) EXPECT_TRUE(drilled.contains(hard));
  for (const std::size_t section : played_order(lesson))
    EXPECT_THAT(days, HasSubstr(lesson.sections[section].name));
}

TEST(Practice, ADayForEachSectionThenForTheJoinsThenForEachStep) {
  const Practice practice = practice_plan(lesson_of(kSong, music::Tempo(65)));
  EXPECT_THAT(aims(practice),
              ElementsAre("Verse 1 and Verse 2: C, G, Am and F", "Chorus: Dm",
                          "From section to section", "The whole song, 72 counts a minute",
                          "The whole song, 80 counts a minute", "The song at its tempo"));
  EXPECT_EQ(practice.ladder.steps.size(), 3U);
}

TEST(Practice, WithoutAMeasuredTempoTheFirstStepIsFoundByTrial) {
  const Practice practice = practice_plan(lesson_of(kSong));
  EXPECT_THAT(practice.ladder.steps, IsEmpty());
  EXPECT_THAT(aims(practice), Contains("The whole song, first step up"));
  EXPECT_THAT(practice.days[3].blocks[2].what,
              HasSubstr("Find the tempo at which three runs come clean"));
}

TEST(Practice, AtTheSongsTempoAlreadyThereIsNoLadderToClimb) {
  EXPECT_THAT(aims(practice_plan(lesson_of(kSong, music::Tempo(90)))),
              ElementsAre("Verse 1 and Verse 2: C, G, Am and F", "Chorus: Dm",
                          "From section to section", "The song at its tempo"));
}

TEST(Practice, OnlyTracksThatAreThereAreNamed) {
  const Lesson lesson = lesson_of(kSong);
  const Move& hardest = lesson.moves.at(lesson.hardest.front());
  const std::vector<PracticeTrack> tracks{
      {.file = "full.flac", .tempo = TempoPercent(100)},
      {.file = "slow.flac", .tempo = TempoPercent(60)},
      {.file = "verse-right.flac", .tempo = TempoPercent(60), .hand = Hand::right, .section = 0},
      {.file = "verse.flac", .tempo = TempoPercent(60), .section = 0},
      {.file = "pair.flac",
       .tempo = TempoPercent(60),
       .change = std::pair(hardest.to, hardest.from)}};
  const Practice practice = practice_plan(lesson, tracks);
  EXPECT_THAT(practice.drills.front().tracks, ElementsAre("pair.flac"));
  const PracticeDay& first = practice.days.front();
  EXPECT_THAT(first.blocks[1].tracks, ElementsAre("slow.flac"));
  EXPECT_THAT(first.blocks[2].tracks, ElementsAre("verse-right.flac", "verse.flac"));
  EXPECT_THAT(practice.days.back().blocks[2].tracks, ElementsAre("full.flac"));
  EXPECT_THAT(practice.before.back().text, HasSubstr("80 dB(A)"));
  EXPECT_THAT(practice_plan(lesson).before.back().text, ::testing::Not(HasSubstr("80 dB(A)")));
}

TEST(Practice, EveryRuleHasWhatStandsBehindIt) {
  const Practice practice = practice_plan(lesson_of(kSong));
  for (const auto* rules : {&practice.before, &practice.rules}) {
    for (const Rule& rule : *rules) EXPECT_FALSE(rule.claims.empty()) << rule.text;
  }
  for (const Claim claim : all_claims()) EXPECT_FALSE(source(claim).empty());
}

TEST(Practice, HoldsForRandomSongs) {
  std::mt19937 random(5);
  for (int i = 0; i < 150; ++i) {
    const auto arrangement =
        arrange::arrange(testing::random_song(random), testing::random_choices(random));
    if (!arrangement) continue;
    SCOPED_TRACE(i);
    check(teach(*arrangement));
  }
}

TEST(Practice, OfNothingIsStillAPlan) { check(Lesson{}); }

TEST(Practice, ASectionOfManyShapesSaysWhichPartOfItADayHas) {
  const Practice practice = practice_plan(
      lesson_of("section A\n| C | G | Am | F |\n| Dm | Em | E7 | A7 |\n| D7 | G7 |\n"));
  ASSERT_GE(practice.days.size(), 3U);
  EXPECT_EQ(practice.days[0].aim, "A, part one of three: C, G and Am");
  EXPECT_EQ(practice.days[1].aim, "A, part two of three: F, Dm and Em");
  EXPECT_EQ(practice.days[2].aim, "A, part three of three: E7, A7, D7 and G7");
  EXPECT_EQ(practice.days[0].blocks[2].what,
            "The first shapes of A: each from the one before, without time; then the right hand "
            "from the beginning as far as Am, counting aloud. Then the left hand alone.");
  EXPECT_THAT(practice.days[1].blocks[2].what, ::testing::StartsWith("The next shapes of A: "));
  EXPECT_THAT(practice.days[1].blocks[2].what, HasSubstr("as far as Em, counting aloud."));
  EXPECT_EQ(practice.days[1].blocks[1].what,
            "From the day before: C, G and Am, one after the other, once with the left hand.");
  EXPECT_EQ(practice.days[2].blocks[1].what,
            "From the day before: F, Dm and Em, one after the other, once with the left hand.");
}

TEST(Practice, MinutesInsideABlockAreThoseOfTheBlock) {
  const Practice practice = practice_plan(lesson_of(kSong, music::Tempo(40)));
  EXPECT_EQ(practice.days[0].blocks[2].what,
            "Verse 1 and Verse 2: the new shapes from one to the next (2 minutes); then right hand "
            "alone, counting aloud (2); left hand alone (2); both, at 40 counts a minute (3).");
  EXPECT_EQ(practice.days[0].blocks[2].minutes, Minutes(2 + 2 + 2 + 3));
  EXPECT_THAT(practice.days[1].blocks[2].what,
              HasSubstr("the new shape, there and back from the one before (2 minutes)"));
}

TEST(Practice, WhatIsNewIsTriedSlowlyHoweverFastTheLadderBegins) {
  for (const int clean_at : {65, 80}) {
    const Practice practice = practice_plan(lesson_of(kSong, music::Tempo(clean_at)));
    EXPECT_THAT(practice.days[0].blocks[2].what, HasSubstr("both, at 48 counts a minute (3)"));
  }
}

TEST(Practice, EveryStepOfTheLadderHasItsName) {
  const Practice practice = practice_plan(lesson_of(kSong));
  EXPECT_THAT(aims(practice),
              ElementsAre("Verse 1 and Verse 2: C, G, Am and F", "Chorus: Dm",
                          "From section to section", "The whole song, first step up",
                          "The whole song, second step up", "The whole song, third step up",
                          "The whole song, fourth step up", "The song at its tempo"));
  EXPECT_EQ(practice.days[4].blocks[2].what,
            "5 to 10 counts a minute faster than the step before: three clean runs. If they do not "
            "come, stay on this step another day.");
}

TEST(Practice, ThreeRunsOfALongSongAreSpreadOverDays) {
  std::string road_map = "road map Verse 1 30 times, Chorus, Verse 2\n";
  const std::string song(kSong);
  const Practice practice =
      practice_plan(lesson_of(song.substr(0, song.find("road map")) + road_map, music::Tempo(72)));
  EXPECT_EQ(practice.days[3].blocks[2].what,
            "At 80 counts a minute: section by section, three clean runs of each; where the time "
            "is over, go on the next day. Then once from beginning to end, and only then the next "
            "step.");
}

}  // namespace
}  // namespace stillhand::teach
