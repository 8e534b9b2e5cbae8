#include "write/pack.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/files.h"
#include "write/demo_lesson.h"

namespace stillhand::write {
namespace {

namespace fs = std::filesystem;

// What stands in the folder itself, and `more`, sorted.
std::vector<std::string> lesson_files(std::vector<std::string> more) {
  for (const char* name : {"lesson.json", "sheet.pdf", "sheet-large.pdf", "sheet-numbers.pdf",
                           "moves.pdf", "plan.md", "plan.pdf", "practice.md", "practice.pdf",
                           "page.html", "song.mid", "song.musicxml", "tracks"})
    more.emplace_back(name);
  std::sort(more.begin(), more.end());
  return more;
}

class Pack : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "stillhand-pack-XXXXXX").string();
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
    options_.folder = folder_ / "lesson";
    options_.tracks.sound = TrackFilesOptions::Sound::leave_out;
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::vector<std::string> names() const {
    std::vector<std::string> out;
    for (const auto& entry : fs::directory_iterator(options_.folder)) {
      out.push_back(entry.path().filename().string());
    }
    std::sort(out.begin(), out.end());
    return out;
  }
  std::vector<std::string> all_files() const {
    std::vector<std::string> out;
    for (const auto& entry : fs::recursive_directory_iterator(options_.folder)) {
      if (entry.is_regular_file())
        out.push_back(fs::relative(entry.path(), options_.folder).string());
    }
    std::sort(out.begin(), out.end());
    return out;
  }
  // All files of the folder and those below it but the manifest.
  std::size_t files_below() const {
    std::size_t out = 0;
    for (const auto& entry : fs::recursive_directory_iterator(options_.folder)) {
      const std::string name = entry.path().filename().string();
      if (entry.is_regular_file() && name != "manifest.json" && name != "rendered.json") ++out;
    }
    return out;
  }
  std::string content(const std::string& name) const {
    return read_file((options_.folder / name).string(), 64 << 20).value();
  }

  fs::path folder_;
  PackOptions options_;
  const teach::Lesson lesson_ = test::demo_lesson();
};

TEST_F(Pack, TheManifestListsEveryFileWithItsSize) {
  const Result<PackReport> report = write_pack(lesson_, options_);
  ASSERT_TRUE(report);
  EXPECT_EQ(names(), lesson_files({"manifest.json"}));
  const auto manifest = nlohmann::json::parse(content("manifest.json"));
  EXPECT_EQ(manifest["title"], lesson_.title);
  ASSERT_EQ(manifest["files"].size(), files_below());
  for (const auto& file : manifest["files"]) {
    EXPECT_EQ(content(file["name"]).size(), file["bytes"]);
  }
  EXPECT_EQ(report->files.back().name, "manifest.json");
}

TEST_F(Pack, TheSameLessonGivesTheSameBytes) {
  ASSERT_TRUE(write_pack(lesson_, options_));
  std::vector<std::string> first;
  for (const std::string& name : all_files()) first.push_back(content(name));
  ASSERT_TRUE(write_pack(lesson_, options_));
  std::vector<std::string> second;
  for (const std::string& name : all_files()) second.push_back(content(name));
  EXPECT_TRUE(first == second);
}

TEST_F(Pack, OneFileThatFailsLosesNoOtherAndLeavesNoManifest) {
  ASSERT_TRUE(write_pack(lesson_, options_));
  fs::remove(options_.folder / "song.mid");
  fs::create_directories(options_.folder / "song.mid" / "in the way");
  const Result<PackReport> report = write_pack(lesson_, options_);
  ASSERT_FALSE(report);
  EXPECT_EQ(report.error().size(), 1U);
  EXPECT_EQ(report.error()[0].fault, Fault::file);
  EXPECT_EQ(report.error()[0].file, (options_.folder / "song.mid").string());
  EXPECT_EQ(names(), lesson_files({}));
}

TEST_F(Pack, AMissingSoundFontIsSaidOnceAndLosesNothingElse) {
  options_.tracks.sound = TrackFilesOptions::Sound::render;
  options_.tracks.sound_font = folder_ / "none.sf2";
  const Result<PackReport> report = write_pack(lesson_, options_);
  ASSERT_FALSE(report);
  EXPECT_EQ(report.error().size(), 1U);
  EXPECT_EQ(report.error()[0].fault, Fault::file);
  EXPECT_EQ(names(), lesson_files({}));
}

