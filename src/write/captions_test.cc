#include "write/captions.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sndfile.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>
#include <sstream>

#include "arrange/arrange.h"
#include "base/files.h"
#include "chart/chart.h"
#include "testing/golden.h"
#include "write/audio.h"
#include "write/caption_text.h"
#include "write/chapters.h"
#include "write/demo_lesson.h"
#include "write/sheet_text.h"
#include "write/timing_table.h"

namespace stillhand::write {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;
using ::testing::ElementsAre;
using Json = nlohmann::json;
using music::Tick;
using perform::Performance;

const std::string kTools = std::string(STILLHAND_SOURCE_DIR) + "/tools/js";

// ---- performances

Performance of_example(const std::string& name) {
  const std::string path = std::string(STILLHAND_SOURCE_DIR) + "/examples/" + name + ".stillhand";
  const auto parsed = chart::parse(read_file(path, 1 << 20).value(), path);
  return perform::perform(arrange::arrange(parsed->song, {}).value());
}

const std::vector<Performance>& examples() {
  static const std::vector<Performance> all{of_example("lamps-along-the-quay"),
                                            of_example("silent-night"), of_example("amazing-grace"),
                                            of_example("god-rest-ye-merry")};
  return all;
}

// Bars of 4/4 behind one bar of count-in, a click on every count.
Performance four_four(int tempo, int bars) {
  Performance p;
  p.tempo = music::Tempo(tempo);
  p.meters = {{Tick(0), *music::Meter::make(4, 4)}};
  p.tonalities = {{Tick(0), *music::parse_tonality("C")}};
  p.count_in = Tick(4 * 960);
  p.end = Tick(4 * 960 * (bars + 1));
  for (Tick at; at < p.end; at += Tick(960)) p.clicks.push_back({at, at.value() % 3840 == 0});
  p.sections = {{p.count_in, "Verse"}};
  return p;
}

std::vector<std::string> told(const std::vector<Cue>& cues) {
  std::vector<std::string> out;
  for (const Cue& cue : cues) {
    out.push_back(
        fmt::format("{}-{} {}", cue.start.count(), cue.end.count(), fmt::join(cue.lines, " / ")));
  }
  return out;
}

// ---- what a cue says

TEST(Captions, NowNextSectionAndWords) {
  Performance p = four_four(120, 2);
  p.chords = {{Tick(3840), "Bb"}, {Tick(7680), "F#m/A"}};
  p.words = {{Tick(3840), "sil-ver lamps a-"}, {Tick(7680), "long"}};
  EXPECT_THAT(told(captions(p, 100)),
              ElementsAre("0-2000 Count-in, next B♭ / 1 2 3 4",
                          "2000-4000 B♭, next F♯m/A · Verse / silver lamps a-",
                          "4000-6000 F♯m/A · Verse / long"));
  EXPECT_THAT(told(captions(p, 50)),
              ElementsAre("0-4000 Count-in, next B♭ / 1 2 3 4",
                          "4000-8000 B♭, next F♯m/A · Verse / silver lamps a-",
                          "8000-12000 F♯m/A · Verse / long"));
}

TEST(Captions, ChordsShorterThanASecondShareACueOfTheirBar) {
  Performance p = four_four(120, 2);
  p.chords = {{Tick(3840), "D"}, {Tick(3840 + 2880), "Em"}, {Tick(7680), "A"}, {Tick(9600), "D"}};
  p.words = {{Tick(3840), "one"}, {Tick(7680), "two"}};
  EXPECT_THAT(
      told(captions(p, 100)),
      ElementsAre("0-2000 Count-in, next D / 1 2 3 4", "2000-4000 D – Em, next A · Verse / one",
                  "4000-5000 A, next D · Verse / two", "5000-6000 D · Verse / two"));
}

TEST(Captions, ALongChordIsCutAtBarLines) {
  Performance p = four_four(60, 5);  // 20 s
  p.chords = {{Tick(3840), "C"}};
  EXPECT_THAT(told(captions(p, 100)),
              ElementsAre("0-4000 Count-in, next C / 1 2 3 4", "4000-8000 C · Verse",
                          "8000-16000 C · Verse", "16000-24000 C · Verse"));
}

TEST(Captions, ACountLongerThanACueIsCutBetween) {
  Performance p = four_four(10, 1);
  p.chords = {{Tick(3840), "C"}};
  const auto cues = captions(p, 50);  // 12 s a count
  EXPECT_EQ(cues.back().end, 96s);
  for (const Cue& cue : cues) EXPECT_LE(cue.end - cue.start, 8s);
}

TEST(Captions, ASectionBeginsACueOfItsOwn) {
  Performance p = four_four(120, 2);
  p.sections.push_back({Tick(7680), "Chorus"});
  p.chords = {{Tick(3840), "C"}, {Tick(7680), "C"}};
  EXPECT_THAT(told(captions(p, 100)),
              ElementsAre("0-2000 Count-in, next C / 1 2 3 4", "2000-4000 C, next C · Verse",
                          "4000-6000 C · Chorus"));
}

TEST(Captions, WordsTooLongForALineComeInParts) {
  Performance p = four_four(60, 1);
  p.chords = {{Tick(3840), "C"}};
  p.words = {{Tick(3840), "twenty letters and twenty more do not fit in a single line"}};
  EXPECT_THAT(told(captions(p, 100)),
              ElementsAre("0-4000 Count-in, next C / 1 2 3 4",
                          "4000-6000 C · Verse / twenty letters and twenty more do not fit",
                          "6000-8000 C · Verse / in a single line"));
}

TEST(Captions, WhatDoesNotFitIsLeftOutFromTheEnd) {
  Performance p = four_four(120, 2);
  p.sections[0].value = "Verse with a name that is too long for any line";
  p.chords = {{Tick(3840), "C"}};
  EXPECT_EQ(captions(p, 100).at(1).lines[0], "C · Verse with a name that is too long fo…");
  p.chords.clear();
  for (int i = 0; i < 32; ++i) {
    p.chords.push_back({Tick(3840 + i * 240), i % 2 == 0 ? "F#m7b5" : "Gmaj7"});
  }
  EXPECT_EQ(captions(p, 100).at(1).lines[0], "F♯m7♭5 – Gmaj7 – F♯m7♭5 – Gmaj7 – F♯m7♭5…");
}

TEST(Captions, APickUpIsCountedIn) {
  const auto cues = captions(examples()[3], 100);
  EXPECT_EQ(cues[0].lines, (std::vector<std::string>{"Count-in, next Em", "1 2 3 4"}));
  EXPECT_EQ(cues[1].lines, (std::vector<std::string>{"Count-in, next Em", "1 2 3"}));
}

TEST(Captions, BracketsAndAmpersands) {
  const std::vector<Cue> cues{{0ms, 1500ms, {"a --> b", "<i>q & a</i>"}}};
  EXPECT_EQ(web_vtt(cues),
            "WEBVTT\n\n00:00:00.000 --> 00:00:01.500\na --&gt; b\n&lt;i&gt;q &amp; a&lt;/i&gt;\n");
  EXPECT_EQ(sub_rip(cues), "1\n00:00:00,000 --> 00:00:01,500\na --› b\n‹i›q & a‹/i›\n");
}

TEST(Captions, ThePerformanceOfTheDemo) {
  testing::expect_golden(STILLHAND_SOURCE_DIR, "captions.vtt",
                         web_vtt(captions(examples()[0], 100)));
  testing::expect_golden(STILLHAND_SOURCE_DIR, "captions_slow.srt",
                         sub_rip(captions(examples()[0], 60)));
}

// ---- rules that hold for any performance

std::size_t code_points(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  }));
}

