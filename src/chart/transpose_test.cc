#include <gtest/gtest.h>

#include <string>

#include "chart/chart.h"
#include "chart/options.h"

namespace stillhand::chart {
namespace {

Tonality key(const std::string& text) { return *music::parse_tonality(text); }

std::string moved(const std::string& chart, const std::string& to) {
  const auto out = transpose(chart, "x", key(to));
  EXPECT_TRUE(out) << (out ? "" : render(out.error().front()));
  return out ? *out : "";
}

TEST(Transpose, TextKeepsLayoutCommentsAndWords) {
  const std::string chart =
      "; a remark about D\n"
      "title D is for Dawn\n"
      "key   D\n"
      "range A3-B4\n"
      "\n"
      "section Verse D\n"
      "| D      | G  D/F#  | Em  A7 |   ; D\n"
      "\" Down   | by       | the D  |\n"
      "or walk\n"
      "| D      | G  D/F#  | (Em F#m) - G A |\n"
      "pedal D\n"
      "| A      | N.C.     | D      |\n"
      "\n"
      "road map Verse D twice\n"
      "shape D  D3 F#3 A3  1 3 5\n";
  EXPECT_EQ(moved(chart, "Eb"),
            "; a remark about D\n"
            "title D is for Dawn\n"
            "key   Eb\n"
            "range Bb3-C5\n"
            "\n"
            "section Verse D\n"
            "| Eb     | Ab Eb/G  | Fm  Bb7 |   ; D\n"
            "\" Down   | by       | the D  |\n"
            "or walk\n"
            "| Eb     | Ab Eb/G  | (Fm Gm) - Ab Bb |\n"
            "pedal Eb\n"
            "| Bb     | N.C.     | Eb     |\n"
            "\n"
            "road map Verse D twice\n"
            "shape Eb Eb4 G4  Bb4 1 3 5\n");
}

TEST(Transpose, CanonicalLayoutStays) {
  const std::string chart = *format(
      "key C\nsection V\n| C | Dm7 G7 | C |\n\" one | two | three |\n| Am | F | C |\n", "x");
  const std::string in_f_sharp = moved(chart, "F#");
  EXPECT_EQ(*format(in_f_sharp, "x"), in_f_sharp);
  EXPECT_EQ(in_f_sharp,
            "key        F#\nsection V\n| F#  | G#m7 C#7 | F#    |\n\" one | two      | three |\n"
            "| D#m | B        | F#    |\n");
}

// Degree by degree, letters and all: a slash bass is never left behind (common practice, no source).
TEST(Transpose, SpellsRootsAndBasses) {
  struct Case {
    const char* from;
    const char* to;
    const char* bars;
    const char* moved;
  };
  const Case cases[] = {
      {"D", "Eb", "| D/F# | A/C# | G/B |", "| Eb/G | Bb/D | Ab/C |"},
      {"C", "B", "| C/Bb | F/A | G7/B |", "| B/A | E/G# | F#7/A# |"},
      {"G", "Gb", "| G | C | F |", "| Gb | Cb | Fb |"},
      {"Am", "Cm", "| Am | E7/G# | Dm |", "| Cm | G7/B | Fm |"},
      {"A", "Ab", "| A | E/G# | F#m |", "| Ab | Eb/G | Fm |"},
      {"F", "F#", "| F | Bb | Gm |", "| F# | B | G#m |"},
      {"D", "D", "| D/F# | Em |", "| D/F# | Em |"},
  };
  for (const Case& c : cases) {
    const std::string chart = std::string("key ") + c.from + "\nsection V\n" + c.bars + "\n";
    const std::string wanted = std::string("key ") + c.to + "\nsection V\n" + c.moved + "\n";
    EXPECT_EQ(*format(moved(chart, c.to), "x"), *format(wanted, "x"));
  }
}

TEST(Transpose, KeyChangesMoveAlong) {
  EXPECT_EQ(moved("key D\nsection V\n| D |\nkey E\n| E | B/D# |\nsection W\n| A |\n", "Bb"),
            "key Bb\nsection V\n| Bb |\nkey C\n| C | G/B  |\nsection W\n| F |\n");
}

TEST(Transpose, NumberChartsOnlyChangeTheirKeysRangeAndPins) {
  EXPECT_EQ(
      moved("key D\nrange A3-B4\nsection V\n| 1 | 5/7 |\nkey E\n| 4 |\nshape 1 D3 F#3 A3\n", "C"),
      "key C\nrange G3-A4\nsection V\n| 1 | 5/7 |\nkey D\n| 4 |\nshape 1 C4 E4  G4\n");
}

TEST(Transpose, AProposedKeyIsWrittenDown) {
  EXPECT_EQ(moved("section V\n| D | G | A7 | D |\n", "C"),
            "key        C\nsection V\n| C | F | G7 | C |\n");
}

TEST(Transpose, PinsStayInTheHandsRange) {
  const auto parsed = parse("key C\nsection V\n| C |\nshape C G3 C4 E4 1 3 5\n", "x");
  for (const char* to : {"Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}) {
    const auto song = transpose(parsed->song, key(to));
    ASSERT_TRUE(song);
    const Pin& pin = song->pins.at(0);
    EXPECT_GE(pin.pitches.front().key(), PianoKey(52)) << to;
    EXPECT_LE(pin.pitches.back().key(), PianoKey(74)) << to;
    EXPECT_EQ(pin.pitches[1].name, key(to).tonic) << to;
    EXPECT_EQ(pin.pitches[2].key() - pin.pitches[0].key(), music::Semitones(9)) << to;
    EXPECT_EQ(pin.fingers, (std::vector<int>{1, 3, 5}));
  }
}

TEST(Transpose, RefusesTheOtherMode) {
  const auto out = transpose("key D\nsection V\n| D |\n", "x", key("Am"));
  ASSERT_FALSE(out);
  EXPECT_EQ(out.error().front().fault, Fault::usage);
  EXPECT_EQ(render(out.error().front()),
            "x: error: a song in D major cannot be moved to A minor\n"
            "  name a major key, such as `C`");
}

TEST(Transpose, NamesOfOptionsThatSpeakOfChordsMoveAlong) {
  const std::pair<const char*, const char*> labels[] = {{"G/D for G", "A/E for A"},
                                                        {"bass C D E", "bass D E F#"},
                                                        {"walk C B A Am", "walk D C# B Bm"},
                                                        {"Dm7 G at the end", "Em7 A at the end"},
                                                        {"A for effort", "A for effort"},
                                                        {"last Verse in C", "last Verse in C"},
                                                        {"bass line", "bass line"},
                                                        {"stepping down", "stepping down"},
                                                        {"for G", "for G"}};
  for (const auto& [before, after] : labels) {
    const std::string text =
        std::string("key C\nsection A\n| C | G |\nor ") + before + "\n| C | F |\n";
    const auto moved = transpose(text, "x", *music::parse_tonality("D"));
    ASSERT_TRUE(moved);
    EXPECT_NE(moved->find(std::string("or ") + after + "\n"), std::string::npos) << *moved;
    // The name that was typed is still known.
    const auto song = transpose(parse(text, "x")->song, *music::parse_tonality("D"));
    EXPECT_TRUE(options_named(*song, before));
    EXPECT_TRUE(options_named(*song, after));
  }
}

TEST(Transpose, TextAndSongAgreeInEveryKey) {
  const char* charts[] = {
      "key D\nrange A3-B4\nsection A\npick-up | D |\n| D G/B | F#m7b5 B7/D# |\nkey E\n| E - - (B7 "
      "A) |\nor E for A\n| E - - A |\nsection B\npedal A\n|: A | D/F# |1. E :|2. Bb7 |\nshape D D3 "
      "F#3 "
      "A3 in A\nshape E E3 G#3 B3 1 3 5\n",
      "key Am\nsection A\n| Am | E7/G# | F#dim7 | Bb |\nkey A\n| A | D/F# |\n",
      "key Gm\nsection A\n| i | iv V7/7 | VI | bII |\nshape i G3 Bb3 D4\n",
  };
  for (const char* chart : charts) {
    const auto parsed = parse(chart, "x");
    ASSERT_TRUE(parsed) << render(parsed.error().front());
    for (int fifths = -9; fifths <= 9; ++fifths) {
      const Tonality to{music::NoteName::at_fifths(fifths), parsed->song.tonality.mode};
      if (to.fifths() < -7 || to.fifths() > 7) continue;
      const auto song = transpose(parsed->song, to);
      ASSERT_TRUE(song);
      const auto text = transpose(chart, "x", to);
      ASSERT_TRUE(text);
      const auto read = parse(*text, "x");
      ASSERT_TRUE(read) << *text << render(read.error().front());
      EXPECT_EQ(read->song, *song) << *text;
      EXPECT_EQ(count_played_bars(*song), count_played_bars(parsed->song));
    }
  }
}

}  // namespace
}  // namespace stillhand::chart
