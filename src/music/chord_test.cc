#include "music/chord.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <string>

namespace stillhand::music {
namespace {

std::string degrees(std::string_view symbol) {
  const auto chord = parse_chord(symbol);
  if (!chord) return "none";
  std::string out;
  for (const Degree degree : chord->quality.degrees) out += (out.empty() ? "" : " ") + text(degree);
  return out;
}

std::string canonical(std::string_view symbol) {
  const auto chord = parse_chord(symbol);
  return chord ? text(*chord) : "none";
}

TEST(Chord, EveryRootAndQualityReadsBackAsItself) {
  int chords = 0;
  for (int fifths = -8; fifths <= 12; ++fifths) {
    const NoteName root = NoteName::at_fifths(fifths);
    for (const ChordQuality& quality : known_qualities()) {
      for (const bool with_bass : {false, true}) {
        Chord chord{root, quality, std::nullopt};
        if (with_bass) chord.bass = root.up({2, Semitones(4)});
        const auto read = parse_chord(text(chord));
        ASSERT_TRUE(read) << text(chord);
        EXPECT_EQ(*read, chord) << text(chord);
        EXPECT_EQ(text(*read), text(chord));
        ++chords;
      }
    }
  }
  EXPECT_EQ(chords, 21 * 2 * static_cast<int>(known_qualities().size()));
}

// The usual spellings of working charts (common practice, no source).
TEST(Chord, UsualSpellings) {
  const std::pair<const char*, const char*> same[] = {
      {"Cmaj", "C"},      {"CM", "C"},          {"Cmin", "Cm"},       {"C-", "Cm"},
      {"CM7", "Cmaj7"},   {"CΔ", "Cmaj7"},      {"CΔ7", "Cmaj7"},     {"C-7", "Cm7"},
      {"Cmin7", "Cm7"},   {"C°", "Cdim"},       {"Co7", "Cdim7"},     {"C°7", "Cdim7"},
      {"Cø", "Cm7b5"},    {"Cø7", "Cm7b5"},     {"C+", "Caug"},       {"C7+", "Caug7"},
      {"Csus", "Csus4"},  {"C7sus", "C7sus4"},  {"C69", "C6/9"},      {"C6/9", "C6/9"},
      {"C2", "Cadd2"},    {"C4", "Cadd4"},      {"CmM7", "Cm(maj7)"}, {"C7(b9)", "C7b9"},
      {"C7b9", "C7b9"},   {"B♭7", "Bb7"},       {"F♯m", "F#m"},       {"C7(b9,#11)", "C7b9#11"},
      {"Cm7-5", "Cm7b5"}, {"C6/9/E", "C6/9/E"}, {"D/F#", "D/F#"},     {"Cno3", "C5"},
      {"Comit5", "Cno5"},
  };
  for (const auto& [written, meant] : same) {
    EXPECT_EQ(canonical(written), meant) << written;
  }
}

TEST(Chord, Degrees) {
  EXPECT_EQ(degrees("F#m7b5"), "1 b3 b5 b7");
  EXPECT_EQ(degrees("C6/9"), "1 3 5 6 9");
  EXPECT_EQ(degrees("C13"), "1 3 5 b7 9 11 13");
  EXPECT_EQ(degrees("C7#9b13"), "1 3 5 b7 #9 b13");
  EXPECT_EQ(degrees("Cadd9no3"), "1 5 9");
  EXPECT_EQ(degrees("Cdim7"), "1 b3 b5 bb7");
  EXPECT_EQ(degrees("C5"), "1 5");
  EXPECT_EQ(degrees("Cm(maj7)"), "1 b3 5 7");
}

TEST(Chord, RefusesOtherText) {
  for (const char* wrong : {"", "H", "c", "Amm", "Cfoo", "C/", "C/H", "C//G", "C(", "C)", "C7(b9",
                            "Cadd", "Cno9", "Cadd1", "C7b7", "C G", "C b9", "C((b9))", "C14"}) {
    EXPECT_FALSE(parse_chord(wrong)) << wrong;
  }
}

TEST(Chord, Suggestions) {
  const std::pair<const char*, const char*> cases[] = {
      {"Amm", "Am"},       {"dm", "Dm"},      {"H7", "B7"},     {"Amaj8", "Amaj7"},
      {"Gsuss4", "Gsus4"}, {"Bbm77", "Bbm7"}, {"Amm/C", "Am/C"}};
  for (const auto& [written, meant] : cases) EXPECT_EQ(suggest_chord(written), meant) << written;
  EXPECT_FALSE(suggest_chord("Xyz"));
  EXPECT_FALSE(suggest_chord(""));
  EXPECT_FALSE(suggest_chord(std::string(5000, 'C')));
}

// Any set of degrees has a writing that reads back as the same set.
RC_GTEST_PROP(Chord, EveryDegreeSetCanBeWritten, ()) {
  const std::vector<Degree> all{{2, 0}, {3, -1}, {3, 0},  {4, 0},  {5, -1}, {5, 0},
                                {5, 1}, {6, 0},  {7, -2}, {7, -1}, {7, 0},  {9, -1},
                                {9, 0}, {9, 1},  {11, 0}, {11, 1}, {13, 0}, {13, -1}};
  std::vector<Degree> chosen{{1, 0}};
  for (const Degree degree : all) {
    if (*rc::gen::inRange(0, 3) == 0) chosen.push_back(degree);
  }
  const ChordQuality quality = quality_of(chosen);
  const Chord chord{{Letter::c, 0}, quality, std::nullopt};
  RC_ASSERT(text(chord).size() > 48U || parse_chord(text(chord)) == std::optional<Chord>(chord));
}

}  // namespace
}  // namespace stillhand::music