void expect_rules(const std::vector<Cue>& cues, Milliseconds end) {
  Milliseconds now{0};
  for (const Cue& cue : cues) {
    EXPECT_EQ(cue.start, now);
    EXPECT_LE(cue.end - cue.start, 8s);
    EXPECT_TRUE(cue.end - cue.start >= 1s || end < 1s);
    EXPECT_GE(cue.lines.size(), 1U);
    EXPECT_LE(cue.lines.size(), 2U);
    for (const std::string& line : cue.lines) {
      EXPECT_FALSE(line.empty());
      EXPECT_LE(code_points(line), 42U) << line;
      EXPECT_LE(caption_width(line), 42) << line;
      EXPECT_EQ(one_line(line), line);
    }
    now = cue.end;
  }
  EXPECT_EQ(now, end);
}

constexpr std::array<int, 5> kPercents{10, 60, 80, 100, 400};

TEST(CaptionsProperty, InOrderWithoutGapAndReadable) {
  for (unsigned seed = 0; seed < 100; ++seed) {
    SCOPED_TRACE(seed);
    const Performance p = test::random_performance(seed);
    for (const int percent : kPercents) {
      expect_rules(captions(p, percent), TrackTime(p, percent).at(p.end));
    }
  }
  for (const Performance& p : examples()) {
    for (const int percent : kPercents) {
      expect_rules(captions(p, percent), TrackTime(p, percent).at(p.end));
    }
  }
}

