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
  EXPECT_THAT(aims(practice), Contains("The whole song, one step up"));
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
      {.file = "full.flac", .percent = 100},
      {.file = "slow.flac", .percent = 60},
      {.file = "verse-right.flac", .percent = 60, .hand = Hand::right, .section = 0},
      {.file = "verse.flac", .percent = 60, .section = 0},
      {.file = "pair.flac", .percent = 60, .change = std::pair(hardest.to, hardest.from)}};
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

}  // namespace
}  // namespace stillhand::teach
