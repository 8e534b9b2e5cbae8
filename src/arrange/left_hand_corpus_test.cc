// The left hand on 917 real songs: McGill Billboard 2.0 (Burgoyne, Wild & Fujinaga, ISMIR 2011; CC0) and OpenEWLD
// (Simonetta 2018; MIT), read from the folder that STILLHAND_DATA names.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <iostream>

#include "arrange/left_hand.h"
#include "arrange/left_hand_check.h"
#include "testing/amount.h"
#include "testing/corpus.h"

namespace stillhand::arrange {
namespace {

// The right hand somewhere above F3, the lower end of its preferred register.
constexpr PianoKey kRightHand{53};

std::vector<BassTask> bass_of(const Song& song) {
  std::vector<BassTask> tasks;
  for (const chart::PlayedChord& played : chart::played_chords(song, chart::perform(song))) {
    BassTask task{std::nullopt, std::nullopt, played.duration, played.section, song.tonality};
    if (played.chord) {
      task.note = played.chord->bass_note();
      task.below = kRightHand;
    }
    tasks.push_back(task);
  }
  return tasks;
}

// How often two neighbouring bass notes a half or whole step apart lie farther apart under the hand.
int broken_steps(const LeftHand& left) {
  int broken = 0;
  for (std::size_t i = 1; i < left.bass.size(); ++i) {
    if (!left.bass[i - 1] || !left.bass[i]) continue;
    const int apart = abs(left.bass[i]->pitch.key() - left.bass[i - 1]->pitch.key()).value();
    const int up = apart % 12;
    if (apart > 2 && (up == 1 || up == 2 || up == 10 || up == 11)) ++broken;
  }
  return broken;
}

struct Tally {
  int songs = 0, notes = 0, in_one_position = 0, shifts = 0, reaches = 0, slides = 0, broken = 0;

  void add(const LeftHand& left) {
    ++songs;
    broken += broken_steps(left);
    int own_shifts = 0;
    for (const auto& note : left.bass) {
      if (!note) continue;
      ++notes;
      own_shifts += note->shifts ? 1 : 0;
      slides += note->reach == Reach::slide ? 1 : 0;
      reaches += note->reach == Reach::reach_down || note->reach == Reach::reach_up ? 1 : 0;
    }
    shifts += own_shifts;
    in_one_position += own_shifts == 0 ? 1 : 0;
  }
};

Tally tally(const std::vector<Song>& songs, const LeftHandManner& manner) {
  Tally all;
  for (const Song& song : songs) {
    const auto tasks = bass_of(song);
    const LeftHand left = left_hand(tasks, hand::HandSize::medium(), manner);
    EXPECT_THAT(check_left_hand(tasks, left, hand::HandSize::medium(), manner),
                ::testing::IsEmpty())
        << song.title;
    all.add(left);
  }
  return all;
}

TEST(LeftHandCorpus, EveryRealSongIsPlayedMostOfThemInOnePosition) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  const std::vector<Song> songs = testing::read_corpus_sample();
  for (const auto& [name, manner] : {std::pair{"sliding", LeftHandManner::sliding()},
                                     std::pair{"shifting", LeftHandManner::shifting()}}) {
    const Tally all = tally(songs, manner);
    std::cout << name << ": " << all.songs << " songs, " << all.in_one_position
              << " in one position, " << all.shifts << " shifts; of " << all.notes << " bass notes "
              << all.reaches << " reached, " << all.slides << " slid, " << all.broken
              << " stepwise pairs broken\n";
    EXPECT_EQ(all.songs, testing::part_of(917));
    EXPECT_GE(all.in_one_position * 100, all.songs * 90) << name;
    EXPECT_LE(all.broken * 500, all.notes) << name;
  }
}

}  // namespace
}  // namespace stillhand::arrange
