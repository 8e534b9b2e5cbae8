// The wording of every message, locked in golden/chart_messages.txt. Each chart there stands above
// what the user reads.

#include <gtest/gtest.h>

#include <string>

#include "chart/chart.h"
#include "testing/golden.h"

namespace stillhand::chart {
namespace {

constexpr const char* kCharts[] = {
    // the whole file
    "",
    "\n; nothing but a remark\n\n",
    "title Nothing\n",
    "section V\n",
    // lines that begin with no known word
    "tite Quay\nkey D\nsection V\n| D |\n",
    "title: Quay\nkey D\nsection V\n| D |\n",
    "key D\nsection V\nD G A D\n",
    "key D\nsection V\n| D |\nroadmap V\n",
    "key D\nsection V\n| D |\nEverybody sings along here\n",
    // header lines
    "title\nkey\nmeter\ntempo\nrange\nsection V\n| D |\n",
    "key H\nmeter 4/16\ntempo fast\nrange high\nsection V\n| D |\n",
    "tempo 9\nsection V\n| D |\n",
    "tempo 401\nsection V\n| D |\n",
    "key D\nkey E\ntempo 80\ntempo 90\nsection V\n| D |\n",
    "range B4-A3\nsection V\n| D |\n",
    "key D\nsection V\n| D |\ntempo 80\n",
    // sections
    "key D\n| D |\n| G |\n",
    "key D\nsection\n| D |\n",
    "key D\nsection Road Map\n| D |\n",
    "key D\nsection Verse, soft\n| D |\n",
    "key D\nsection Chorus twice\n| D |\n",
    "key D\nsection V\n| D |\nsection v\n| G |\n",
    "key D\nsection A\nsection B\n| G |\n",
    // chords
    "key D\nsection V\n| Amm | H7 | Dsuss | d |\n",
    "key D\nsection V\n| D . . . | % | [D] | D / / / |\n",
    "key D\nsection V\n| D -A | 5 | D | V |\n",
    "key D\nsection V\n| 1 | 6mm | 8 | 1/8 | A |\n",
    "key D\nsection V\n| I | vix | V/iii | 5 |\n",
    "section V\n| 1 | 5 |\n",
    "section V\n| ii | V |\n",
    "key D\nsection V\n| Dm/C7 | A7/Bm7 | D/Dsus4 | Cxx/D7 |\n",
    "key D\nsection V\n| 1 | 4/57 | 2m7/5m |\n",
    "key D\nsection V\n| I | ii/V7 |\n",
    "key D\nsection V\n| Dthis-is-a-very-long-word-that-nobody-would-call-a-chord |\n",
    // counts
    "key D\nsection V\n| D G A | D | D - A |\n",
    "key D\nsection V\n| D Em G A Bm |\n",
    "key D\nsection V\n| D - - - - |\n",
    "key D\nsection V\n| D - - A - G |\n",
    "key D\nmeter 6/8\nsection V\n| D G A |\n",
    "key D\nmeter 3/4\nsection V\n| D G |\n",
    "key D\nmeter 7/8\nsection V\n| D G |\n",
    "key D\nsection V\n| (D G A Bm D G A) - - - |\n",
    "key D\nsection V\n| (D (G) A) - - - | (D G - - | D ) G | () - - - |\n",
    "key D\nsection V\n| - - - D |\n",
    "key D\nsection V\n| D | | G |\n",
    "key D\nsection V\n|\n",
    // pick-ups
    "key D\nsection V\npick-up | D G A Bm |\n| D |\n",
    "key D\nsection V\npick-up D\n| D |\n",
    "key D\nsection V\n| D |\nmeter 2/4\n| D |\nmeter 4/4\npick-up | D G |\n| D |\n",
    // repeats
    "key D\nsection V\n|: D | G |\n",
    "key D\nsection V\n|: D |: G :|\n",
    "key D\nsection V\n|: D | G :| 1 times\n",
    "key D\nsection V\n|: D | G :| 100 times\n",
    "key D\nsection V\n| D |\n:| G |\n",
    "key D\nsection V\n| D |:\n| G :|\n",
    "key D\nsection V\n|: D |1. G |2. A |\n",
    "key D\nsection V\n|: D |1. G :|3. A |\n",
    "key D\nsection V\n|: D |1. G :| A |\n",
    "key D\nsection V\n|: D |1. G :|2. A :|\n",
    "key D\nsection V\n|: D |1. G :| 3 times |2. A |\n",
    "key D\nsection V\n|: D |1. G :| vamp |2. A |\n",
    "key D\nsection V\n| D |1. G |\n",
    "key D\nsection V\n|: D |1.\n| G :|2. A |\n",
    "key D\nsection V\n|: D :| 99 times\nroad map V 99 times\n",
    // words and or
    "key D\nsection V\n\" la la\n| D |\n",
    "key D\nsection V\n| D | G |\n\" la | la | la |\n",
    "key D\nsection V\n| D |\n\" la |\n\" lo |\n",
    "key D\nsection V\nor higher\n| D |\n",
    "key D\nsection V\n| D |\nor higher\nsection C\n| D |\n",
    "key D\nsection V\n| D |\nor | G |\n| G |\n",
    "key D\nsection V\n| D | G |\nor\n| D |\n",
    "key D\nsection V\n|: D | G :|\nor\n|: D | A :|\n",
    "key D\nsection V\n| D |\nor\n| G |\nor\n| A |\n",
    "key D\nsection V\n| D |\nor\npick-up | G |\n",
    "key D\nsection V\npick-up | D G |\nor\n| G |\n",
    "key D\nsection V\npick-up | D G |\nor\npick-up | G |\n",
    // pedal points
    "key D\npedal D\nsection V\n| D |\n",
    "key D\nsection V\npedal\n| D |\npedal H\npedal off\n",
    // road map
    "key D\nsection Verse 1\n| D |\nsection Chorus\n| G |\nroad map Verse, Chrous, road map, "
    "Bridge\n",
    "key D\nsection V\n| D |\nroad map V,, V\n",
    "key D\nsection V\n| D |\nroad map V 0 times, V 100 times\n",
    "key D\nsection V\n| D |\nroad map V\nroad map V\n",
    "key D\nsection V\n| D |\nroad map\n",
    "key D\nsection V\n| D |\nsection W\n| D |\nroad map V\n",
    // shapes
    "key D\nsection V\n| D |\nshape\nshape D\nshape Dx D3 F#3\nshape D D3 F3 A3\n",
    "key D\nsection V\n| D |\nshape D D3 F#3 A3 1 3\n",
    "key D\nsection V\n| D |\nshape D D3 F#3 A3 5 3 1\n",
    "key D\nsection V\n| D |\nshape D D3 F#3 A3 1 3 6\n",
    "key D\nsection V\n| D |\nshape D A3 F#3 D3\n",
    "key D\nsection V\n| D |\nshape D D3 F#3 A3 in\nshape D D3 F#3 A3 in W\nshape D D3 thumb A3\n",
    "key D\nsection V\n| D/F# |\nshape D/F# D3 F#3 A3\n",
    "key D\nsection V\n| D |\nshape D D3 F#3 A3\nshape D A3 D4 F#4\n",
    "key D\nsection V\n| D |\nsection W\n| A |\nshape G G3 B3 D4\nshape A A3 C#4 E4 in V\n",
    "key D\nsection V\n| D |\nshape D D3 F#3 A3 D4 F#4 A4\n",
};

std::string repeated(const std::string& head, int times, const std::string& front,
                     const std::string& behind) {
  std::string out = head;
  for (int i = 1; i <= times; ++i) out += front + std::to_string(i) + behind;
  return out;
}

std::string what_the_user_reads(const std::string& chart) {
  const auto parsed = parse(chart, "quay.stillhand");
  std::string out;
  for (const Diagnostic& d : parsed ? parsed->remarks : parsed.error()) out += render(d) + "\n";
  return out;
}

TEST(Messages, AreWordedAsApproved) {
  std::string now;
  for (const char* chart : kCharts) {
    const std::string read = what_the_user_reads(chart);
    EXPECT_NE(read, "") << "nothing is said about\n" << chart;
    now += "==== chart\n" + std::string(chart) + "---- reads\n" + read + "\n";
  }
  testing::expect_golden(STILLHAND_SOURCE_DIR, "chart_messages.txt", now);
}

// An error must name a line of the chart, and the place must lie in it.
TEST(Messages, PointIntoTheChart) {
  for (const char* chart : kCharts) {
    const auto parsed = parse(chart, "quay.stillhand");
    for (const Diagnostic& d : parsed ? parsed->remarks : parsed.error()) {
      EXPECT_EQ(d.fault, Fault::chart);
      EXPECT_FALSE(d.message.ends_with('.')) << d.message;
      if (d.place.line == 0) continue;
      EXPECT_GE(d.place.column, 1);
      EXPECT_LE(d.place.column + d.place.length - 2, static_cast<int>(d.source_line.size()))
          << render(d);
    }
  }
}

// Limits that no real song comes near; without them a hostile chart would take minutes.
TEST(Messages, LimitsAreSaid) {
  EXPECT_EQ(what_the_user_reads(repeated("key D\n", 202, "section V", "\n| D |\n")),
            "quay.stillhand:402:1: error: a chart has at most 200 sections\n"
            "  section V201\n  ^^^^^^^\n  leave some out\n");
  EXPECT_EQ(what_the_user_reads(repeated("key D\nsection V\n| D |\n", 21, "or ", "\n| G |\n")),
            "quay.stillhand:44:1: error: a line has at most 20 others to choose from\n"
            "  or 21\n  ^^\n  leave some out\n");
  std::string many = "key D\nsection V\n| D |\n";
  for (int i = 0; i < 501; ++i) many += "shape D D3 A3\n";
  EXPECT_NE(what_the_user_reads(many).find("a chart has at most 500 shapes"), std::string::npos);
}

}  // namespace
}  // namespace stillhand::chart
