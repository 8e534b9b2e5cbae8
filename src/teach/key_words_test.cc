#include "teach/key_words.h"

#include <gtest/gtest.h>

#include "chart/chart.h"
#include "teach/tempo_ladder.h"

namespace stillhand::teach {
namespace {

chart::Range range(const char* lowest, const char* highest) {
  return {*music::parse_pitch(lowest), *music::parse_pitch(highest)};
}

std::string words(const char* lowest, const char* highest) {
  chart::Song song;
  song.range = range(lowest, highest);
  return range_in_words(*arrange::range_fit(song, arrange::kCongregation), arrange::kCongregation);
}

TEST(KeyWords, Range) {
  EXPECT_EQ(words("A3", "D5"), "melody A3 to D5");
  EXPECT_EQ(words("C4", "E5"), "melody C4 to E5: top note E5 is a whole step above D5");
  EXPECT_EQ(words("C4", "Eb5"), "melody C4 to E♭5: top note E♭5 is a half step above D5");
  EXPECT_EQ(words("F#3", "B4"), "melody F♯3 to B4: lowest note F♯3 is a minor third below A3");
  EXPECT_EQ(words("G3", "E5"),
            "melody G3 to E5: top note E5 is a whole step above D5, lowest note G3 is a whole step "
            "below A3");
  EXPECT_EQ(words("C5", "G5"), "melody C4 to G4, sung an octave lower");
  EXPECT_EQ(words("C3", "G3"), "melody C4 to G4, sung an octave higher");
}

TEST(KeyWords, Reasons) {
  const auto song = chart::parse("key C\nsection A\n| C | F | G | C |\n", "test")->song;
  const auto options = arrange::rank_keys(song, {});
  EXPECT_EQ(music::text(options.front().tonality), "C");
  EXPECT_EQ(reasons(options.front(), arrange::kCongregation),
            (std::vector<std::string>{"the right hand's cost is 1 % above the least",
                                      "hardly a note on a black key", "left hand in one position",
                                      "no sharps or flats"}));
}

TEST(TempoLadder, EvenStepsFromWhereThreeRunsComeClean) {
  for (int first = 10; first < 400; ++first) {
    for (int last = first + 5; last <= 400; last += 7) {
      const auto steps = tempo_ladder(music::Tempo(last), music::Tempo(first)).steps;
      ASSERT_EQ(steps.front().value(), first);
      ASSERT_EQ(steps.back().value(), last);
      for (std::size_t i = 1; i < steps.size(); ++i) {
        const int step = (steps[i] - steps[i - 1]).value();
        ASSERT_TRUE(step >= 5 && step <= 10) << first << " to " << last;
      }
    }
  }
}

TEST(TempoLadder, Words) {
  EXPECT_EQ(tempo_ladder(music::Tempo(96), music::Tempo(60)).words,
            "60, 69, 78, 87, 96 counts a minute: three clean runs before each next step.");
  EXPECT_EQ(tempo_ladder(music::Tempo(96), music::Tempo(93)).words,
            "93, 96 counts a minute: three clean runs before each next step.");
  EXPECT_EQ(tempo_ladder(music::Tempo(96), music::Tempo(100)).words,
            "At the song's tempo already: 96 counts a minute.");
  EXPECT_EQ(tempo_ladder(music::Tempo(96), std::nullopt).words,
            "Find the first step by trial: the fastest tempo at which three runs in a row come "
            "clean. Then up by 5 to 10 counts a minute after every three clean runs, to 96.");
  EXPECT_TRUE(tempo_ladder(music::Tempo(96), std::nullopt).steps.empty());
}

}  // namespace
}  // namespace stillhand::teach
