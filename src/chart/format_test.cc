#include <gtest/gtest.h>

#include <string>

#include "chart/chart.h"
#include "testing/amount.h"
#include "testing/chart_text.h"
#include "testing/corpus.h"
#include "testing/golden.h"

namespace stillhand::chart {
namespace {

std::string formatted(const std::string& text) {
  const auto out = format(text, "x");
  EXPECT_TRUE(out) << text << (out ? "" : render(out.error().front()));
  return out ? *out : "";
}

// Everything the language has, typed carelessly.
constexpr const char* kUntidy = R"(

Title Lamps   Along the Quay   ; our own song
WRITERS   The makers
key D major
meter 4/4
 tempo 66
range A3 to B4
; the verse

section   Verse 1
pick-up | (D A)|
"   O |
|Dmaj |G D/F♯ | Em A|D
" Lamps a- | long the | qui-et | quay |   ; words
|Bmin|G|D--Em|A|
)";

TEST(Format, GoldenOfEverythingTheLanguageHas) {
  std::string text = kUntidy;
  text.replace(text.find("D--Em"), 5, "D - - Em");
  text +=
      "or   stepping   down\n| Bm D/A|G | D/F# - – Em|A|\n\" a | b\n\n\n"
      "section Chorus\n|:G|A|1.2. Asus4 A :|3. D|\nmeter 3/4\n|: D - G :| 3 times\n"
      "key   E\n|: E|B7/D# :| vamp\npedal E\n| C#-7 | (E - Badd9) - nc |\npedal  "
      "off\n|E(add9)||\n\n"
      "roadmap\n";
  text.replace(text.find("roadmap\n"), 8,
               "road  map verse 1,chorus twice ,Verse 1, chorus 3 times\n"
               "shape G G3 B3 D4;no fingers\nshape A   A3 C#4 E4 1 3 5 in chorus\n\n\n");
  const std::string once = formatted(text);
  testing::expect_golden(STILLHAND_SOURCE_DIR, "chart_formatted.stillhand", once);
  EXPECT_EQ(formatted(once), once);
  EXPECT_EQ(parse(once, "x")->song, parse(text, "x")->song);
}

TEST(Format, KeepsNumbersAndNumerals) {
  EXPECT_EQ(formatted("key Am\nsection V\n|1- | 4min7 57/7 |6maj7|b7|"),
            "key        Am\nsection V\n| 1m | 4m7 57/7 | 6maj7 | b7 |\n");
  EXPECT_EQ(formatted("key C\nsection V\n|I | ii-7 V7/7 |vi|viidim iiø7|IΔ V+|iv6"),
            "key        C\nsection V\n| I | ii7 V7/7 | vi | viio ii7b5 | Imaj7 V+ | iv6 |\n");
}

TEST(Format, FailsWhereParsingFails) {
  const auto out = format("key D\nsection V\n| Amm |\n", "x");
  const auto parsed = parse("key D\nsection V\n| Amm |\n", "x");
  ASSERT_FALSE(out);
  EXPECT_EQ(out.error(), parsed.error());
}

// Real songs written as charts, read, laid out and read again (McGill Billboard, OpenEWLD).
TEST(Format, RealSongsComeBack) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  int charts = 0;
  int unwritable = 0;
  for (Song song : testing::read_corpus_sample()) {
    std::string text;
    try {
      text = testing::chart_text(song);
    } catch (const std::runtime_error&) {
      ++unwritable;
      continue;
    }
    const auto parsed = parse(text, song.title);
    ASSERT_TRUE(parsed) << song.title << "\n" << render(parsed.error().front());
    EXPECT_EQ(parsed->song, song) << song.title << "\n" << text;
    const std::string once = formatted(text);
    if (charts % 10 == 0) {
      EXPECT_EQ(formatted(once), once) << song.title;
    }
    EXPECT_EQ(parse(once, song.title)->song, song) << song.title;
    ++charts;
  }
  std::cout << charts << " real songs came back, " << unwritable
            << " have counts a chart cannot say\n";
  EXPECT_EQ(charts + unwritable, testing::part_of(917));
}

}  // namespace
}  // namespace stillhand::chart
