#include "write/track_files.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "arrange/arrange.h"
#include "base/files.h"
#include "chart/chart.h"
#include "teach/lesson.h"

namespace stillhand::write {
namespace {

namespace fs = std::filesystem;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

const fs::path kFont = "/usr/share/sounds/sf2/TimGM6mb.sf2";

teach::Lesson lesson_of(std::string_view chart) {
  const auto parsed = chart::parse(chart, "test");
  EXPECT_TRUE(parsed) << render(parsed.error().front());
  return teach::teach(arrange::arrange(parsed->song, {}).value());
}

// Short and fast: what is tested here is what is rendered, not how it sounds.
// All shapes are pinned, so that another chord in one section changes nothing in the other.
std::string chart(std::string_view chorus) {
  return "title Quay\nkey D\nmeter 2/4\ntempo 300\nsection Verse\n| D | G |\nsection Chorus\n" +
         std::string(chorus) + "\nshape D A3 D4 F#4\nshape G B3 D4 G4\nshape A A3 C#4 E4\n";
}

class TrackFiles : public testing::Test {
 protected:
  void SetUp() override {
    if (!fs::exists(kFont)) GTEST_SKIP() << "install the package timgm6mb-soundfont";
    std::string pattern = (fs::temp_directory_path() / "stillhand-tracks-XXXXXX").string();
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    options_.folder = pattern;
    options_.sound_font = kFont;
    options_.choice = {.hands = {TrackHands::both}, .percents = {300}};
  }
  void TearDown() override { fs::remove_all(options_.folder); }

  std::map<std::string, std::string> content() const {
    std::map<std::string, std::string> out;
    for (const auto& entry : fs::directory_iterator(options_.folder)) {
      out[entry.path().filename().string()] =
          read_file(entry.path().string(), std::size_t{64} << 20).value();
    }
    return out;
  }
  std::vector<std::string> rendered(const Result<TrackFilesReport>& report) const {
    EXPECT_TRUE(report) << render(report.error().front());
    std::vector<std::string> out;
    for (const WrittenTrack& track : report->tracks) {
      if (track.how == WrittenTrack::How::rendered) out.push_back(track.name);
    }
    return out;
  }
  void write(const std::string& name, const std::string& text) const {
    ASSERT_TRUE(write_file(options_.folder / name, text));
  }

