#include <gtest/gtest.h>

#include <string>

#include "chart/chart.h"

namespace stillhand::chart {
namespace {

std::string all(const Diagnostics& diagnostics) {
  std::string out;
  for (const Diagnostic& d : diagnostics) out += render(d) + "\n";
  return out;
}

Song song_of(const std::string& text) {
  const auto parsed = parse(text, "x");
  EXPECT_TRUE(parsed) << text << "\n" << (parsed ? "" : all(parsed.error()));
  return parsed ? parsed->song : Song{};
}

// "D 4, G 2, D/F# 2": the chords as played, with their counts (thousandths where not whole).
std::string played(const std::string& text) {
  const Song song = song_of(text);
  std::string out;
  const int count = song.meter.count_length().value();
  Tick end{0};
  for (const PlayedChord& chord : played_chords(song, perform(song))) {
    EXPECT_EQ(chord.start, end) << "no gap and no overlap\n" << text;
    end = chord.start + chord.duration;
    if (!out.empty()) out += ", ";
    out += (chord.chord ? music::text(*chord.chord) : "N.C.") + " ";
    const int ticks = chord.duration.value();
    out += ticks % count == 0 ? std::to_string(ticks / count)
                              : std::to_string(ticks) + "/" + std::to_string(count);
  }
  return out;
}

std::string in_d(const std::string& bars) { return "key D\nsection V\n" + bars + "\n"; }

struct Case {
  const char* chart;
  const char* played;
};

void check(const std::vector<Case>& cases) {
  for (const Case& c : cases) EXPECT_EQ(played(c.chart), c.played) << c.chart;
}

TEST(Parse, CountsInFourFour) {
  const Case cases[] = {
      {"| D |", "D 4"},
      {"| D G |", "D 2, G 2"},
      {"| D G A Bm |", "D 1, G 1, A 1, Bm 1"},
      {"| D - - Em |", "D 3, Em 1"},
      {"| D - G A |", "D 2, G 1, A 1"},
      {"| (D Em) G A D |", "D 480/960, Em 480/960, G 1, A 1, D 1"},
      {"| (D - Em) G A D |", "D 640/960, Em 320/960, G 1, A 1, D 1"},
      {"| D - - (- A) |", "D 3360/960, A 480/960"},
      {"| D | - - A - |", "D 6, A 2"},
      {"| D – — - |", "D 4"},
      {"| N.C. | D |", "N.C. 4, D 4"},
      {"| NC D |", "N.C. 2, D 2"},
      {"| D | D |", "D 8"},
      {"| D | D/F# |", "D 4, D/F# 4"},
      {"| D | G", "D 4, G 4"},
      {"| D || G ||", "D 4, G 4"},
      {"|D|G|", "D 4, G 4"},
      {"| C7(b9) A(add9) |", "C7b9 2, Aadd9 2"},
      {"| C7(b9, #11) |", "C7b9#11 4"},
      {"| D/D |", "D 4"},
  };
  for (const Case& c : cases) EXPECT_EQ(played(in_d(c.chart)), c.played) << c.chart;
}

TEST(Parse, CountsInEveryMeter) {
  check({
      {"key D\nmeter 3/4\nsection V\n| D | D G A | D - A |", "D 4, G 1, A 1, D 2, A 1"},
      {"key D\nmeter 2/4\nsection V\n| D G |", "D 1, G 1"},
      {"key D\nmeter 5/4\nsection V\n| D - - G - |", "D 3, G 2"},
      {"key D\nmeter 2/2\nsection V\n| D G | D |", "D 1, G 1, D 2"},
      {"key D\nmeter 3/2\nsection V\n| D - G |", "D 2, G 1"},
      {"key D\nmeter 6/8\nsection V\n| D G | (D - Em) G |",
       "D 1, G 1, D 960/1440, Em 480/1440, G 1"},
      {"key D\nmeter 9/8\nsection V\n| D - G |", "D 2, G 1"},
      {"key D\nmeter 12/8\nsection V\n| D G | D |", "D 2, G 2, D 4"},
      {"key D\nmeter 3/8\nsection V\n| D | (D G A) |", "D 1920/1440, G 480/1440, A 480/1440"},
      {"key D\nmeter 5/8\nsection V\n| D - - G - |", "D 3, G 2"},
      {"key D\nmeter 7/8\nsection V\n| D - - - G - - |", "D 4, G 3"},
  });
}

TEST(Parse, HeaderLines) {
  const Song song = song_of(
      "\xEF\xBB\xBFTITLE  Lamps   Along the Quay\r\nwriters A. Maker\r\nrights (c) none\r\n"
      "key F# minor\r\nmeter 6/8\r\ntempo 66\r\nrange A3 to B4\r\nsection  Verse  1\r\n| F#m "
      "|\r\n");
  EXPECT_EQ(song.title, "Lamps Along the Quay");
  EXPECT_EQ(song.writers, "A. Maker");
  EXPECT_EQ(song.rights, "(c) none");
  EXPECT_EQ(music::text(song.tonality), "F#m");
  EXPECT_FALSE(song.tonality_was_proposed);
  EXPECT_EQ(music::text(song.meter), "6/8");
  EXPECT_EQ(song.tempo, Tempo(66));
  EXPECT_EQ(music::text(song.range->highest), "B4");
  EXPECT_EQ(song.sections.at(0).name, "Verse 1");
  EXPECT_EQ(song.file, "x");
  EXPECT_EQ(song.road_map.size(), 1U);
}

TEST(Parse, WordsStandUnderTheirBars) {
  const Song song = song_of(in_d("| D | G | A |\n\" Lamps a- |  | quay | ;comment"));
  const auto& bars = song.sections[0].lines[0].bars;
  EXPECT_EQ(bars[0].words, "Lamps a-");
  EXPECT_EQ(bars[1].words, "");
  EXPECT_EQ(bars[2].words, "quay");
}

// Nothing that is sung may be lost: a semicolon among the words is one of them.
TEST(Parse, ASemicolonInsideWordsIsSung) {
  const Song song = song_of(in_d("| D | G |\n\" stray; O | home; | ; a comment; all of it"));
  const auto& bars = song.sections[0].lines[0].bars;
  EXPECT_EQ(bars[0].words, "stray; O");
  EXPECT_EQ(bars[1].words, "home;");
}

TEST(Parse, OptionsBelongToTheLineAbove) {
  const Song song =
      song_of(in_d("|: D | G :|\n\" a | b\nor stepping down\n| D | G - Em - |\n\" c | d\nor\n| "
                   "D/F# | - - G - |"));
  ASSERT_EQ(song.sections[0].lines.size(), 1U);
  const Line& line = song.sections[0].lines[0];
  ASSERT_EQ(line.options.size(), 2U);
  EXPECT_EQ(line.options[0].label, "stepping down");
  EXPECT_EQ(line.options[0].bars[1].chords.size(), 2U);
  EXPECT_EQ(line.options[0].bars[1].repeat_times, 2) << "repeats come from the line above";
  EXPECT_EQ(line.options[0].bars[1].words, "d");
  EXPECT_EQ(line.options[1].label, "");
  EXPECT_EQ(music::text(*line.options[1].bars[1].chords[0].chord), "D/F#");
  EXPECT_EQ(perform(song).size(), 4U) << "plain lines are played";
}

TEST(Parse, RoadMap) {
  const std::string sections = "key D\nsection A\n| D |\nsection B\n| G |\n";
  EXPECT_EQ(played(sections), "D 4, G 4");
  EXPECT_EQ(played(sections + "road map b, A twice, B 3 times"), "G 4, D 4, D 4, G 4, G 4, G 4");
  const Song song = song_of(sections + "road map A, B, A twice");
  const auto bars = perform(song);
  EXPECT_EQ(bars.at(3).section_pass, 3);
  EXPECT_TRUE(bars.at(3).section_begins);
}

TEST(Parse, RepeatsEndingsVamps) {
  const Case cases[] = {
      {"|: D | G :|", "D 4, G 4, D 4, G 4"},
      {"|: D | G :| 3 times", "D 4, G 4, D 4, G 4, D 4, G 4"},
      {"| D | G :| A |", "D 4, G 4, D 4, G 4, A 4"},
      {"| D |: G :| A |", "D 4, G 8, A 4"},
      {"| D |: G :| twice | A |", "D 4, G 8, A 4"},
      {"|: D :|: G :|", "D 8, G 8"},
      {"|: D :||: G :|", "D 8, G 8"},
      {"|: D |1. G :|2. A |", "D 4, G 4, D 4, A 4"},
      {"|: D |1. G :|2. A :|3. Bm |", "D 4, G 4, D 4, A 4, D 4, Bm 4"},
      {"|: D |1.2. G :|3. A |\n| Em |", "D 4, G 4, D 4, G 4, D 4, A 4, Em 4"},
      {"|: D |1. G\n| Em :|2. A |\n| Bm |", "D 4, G 4, Em 4, D 4, A 4, Bm 4"},
      {"| D |\n|: Em :|\n|: D |1. G :|2. A |: Bm :|", "D 4, Em 8, D 4, G 4, D 4, A 4, Bm 8"},
      {"|: D :| vamp 3 times", "D 12"},
      {"|: D :| vamp\n| G |", "D 16, G 4"},
      {"|: D |\n| G :|", "D 4, G 4, D 4, G 4"},
  };
  for (const Case& c : cases) EXPECT_EQ(played(in_d(c.chart)), c.played) << c.chart;
  const Song song = song_of(in_d("|: D :| vamp 3 times"));
  EXPECT_TRUE(song.sections[0].lines[0].bars[0].is_vamp);
}

TEST(Parse, PickUps) {
  check({
      {"key D\nsection V\npick-up | A |\n| D | G |", "A 1, D 4, G 4"},
      {"key D\nsection V\npick-up | A | D |\n| G |", "A 1, D 4, G 4"},
      {"key D\nsection V\n| D | G |\nsection C\npick-up | (A Bm) |\n| D |",
       "D 4, G 3, A 480/960, Bm 480/960, D 4"},
      {"key D\nsection V\npick-up | A - |\n| D |\nroad map V twice", "A 2, D 2, A 2, D 4"},
      {"key D\nsection V\n| D - - A |\npick-up | Em - |\n| D |", "D 2, Em 2, D 4"},
  });
}

TEST(Parse, MeterAndKeyChangeUntilTheSectionEnds) {
  const Song song =
      song_of("key D\nsection A\n| D |\nmeter 3/4\n| D - G |\nkey E\n| E |\nsection B\n| D |\n");
  const Section& a = song.sections[0];
  EXPECT_EQ(music::text(a.lines[1].bars[0].meter), "3/4");
  EXPECT_EQ(music::text(a.lines[1].bars[0].tonality), "D");
  EXPECT_EQ(music::text(a.lines[2].bars[0].tonality), "E");
  EXPECT_EQ(music::text(song.sections[1].lines[0].bars[0].meter), "4/4");
  EXPECT_EQ(music::text(song.sections[1].lines[0].bars[0].tonality), "D");
}

TEST(Parse, PedalPointsPutTheirNoteInTheBass) {
  check({{"key D\nsection V\n| D |\npedal D\n| D | A | G/B | N.C. |\npedal off\n| A |\nsection "
          "W\n| G |",
          "D 8, A/D 4, G/B 4, N.C. 4, A 4, G 4"},
         {"key D\nsection V\npedal D\n| A |\nsection W\n| A |", "A/D 4, A 4"},
         {"key D\nsection V\npedal 1\n| 1 | 5 |", "D 4, A/D 4"}});
}

TEST(Parse, NumbersAndRomanNumerals) {
  check({
      {"key D\nsection V\n| 1 | 4 5/7 | 6m | b7 | 2m7 16/9 | 57 5sus4 | 1maj7 |",
       "D 4, G 2, A/C# 2, Bm 4, C 4, Em7 2, D6/9 2, A7 2, Asus4 2, Dmaj7 4"},
      {"key Eb\nsection V\n| I | IV V/7 | vi | bVII | ii7 V7 | viio I+ | Imaj7 iiø7 |",
       "Eb 4, Ab 2, Bb/D 2, Cm 4, Db 4, Fm7 2, Bb7 2, Ddim 2, Ebaug 2, Ebmaj7 2, Fm7b5 2"},
      {"key Am\nsection V\n| i | iv V7 | VI VII | bVI bVII | III | viio V/7 | #vi |",
       "Am 4, Dm 2, E7 2, F 2, G 2, F 2, G 2, C 4, G#dim 2, E/G# 2, F#m 4"},
      {"key Am\nsection V\n| 1m | 4m 57 | 6 7 |", "Am 4, Dm 2, E7 2, F 2, G 2"},
      {"key D\nsection V\n| 1 |\nkey E\n| 1 |", "D 4, E 4"},
  });
}

TEST(Parse, Pins) {
  const Song song = song_of(
      "key D\nsection V\n| D | G |\nsection Chorus\n| G |\nshape G G3 B3 D4\n"
      "shape G  B3 D4 G4  1 2 5  in chorus\n");
  ASSERT_EQ(song.pins.size(), 2U);
  EXPECT_EQ(music::text(song.pins[0].chord), "G");
  EXPECT_TRUE(song.pins[0].fingers.empty());
  EXPECT_FALSE(song.pins[0].section);
  EXPECT_EQ(music::text(song.pins[1].pitches.at(2)), "G4");
  EXPECT_EQ(song.pins[1].fingers, (std::vector<int>{1, 2, 5}));
  EXPECT_EQ(song.pins[1].section, std::optional<std::size_t>(1));
}

TEST(Parse, ProposesAKeyAndSaysSo) {
  const auto parsed = parse("section V\n| D | G | A7 | D |\n", "quay.stillhand");
  ASSERT_TRUE(parsed);
  EXPECT_TRUE(parsed->song.tonality_was_proposed);
  EXPECT_EQ(music::text(parsed->song.tonality), "D");
  EXPECT_EQ(music::text(parsed->song.sections[0].lines[0].bars[0].tonality), "D");
  EXPECT_EQ(all(parsed->remarks),
            "quay.stillhand: note: no key line: the chords fit D major best\n"
            "  write `key D` above the first section if that is right\n");
}

TEST(Parse, PlacesCountCharacters) {
  const Song song = song_of("key D\nsection Vérse\n| B♭ E♭ | D |\n");
  const auto& bars = song.sections[0].lines[0].bars;
  EXPECT_EQ(bars[0].chords[1].place, (Place{3, 6, 2}));
  EXPECT_EQ(bars[1].place, (Place{3, 11, 1}));
}

TEST(Parse, LargeAndStrangeInputsEndInAMessage) {
  const auto message = [](const std::string& text) {
    const auto parsed = parse(text, "x");
    return parsed ? std::string("fine") : all(parsed.error());
  };
  EXPECT_EQ(message(std::string(kLargestChart + 1, '|')),
            "x: error: the chart is larger than 1024 KB\n"
            "  a chart is a few KB of plain text; is this the right file?\n");
  EXPECT_EQ(message(std::string("key D\nsec\0tion", 14)),
            "x:2:4: error: a control character (U+0000) stands here\n"
            "  a chart is plain text in UTF-8; is this the right file?\n");
  EXPECT_EQ(message("key D\xff\n"),
            "x:1:6: error: this is not valid UTF-8\n"
            "  a chart is plain text in UTF-8; is this the right file?\n");
  const std::string long_line = "section V\n| " + std::string(2000, 'D') + " |\n";
  EXPECT_EQ(message(long_line),
            "x:2:1: error: this line is longer than 1000 characters\n"
            "  break it into several lines\n");
  std::string many = "section V\n";
  for (int i = 0; i < 250; ++i) many += "| Amm |\n";
  const auto parsed = parse(many, "x");
  ASSERT_FALSE(parsed);
  EXPECT_EQ(parsed.error().size(), 101U);
  EXPECT_EQ(render(parsed.error().back()), "x: error: and 150 more\n  correct these first");
  std::string full = "section V\n";
  while (full.size() < kLargestChart - 2000) full += std::string(450, '|') + "\n|: D :| 99 times\n";
  EXPECT_FALSE(parse(full, "x"));
}

}  // namespace
}  // namespace stillhand::chart
