#include "testing/corpus.h"

#include <gtest/gtest.h>

namespace stillhand::testing {
namespace {

TEST(Corpus, EverySongIsRebuiltBarByBar) {
  if (!data_folder()) GTEST_SKIP() << kNoData;
  ASSERT_EQ(read_corpus(Corpus::billboard).size(), 739U);
  ASSERT_EQ(read_corpus(Corpus::openewld).size(), 178U);
  std::size_t bars = 0;
  std::size_t full = 0;
  for (const chart::Song& song : read_whole_corpus()) {
    for (const chart::Line& line : song.sections.front().lines) {
      for (const chart::Bar& bar : line.bars) {
        music::Tick sum{0};
        for (const chart::ChordEvent& event : bar.chords) {
          EXPECT_GT(event.duration, music::Tick(0)) << song.title;
          sum += event.duration;
        }
        EXPECT_EQ(sum, bar.length) << song.title;
        EXPECT_LE(bar.length, bar.meter.bar_length()) << song.title;
        ++bars;
        full += bar.length == bar.meter.bar_length() ? 1U : 0U;
      }
    }
  }
  RecordProperty("bars", static_cast<int>(bars));
  RecordProperty("full_bars", static_cast<int>(full));
  std::cout << full << " of " << bars << " bars fill their meter\n";
}

}  // namespace
}  // namespace stillhand::testing
