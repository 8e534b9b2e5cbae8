#include "arrange/difficulty.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "arrange/arrange.h"
#include "arrange/embedded.h"
#include "chart/chart.h"
#include "testing/amount.h"
#include "testing/build.h"
#include "testing/corpus.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

using hand::Inversion;

chart::Song song(const std::string& text) {
  const auto parsed = chart::parse(text, "test");
  EXPECT_TRUE(parsed) << render(parsed.error().front());
  return parsed->song;
}

SongDifficulty judged(const chart::Song& song) {
  const auto a = arrange(song, Choices{});
  EXPECT_TRUE(a) << render(a.error().front());
  return difficulty(*a);
}

Shape shape(const char* chord, std::initializer_list<const char*> pitches,
            std::initializer_list<int> fingers) {
  std::vector<Pitch> notes;
  for (const char* pitch : pitches) notes.push_back(*music::parse_pitch(pitch));
  std::vector<Finger> hand;
  for (const int finger : fingers) hand.emplace_back(finger);
  return *hand::shape_of(*music::parse_chord(chord), notes, hand);
}

std::int64_t value(const Difficulty& d, Factor factor) {
  return d.factors[static_cast<std::size_t>(factor)].value;
}

// Worked by hand from log2(D/W + 1) of MacKenzie 1992; where D/W + 1 is a power of two it is exact.
TEST(IndexOfDifficulty, ByHand) {
  const auto bits = [](int distance, int width) {
    return index_of_difficulty(Millimetre(distance), Millimetre(width)).value();
  };
  EXPECT_EQ(bits(0, 235), 0);
  EXPECT_EQ(bits(235, 235), 1000);   // one white key: log2(2)
  EXPECT_EQ(bits(470, 235), 1584);   // two: log2(3) = 1.58496
  EXPECT_EQ(bits(705, 235), 2000);   // three: log2(4)
  EXPECT_EQ(bits(1645, 235), 3000);  // seven: log2(8)
  EXPECT_EQ(bits(95, 95), 1000);     // C to C#, a narrower key: log2(2)
  EXPECT_EQ(bits(140, 95), 1306);    // log2(2.47368) = 1.30666
}

// The tapping task of Fitts 1954 had targets of 2, 1, 0.5 and 0.25 inch at 2, 4, 8 and 16 inch (from memory): amplitudes of
// 1 to 64 widths. In the Shannon form (MacKenzie 1992) that is log2(1 + 1) = 1 to log2(64 + 1) = 6.022 bits.
TEST(IndexOfDifficulty, TheTappingTaskOfFitts) {
  const std::vector<std::int64_t> expected{1000, 1584, 2321, 3169, 4087, 5044, 6022};
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_EQ(index_of_difficulty(Millimetre(1 << i), Millimetre(1)).value(), expected[i]);
  }
}

TEST(IndexOfDifficulty, AgreesWithTheLogarithmAndNeverFalls) {
  for (const int width : {95, 235}) {
    std::int64_t before = 0;
    for (int distance = 0; distance <= 12'000; ++distance) {
      const std::int64_t got = index_of_difficulty(Millimetre(distance), Millimetre(width)).value();
      ASSERT_NEAR(static_cast<double>(got),
                  1000 * std::log2(static_cast<double>(distance) / width + 1), 1.001)
          << distance;
      ASSERT_GE(got, before);
      before = got;
    }
  }
}

TEST(MoveDifficulty, AHandThatSlidesMovesAsOne) {
  const auto c = shape("C", {"C4", "E4", "G4"}, {1, 3, 5});
  const auto f = shape("F", {"F4", "A4", "C5"}, {1, 3, 5});
  const MoveDifficulty up = move_difficulty(c, f);
  EXPECT_EQ(up.farthest, Millimetre(705));
  EXPECT_EQ(up.index, Millibits(2000));
  EXPECT_EQ(up.fingers.size(), 3u);
}

TEST(MoveDifficulty, EachFingerForItself) {
  // C-E-G to C-F-A: finger 3 up 23.5 mm, little finger up 23.0 mm, the thumb stays.
  const MoveDifficulty d = move_difficulty(shape("C", {"C4", "E4", "G4"}, {1, 3, 5}),
                                           shape("F", {"C4", "F4", "A4"}, {1, 3, 5}));
  EXPECT_EQ(d.farthest, Millimetre(235));
  EXPECT_EQ(d.index, Millibits(1250));
}