// Times in milliseconds, by perform::seconds.
std::set<std::int64_t> onsets(const Performance& p, int percent) {
  std::set<std::int64_t> out;
  const auto add = [&](Tick at) {
    out.insert(std::llround(1000 * perform::seconds(p, at, percent)));
  };
  for (const auto& click : p.clicks) add(click.start);
  for (const auto& chord : p.chords) add(chord.start);
  for (const auto& words : p.words) add(words.start);
  for (const auto& section : p.sections) add(section.start);
  add(p.end);
  return out;
}

std::int64_t distance(const std::set<std::int64_t>& times, std::int64_t at) {
  const auto next = times.lower_bound(at);
  std::int64_t nearest = next == times.end() ? 1'000'000 : *next - at;
  if (next != times.begin()) nearest = std::min(nearest, at - *std::prev(next));
  return nearest;
}

TEST(CaptionsProperty, CuesBeginOnCountsAndChordsToTheMillisecond) {
  int seen = 0;
  for (unsigned seed = 0; seed < 100; ++seed) {
    Performance p = test::random_performance(seed);
    for (auto& words : p.words) words.value = "la";
    for (const int percent : kPercents) {
      if (p.tempo.value() * percent < 1600) continue;  // counts of 3.75 s and more are cut between
      const auto times = onsets(p, percent);
      for (const Cue& cue : captions(p, percent)) {
        EXPECT_LE(distance(times, cue.start.count()), 1) << seed << " at " << percent;
        ++seen;
      }
    }
  }
  EXPECT_GT(seen, 2000);
}

// Nothing else within a second on either side: then no cue may pass over a chord.
TEST(CaptionsProperty, AChordThatHasRoomBeginsACue) {
  int seen = 0;
  for (unsigned seed = 0; seed < 100; ++seed) {
    Performance p = test::random_performance(seed);
    for (auto& words : p.words) words.value = "la";
    for (const int percent : kPercents) {
      auto times = onsets(p, percent);
      const auto cues = captions(p, percent);
      const TrackTime time(p, percent);
      for (const auto& chord : p.chords) {
        const std::int64_t at = time.at(chord.start).count();
        times.erase(at);
        const bool has_room = distance(times, at) > 1001;
        times.insert(at);
        if (!has_room) continue;
        EXPECT_TRUE(std::any_of(cues.begin(), cues.end(),
                                [&](const Cue& cue) { return cue.start.count() == at; }))
            << seed << " at " << percent << ": " << at;
        ++seen;
      }
    }
  }
  EXPECT_GT(seen, 200);
}

// Plainly, from the performance: the chords of a cue, and the one that follows.
TEST(Captions, EveryCueOfTheExamplesNamesWhatIsPlayedAndWhatComes) {
  for (const Performance& p : examples()) {
    for (const int percent : {60, 100}) {
      for (const Cue& cue : captions(p, percent)) {
        const auto time = [&](std::size_t i) {
          return std::llround(1000 * perform::seconds(p, p.chords[i].start, percent));
        };
        std::string now = cue.start < TrackTime(p, percent).at(p.count_in) ? "Count-in" : "";
        std::string next;
        for (std::size_t i = 0; i < p.chords.size(); ++i) {
          const bool over = i + 1 < p.chords.size() && time(i + 1) <= cue.start.count();
          if (over) continue;
          if (time(i) >= cue.end.count()) {
            next = ", next " + pretty_chord(p.chords[i].value);
            break;
          }
          now += (now.empty() ? "" : " – ") + pretty_chord(p.chords[i].value);
        }
        EXPECT_THAT(cue.lines[0], ::testing::StartsWith(now + next));
      }
    }
  }
}

