#include "testing/harte.h"

#include <gtest/gtest.h>

#include <fstream>
#include <set>
#include <sstream>

#include "testing/corpus.h"

namespace stillhand::testing {
namespace {

TEST(Harte, ReadsShorthandDegreesAndBass) {
  EXPECT_EQ(text(*parse_harte("C")->chord), "C");
  EXPECT_EQ(text(*parse_harte("D:maj/3")->chord), "D/F#");
  EXPECT_EQ(text(*parse_harte("A:min7/b3")->chord), "Am7/C");
  EXPECT_EQ(text(*parse_harte("C:7(#9)")->chord), "C7#9");
  EXPECT_EQ(text(*parse_harte("G:maj(*5)")->chord), "Gno5");
  EXPECT_EQ(text(*parse_harte("G:sus4(b7,9)")->chord), "G9sus4");
  EXPECT_EQ(text(*parse_harte("Eb:(1,b3,5)")->chord), "Ebm");
}

TEST(Harte, NoChordAndUnknownHaveNone) {
  ASSERT_TRUE(parse_harte("N"));
  EXPECT_FALSE(parse_harte("N")->chord);
  ASSERT_TRUE(parse_harte("X"));
  EXPECT_FALSE(parse_harte("X")->chord);
}

TEST(Harte, RefusesWhatIsNoLabel) {
  for (const char* wrong : {"", "H", "C:", "C:foo", "C:maj(", "C:maj(x)", "C:maj/", "C:maj/14",
                            "Cm", "C(9)", "C:maj()"}) {
    EXPECT_FALSE(parse_harte(wrong)) << wrong;
  }
}

std::set<int> numbers(const std::string& text) {
  std::istringstream in(text);
  std::set<int> out;
  for (int n = 0; in >> n;) out.insert(n);
  return out;
}

// chord_symbols.csv: root, pitch classes and bass of every symbol as the reference library mir_eval
// computes them (C. Raffel et al., "mir_eval", ISMIR 2014; MIT). The canonical chart symbol of each
// must also read back as the same chord.
TEST(Harte, AgreesWithTheReferenceOnEverySymbol) {
  if (!data_folder()) GTEST_SKIP() << kNoData;
  std::ifstream file(*data_folder() / "chord_symbols.csv");
  ASSERT_TRUE(file);
  std::string line;
  std::getline(file, line);
  int symbols = 0;
  while (std::getline(file, line)) {
    // The symbol may hold commas and is quoted then.
    std::string symbol;
    std::string rest;
    if (line.front() == '"') {
      const std::size_t end = line.find('"', 1);
      symbol = line.substr(1, end - 1);
      rest = line.substr(end + 2);
    } else {
      const std::size_t end = line.find(',');
      symbol = line.substr(0, end);
      rest = line.substr(end + 1);
    }
    std::vector<std::string> columns;
    std::istringstream in(rest);
    for (std::string column; std::getline(in, column, ',');) columns.push_back(column);
    ++symbols;
    const auto label = parse_harte(symbol);
    ASSERT_TRUE(label) << symbol;
    if (symbol == "N" || symbol == "X") {
      EXPECT_FALSE(label->chord) << symbol;
      continue;
    }
    ASSERT_GE(columns.size(), 6U) << line;
    const music::Chord& chord = *label->chord;
    EXPECT_EQ(chord.root.pitch_class().value(), std::stoi(columns[3])) << symbol;
    EXPECT_EQ(chord.bass_note().pitch_class().value(), std::stoi(columns[5])) << symbol;
    std::set<int> pitch_classes;
    for (const music::NoteName note : chord.notes())
      pitch_classes.insert(note.pitch_class().value());
    pitch_classes.insert(chord.bass_note().pitch_class().value());
    EXPECT_EQ(pitch_classes, numbers(columns[4])) << symbol;
    const auto again = music::parse_chord(text(chord));
    ASSERT_TRUE(again) << symbol << " -> " << text(chord);
    EXPECT_EQ(*again, chord) << symbol << " -> " << text(chord);
  }
  EXPECT_EQ(symbols, 1013);
}

}  // namespace
}  // namespace stillhand::testing