TEST(MoveDifficulty, ANewFingerComesFromWhereItRested) {
  // Finger 2 rested over D, between thumb and finger 3 (C-E); it takes E, 23.5 mm on.
  const MoveDifficulty d = move_difficulty(shape("C", {"C4", "E4", "G4"}, {1, 3, 5}),
                                           shape("Am", {"C4", "E4", "A4"}, {1, 2, 5}));
  ASSERT_EQ(d.fingers.size(), 2u);
  EXPECT_EQ(d.fingers[0],
            (FingerTravel{Finger(2), PianoKey(64), Millimetre(235), Millibits(1000)}));
  EXPECT_EQ(d.fingers[1].finger, Finger(5));
}

TEST(MoveDifficulty, StayingIsNothing) {
  const auto c = shape("C", {"C4", "E4", "G4"}, {1, 3, 5});
  EXPECT_EQ(move_difficulty(c, c).index, Millibits(0));
}

TEST(BassDifficulty, NothingInThePositionAndTheWholeWayInAShift) {
  const auto position = [](std::initializer_list<const char*> pitches) {
    Position p;
    for (const char* pitch : pitches) p.keys.push_back(*music::parse_pitch(pitch));
    return p;
  };
  const std::vector<Position> positions{position({"C3", "D3", "E3", "F3", "G3"}),
                                        position({"F3", "G3", "A3", "B3", "C4"})};
  const auto bass = [](const char* pitch, int finger, std::size_t at) {
    BassNote note;
    note.pitch = *music::parse_pitch(pitch);
    note.finger = Finger(finger);
    note.position = at;
    return note;
  };
  EXPECT_TRUE(bass_difficulty(positions, bass("C3", 5, 0), bass("G3", 1, 0)).fingers.empty());
  // A reach of the little finger from C to B: 23.5 mm.
  EXPECT_EQ(bass_difficulty(positions, bass("C3", 5, 0), bass("B2", 5, 0)).index, Millibits(1000));
  // The little finger goes from C3 to F3.
  EXPECT_EQ(bass_difficulty(positions, bass("C3", 5, 0), bass("F3", 5, 1)).index, Millibits(2000));
}

// The trade's rule: the closest shapes of a loop are easier than its root positions (common practice, no source).
TEST(SongDifficulty, RootPositionsAreHarderThanClosestShapes) {
  const std::string loop = "key C\ntempo 80\nsection All\n| C | G | Am | F |\n| C | G | Am | F |\n";
  const auto closest = judged(
      song(loop + "shape C C4 E4 G4\nshape G B3 D4 G4\nshape Am C4 E4 A4\nshape F C4 F4 A4\n"));
  const auto roots = judged(
      song(loop + "shape C C4 E4 G4\nshape G G3 B3 D4\nshape Am A3 C4 E4\nshape F F3 A3 C4\n"));
  EXPECT_GT(roots.song.points, closest.song.points);
  EXPECT_GT(roots.right.front().needed, closest.right.front().needed);
  EXPECT_GT(value(roots.song, Factor::farthest_finger),
            value(closest.song, Factor::farthest_finger));
}

TEST(SongDifficulty, ThreeChordsInCAreEasierThanSevenInDFlat) {
  const auto easy = judged(testing::song_of("I IV V I I IV V I", *music::parse_tonality("C")));
  const auto hard =
      judged(testing::song_of("I ii iii IV V7 vi IVmaj7 I", *music::parse_tonality("Db")));
  EXPECT_LT(easy.song.points, hard.song.points);
}

TEST(SongDifficulty, SectionsAreJudgedApart) {
  const auto d = judged(
      song("key C\nsection Easy\n| C | C | F | C |\nsection Hard\n| C F | G7 Am | Dm E7 | F G |\n"
           "section Never\n| C |\nroad map Easy, Hard\n"));
  ASSERT_EQ(d.sections.size(), 3u);
  ASSERT_TRUE(d.sections[0] && d.sections[1]);
  EXPECT_LT(d.sections[0]->points, d.sections[1]->points);
  EXPECT_FALSE(d.sections[2]);
}