// ---- the formats

// WebVTT, "4.1 WebVTT file structure" and "4.2.2 cue text": the signature, a blank line, cues of a timings line and a text
// without blank lines, "-->" or bare "&" and "<".
void expect_web_vtt(const std::string& file) {
  static const std::regex kTimings(
      R"((\d{2,}):([0-5]\d):([0-5]\d)\.\d{3} --> (\d{2,}):([0-5]\d):([0-5]\d)\.\d{3})");
  static const std::regex kText(R"(([^&<\r]|&amp;|&lt;|&gt;)+)");
  std::istringstream lines(file);
  std::string line;
  ASSERT_TRUE(std::getline(lines, line));
  EXPECT_EQ(line, "WEBVTT");
  if (!std::getline(lines, line)) return;
  EXPECT_EQ(line, "");
  while (std::getline(lines, line)) {
    EXPECT_TRUE(std::regex_match(line, kTimings)) << line;
    int texts = 0;
    while (std::getline(lines, line) && !line.empty()) {
      EXPECT_TRUE(std::regex_match(line, kText)) << line;
      EXPECT_EQ(line.find("-->"), std::string::npos) << line;
      ++texts;
    }
    EXPECT_GE(texts, 1);
  }
}

TEST(CaptionsProperty, FilesKeepTheGrammar) {
  for (unsigned seed = 0; seed < 100; ++seed) {
    SCOPED_TRACE(seed);
    Performance p = test::random_performance(seed);
    for (auto& words : p.words) words.value = "<b>&amp; --> " + words.value;
    for (auto& section : p.sections) section.value += "\n\n-->";
    expect_web_vtt(web_vtt(captions(p, 100)));
    expect_web_vtt(chapters_web_vtt(chapters(p, 100)));
  }
}

Json timed(Milliseconds start, Milliseconds end, const std::string& text) {
  return {{"start", start.count()}, {"end", end.count()}, {"text", text}};
}