  TrackFilesOptions options_;
  teach::Lesson lesson_ = lesson_of(chart("| A | D |"));
};

TEST_F(TrackFiles, EverySoundHasItsTextsAndTheSameBytesWhateverTheThreads) {
  options_.formats = {SoundFormat::flac, SoundFormat::opus};
  options_.at_once = 1;
  const auto report = write_track_files(lesson_, options_);
  const auto all = tracks(lesson_, options_.choice);
  ASSERT_GE(all.size(), 5U);
  EXPECT_EQ(rendered(report).size(), all.size());
  EXPECT_EQ(report->files.size(), all.size() * 7);
  const auto first = content();
  EXPECT_EQ(first.size(), all.size() * 7 + 1);
  for (const WrittenFile& file : report->files) EXPECT_EQ(first.at(file.name).size(), file.bytes);
  fs::remove_all(options_.folder);
  options_.at_once = 4;
  ASSERT_TRUE(write_track_files(lesson_, options_));
  EXPECT_TRUE(content() == first);
}

TEST_F(TrackFiles, WhatHasNotChangedIsNotRenderedAgain) {
  options_.choice.parts = {TrackPart::song, TrackPart::section};
  ASSERT_EQ(rendered(write_track_files(lesson_, options_)).size(), 3U);
  const auto before = content();
  const auto again = write_track_files(lesson_, options_);
  EXPECT_THAT(rendered(again), IsEmpty());
  EXPECT_TRUE(content() == before);
  EXPECT_LT(again->tracks[0].audio.lufs, -10) << "the report is as full as the first time";
  // A chord of the chorus: the song and the chorus change, the verse stays.
  const teach::Lesson other = lesson_of(chart("| A | A |"));
  EXPECT_THAT(rendered(write_track_files(other, options_)),
              testing::UnorderedElementsAre("play-along-300", "section-2-chorus-300"));
  // Options and the sound font count too.
  options_.click = ClickHeard::in_count_ins;
  EXPECT_EQ(rendered(write_track_files(other, options_)).size(), 3U);
  fs::copy_file(kFont, options_.folder / "font.sf2");
  options_.sound_font = options_.folder / "font.sf2";
  EXPECT_EQ(rendered(write_track_files(other, options_)).size(), 3U);
}

TEST_F(TrackFiles, CallsMakeItAnotherSoundAndTheSameCallsTheSame) {
  if (!Voice::speaking({"one"})) GTEST_SKIP() << "espeak-ng is not installed";
  options_.choice.parts = {TrackPart::section};
  ASSERT_EQ(rendered(write_track_files(lesson_, options_)).size(), 2U);
  const auto without = content();
  options_.calls = TrackFilesOptions::Calls::spoken;
  ASSERT_EQ(rendered(write_track_files(lesson_, options_)).size(), 2U);
  const auto with = content();
  EXPECT_NE(with.at("section-1-verse-300.flac"), without.at("section-1-verse-300.flac"));
  EXPECT_THAT(rendered(write_track_files(lesson_, options_)), IsEmpty());
  fs::remove_all(options_.folder);
  ASSERT_TRUE(write_track_files(lesson_, options_));
  EXPECT_TRUE(content() == with);
  options_.calls = TrackFilesOptions::Calls::none;
  ASSERT_TRUE(write_track_files(lesson_, options_));
  EXPECT_TRUE(content() == without);
}

TEST_F(TrackFiles, AStoppedRunGoesOnWhereItWas) {
  options_.choice.parts = {TrackPart::song, TrackPart::section};
  ASSERT_TRUE(write_track_files(lesson_, options_));
  const auto whole = content();
  // As a run leaves it that was ended while it made one track: not there, half a file beside it.
  fs::remove(options_.folder / "section-1-verse-300.flac");
  write(".section-1-verse-300.flac.999999999.tmp", "half");
  EXPECT_THAT(rendered(write_track_files(lesson_, options_)), ElementsAre("section-1-verse-300"));
  EXPECT_TRUE(content() == whole);
  // A file that was cut off, and a record that is none.
  write("play-along-300.flac", "cut");
  EXPECT_THAT(rendered(write_track_files(lesson_, options_)), ElementsAre("play-along-300"));
  EXPECT_TRUE(content() == whole);
  for (const char* record :
       {"", "{", "[]", "{\"version\":1}", "{\"version\":1,\"files\":{\"a\":{}}}",
        "{\"version\":1,\"files\":3}", "{\"version\":\"1\"}"}) {
    write("rendered.json", record);
    options_.choice.parts = {TrackPart::section};
    EXPECT_EQ(rendered(write_track_files(lesson_, options_)).size(), 2U) << record;
  }
}

TEST_F(TrackFiles, SoundsNotAskedForAreLeftAloneAndRemarkedOnlyIfTheyNoLongerFit) {
  options_.choice.parts = {TrackPart::section};
  ASSERT_TRUE(write_track_files(lesson_, options_));
  options_.choice.parts = {TrackPart::song};
  const auto fits = write_track_files(lesson_, options_);
  ASSERT_TRUE(fits);
  EXPECT_THAT(fits->remarks, IsEmpty());
  EXPECT_TRUE(fs::exists(options_.folder / "section-1-verse-300.flac"));
  const teach::Lesson other = lesson_of(chart("| A | A |"));
  const auto report = write_track_files(other, options_);
  ASSERT_TRUE(report);
  ASSERT_EQ(report->remarks.size(), 1U);
  EXPECT_EQ(render(report->remarks[0]), options_.folder.string() +
                                            ": note: of an earlier run, and may not fit the lesson "
                                            "any more: section-2-chorus-300.flac\n"
                                            "  make them anew by asking for them, or remove them");
}

TEST_F(TrackFiles, OneThatFailsLosesNoOther) {
  options_.choice.parts = {TrackPart::song, TrackPart::section};
  fs::create_directories(options_.folder / "section-1-verse-300.flac" / "in the way");
  const auto report = write_track_files(lesson_, options_);
  ASSERT_FALSE(report);
  EXPECT_EQ(report.error().size(), 1U);
  EXPECT_THAT(report.error()[0].file, HasSubstr("section-1-verse-300.flac"));
  EXPECT_TRUE(fs::exists(options_.folder / "play-along-300.flac"));
  EXPECT_TRUE(fs::exists(options_.folder / "section-2-chorus-300.flac"));
  fs::remove_all(options_.folder / "section-1-verse-300.flac");
  EXPECT_THAT(rendered(write_track_files(lesson_, options_)), ElementsAre("section-1-verse-300"));
}

TEST_F(TrackFiles, ProgressIsOfAllAndGoesUp) {
  std::vector<std::pair<std::string, int>> told;
  options_.at_once = 2;
  ASSERT_TRUE(write_track_files(lesson_, options_, [&](std::string_view what, int percent) {
    told.emplace_back(what, percent);
  }));
  ASSERT_GT(told.size(), 10U);
  EXPECT_TRUE(std::is_sorted(told.begin(), told.end(),
                             [](const auto& a, const auto& b) { return a.second < b.second; }));
  EXPECT_EQ(told.back().second, 100);
  EXPECT_THAT(told.front().first, testing::StartsWith("playing the tracks, 0 of "));
}

}  // namespace
}  // namespace stillhand::write
