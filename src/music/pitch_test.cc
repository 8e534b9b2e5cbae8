#include "music/pitch.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

namespace stillhand::music {
namespace {

NoteName note(std::string_view text) { return *parse_note(text); }

TEST(Pitch, MiddleCIsKey60) {
  EXPECT_EQ(parse_pitch("C4")->key(), PianoKey(60));
  EXPECT_EQ(parse_pitch("A4")->key(), PianoKey(69));   // 440 Hz in the MIDI 1.0 tuning
  EXPECT_EQ(parse_pitch("A0")->key(), PianoKey(21));   // lowest of 88
  EXPECT_EQ(parse_pitch("C8")->key(), PianoKey(108));  // highest of 88
}

TEST(Pitch, TheOctaveBelongsToTheLetter) {
  EXPECT_EQ(parse_pitch("Cb4")->key(), parse_pitch("B3")->key());
  EXPECT_EQ(parse_pitch("B#3")->key(), parse_pitch("C4")->key());
}

TEST(Pitch, ReadsAndWrites) {
  for (const char* text : {"C4", "F#3", "Bb-1", "G9", "Ebb5", "F##2"})
    EXPECT_EQ(stillhand::music::text(*parse_pitch(text)), text);
  EXPECT_EQ(parse_note("B♭"), parse_note("Bb"));
  EXPECT_EQ(parse_note("F♯"), parse_note("F#"));
  for (const char* wrong : {"", "H", "c", "Cx", "C####", "C 4"}) {
    EXPECT_FALSE(parse_note(wrong)) << wrong;
  }
  for (const char* wrong : {"C", "C10", "C-2", "Cb-1", "G#9", "C4x", "4"})
    EXPECT_FALSE(parse_pitch(wrong)) << wrong;
}

TEST(Pitch, BlackKeysAreTheFive) {
  std::string black;
  for (int key = 60; key < 72; ++key) black += PianoKey(key).is_black() ? 'x' : '.';
  EXPECT_EQ(black, ".x.x..x.x.x.");
}

TEST(Pitch, IntervalsKeepTheirLetters) {
  EXPECT_EQ(note("D").up({2, Semitones(4)}), note("F#"));
  EXPECT_EQ(note("D").up({2, Semitones(3)}), note("F"));
  EXPECT_EQ(note("Eb").up({4, Semitones(7)}), note("Bb"));
  EXPECT_EQ(note("F#").down({2, Semitones(4)}), note("D"));
  EXPECT_EQ(interval_up(note("B"), note("C")), (Interval{1, Semitones(1)}));
  EXPECT_EQ(interval_up(note("D"), note("F#")), (Interval{2, Semitones(4)}));
}

TEST(Pitch, FifthsGoBothWays) {
  for (int fifths = -15; fifths <= 19; ++fifths)
    EXPECT_EQ(NoteName::at_fifths(fifths).fifths(), fifths);
}

TEST(Pitch, EveryKeyHasAPitchInEachOfItsNames) {
  for (int fifths = -8; fifths <= 12; ++fifths) {
    const NoteName name = NoteName::at_fifths(fifths);
    for (int key = 0; key < 128; ++key) {
      if (name.pitch_class() != PianoKey(key).pitch_class()) continue;
      EXPECT_EQ(pitch_at(PianoKey(key), name).key(), PianoKey(key)) << text(name);
    }
  }
}

RC_GTEST_PROP(Pitch, UpAndDownCancel, ()) {
  const NoteName name = NoteName::at_fifths(*rc::gen::inRange(-8, 13));
  const NoteName other = NoteName::at_fifths(*rc::gen::inRange(-8, 13));
  RC_ASSERT(name.up(interval_up(name, other)) == other);
  RC_ASSERT(name.up(interval_up(name, other)).down(interval_up(name, other)) == name);
}

}  // namespace
}  // namespace stillhand::music
