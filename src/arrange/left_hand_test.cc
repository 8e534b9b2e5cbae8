#include "arrange/left_hand.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <limits>
#include <random>
#include <sstream>

#include "arrange/left_hand_check.h"
#include "music/chord.h"

namespace stillhand::arrange {
namespace {

using hand::HandSize;
using music::Mode;
using music::NoteName;
using music::Semitones;
using music::Tonality;
using testing::IsEmpty;

constexpr Tick kBar = music::kQuarter * 4;

Tonality tonality(std::string_view text) { return *music::parse_tonality(text); }

// "D A/C# Bm | G N.C." as whole bars; "|" begins a new section.
std::vector<BassTask> song(std::string_view key, const std::string& chords) {
  std::vector<BassTask> tasks;
  std::istringstream words(chords);
  std::string word;
  std::size_t section = 0;
  while (words >> word) {
    if (word == "|") {
      ++section;
      continue;
    }
    BassTask task{std::nullopt, PianoKey(55), kBar, section, tonality(key)};
    if (word != "N.C.") task.note = music::parse_chord(word)->bass_note();
    tasks.push_back(task);
  }
  return tasks;
}

// The bass line of scale degrees: {1, 7, 6}.
std::vector<BassTask> degrees(Tonality in, const std::vector<int>& line) {
  std::vector<BassTask> tasks;
  for (int degree : line) {
    tasks.push_back({in.degree(degree), std::nullopt, kBar, 0, in});
  }
  return tasks;
}

LeftHand checked(const std::vector<BassTask>& tasks, const LeftHandManner& manner,
                 const HandSize& size = HandSize::medium()) {
  LeftHand left = left_hand(tasks, size, manner);
  EXPECT_THAT(check_left_hand(tasks, left, size, manner), IsEmpty());
  return left;
}

// "C3-G3: C3/5 F#3/2< …": positions where they begin, notes with finger and reach (< down, > up, ~
// slide).
std::string told(const LeftHand& left) {
  std::string out;
  std::optional<std::size_t> position;
  for (const auto& note : left.bass) {
    if (!out.empty()) out += ' ';
    if (!note) {
      out += "N.C.";
      continue;
    }
    if (position != note->position) {
      const Position& at = left.positions[note->position];
      out += text(at.little_finger()) + "-" + text(at.thumb()) + ": ";
      position = note->position;
    }
    out += text(note->pitch) + "/" + std::to_string(note->finger.number());
    if (note->reach == Reach::reach_down) out += '<';
    if (note->reach == Reach::reach_up) out += '>';
    if (note->reach == Reach::slide) out += '~';
  }
  return out;
}

int shifts(const LeftHand& left) {
  return static_cast<int>(std::count_if(left.bass.begin(), left.bass.end(),
                                        [](const auto& note) { return note && note->shifts; }));
}

constexpr std::array kMajorKeys{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"};

// Common practice, no source: little finger on degree 4 and thumb on degree 1 hold the bass of IV,
// V, vi, V over its third and I.
TEST(LeftHand, HoldsTheBassOfFourFiveSixAndOneInOnePositionInEveryMajorKey) {
  for (const char* key : kMajorKeys) {
    const Tonality in = tonality(key);
    const LeftHand left =
        checked(degrees(in, {1, 7, 6, 5, 4, 5, 6, 4, 1, 5, 7, 1}), LeftHandManner::sliding());
    ASSERT_EQ(left.positions.size(), 1u) << key;
    EXPECT_EQ(left.positions[0].little_finger().name, in.degree(4)) << key;
    EXPECT_EQ(left.positions[0].thumb().name, in.degree(1)) << key;
    std::vector<int> fingers;
    for (const auto& note : left.bass) {
      EXPECT_EQ(note->reach, Reach::none) << key;
      fingers.push_back(note->finger.number());
    }
    EXPECT_THAT(fingers, testing::ElementsAre(1, 2, 3, 4, 5, 4, 3, 5, 1, 4, 2, 1)) << key;
  }
}

// Common practice, no source: down out of the position with the little finger, a beginner's way …
TEST(LeftHand, SlidesDownOutOfThePosition) {
  const auto tasks = song("C", "C G/B Am C/G F C/E Dm C");
  const LeftHand left = checked(tasks, LeftHandManner::sliding());
  EXPECT_EQ(told(left), "F2-C3: C3/1 B2/2 A2/3 G2/4 F2/5 E2/5< D2/5~ C2/5~");
  EXPECT_EQ(shifts(left), 0);
}

// … or with one announced shift.
TEST(LeftHand, ShiftsOnceWhereItDoesNotSlide) {
  const auto tasks = song("C", "C G/B Am C/G F C/E Dm C");
  const LeftHand left = checked(tasks, LeftHandManner::shifting());
  EXPECT_EQ(told(left), "F2-C3: C3/1 B2/2 A2/3 C2-G2: G2/1 F2/2 E2/3 D2/4 C2/5");
  EXPECT_EQ(shifts(left), 1);
}

}  // namespace
}  // namespace stillhand::arrange
