// All real songs, in both manners: proven, found right by the checkers (arrange() fails otherwise),
// and the hands never meet. Songs: McGill Billboard 2.0 (Burgoyne, Wild & Fujinaga, ISMIR 2011;
// CC0) and OpenEWLD (Simonetta 2018; MIT).
#include <gtest/gtest.h>

#include <iostream>

#include "arrange/arrange.h"
#include "testing/amount.h"
#include "testing/corpus.h"

namespace stillhand::arrange {
namespace {

// How often a left-hand key does not lie below the right hand.
int meetings(const Arrangement& a) {
  int count = 0;
  for (std::size_t i = 0; i < a.chords.size(); ++i) {
    const Shape* shape = a.shape_at(i);
    if (shape != nullptr && a.left.bass[i] && a.left.bass[i]->pitch.key() >= shape->lowest())
      ++count;
  }
  return count;
}

TEST(Corpus, EverySongIsArrangedWithProofAndTheHandsNeverMeet) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  const auto songs = testing::read_corpus_sample();
  ASSERT_EQ(songs.size(), static_cast<std::size_t>(testing::part_of(917)));
  for (const Manner& manner : {Manner::home(), Manner::closest()}) {
    Choices choices;
    choices.manner = manner;
    for (const Song& song : songs) {
      const Result<Arrangement> a = arrange(song, choices);
      ASSERT_TRUE(a) << song.title << ": " << render(a.error().front());
      EXPECT_EQ(a->right.status, Status::optimal) << song.title;
      EXPECT_EQ(a->left.status, Status::optimal) << song.title;
      EXPECT_EQ(meetings(*a), 0) << song.title;
    }
  }
}

// A small hand has a shape for every chord of the collections, and a large hand too.
TEST(Corpus, SmallAndLargeHandsPlayEverySong) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  const auto songs = testing::read_corpus_sample();
  for (const hand::HandSize& size : {hand::HandSize::small(), hand::HandSize::large()}) {
    Choices choices;
    choices.hand = size;
    for (const Song& song : songs) {
      const Result<Arrangement> a = arrange(song, choices);
      if (!a) {
        ADD_FAILURE() << size.name() << ": " << song.title << ": " << render(a.error().front());
        continue;
      }
      EXPECT_EQ(a->right.status, Status::optimal) << song.title;
      EXPECT_EQ(meetings(*a), 0) << song.title;
    }
  }
}

}  // namespace
}  // namespace stillhand::arrange