TEST(SongDifficulty, SyncopatedChordsAreCounted) {
  const auto on = judged(song("key C\nsection A\n| C F |\n| C F |\n"));
  const auto off = judged(song("key C\nsection A\n| C (- F) - - |\n| C F |\n"));
  EXPECT_EQ(value(on.song, Factor::syncopation), 0);
  EXPECT_EQ(value(off.song, Factor::syncopation), 25);
}

TEST(SongDifficulty, EveryFactorHasItsLineInTheTable) {
  for (const Factor factor : all_factors()) {
    EXPECT_GT(points_of(data::difficulty_tsv, name(factor), 1'000'000).value(), 0) << name(factor);
  }
}

TEST(SongDifficulty, Words) {
  const auto d = judged(song("key C\ntempo 60\nsection A\n| C | F |\n| C | F |\n"));
  std::vector<std::string> words;
  for (const FactorValue& factor : d.song.factors) words.push_back(in_words(factor));
  const std::vector<std::string> expected{"2 shapes",
                                          "a finger goes up to 23.5 mm",
                                          "a move asks up to 0.31 bits a second",
                                          "0.75 changes a bar",
                                          "0 % of the right hand on black keys",
                                          "0 left-hand shifts in 100 bars",
                                          "0 % of the chords between counts",
                                          "60 counts a minute"};
  EXPECT_EQ(words, expected);
}

TEST(SongDifficulty, TheScaleRises) {
  EXPECT_EQ(easier_songs(Points(0)), SongsInTen(0));
  EXPECT_EQ(easier_songs(Points(100'000)), SongsInTen(9));
  for (int points = 1; points < 1000; ++points)
    EXPECT_LE(easier_songs(Points(points - 1)), easier_songs(Points(points)));
}

// McGill Billboard 2.0 (Burgoyne, Wild & Fujinaga, ISMIR 2011) and OpenEWLD (Simonetta 2018), home manner, medium hand.
TEST(DifficultyCorpus, TheScaleIsThatOfTheRealSongs) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  if (testing::kSampleOnly) GTEST_SKIP() << testing::kNeedsAll;
  std::vector<Points> all;
  for (const chart::Song& song : testing::read_whole_corpus()) {
    const auto a = arrange(song, {});
    ASSERT_TRUE(a);
    all.push_back(difficulty(*a).song.points);
  }
  std::sort(all.begin(), all.end());
  std::string expected;
  for (std::size_t i = 1; i < 10; ++i)
    expected += std::to_string(i) + "\t" + std::to_string(all[all.size() * i / 10].value()) + "\n";
  const std::string table(data::difficulty_scale_tsv);
  EXPECT_EQ(table.substr(std::min(table.find("\n1\t"), table.size() - 1) + 1), expected);
}

TEST(SongDifficulty, FasterIsNeverEasierAndAShiftNeverHelps) {
  std::mt19937 random(11);
  int judged_songs = 0;
  for (int i = 0; i < 60; ++i) {
    const chart::Song drawn = testing::random_song(random);
    auto a = arrange(drawn, Choices{});
    if (!a) continue;
    ++judged_songs;
    const SongDifficulty before = difficulty(*a);
    Arrangement faster = *a;
    faster.song.tempo = music::Tempo(std::min(400, a->song.tempo.value() + 17));
    const SongDifficulty after = difficulty(faster);
    ASSERT_GE(after.song.points, before.song.points);
    for (std::size_t f = 0; f < before.song.factors.size(); ++f)
      ASSERT_GE(after.song.factors[f].points, before.song.factors[f].points);
    for (auto& bass : a->left.bass) {
      if (!bass || bass->shifts) continue;
      bass->shifts = true;
      ASSERT_GE(difficulty(*a).song.points, before.song.points);
      break;
    }
    // Ranked: what is asked never rises down the list.
    for (std::size_t m = 1; m < before.right.size(); ++m)
      ASSERT_GE(before.right[m - 1].needed, before.right[m].needed);
  }
  EXPECT_GT(judged_songs, 40);
}

}  // namespace
}  // namespace stillhand::arrange
