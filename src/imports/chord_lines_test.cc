// Chords typed over words: what a teacher's text files look like. Common practice, no source.
#include <gtest/gtest.h>

#include "chart/chart.h"
#include "imports/imports.h"

namespace stillhand::imports {
namespace {

std::string imported(std::string_view text) {
  const Result<std::string> chart = import_chord_lines(text, "typed.txt");
  return chart ? *chart : render(chart.error().front());
}

TEST(ChordLines, ChordsStandOverTheirWords) {
  EXPECT_EQ(imported("Lamps Along the Quay\n"
                     "Words and tune: the makers of this page\n"
                     "Key: D\n"
                     "72 bpm\n"
                     "\n"
                     "Verse 1\n"
                     "D               G         D/F#\n"
                     "Lamps along the quiet quay\n"
                     "Em         A          D\n"
                     "shining on the rain\n"),
            "; no bar lines were typed: each chord was given one bar; mend the counts\n"
            "title      Lamps Along the Quay\n"
            "writers    Words and tune: the makers of this page\n"
            "key        D\n"
            "meter      4/4\n"
            "tempo      72\n"
            "\n"
            "section Verse 1\n"
            "| D               | G          | D/F# |\n"
            "\" Lamps along the | quiet quay |\n"
            "| Em              | A          | D    |\n"
            "\" shining on      | the rain   |\n");
}

TEST(ChordLines, LinesWithoutChordsAmongChordsAreToldAndNotLost) {
  EXPECT_EQ(imported("Verse\nA\nAm I blue\nA big day\nRepeat and fade\n"),
            "; left out of Verse, for it has no chords: A big day\n"
            "; left out of Verse, for it has no chords: Repeat and fade\n"
            "; no bar lines were typed: each chord was given one bar; mend the counts\n"
            "title      Untitled\n"
            "meter      4/4\n"
            "\n"
            "section Verse\n"
            "| A         |\n"
            "\" Am I blue |\n");
}

TEST(ChordLines, ACutWordGoesOnInTheNextBar) {
  EXPECT_NE(imported("[V]\nC  G\nwindow\n").find("\" win- | dow |"), std::string::npos);
}

TEST(ChordLines, AChordNearAWordsEdgeLeavesItWhole) {
  EXPECT_NE(imported("[V]\nC       G\nLight on the\n").find("\" Light on | the |"),
            std::string::npos);
  EXPECT_NE(imported("[V]\nC         G\nLight on the\n").find("\" Light on | the |"),
            std::string::npos);
  EXPECT_NE(imported("[V]\nC   G\nLight on\n").find("\" Light | on |"), std::string::npos);
}

TEST(ChordLines, StrokesBelongToTheChordBeforeThem) {
  const std::string chart = imported("[V]\nC / / G\nla\n");
  EXPECT_NE(chart.find("| C  | G |\n"), std::string::npos) << chart;
}

TEST(ChordLines, BarLinesAreBelievedAndRepeatsKept) {
  const std::string chart = imported("Song\n3/4\n|: C | F G Am :| G |\n");
  EXPECT_NE(chart.find("meter      3/4"), std::string::npos) << chart;
  EXPECT_NE(chart.find("|: C | F G Am :| G |"), std::string::npos) << chart;
  EXPECT_EQ(chart.find("no bar lines"), std::string::npos) << chart;
}

TEST(ChordLines, WhatDoesNotComeOutIsMarked) {
  const std::string chart = imported("Song\n\n| C D E F G | Am G F | Czz |\n");
  EXPECT_NE(chart.find("bar 1: 5 signs in 4 counts"), std::string::npos) << chart;
  EXPECT_NE(chart.find("bar 2: 3 signs in 4 counts"), std::string::npos) << chart;
  EXPECT_NE(chart.find("Czz"), std::string::npos) << chart;
}

TEST(ChordLines, AChordOnHMeansGermanNames) {
  const std::string chart = imported("Lied\n\n| G | Hm | B | G/H |\n");
  EXPECT_NE(chart.find("| G | Bm | Bb | G/B |"), std::string::npos) << chart;
  EXPECT_NE(chart.find("German names"), std::string::npos) << chart;
}

TEST(ChordLines, SectionsComeBackOnTheRoadMap) {
  const std::string text =
      "Song\n\nVerse 1:\nC     F\none two\nG     C\nthree four\n\n[Chorus]\nF   G\nsing on\n\n"
      "Verse 2\nfive six\nseven eight\n\nChorus x2\n";
  const std::string chart = imported(text);
  EXPECT_NE(chart.find("road map   Verse 1, Chorus, Verse 2, Chorus twice"), std::string::npos)
      << chart;
  EXPECT_NE(chart.find("chords as in Verse 1"), std::string::npos) << chart;
}

TEST(ChordLines, ATextWithoutChordsIsRefused) {
  EXPECT_EQ(imported("Dear all,\nsee you on Sunday\n"),
            "typed.txt: error: no chords were found in it\n"
            "  a line of chords stands above its line of words; MusicXML has them as <harmony>, a "
            "MIDI file as notes");
  EXPECT_FALSE(import_chord_lines("", "typed.txt"));
}

TEST(ChordLines, WhateverComesOutParsesAndIsFormatted) {
  for (const char* text : {"A\n", "C  |  G ; D\nla | la ; la\n", "Chorus twice\nC G\n",
                           "road map\nC\n", "section:\n| C |\n", "(C G)\nC\n",
                           "\xEF\xBB\xBF"
                           "C\nmot\n",
                           "\tC\tG\n\tla\tla\n", "N.C. C\n- - C\n", "; C\n\" C |\nC\n"}) {
    const Result<std::string> chart = import_chord_lines(text, "typed.txt");
    ASSERT_TRUE(chart) << text << "\n" << render(chart.error().front());
    EXPECT_EQ(chart::format(*chart, "again").value(), *chart);
  }
}

}  // namespace
}  // namespace stillhand::imports
