#include "music/tonality.h"

#include <gtest/gtest.h>

#include <string>

namespace stillhand::music {
namespace {

Tonality key(std::string_view text) { return *parse_tonality(text); }

std::string scale(Tonality tonality) {
  std::string out;
  for (int degree = 1; degree <= 7; ++degree) out += text(tonality.degree(degree)) + " ";
  return out;
}

std::string chromatic(Tonality tonality) {
  std::string out;
  for (int i = 0; i < 12; ++i)
    out += text(tonality.spell(tonality.tonic.pitch_class() + Semitones(i))) + " ";
  return out;
}

TEST(Tonality, ReadsTheUsualWritings) {
  EXPECT_EQ(key("D major"), key("D"));
  EXPECT_EQ(key("F# minor"), key("F#m"));
  EXPECT_EQ(key("B♭min"), key("Bbm"));
  EXPECT_EQ(long_text(key("Bbm")), "Bb minor");
  for (const char* wrong : {"", "H", "d minor", "D dorian", "G#", "Fb", "Dbm"})
    EXPECT_FALSE(parse_tonality(wrong)) << wrong;
}

// Key signatures: common knowledge of every music primer (no source needed beyond it).
TEST(Tonality, ScalesOfTheSignatures) {
  EXPECT_EQ(scale(key("C")), "C D E F G A B ");
  EXPECT_EQ(scale(key("Gb")), "Gb Ab Bb Cb Db Eb F ");
  EXPECT_EQ(scale(key("C#")), "C# D# E# F# G# A# B# ");
  EXPECT_EQ(scale(key("Am")), "A B C D E F G ");
  EXPECT_EQ(scale(key("D#m")), "D# E# F# G# A# B C# ");
  EXPECT_EQ(key("D").fifths(), 2);
  EXPECT_EQ(key("Cm").fifths(), -3);
}

TEST(Tonality, SpellsTheTwelveKeys) {
  EXPECT_EQ(chromatic(key("C")), "C Db D Eb E F F# G Ab A Bb B ");
  EXPECT_EQ(chromatic(key("D")), "D Eb E F F# G G# A Bb B C C# ");
  EXPECT_EQ(chromatic(key("Am")), "A Bb B C C# D D# E F F# G G# ");
}

TEST(Tonality, TheRaisedSeventhOfMinorIsASharpOfTheSeventhLetter) {
  for (const char* text : {"Am", "Em", "Bm", "F#m", "C#m", "G#m", "D#m", "Dm", "Gm", "Cm", "Fm",
                           "Bbm", "Ebm", "Abm"}) {
    const Tonality tonality = key(text);
    const NoteName spelled = tonality.spell(tonality.tonic.pitch_class() + Semitones(11));
    const NoteName seventh = tonality.degree(7);
    if (seventh.accidental == 1) continue;  // raised, it would be a double sharp
    EXPECT_EQ(spelled.letter, seventh.letter) << text;
  }
}

TEST(Tonality, TransposesLetterByLetter) {
  const auto move = [](const char* name, const char* from, const char* to) {
    return text(transpose(*parse_note(name), key(from), key(to)));
  };
  EXPECT_EQ(move("F#", "D", "Eb"), "G");
  EXPECT_EQ(move("A", "D", "Eb"), "Bb");
  EXPECT_EQ(move("Bb", "C", "B"), "A");
  EXPECT_EQ(move("C", "D", "Ab"), "Gb");
  EXPECT_EQ(move("G#", "Am", "Cm"), "B");
  EXPECT_EQ(move("D#", "C", "C#"), "E") << "a double sharp is respelled on the same key";
}

TEST(Tonality, SimplestHasTheShortestSignature) {
  EXPECT_EQ(text(simplest(key("C#"))), "Db");
  EXPECT_EQ(text(simplest(key("Cb"))), "B");
  EXPECT_EQ(text(simplest(key("A#m"))), "Bbm");
  EXPECT_EQ(text(simplest(key("F#"))), "F#");
  EXPECT_EQ(text(simplest(key("Gb"))), "Gb");
}

}  // namespace
}  // namespace stillhand::music
