// The left hand's ladder on 917 real songs, for three hands: McGill Billboard 2.0 (Burgoyne, Wild & Fujinaga, ISMIR
// 2011; CC0) and OpenEWLD (Simonetta 2018; MIT), read from the folder that STILLHAND_DATA names.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <iostream>
#include <map>

#include "arrange/ladder.h"
#include "arrange/left_hand.h"
#include "arrange/left_hand_check.h"
#include "testing/amount.h"
#include "testing/corpus.h"

namespace stillhand::arrange {
namespace {

using hand::HandSize;

constexpr PianoKey kRightHand{53};  // somewhere above F3, the lower end of its preferred register

// The song in five parts, from sparse to fullest, for a student who has met everything.
std::vector<BassTask> tasks_of(const Song& song, const HandSize& size) {
  const auto chords = chart::played_chords(song, chart::perform(song));
  Choices choices;
  choices.hand = size;
  choices.skills = Skills(all_skills().begin(), all_skills().end());
  std::vector<PlayedSection> sections;
  for (const Fullness fullness :
       {Fullness::sparse, Fullness::light, Fullness::middling, Fullness::full, Fullness::fullest})
    sections.push_back({0, 0, fullness});
  const std::vector<Rung> rung = rungs(song, sections, choices);
  std::vector<BassTask> tasks;
  for (std::size_t i = 0; i < chords.size(); ++i) {
    const std::size_t part = i * rung.size() / chords.size();
    BassTask task{std::nullopt, std::nullopt, chords[i].duration, part, song.tonality, rung[part]};
    task.count = song.meter.count_length();
    if (chords[i].chord) {
      task.chord = chords[i].chord;
      task.note = task.chord->bass_note();
      task.below = kRightHand;
    }
    tasks.push_back(task);
  }
  return tasks;
}

struct Tally {
  int notes = 0, walks = 0, walk_notes = 0, wanted = 0, without_figure = 0, octaves = 0;
  std::map<Rung, int> rungs;

  void add(const BassNote& note, const BassTask& task) {
    ++notes;
    ++rungs[note.rung];
    walks += note.walk.empty() ? 0 : 1;
    walk_notes += static_cast<int>(note.walk.size());
    const bool wants = task.rung >= Rung::root_and_fifth && task.rung <= Rung::root_fifth_octave;
    wanted += wants ? 1 : 0;
    without_figure += wants && note.figure.empty() ? 1 : 0;
    for (const FigureNote& part : note.figure) {
      octaves += part.tone == BassTone::octave ? 1 : 0;
      EXPECT_LT(part.pitch.key(), *task.below);
    }
    EXPECT_LT(note.pitch.key(), *task.below);
    for (const WalkNote& walk : note.walk) EXPECT_LT(walk.pitch.key(), *task.below);
  }
};

TEST(LeftHandLadderCorpus, EveryRealSongForEveryHandAndNoOctaveForASmallOne) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  const std::vector<Song> songs = testing::read_corpus_sample();
  ASSERT_EQ(songs.size(), static_cast<std::size_t>(testing::part_of(917)));
  for (const HandSize& size : {HandSize::small(), HandSize::medium(), HandSize::large()}) {
    // All songs for the small hand, every third for the others: the test is long enough.
    const std::size_t step = size.may_play_octaves() ? 3 : 1;
    Tally all;
    for (std::size_t s = 0; s < songs.size(); s += step) {
      const Song& song = songs[s];
      const auto tasks = tasks_of(song, size);
      const LeftHand left = left_hand(tasks, size, LeftHandManner::sliding());
      EXPECT_THAT(check_left_hand(tasks, left, size, LeftHandManner::sliding()),
                  ::testing::IsEmpty())
          << song.title;
      for (std::size_t i = 0; i < tasks.size(); ++i) {
        if (left.bass[i]) all.add(*left.bass[i], tasks[i]);
      }
    }
    std::cout << size.name() << ": " << all.notes << " bass notes, " << all.octaves << " octaves, "
              << all.walks << " walks of " << all.walk_notes << " notes, " << all.without_figure
              << " of " << all.wanted << " without the figure wanted;";
    for (const auto& [rung, notes] : all.rungs)
      std::cout << ' ' << name(rung) << ' ' << notes << ';';
    std::cout << '\n';
    if (size.may_play_octaves()) {
      EXPECT_GT(all.octaves, 0);
    } else {
      EXPECT_EQ(all.octaves, 0);
    }
    EXPECT_GT(all.walks, 0);
    // B flat and B have no fifth below a right hand as low as this one.
    EXPECT_LE(all.without_figure * 5, all.wanted);
  }
}

}  // namespace
}  // namespace stillhand::arrange
