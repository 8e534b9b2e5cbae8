#include "arrange/right_hand.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <map>
#include <sstream>

#include "arrange/arrange.h"
#include "testing/build.h"

namespace stillhand::arrange {
namespace {

using hand::Inversion;
using music::parse_chord;
using music::parse_tonality;
using music::Tonality;
using testing::song_of;

constexpr std::array<const char*, 12> kMajor{"C",  "Db", "D",  "Eb", "E",  "F",
                                             "Gb", "G",  "Ab", "A",  "Bb", "B"};
constexpr std::array<const char*, 12> kMinor{"Cm",  "C#m", "Dm",  "Ebm", "Em",  "Fm",
                                             "F#m", "Gm",  "G#m", "Am",  "Bbm", "Bm"};

Choices in_manner(Manner manner) {
  Choices choices;
  choices.manner = std::move(manner);
  return choices;
}

// Only semitones count: everything else is free.
Choices semitones_only() {
  Choices choices;
  choices.manner.right = RightHandWeights{};
  choices.manner.right.semitones = 1;
  return choices;
}

std::string fingers_of(const Shape& shape) {
  std::string out;
  for (const hand::ShapeNote& n : shape.notes)
    out += (out.empty() ? "" : "-") + std::to_string(n.finger.number());
  return out;
}

std::string written(const Shape& shape) {
  std::string out;
  for (const hand::ShapeNote& n : shape.notes) out += (out.empty() ? "" : " ") + text(n.pitch);
  return out + " " + fingers_of(shape);
}

const Shape& shape_for(const Arrangement& a, std::string_view degree) {
  const Chord chord = testing::chord_of(degree, a.song.tonality);
  for (const ShapeChoice& s : a.right.shapes) {
    if (s.chord == chord) return s.shape;
  }
  ADD_FAILURE() << "no shape for " << degree;
  return a.right.shapes.front().shape;
}

int lowest(const Arrangement& a, std::string_view degree) {
  return shape_for(a, degree).lowest().number();
}

// ---- voice leading

// Least total semitones between two triads: Cohn, J. Music Theory 41(1), 1997; Tymoczko, Science 313, 2006; the full
// table was computed from them. Closed shapes always reach the minimum.
TEST(RightHand, TwoTriadSongsReachThePublishedMinimum) {
  const char* folder = std::getenv("STILLHAND_DATA");
  if (folder == nullptr) GTEST_SKIP() << "set STILLHAND_DATA to the folder with the outside data";
  std::ifstream file(std::string(folder) + "/triad_voice_leading.csv");
  ASSERT_TRUE(file);
  const std::map<std::string, std::string> suffixes{
      {"maj", ""}, {"min", "m"}, {"dim", "dim"}, {"aug", "aug"}};
  std::string line;
  std::getline(file, line);
  int pairs = 0;
  while (std::getline(file, line)) {
    std::istringstream row(line);
    std::string from, to, least;
    for (std::string* cell : {&from, &to, &least}) std::getline(row, *cell, ',');
    if (from == to) continue;
    chart::Song song = song_of("I I", *parse_tonality("C"));
    for (std::size_t i = 0; i < 2; ++i) {
      const std::string& harte = i == 0 ? from : to;
      const auto colon = harte.find(':');
      song.sections[0].lines[0].bars[i].chords[0].chord =
          parse_chord(harte.substr(0, colon) + suffixes.at(harte.substr(colon + 1)));
    }
    const auto bars = chart::perform(song);
    const auto task = right_hand_task(song, chart::played_chords(song, bars), semitones_only());
    ASSERT_TRUE(task);
    const Solution s = solve(task->network, 1'000'000);
    EXPECT_EQ(s.cost.value(), 100 * std::stoi(least)) << from << " to " << to;
    ++pairs;
  }
  EXPECT_EQ(pairs, 2304 - 48);
}

// Common practice: these loops, in closest position, need 12 semitones in all; recomputed here.
TEST(RightHand, CommonLoopsNeedTwelveSemitones) {
  for (const char* loop : {"I V vi IV I", "I IV V I"}) {
    const auto a = arrange(song_of(loop, *parse_tonality("C")), semitones_only());
    ASSERT_TRUE(a);
    EXPECT_EQ(a->right.cost, Cost(1200)) << loop;
  }
}

// ---- the handbook cadence, manner "closest"

// Handbook cadence in closest position (common practice, no source): I 1-3-5 in root position, IV6/4 1-3-5, V6 1-2-5;
// with V7: leading tone, seventh, root, 1-4-5. Minor likewise with i, iv and the raised seventh.
TEST(RightHand, HandbookCadenceInAllMajorAndMinorKeys) {
  const auto check = [](const char* key, const std::string& one, const std::string& four) {
    const Tonality tonality = *parse_tonality(key);
    for (const char* five : {"V", "V7"}) {
      const std::string cadence = one + " " + four + " " + one + " " + five + " " + one;
      const auto a = arrange(song_of(cadence, tonality), in_manner(Manner::closest()));
      ASSERT_TRUE(a) << key;
      const Shape& tonic = shape_for(*a, one);
      EXPECT_EQ(tonic.inversion, Inversion::root_position) << key << " " << written(tonic);
      EXPECT_EQ(fingers_of(tonic), "1-3-5") << key;
      const Shape& subdominant = shape_for(*a, four);
      EXPECT_EQ(subdominant.inversion, Inversion::second) << key << " " << written(subdominant);
      EXPECT_EQ(fingers_of(subdominant), "1-3-5") << key;
      EXPECT_EQ(subdominant.lowest(), tonic.lowest()) << key;
      const Shape& dominant = shape_for(*a, five);
      EXPECT_EQ(dominant.inversion, Inversion::first) << key << " " << written(dominant);
      EXPECT_EQ(dominant.lowest(), tonic.lowest() - music::Semitones(1))
          << key << " " << written(dominant);
      ASSERT_EQ(dominant.notes.size(), 3U) << key;
      EXPECT_EQ(dominant.highest(), tonic.highest()) << key;
      EXPECT_EQ(fingers_of(dominant), std::string(five) == "V" ? "1-2-5" : "1-4-5")
          << key << " " << written(dominant);
    }
  };
  for (const char* key : kMajor) check(key, "I", "IV");
  for (const char* key : kMinor) check(key, "i", "iv");
}

// ---- manner "home"

// Songs of our own that move mostly among IV, V, vi and I. One chord a bar.
constexpr std::array<const char*, 18> kHomeSongs{
    "I V vi IV I V vi IV I V vi IV I V I I",        "IV I V vi IV I V vi IV I V vi IV I V V",
    "vi IV I V vi IV I V vi IV I V vi IV V I",      "I IV V I I IV V I IV I V V IV V I I",
    "IV V vi I IV V vi I IV V vi I IV V I I",       "I vi IV V I vi IV V I vi IV V I vi IV V",
    "I V vi IV I V IV IV IV V vi I IV V I I",       "I IV vi V I IV vi V IV V vi V IV V I I",
    "IV V I vi IV V I vi IV V I I IV V vi vi",      "vi V IV V vi V IV V I V vi IV I V IV I",
    "I IV I V I IV I V vi IV I V vi V IV I",        "I V IV I I V IV I vi V IV IV vi V IV I",
    "I IV ii V I IV ii V vi IV ii V I IV V I",      "vi IV ii V I V IV ii V vi IV ii IV V I I",
    "I iii vi IV I iii vi IV I V vi IV V I V I",    "I iii I IV V vi IV I V IV I iii I V vi IV V I",
    "I Isus4 I V vi IV I V vi IV I V IV V Isus4 I", "V IV I I V IV I Isus4 V IV I I vi IV Isus4 I"};

struct HomeShape {
  const char* degree;
  Inversion inversion;
  const char* fingers;
  int above_iv;  // semitones from the lowest key of IV to the lowest key of this shape
};

// Common practice, no source: IV, V, vi in root position sliding by step; I in second inversion beside them (from vi the
// thumb moves a whole step, from V the thumb stays); Isus4 with the little finger a half step up; ii beside IV and iii
// beside I as first inversions.
constexpr std::array<HomeShape, 7> kHomeShapes{{{"IV", Inversion::root_position, "1-3-5", 0},
                                                {"V", Inversion::root_position, "1-3-5", 2},
                                                {"vi", Inversion::root_position, "1-3-5", 4},
                                                {"I", Inversion::second, "1-3-5", 2},
                                                {"ii", Inversion::first, "1-2-5", 0},
                                                {"iii", Inversion::first, "1-2-5", 2},
                                                {"Isus4", Inversion::second, "1-3-5", 2}}};

struct Score {
  int good = 0;
  int all = 0;
};

Score home_score(const char* key) {
  Score score;
  const bool show = std::getenv("STILLHAND_SHOW") != nullptr;
  for (const char* degrees : kHomeSongs) {
    const auto a = arrange(song_of(degrees, *parse_tonality(key)), in_manner(Manner::home()));
    EXPECT_TRUE(a);
    for (const HomeShape& expected : kHomeShapes) {
      const Chord chord = testing::chord_of(expected.degree, a->song.tonality);
      for (const ShapeChoice& s : a->right.shapes) {
        if (!(s.chord == chord)) continue;
        ++score.all;
        const bool good = s.shape.inversion == expected.inversion &&
                          fingers_of(s.shape) == expected.fingers &&
                          s.shape.lowest().number() == lowest(*a, "IV") + expected.above_iv;
        score.good += good ? 1 : 0;
        if (!good && show)
          std::printf("%s  %s: %s = %s\n", key, degrees, expected.degree, written(s.shape).c_str());
      }
    }
  }
  return score;
}

TEST(RightHand, HomeMannerKeepsToCommonPractice) {
  Score five;
  for (const char* key : kMajor) {
    const Score score = home_score(key);
    std::printf("home, %-2s: %d of %d shapes\n", key, score.good, score.all);
    if (std::string(key) == "C") {
      EXPECT_EQ(score.good, score.all);
    }
    if (std::string("C D Eb E F").find(key) != std::string::npos && std::string(key) != "Db") {
      five.good += score.good;
      five.all += score.all;
    }
  }
  std::printf("home, C D Eb E F: %d of %d\n", five.good, five.all);
  EXPECT_GE(five.good * 100, five.all * 95);
}

}  // namespace
}  // namespace stillhand::arrange