TEST_F(Pack, TracksStandInTheManifestWithTheirLoudness) {
  const fs::path font = "/usr/share/sounds/sf2/TimGM6mb.sf2";
  if (!fs::exists(font)) GTEST_SKIP() << "no TimGM6mb here";
  options_.tracks.sound = TrackFilesOptions::Sound::render;
  options_.tracks.sound_font = font;
  options_.tracks.choice = {.parts = {TrackPart::song}, .percents = {400}};
  const Result<PackReport> report = write_pack(lesson_, options_);
  ASSERT_TRUE(report) << render(report.error()[0]);
  ASSERT_EQ(report->tracks.size(), 1U);
  EXPECT_EQ(names(), lesson_files({"manifest.json"}));
  const auto manifest = nlohmann::json::parse(content("manifest.json"));
  ASSERT_EQ(manifest["files"].size(), files_below());
  for (const auto& file : manifest["files"]) {
    EXPECT_EQ(content(file["name"]).size(), file["bytes"]);
  }
  EXPECT_EQ(manifest["tracks"][0]["name"], "tracks/play-along-400");
  EXPECT_EQ(manifest["tracks"][0]["title"], lesson_.title + ", 400 %");
}

TEST_F(Pack, LoudnessInWords) {
  AudioReport audio;
  audio.lufs = -16.02;
  audio.true_peak_db = -3.21;
  audio.seconds = 185.4;
  EXPECT_EQ(in_words(audio), "-16.0 LUFS, true peak -3.2 dBTP, 3 min 05 s");
  audio.peak_bound = true;
  EXPECT_EQ(in_words(audio),
            "-16.0 LUFS, true peak -3.2 dBTP (as loud as the peak allows), 3 min 05 s");
}

TEST_F(Pack, AFolderThatCannotBeMadeIsTheOnlyError) {
  ASSERT_TRUE(write_file(folder_ / "lesson", "a file"));
  const Result<PackReport> report = write_pack(lesson_, options_);
  ASSERT_FALSE(report);
  EXPECT_EQ(report.error().size(), 1U);
  EXPECT_EQ(read_file((folder_ / "lesson").string(), 100).value(), "a file");
}

TEST_F(Pack, ATrackOfAnEarlierRunIsKeptAndRemarked) {
  ASSERT_TRUE(make_folder(options_.folder / "tracks"));
  ASSERT_TRUE(write_file(options_.folder / "tracks/play-along-100.flac", "old"));
  const Result<PackReport> report = write_pack(lesson_, options_);
  ASSERT_TRUE(report);
  ASSERT_EQ(report->remarks.size(), 1U);
  EXPECT_EQ(report->remarks[0].message,
            "of an earlier run, and may not fit the lesson any more: play-along-100.flac");
  EXPECT_EQ(content("tracks/play-along-100.flac"), "old");
}

TEST_F(Pack, ProgressNamesWhatIsBeingMade) {
  std::vector<std::string> told;
  ASSERT_TRUE(write_pack(lesson_, options_, [&](std::string_view what, int percent) {
    told.emplace_back(what);
    EXPECT_GE(percent, 0);
    EXPECT_LE(percent, 100);
  }));
  EXPECT_THAT(told, testing::Contains("drawing the sheets"));
}

TEST_F(Pack, MakesOnlyThePartsWished) {
  options_.parts = {PackPart::midi};
  const auto report = write_pack(lesson_, options_);
  ASSERT_TRUE(report);
  EXPECT_THAT(names(), testing::ElementsAre("lesson.json", "manifest.json", "song.mid"));
}

struct Stopped {};

TEST_F(Pack, AProgressThatThrowsStopsItWithNothingHalfWritten) {
  const auto stop_at = [](std::string_view wanted) {
    return [wanted](std::string_view what, int) {
      if (what == wanted) throw Stopped();
    };
  };
  ASSERT_TRUE(write_pack(lesson_, options_));
  EXPECT_THROW((void)write_pack(lesson_, options_, stop_at("writing the plans")), Stopped);
  EXPECT_THAT(names(), testing::Not(testing::Contains("manifest.json")));
  for (const std::string& name : all_files())
    EXPECT_THAT(name, testing::Not(testing::EndsWith(".tmp"))) << name;
  ASSERT_TRUE(write_pack(lesson_, options_));
  EXPECT_THAT(names(), testing::Contains("manifest.json"));
}

}  // namespace
}  // namespace stillhand::write
