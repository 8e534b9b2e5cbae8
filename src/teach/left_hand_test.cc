#include "teach/left_hand.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "arrange/arrange.h"
#include "testing/build.h"

namespace stillhand::teach {
namespace {

using arrange::Rung;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

Lesson lesson(std::string_view degrees, std::optional<Rung> rung, std::string_view key = "C") {
  arrange::Choices choices;
  choices.rung = rung;
  const auto song = testing::song_of(degrees, *music::parse_tonality(key));
  return teach(*arrange::arrange(song, choices));
}

// "All: …; …" for each entry.
std::vector<std::string> told(const Lesson& lesson) {
  std::vector<std::string> out;
  for (const SectionPosition& entry : lesson.positions) {
    std::string line = entry.section + ":";
    for (const std::string& remark : entry.remarks) line += " " + remark + ";";
    out.push_back(line);
  }
  return out;
}

TEST(LeftHandWords, ThePositionSaysNothingButItsReaches) {
  const Lesson plain = lesson("I V vi IV", std::nullopt);
  EXPECT_THAT(told(plain), ElementsAre("All:"));
  EXPECT_EQ(plain.positions[0].rung, Rung::position);
  EXPECT_TRUE(plain.one_position);
}

TEST(LeftHandWords, OneRoot) {
  EXPECT_THAT(told(lesson("I V vi IV", Rung::one_root)),
              ElementsAre("All: one root for each chord;"));
}

// Little finger and thumb on the keys that name the place: no more is said of a chord.
TEST(LeftHandWords, RootAndFifthGoWithTheChord) {
  EXPECT_THAT(told(lesson("I IV V I", Rung::root_and_fifth)),
              ElementsAre("All for C: root and fifth;", "All for F: root and fifth;",
                          "All for G: root and fifth;"));
}

TEST(LeftHandWords, RootAndFifthOverASlashBass) {
  EXPECT_THAT(told(lesson("I V/7 I", Rung::root_and_fifth, "D")),
              ElementsAre("All: root and fifth; A/C#: little finger on C♯, thumb on A; "
                          "little finger reaches down a half step to C♯;"));
}

TEST(LeftHandWords, Octaves) {
  const Lesson octaves = lesson("I IV V I", Rung::octave);
  EXPECT_THAT(told(octaves),
              ElementsAre("All: octaves: little finger on C2, F2 and G2, thumb an octave above;"));
  EXPECT_TRUE(octaves.positions[0].position.is_open());
  EXPECT_FALSE(octaves.one_position);
  EXPECT_THAT(octaves.cautions, ::testing::Contains(HasSubstr("Where an octave is too wide")));
  EXPECT_THAT(octaves.cautions, Not(::testing::Contains(HasSubstr("No octave is needed"))));
}

TEST(LeftHandWords, RootFifthOctave) {
  EXPECT_THAT(
      told(lesson("I IV", Rung::root_fifth_octave)),
      ElementsAre("All: root, fifth and octave; C: little finger on C2, finger 2 on G2, thumb on "
                  "C3; F: little finger on F2, finger 2 on C3, thumb on F3;"));
}

TEST(LeftHandWords, Walks) {
  EXPECT_THAT(told(lesson("I vi IV V I", Rung::walking_bass)),
              ElementsAre("All: walking bass; walk down C3 B to A: fingers 1 2 3; "
                          "walk down A2 G to F: fingers 3 4 5; walk up F2 F♯ to G: fingers 5 4 3; "
                          "walk up G2 A B to C: fingers 3 2 1 2; held: finger 2 on C3;"));
}

}  // namespace
}  // namespace stillhand::teach