// The bars and chords of the table are told apart by when they begin; what they say is read off the performance.
Json expected_rows(const Performance& p, int percent) {
  std::set<Tick> starts{Tick(0), p.count_in};
  for (const auto& click : p.clicks) {
    if (click.is_first_of_bar) starts.insert(click.start);
  }
  for (const auto& chord : p.chords) starts.insert(chord.start);
  for (const auto& words : p.words) starts.insert(words.start);
  for (const auto& section : p.sections) starts.insert(section.start);
  starts.insert(p.end);
  const TrackTime time(p, percent);
  const auto seconds = [&](Tick at) {
    return fmt::format("{:.3f}", static_cast<double>(time.at(at).count()) / 1000);
  };
  Json rows = Json::array();
  for (auto at = starts.begin(); *at < p.end; ++at) {
    const Tick next = *std::next(at);
    Json row{{"start", seconds(*at)}, {"end", seconds(next)}, {"section", "Count-in"},
             {"chord", ""},           {"next chord", ""},     {"words", ""}};
    for (const auto& section : p.sections) {
      if (section.start <= *at) row["section"] = one_line(section.value);
    }
    for (const auto& chord : p.chords) {
      if (chord.start <= *at) row["chord"] = chord.value;
      if (chord.start >= next && row["next chord"] == "") row["next chord"] = chord.value;
    }
    for (const auto& words : p.words) {
      if (words.start == *at) row["words"] = one_line(words.value);
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

Json reading_case(const std::string& name, const Performance& p, int percent) {
  const auto cues = captions(p, percent);
  const auto list = chapters(p, percent);
  Json expected{
      {"cues", Json::array()}, {"chapters", Json::array()}, {"rows", expected_rows(p, percent)}};
  for (const Cue& cue : cues) {
    expected["cues"].push_back(
        timed(cue.start, cue.end, fmt::format("{}", fmt::join(cue.lines, "\n"))));
  }
  for (const Chapter& chapter : list) {
    expected["chapters"].push_back(timed(chapter.start, chapter.end, chapter.title));
  }
  return {{"name", name},
          {"vtt", web_vtt(cues)},
          {"srt", sub_rip(cues)},
          {"chapters", chapters_web_vtt(list)},
          {"csv", timing_table(p, percent)},
          {"expected", expected}};
}

bool has_readers() { return fs::exists(kTools + "/node_modules/webvtt-parser"); }

int read_back(const Json& cases) {
  const std::string file = std::string(STILLHAND_BINARY_DIR) + "/captions_test.json";
  std::ofstream(file, std::ios::binary) << cases.dump();
  return std::system(("node " + kTools + "/captions-read.mjs " + file).c_str());
}

// Sources: npm webvtt-parser 2.2.0 (W3C, CC0), srt-parser-2 1.2.3 (MIT), csv-parse 7.0.3 (MIT).
TEST(Captions, IndependentReadersFindTheSame) {
  if (!has_readers()) GTEST_SKIP() << "tools/js/node_modules is missing: run `npm ci` in tools/js";
  Json cases = Json::array();
  for (const Performance& p : examples()) {
    for (const int percent : {60, 100}) cases.push_back(reading_case("example", p, percent));
  }
  for (unsigned seed = 0; seed < 100; ++seed) {
    Performance p = test::random_performance(seed);
    if (!p.words.empty()) p.words.front().value = "<i>Tom & Jim</i> --> \"quoted\", &amp; then";
    cases.push_back(reading_case(fmt::format("random {}", seed), p, 100));
  }
  EXPECT_EQ(read_back(cases), 0);
}

TEST(Captions, TheReadersNoticeAChange) {
  if (!has_readers()) GTEST_SKIP() << "tools/js/node_modules is missing: run `npm ci` in tools/js";
  const Json right = reading_case("changed", examples()[1], 100);
  for (const char* part : {"cues", "chapters", "rows"}) {
    Json wrong = right;
    wrong["expected"][part][3] = wrong["expected"][part][2];
    EXPECT_NE(read_back(Json::array({wrong})), 0) << part;
  }
}

std::string output_of(const std::string& command) {
  std::string out;
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return out;
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
    out.append(buffer.data(), n);
  }
  pclose(pipe);
  return out;
}

// Source: FFmpeg's own readers of both formats.
TEST(Captions, FfmpegReadsTheSameTimes) {
  if (std::system("ffprobe -version >/dev/null 2>&1") != 0) GTEST_SKIP() << "no ffprobe here";
  const auto cues = captions(examples()[2], 60);
  std::string expected;
  for (const Cue& cue : cues) {
    expected +=
        fmt::format("{}.{:03}000,{}.{:03}000\n", cue.start.count() / 1000, cue.start.count() % 1000,
                    (cue.end - cue.start).count() / 1000, (cue.end - cue.start).count() % 1000);
  }
  const std::string base = std::string(STILLHAND_BINARY_DIR) + "/captions_test";
  for (const auto& [ending, bytes] :
       {std::pair(".vtt", web_vtt(cues)), std::pair(".srt", sub_rip(cues))}) {
    std::ofstream(base + ending, std::ios::binary) << bytes;
    EXPECT_EQ(
        output_of("ffprobe -v error -show_entries packet=pts_time,duration_time -of csv=p=0 " +
                  base + ending),
        expected)
        << ending;
  }
}

// ---- the sound

// Where the sound of a track without notes begins again after silence, in milliseconds.
std::vector<double> heard_clicks(const fs::path& path) {
  SF_INFO info{};
  SNDFILE* in = sf_open(path.c_str(), SFM_READ, &info);
  if (in == nullptr) return {};
  std::vector<float> samples(static_cast<std::size_t>(info.frames * info.channels));
  sf_readf_float(in, samples.data(), info.frames);
  sf_close(in);
  std::vector<double> out;
  const auto channels = static_cast<std::size_t>(info.channels);
  const std::size_t silence = static_cast<std::size_t>(info.samplerate) / 20;
  std::size_t quiet = silence;
  for (std::size_t frame = 0; frame * channels < samples.size(); ++frame) {
    if (std::abs(samples[frame * channels]) < 0.001F) {
      ++quiet;
      continue;
    }
    if (quiet >= silence) out.push_back(1000.0 * static_cast<double>(frame) / info.samplerate);
    quiet = 0;
  }
  return out;
}

TEST(Captions, CuesBeginWithTheClicksThatAreHeard) {
  const fs::path font = "/usr/share/sounds/sf2/TimGM6mb.sf2";
  if (!fs::exists(font)) GTEST_SKIP() << "install the package timgm6mb-soundfont";
  Performance p = examples()[1];
  p.notes.clear();
  const fs::path track = std::string(STILLHAND_BINARY_DIR) + "/captions_test.flac";
  ASSERT_TRUE(write_audio(p, {.sound_font = font, .tempo_percent = 60, .loudness = {}}, track));
  const std::vector<double> heard = heard_clicks(track);
  ASSERT_EQ(heard.size(), p.clicks.size());
  for (const Cue& cue : captions(p, 60)) {
    const auto start = static_cast<double>(cue.start.count());
    double nearest = 1e9;
    for (const double click : heard) nearest = std::min(nearest, std::abs(click - start));
    EXPECT_LE(nearest, 1.0) << cue.lines[0];
  }
  fs::remove(track);
}

// ---- chapters and table

TEST(Chapters, EachSectionEachTime) {
  const auto list = chapters(examples()[0], 60);
  EXPECT_EQ(list.front(), (Chapter{0ms, 12121ms, "Count-in"}));
  EXPECT_EQ(list[4].title, "Chorus (second time)");
  testing::expect_golden(STILLHAND_SOURCE_DIR, "chapters_slow.txt", chapters_text(list));
  for (std::size_t i = 0; i + 1 < list.size(); ++i) EXPECT_EQ(list[i].end, list[i + 1].start);
  EXPECT_EQ(list.back().end, TrackTime(examples()[0], 60).at(examples()[0].end));
}

TEST(Chapters, PlainTimesAreCutOffAndHaveHoursWhereNeeded) {
  EXPECT_EQ(
      chapters_text(
          {{0ms, 65'999ms, "A"}, {65'999ms, 3'723'999ms, "B"}, {3'723'999ms, 3'800'000ms, "C"}}),
      "00:00 A\n01:05 B\n1:02:03 C\n");
}

TEST(TimingTable, OfTheDemo) {
  testing::expect_golden(STILLHAND_SOURCE_DIR, "timing.csv", timing_table(examples()[0], 100));
}

TEST(TimingTable, BarsCountsPickUpsAndQuotes) {
  Performance p = four_four(60, 2);
  p.count_in = Tick(3 * 960);
  p.sections = {{p.count_in, "Verse, \"slow\""}};
  p.chords = {{p.count_in, "D"}, {Tick(3840 + 480), "G"}, {Tick(3840 + 1280), "A"}};
  p.words = {{p.count_in, "Oh"}, {Tick(3840), "quay, quay"}};
  EXPECT_EQ(timing_table(p, 100),
            "start,end,section,bar,count,chord,next chord,words\r\n"
            "0.000,3.000,Count-in,1,1,,D,\r\n"
            "3.000,4.000,\"Verse, \"\"slow\"\"\",0,4,D,G,Oh\r\n"
            "4.000,4.500,\"Verse, \"\"slow\"\"\",1,1,D,G,\"quay, quay\"\r\n"
            "4.500,5.333,\"Verse, \"\"slow\"\"\",1,1.5,G,A,\r\n"
            "5.333,8.000,\"Verse, \"\"slow\"\"\",1,2.333,A,,\r\n"
            "8.000,12.000,\"Verse, \"\"slow\"\"\",2,1,A,,\r\n");
}

}  // namespace
}  // namespace stillhand::write
