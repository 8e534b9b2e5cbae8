// Spelling of every root × common quality against an independent library: npm tonal 6.4.3 (MIT).

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <sstream>
#include <string>
#include <vector>

#include "music/chord.h"

namespace stillhand::music {
namespace {

std::string output_of(const std::string& command) {
  std::string out;
  FILE* pipe = ::popen(command.c_str(), "r");
  if (pipe == nullptr) return out;
  char buffer[4096];
  while (const std::size_t got = std::fread(buffer, 1, sizeof buffer, pipe))
    out.append(buffer, got);
  ::pclose(pipe);
  return out;
}

std::vector<std::string> sorted_words(const std::string& text) {
  std::istringstream in(text);
  std::vector<std::string> words;
  for (std::string word; in >> word;) words.push_back(word);
  std::sort(words.begin(), words.end());
  return words;
}

TEST(Spelling, AgreesWithTonal) {
  const std::filesystem::path folder = std::filesystem::path(STILLHAND_SOURCE_DIR) / "tools/js";
  if (!std::filesystem::exists(folder / "node_modules/tonal"))
    GTEST_SKIP() << "tools/js/node_modules is missing: run `npm ci` in tools/js";
  const std::string table = output_of("node '" + (folder / "chord-spelling.mjs").string() + "'");
  std::istringstream lines(table);
  int chords = 0;
  for (std::string line; std::getline(lines, line);) {
    const std::size_t tab = line.find('\t');
    ASSERT_NE(tab, std::string::npos) << line;
    const std::string symbol = line.substr(0, tab);
    const auto chord = parse_chord(symbol);
    ASSERT_TRUE(chord) << symbol;
    std::string ours;
    for (const NoteName note : chord->notes()) ours += text(note) + " ";
    EXPECT_EQ(sorted_words(ours), sorted_words(line.substr(tab + 1))) << symbol;
    ++chords;
  }
  EXPECT_EQ(chords, 21 * 33);
}

}  // namespace
}  // namespace stillhand::music
