#include "arrange/build_up.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "chart/chart.h"

namespace stillhand::arrange {
namespace {

// The letters of the fullness of every section as played: s l m f F.
std::string built(const std::vector<std::string>& sections, const std::string& road_map) {
  std::string text = "key C\n";
  for (const std::string& section : sections) text += "section " + section + "\n| C |\n";
  if (!road_map.empty()) text += "road map " + road_map + "\n";
  const auto parsed = chart::parse(text, "x");
  EXPECT_TRUE(parsed) << (parsed ? "" : render(parsed.error().front()));
  std::string out;
  for (const PlayedSection& s : build_up(parsed->song, chart::perform(parsed->song)))
    out += "slmfF"[static_cast<int>(s.fullness)];
  return out;
}

TEST(BuildUp, ByName) {
  EXPECT_EQ(built({"Verse", "Chorus"}, "Verse, Chorus, Verse, Chorus twice"), "sflfF");
  EXPECT_EQ(built({"Verse 1", "Verse 2", "Verse 3", "Refrain"},
                  "Verse 1, Refrain, Verse 2, Refrain, Verse 3, Refrain"),
            "sflfmF");
  EXPECT_EQ(
      built({"Introduction", "Verse", "Pre-Chorus", "CHORUS", "Bridge (quiet)", "Tag", "Outro"},
            "Introduction, Verse, Pre-Chorus, CHORUS, Verse, Pre-Chorus, CHORUS, Bridge (quiet) "
            "twice, CHORUS, Tag, Outro"),
      "sslflmfsmFFl");
}

TEST(BuildUp, WithoutAChorusTheVersesCarryIt) {
  EXPECT_EQ(built({"Verse"}, ""), "l");
  EXPECT_EQ(built({"Verse"}, "Verse twice"), "lm");
  EXPECT_EQ(built({"Verse"}, "Verse 4 times"), "slmf");
}

TEST(BuildUp, NamesThatSayNothing) {
  EXPECT_EQ(built({"A"}, ""), "l");
  EXPECT_EQ(built({"A"}, "A 3 times"), "slf");
  EXPECT_EQ(built({"A", "B"}, "A, B, A, B"), "sflF");
  EXPECT_EQ(built({"A", "B", "C"}, "A, B, A, B, C, B"), "sflfsF");
  EXPECT_EQ(built({"Stage left", "B"}, "Stage left, B, B"), "sfF");
}

TEST(BuildUp, OneEntryEachTimeASectionBegins) {
  const auto parsed = chart::parse("key C\nsection A\n| C | F |\nsection B\n| G |\n", "x");
  const auto list = build_up(parsed->song, chart::perform(parsed->song));
  ASSERT_EQ(list.size(), 2U);
  EXPECT_EQ(list[1].first_bar, 2U);
  EXPECT_EQ(list[1].section, 1U);
}

}  // namespace
}  // namespace stillhand::arrange
