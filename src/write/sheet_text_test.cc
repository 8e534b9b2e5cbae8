#include "write/sheet_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

namespace stillhand::write {
namespace {

using ::testing::ElementsAre;

// One point a character.
class Ruler : public TextMeasurer {
 public:
  TextSize measure(std::string_view text, const Font&) const override {
    const auto begins = [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; };
    return {static_cast<double>(std::count_if(text.begin(), text.end(), begins)), 1, 0};
  }
};

TEST(PrettyChord, HasRealSharpsAndFlats) {
  EXPECT_EQ(pretty_chord("Bbm7b5/F#"), "B♭m7♭5/F♯");
  EXPECT_EQ(pretty_chord("F##"), "F♯♯");
  EXPECT_EQ(pretty_chord("Abb7(b9)"), "A♭♭7(♭9)");
  EXPECT_EQ(pretty_chord("C7#11b13"), "C7♯11♭13");
  EXPECT_EQ(pretty_chord("Csus4"), "Csus4");
  EXPECT_EQ(pretty_chord("N.C."), "N.C.");
}

TEST(PrettyNotes, LeavesWordsAlone) {
  EXPECT_EQ(pretty_notes("Thumb up, F#3 to Bb3; A stays."), "Thumb up, F♯3 to B♭3; A stays.");
  EXPECT_EQ(pretty_notes("reach down (F#2) before Ebm, Bb."), "reach down (F♯2) before E♭m, B♭.");
  EXPECT_EQ(pretty_notes("Abbey and Abby: #1 hand, Bass"), "Abbey and Abby: #1 hand, Bass");
  EXPECT_EQ(pretty_notes("key of F#m"), "key of F♯m");
}

TEST(OneLine, MakesAnythingSafe) {
  EXPECT_EQ(one_line("  a\nb\t"), "a b");
  EXPECT_EQ(one_line("a\xff"), "a\uFFFD");
  EXPECT_EQ(one_line("\xc3"), "\uFFFD");
  EXPECT_EQ(one_line("\xed\xa0\x80"), "\uFFFD\uFFFD\uFFFD");
  EXPECT_EQ(one_line("\u202Eright to left"), "right to left");
  EXPECT_EQ(one_line(""), "");
}

TEST(BreakLines, AtSpacesElseBetweenCharacters) {
  const Ruler ruler;
  EXPECT_THAT(break_lines("one two three", {}, 7, ruler), ElementsAre("one two", "three"));
  EXPECT_THAT(break_lines("abcdefgh ij", {}, 3, ruler), ElementsAre("abc", "def", "gh", "ij"));
  EXPECT_THAT(break_lines("", {}, 3, ruler), ElementsAre(""));
  EXPECT_THAT(break_lines("wide", {}, 0.5, ruler), ElementsAre("w", "i", "d", "e"));
}

TEST(BreakLines, KeepsACombiningMarkWithItsLetter) {
  const Ruler ruler;
  EXPECT_THAT(break_lines("e\u0301e\u0301e\u0301", {}, 2, ruler),
              ElementsAre("e\u0301", "e\u0301", "e\u0301"));
}

TEST(ShownNumber, SetsAFigureApartAndHasRealSigns) {
  const auto in = [](std::string_view chord, std::string_view key) {
    return shown_number(chord, music::parse_tonality(key).value());
  };
  EXPECT_EQ(in("A/C#", "D"), "5/7");
  EXPECT_EQ(in("A7", "D"), "5(7)");
  EXPECT_EQ(in("Em7", "D"), "2m7");
  EXPECT_EQ(in("C#m7b5", "B"), "2m7♭5");
  EXPECT_EQ(in("Bbmaj7", "C"), "♭7maj7");
  EXPECT_EQ(in("G7sus4/A", "C"), "5(7sus4)/6");
  EXPECT_EQ(in("N.C.", "C"), "N.C.");
}

TEST(RunsLeftward, IsSaidByTheFirstLetter) {
  EXPECT_TRUE(runs_leftward("שלום"));
  EXPECT_TRUE(runs_leftward("12 سلام"));
  EXPECT_FALSE(runs_leftward("Quay שלום"));
  EXPECT_FALSE(runs_leftward("港の灯り"));
  EXPECT_FALSE(runs_leftward(""));
}

TEST(Fitted, EndsInAnEllipsis) {
  const Ruler ruler;
  EXPECT_EQ(fitted("short", {}, 10, ruler), "short");
  EXPECT_EQ(fitted("much too long", {}, 5, ruler), "much…");
}

}  // namespace
}  // namespace stillhand::write
