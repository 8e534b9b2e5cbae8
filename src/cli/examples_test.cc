// The songs in examples/ are what a newcomer reads first: each is laid out as the formatter would,
// free of remarks, and arranged with proof in every manner and for every hand.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <vector>

#include "arrange/arrange.h"
#include "base/files.h"
#include "chart/chart.h"

namespace stillhand::cli {
namespace {

namespace fs = std::filesystem;

std::vector<fs::path> examples() {
  std::vector<fs::path> out;
  for (const auto& entry : fs::directory_iterator(fs::path(STILLHAND_SOURCE_DIR) / "examples")) {
    if (entry.path().extension() == ".stillhand") out.push_back(entry.path());
  }
  std::sort(out.begin(), out.end());
  return out;
}

std::string all(const Diagnostics& diagnostics) {
  std::string out;
  for (const Diagnostic& diagnostic : diagnostics) out += render(diagnostic) + "\n";
  return out;
}

class Example : public testing::TestWithParam<fs::path> {
 protected:
  void SetUp() override { text_ = read_file(GetParam().string(), chart::kLargestChart).value(); }
  std::string text_;
};

TEST_P(Example, IsLaidOutAsTheFormatterWould) {
  const Result<std::string> formatted = chart::format(text_, GetParam().filename().string());
  ASSERT_TRUE(formatted) << all(formatted.error());
  EXPECT_EQ(text_, *formatted);
}

TEST_P(Example, HasNoRemarks) {
  const Result<chart::Parsed> parsed = chart::parse(text_, GetParam().filename().string());
  ASSERT_TRUE(parsed) << all(parsed.error());
  EXPECT_TRUE(parsed->remarks.empty()) << all(parsed->remarks);
}

TEST_P(Example, IsArrangedWithProofForEveryHandAndManner) {
  const Result<chart::Parsed> parsed = chart::parse(text_, GetParam().filename().string());
  ASSERT_TRUE(parsed) << all(parsed.error());
  for (const char* manner : {"home", "closest"}) {
    for (const char* hand : {"small", "medium", "large"}) {
      arrange::Choices choices;
      choices.manner = *arrange::Manner::named(manner);
      choices.hand = *hand::HandSize::named(hand);
      const Result<arrange::Arrangement> arranged = arrange::arrange(parsed->song, choices);
      ASSERT_TRUE(arranged) << manner << ", " << hand << "\n" << all(arranged.error());
      EXPECT_EQ(arranged->right.status, arrange::Status::optimal) << manner << ", " << hand;
      EXPECT_EQ(arranged->right.cost, arranged->right.lower_bound);
      EXPECT_EQ(arranged->left.status, arrange::Status::optimal) << manner << ", " << hand;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(All, Example, testing::ValuesIn(examples()), [](const auto& which) {
  std::string name = which.param.stem().string();
  std::replace(name.begin(), name.end(), '-', '_');
  return name;
});

// What the collection has to show: a 3/4, a 6/8 in a flat key, a minor key, an `or` line.
TEST(Examples, ShowMetersModesAndOptions) {
  bool three_four = false;
  bool flat_six_eight = false;
  bool minor = false;
  bool option = false;
  for (const fs::path& path : examples()) {
    const auto parsed =
        chart::parse(read_file(path.string(), chart::kLargestChart).value(), path.string());
    ASSERT_TRUE(parsed) << path;
    const chart::Song& song = parsed->song;
    three_four = three_four || music::text(song.meter) == "3/4";
    flat_six_eight =
        flat_six_eight || (music::text(song.meter) == "6/8" && song.tonality.fifths() < 0);
    minor = minor || song.tonality.mode == music::Mode::minor;
    for (const auto& section : song.sections) {
      for (const auto& line : section.lines) option = option || !line.options.empty();
    }
  }
  EXPECT_TRUE(three_four);
  EXPECT_TRUE(flat_six_eight);
  EXPECT_TRUE(minor);
  EXPECT_TRUE(option);
}

}  // namespace
}  // namespace stillhand::cli
