#include "chart/options.h"

#include <gtest/gtest.h>

#include "chart/chart.h"

namespace stillhand::chart {
namespace {

Song song() {
  return parse(
             "title T\nkey C\nmeter 4/4\nsection A\n| C | F |\n\" one | two |\n|: G | C :|\nor "
             "Leaning\n| Gsus4 | C |\n\" own | |\nor by step\n| G/B | C |\nsection B\n| F | C "
             "|\nor leaning\n| Fsus2 | C |\n",
             "song")
      ->song;
}

std::string chords_of(const Song& song) {
  std::string out;
  for (const PlayedChord& chord : played_chords(song, perform(song)))
    out += (out.empty() ? "" : " ") + text(*chord.chord);
  return out;
}

TEST(ChartOptions, AreFoundInOrderOfWriting) {
  using Places = std::vector<OptionPlace>;
  EXPECT_EQ(all_options(song()), (Places{{0, 1, 0}, {0, 1, 1}, {1, 0, 0}}));
  EXPECT_EQ(first_options(song()), (Places{{0, 1, 0}, {1, 0, 0}}));
  EXPECT_EQ(*options_named(song(), "LEANING"), (Places{{0, 1, 0}, {1, 0, 0}}));
  EXPECT_EQ(*options_named(song(), "by step"), (Places{{0, 1, 1}}));
}

TEST(ChartOptions, OfAnUnknownNameAreAnError) {
  const auto none = options_named(song(), "lean");
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error()[0].fault, Fault::usage);
  EXPECT_EQ(none.error()[0].message, "no `or` line is called `lean`");
  EXPECT_EQ(none.error()[0].suggestion, "there are `Leaning`, `by step` and `leaning`");
}

TEST(ChartOptions, TakenOnesStandInTheirLines) {
  const Song plain = song();
  EXPECT_EQ(chords_of(plain), "C F G C G C F C");
  const Song taken = with_options(plain, first_options(plain));
  EXPECT_EQ(chords_of(taken), "C F Gsus4 C Gsus4 C Fsus2 C");
  EXPECT_TRUE(taken.sections[0].lines[1].options.empty());
  EXPECT_EQ(taken.sections[0].lines[1].bars[0].words, "own");
  EXPECT_EQ(count_played_bars(taken), count_played_bars(plain));
  EXPECT_EQ(with_options(plain, {}), plain);
}

TEST(ChartOptions, ARunOfBarsIsPlayedWithOneTaken) {
  const Song plain = song();
  const auto bars = perform(plain);
  const OptionPlace second{0, 1, 1};
  const auto all = played_chords(plain, bars, second);
  const auto same = played_chords(with_options(plain, {second}), bars);
  ASSERT_EQ(all.size(), same.size());
  for (std::size_t i = 0; i < all.size(); ++i) {
    EXPECT_EQ(all[i].chord, same[i].chord);
    EXPECT_EQ(all[i].start, same[i].start);
    EXPECT_EQ(all[i].duration, same[i].duration);
  }
}

}  // namespace
}  // namespace stillhand::chart
