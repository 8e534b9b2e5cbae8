#include "chart/symbol.h"

#include <gtest/gtest.h>

namespace stillhand::chart {
namespace {

std::string number(std::string_view chord, std::string_view key) {
  return text(in_numbers(music::parse_chord(chord).value(), music::parse_tonality(key).value()),
              Notation::numbers);
}

TEST(InNumbers, CountsOnTheScaleOfTheKey) {
  EXPECT_EQ(number("D", "D"), "1");
  EXPECT_EQ(number("A/C#", "D"), "5/7");
  EXPECT_EQ(number("Bm7", "D"), "6m7");
  EXPECT_EQ(number("C", "D"), "b7");
  EXPECT_EQ(number("G#dim7", "D"), "#4dim7");
  EXPECT_EQ(number("F", "Dm"), "3");
  EXPECT_EQ(number("Gm/Bb", "Dm"), "4m/6");
}

// In a minor key a plain 7 may be read as the raised seventh: what is written says which it is.
TEST(InNumbers, SaysWhichSeventhAMinorKeyMeans) {
  EXPECT_EQ(number("E/G#", "Am"), "5/#7");
  EXPECT_EQ(number("E/G", "Am"), "5/b7");
  EXPECT_EQ(number("G", "Am"), "7");
  EXPECT_EQ(number("G#dim", "Am"), "#7dim");
  EXPECT_EQ(number("Gdim", "Am"), "b7dim");
}

// Every root and bass in every key, read back by the chart's own reader, presses the same piano keys.
TEST(InNumbers, ReadBackIsTheSameChord) {
  for (int fifths = -7; fifths <= 7; ++fifths) {
    for (const music::Mode mode : {music::Mode::major, music::Mode::minor}) {
      const Tonality tonality{
          music::NoteName::at_fifths(fifths + (mode == music::Mode::minor ? 3 : 0)), mode};
      for (int root = -8; root <= 12; ++root) {
        for (int bass = -8; bass <= 12; ++bass) {
          for (const char* suffix : {"", "m", "7", "m7b5", "dim", "sus4"}) {
            Chord chord{music::NoteName::at_fifths(root), music::parse_quality(suffix).value(),
                        std::nullopt};
            if (bass != root) chord.bass = music::NoteName::at_fifths(bass);
            const std::string written = text(in_numbers(chord, tonality), Notation::numbers);
            const auto symbol = parse_symbol(written, Notation::numbers);
            ASSERT_TRUE(symbol) << written;
            const Chord read = chord_of(*symbol, tonality);
            const std::string what =
                written + " for " + music::text(chord) + " in " + music::text(tonality);
            ASSERT_EQ(read.root.pitch_class(), chord.root.pitch_class()) << what;
            ASSERT_EQ(read.bass_note().pitch_class(), chord.bass_note().pitch_class()) << what;
            ASSERT_EQ(read.quality, chord.quality) << what;
          }
        }
      }
    }
  }
}

}  // namespace
}  // namespace stillhand::chart
