// The examples of docs/chart.md: what is marked as a chart or as bars is read without a remark, what
// is marked as wrong says exactly what stands below it.

#include <gtest/gtest.h>

#include <fstream>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include "chart/chart.h"
#include "chart/key_profiles.h"
#include "testing/corpus.h"

namespace stillhand::chart {
namespace {

struct Example {
  std::string kind;  // "chart", "bars", "wrong", "says"
  std::string text;
  int line = 0;
};

std::vector<Example> examples() {
  std::ifstream file(std::string(STILLHAND_SOURCE_DIR) + "/docs/chart.md");
  std::vector<Example> all;
  std::optional<Example> open;
  int number = 0;
  for (std::string line; std::getline(file, line);) {
    ++number;
    if (!line.starts_with("```")) {
      if (open) open->text += line + "\n";
    } else if (open) {
      all.push_back(*open);
      open.reset();
    } else {
      open = Example{line.substr(3), "", number};
    }
  }
  return all;
}

std::string all_of(const Diagnostics& diagnostics) {
  std::string out;
  for (const Diagnostic& d : diagnostics) out += render(d) + "\n";
  return out;
}

TEST(Docs, ChartsAreReadAndMessagesAreExact) {
  const auto all = examples();
  ASSERT_GT(all.size(), 20U);
  for (std::size_t i = 0; i < all.size(); ++i) {
    const Example& example = all[i];
    SCOPED_TRACE("docs/chart.md:" + std::to_string(example.line));
    if (example.kind == "chart" || example.kind == "bars") {
      const std::string head = example.kind == "bars" ? "key D\nsection Example\n" : "";
      const auto parsed = parse(head + example.text, "song.stillhand");
      ASSERT_TRUE(parsed) << all_of(parsed.error());
      EXPECT_EQ(all_of(parsed->remarks), "");
      const auto formatted = format(head + example.text, "song.stillhand");
      EXPECT_EQ(parse(*formatted, "song.stillhand")->song, parsed->song);
    } else if (example.kind == "wrong") {
      ASSERT_LT(i + 1, all.size());
      ASSERT_EQ(all[i + 1].kind, "says");
      const auto parsed = parse(example.text, "song.stillhand");
      EXPECT_EQ(all_of(parsed ? parsed->remarks : parsed.error()), all[i + 1].text);
    } else {
      EXPECT_EQ(example.kind, "says");
    }
  }
}

// The figures of the table: tonics of the McGill Billboard songs (Burgoyne, Wild & Fujinaga, 2011).
TEST(Docs, TheProposedTonicIsAsOftenRightAsTheTableSays) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  const auto songs = testing::read_corpus_songs(testing::Corpus::billboard);
  const std::pair<const char*, int> figures[] = {
      {"krumhansl", 622}, {"rock", 611}, {"albrecht", 561}, {"temperley", 524}, {"kostka", 521}};
  std::vector<PitchClassWeights> weights;
  for (const auto& entry : songs)
    weights.push_back(weights_of(played_chords(entry.song, perform(entry.song))));
  for (const auto& [profile, wanted] : figures) {
    int right = 0;
    for (std::size_t i = 0; i < songs.size(); ++i) {
      const Tonality found = best_tonality(weights[i], profile);
      right += found.tonic.pitch_class() == songs[i].tonic->pitch_class() ? 1 : 0;
    }
    EXPECT_EQ(right, wanted) << profile;
  }
}

}  // namespace
}  // namespace stillhand::chart
