#include "write/audio.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sndfile.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <csignal>
#include <cstdio>
#include <fstream>
#include <numbers>
#include <optional>
#include <regex>
#include <string>
#include <vector>

#include "perform/practice.h"
#include "write/audio_file.h"
#include "write/audio_render.h"
#include "write/audio_synth.h"
#include "write/captions.h"
#include "write/chapters.h"

namespace stillhand::write {
namespace {

namespace fs = std::filesystem;
using hand::Hand;
using music::Meter;
using music::PianoKey;
using music::Tempo;
using music::Tick;
using perform::Performance;
using perform::Velocity;

// Debian's timgm6mb-soundfont: small enough for tests.
const fs::path kFont = "/usr/share/sounds/sf2/TimGM6mb.sf2";

#define NEEDS_FONT() \
  if (!fs::exists(kFont)) GTEST_SKIP() << "install the package timgm6mb-soundfont"

// A folder of its own for each test, empty at the beginning and removed at the end.
class Audio : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::path(STILLHAND_BINARY_DIR) /
              (std::string("audio_test_") +
               ::testing::UnitTest::GetInstance()->current_test_info()->name());
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }
  fs::path file(std::string_view name) const { return folder_ / name; }
  std::vector<std::string> names() const {
    std::vector<std::string> out;
    for (const auto& entry : fs::directory_iterator(folder_))
      out.push_back(entry.path().filename());
    return out;
  }
  fs::path folder_;
};

AudioOptions options(int tempo_percent = 100) {
  return {.sound_font = kFont, .tempo_percent = tempo_percent};
}

void add_bars(Performance& p, Meter meter, int bars) {
  p.meters.push_back({p.end, meter});
  for (int bar = 0; bar < bars; ++bar) {
    for (int count = 0; count < meter.counts().value(); ++count) {
      const Tick at = p.end + meter.count_length() * count;
      p.clicks.push_back({at, count == 0});
      for (const int key : {57, 62, 66}) {
        p.notes.push_back({Hand::right, PianoKey(key + bar % 3), Velocity(count == 0 ? 84 : 64), at,
                           meter.count_length() * 15 / 16});
      }
    }
    p.notes.push_back(
        {Hand::left, PianoKey(43 + bar % 3), Velocity(80), p.end, meter.bar_length() * 15 / 16});
    p.end += meter.bar_length();
  }
}

Performance song() {
  Performance p;
  p.tempo = Tempo(97);
  p.tonalities = {{Tick(0), *music::parse_tonality("D")}};
  add_bars(p, *Meter::make(4, 4), 4);
  add_bars(p, *Meter::make(6, 8), 3);
  add_bars(p, *Meter::make(7, 8), 1);
  return p;
}

Performance clicks_alone() {
  Performance p = song();
  p.notes.clear();
  return p;
}

std::string bytes_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

struct Sound {
  SF_INFO info{};
  std::vector<float> samples;  // interleaved
};

Sound decoded(const fs::path& path) {
  Sound out;
  SNDFILE* in = sf_open(path.c_str(), SFM_READ, &out.info);
  if (in == nullptr) return out;
  out.samples.resize(static_cast<std::size_t>(out.info.frames * out.info.channels));
  sf_readf_float(in, out.samples.data(), out.info.frames);
  sf_close(in);
  return out;
}

TEST_F(Audio, IsFlacAsLongAsTheSongAndItsLastSound) {
  NEEDS_FONT();
  const Performance p = song();
  const auto report = write_audio(p, options(), file("song.flac"));
  ASSERT_TRUE(report) << render(report.error().front());
  const double length = perform::seconds(p, p.end, 100);
  EXPECT_GT(report->seconds, length);
  EXPECT_LE(report->seconds, length + 4.1);
  const Sound sound = decoded(file("song.flac"));
  EXPECT_EQ(sound.info.samplerate, 48000);
  EXPECT_EQ(sound.info.channels, 2);
  EXPECT_EQ(sound.info.format, SF_FORMAT_FLAC | SF_FORMAT_PCM_16);
  EXPECT_EQ(sound.info.frames, report->frames);
  EXPECT_DOUBLE_EQ(report->seconds, static_cast<double>(report->frames) / 48000);
  // It dies away: the last tenth of a second is at least 60 dB below the loudest.
  const auto loudest = [](auto from, auto to) {
    return std::abs(
        *std::max_element(from, to, [](float a, float b) { return std::abs(a) < std::abs(b); }));
  };
  EXPECT_LT(loudest(sound.samples.end() - 9600, sound.samples.end()),
            0.001F * loudest(sound.samples.begin(), sound.samples.end()));
  EXPECT_THAT(names(), ::testing::ElementsAre("song.flac"));
}

Loudness measured_in(const fs::path& path) {
  LoudnessMeter meter(48000);
  meter.add(decoded(path).samples);
  return meter.measured();
}

TEST_F(Audio, TheReportIsWhatTheFileMeasures) {
  NEEDS_FONT();
  for (const int percent : {100, 60}) {
    const auto report = write_audio(song(), options(percent), file("song.flac"));
    ASSERT_TRUE(report);
    const Loudness there = measured_in(file("song.flac"));
    EXPECT_NEAR(report->lufs, there.lufs, 0.05);
    EXPECT_NEAR(report->true_peak_db, there.true_peak_db, 0.05);
    EXPECT_LE(there.true_peak_db, -0.95);
    EXPECT_FALSE(report->peak_bound);
    EXPECT_NEAR(there.lufs, -16.0, 0.5);
    if (report->limited_db > 0) {
      EXPECT_NEAR(there.true_peak_db, -1.05, 0.1);
    }
  }
}

TEST_F(Audio, ReachesAGoalAndStopsWherePeaksWouldBeTurnedDownTooFar) {
  NEEDS_FONT();
  AudioOptions soft = options();
  soft.loudness.lufs = -23.0;
  const auto reached = write_audio(song(), soft, file("soft.flac"));
  ASSERT_TRUE(reached);
  EXPECT_FALSE(reached->peak_bound);
  EXPECT_EQ(reached->limited_db, 0);
  EXPECT_NEAR(measured_in(file("soft.flac")).lufs, -23.0, 0.1);
  AudioOptions loud = options();
  loud.loudness.lufs = -5.0;
  const auto stopped = write_audio(song(), loud, file("loud.flac"));
  ASSERT_TRUE(stopped);
  EXPECT_TRUE(stopped->peak_bound);
  EXPECT_NEAR(stopped->limited_db, 6, 1e-9);
  EXPECT_LT(measured_in(file("loud.flac")).lufs, -5.5);
  EXPECT_NEAR(measured_in(file("loud.flac")).true_peak_db, -1.05, 0.1);
}

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

struct Metered {
  double lufs = 0;
  double true_peak_db = 0;  // dBTP
};

// Source: ffmpeg's own meter, its filter ebur128, which does not use libebur128. It prints tenths.
std::optional<Metered> metered_by_ffmpeg(const fs::path& file) {
  const std::string said = output_of("ffmpeg -hide_banner -nostats -i '" + file.string() +
                                     "' -af ebur128=peak=true -f null - 2>&1");
  const std::string summary = said.substr(std::min(said.size(), said.find("Summary:")));
  std::smatch loudness;
  std::smatch peak;
  if (!std::regex_search(summary, loudness, std::regex("I: +(-[0-9.]+) LUFS")) ||
      !std::regex_search(summary, peak, std::regex("Peak: +(-[0-9.]+) dBFS"))) {
    ADD_FAILURE() << said;
    return std::nullopt;
  }
  return Metered{std::stod(loudness[1]), std::stod(peak[1])};
}

TEST_F(Audio, FfmpegMeasuresTheSame) {
  NEEDS_FONT();
  if (output_of("ffmpeg -version 2>/dev/null").empty())
    GTEST_SKIP() << "install the package ffmpeg";
  for (const int percent : {100, 60}) {
    const auto report = write_audio(song(), options(percent), file("song.flac"));
    ASSERT_TRUE(report);
    const auto metered = metered_by_ffmpeg(file("song.flac"));
    ASSERT_TRUE(metered);
    EXPECT_NEAR(metered->lufs, report->lufs, 0.15);
    EXPECT_NEAR(metered->true_peak_db, report->true_peak_db, 0.2);
  }
}

// What a player decodes from Opus keeps the rule of all tracks: -16 LUFS within half of one, no true peak above -1 dBTP.
TEST_F(Audio, DecodedOpusKeepsTheRuleOfLoudness) {
  NEEDS_FONT();
  if (output_of("ffmpeg -version 2>/dev/null").empty())
    GTEST_SKIP() << "install the package ffmpeg";
  for (const int percent : {100, 60}) {
    const auto report = write_audio(song(), options(percent), file("song.opus"));
    ASSERT_TRUE(report);
    ASSERT_FALSE(report->peak_bound);
    const auto metered = metered_by_ffmpeg(file("song.opus"));
    ASSERT_TRUE(metered);
    EXPECT_NEAR(metered->lufs, -16, 0.5) << percent;
    EXPECT_LE(metered->true_peak_db, -1) << percent;
    RecordProperty(fmt::format("lufs_{}", percent), fmt::format("{}", metered->lufs));
    RecordProperty(fmt::format("peak_{}", percent), fmt::format("{}", metered->true_peak_db));
  }
}

TEST_F(Audio, TheSameBytesEachTime) {
  NEEDS_FONT();
  ASSERT_TRUE(write_audio(song(), options(), file("one.flac")));
  ASSERT_TRUE(write_audio(song(), options(), file("two.flac")));
  const std::string one = bytes_of(file("one.flac"));
  EXPECT_GT(one.size(), 10000U);
  EXPECT_TRUE(one == bytes_of(file("two.flac")));
  ASSERT_TRUE(write_audio(song(), options(), file("one.opus")));
  ASSERT_TRUE(write_audio(song(), options(), file("two.opus")));
  EXPECT_TRUE(bytes_of(file("one.opus")) == bytes_of(file("two.opus")));
  EXPECT_LT(bytes_of(file("one.opus")).size(), one.size());
}

// Seconds at which sound begins after at least 20 ms of quiet.
std::vector<double> onsets(const Sound& sound, float quiet) {
  std::vector<double> out;
  std::size_t last_loud = 0;
  bool any = false;
  for (std::size_t frame = 0; frame < sound.samples.size() / 2; ++frame) {
    if (std::abs(sound.samples[2 * frame]) <= quiet) continue;
    if (!any || frame - last_loud > 960) out.push_back(static_cast<double>(frame) / 48000);
    any = true;
    last_loud = frame;
  }
  return out;
}

TEST_F(Audio, ClicksStandWithinAMillisecondOfTheirCounts) {
  NEEDS_FONT();
  const Performance p = clicks_alone();
  for (const int percent : {100, 60, 83}) {
    ASSERT_TRUE(write_audio(p, options(percent), file("clicks.flac")));
    const std::vector<double> found = onsets(decoded(file("clicks.flac")), 0.003F);
    ASSERT_EQ(found.size(), p.clicks.size());
    for (std::size_t i = 0; i < found.size(); ++i) {
      EXPECT_NEAR(found[i], perform::seconds(p, p.clicks[i].start, percent), 0.001) << i;
    }
  }
}

// Seconds from the beginning to the first sound of one key struck at `start`, from silence.
double first_sound(const Performance& p) {
  auto synth = Synth::open(kFont);
  if (!synth) return -1;
  std::vector<float> sound;
  const auto rendered = render_notes(p, 100, *synth,
                                     [&](std::span<const float> piece) -> Result<void> {
                                       sound.insert(sound.end(), piece.begin(), piece.end());
                                       return {};
                                     },
                                     {});
  EXPECT_EQ(static_cast<std::int64_t>(sound.size()), 2 * rendered->frames);
  const auto first = std::find_if(sound.begin(), sound.end(), [&](float sample) {
    return std::abs(sample) > 1e-5F * rendered->highest;
  });
  return static_cast<double>((first - sound.begin()) / 2) / 48000;
}

// The font's own attack takes its time (about 6 ms in this one), the same for every stroke.
TEST_F(Audio, KeysAreStruckWithinAMillisecondOfTheirSeconds) {
  NEEDS_FONT();
  Performance p;
  p.tempo = Tempo(97);
  p.meters = {{Tick(0), *Meter::make(4, 4)}};
  p.notes = {{Hand::right, PianoKey(69), Velocity(127), Tick(0), Tick(900)}};
  p.end = Tick(7680);
  const double attack = first_sound(p);
  EXPECT_LT(attack, 0.008);
  for (int start = 613; start < 5000; start += 613) {
    p.notes.front().start = Tick(start);
    EXPECT_NEAR(first_sound(p) - attack, perform::seconds(p, Tick(start), 100), 0.0007) << start;
  }
}

// How much of a pitch is in the samples (Goertzel's sum).
double strength(const Sound& sound, double from_seconds, double seconds, double hertz) {
  double re = 0;
  double im = 0;
  const auto first = static_cast<std::size_t>(from_seconds * 48000);
  const auto frames = static_cast<std::size_t>(seconds * 48000);
  for (std::size_t i = 0; i < frames; ++i) {
    const double turn = 2 * std::numbers::pi * hertz * static_cast<double>(i) / 48000;
    const double window =
        1 - std::cos(2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(frames));
    re += window * static_cast<double>(sound.samples[2 * (first + i)]) * std::cos(turn);
    im += window * static_cast<double>(sound.samples[2 * (first + i)]) * std::sin(turn);
  }
  return std::hypot(re, im);
}

TEST_F(Audio, SlowIsTheSameNotesFurtherApart) {
  NEEDS_FONT();
  Performance p;
  p.tempo = Tempo(90);
  p.meters = {{Tick(0), *Meter::make(4, 4)}};
  const std::vector<int> keys{60, 64, 57, 71, 48, 66};
  for (const int key : keys) {
    const Hand hand = key < 55 ? Hand::left : Hand::right;
    p.notes.push_back({hand, PianoKey(key), Velocity(80), p.end, Tick(900)});
    p.end += Tick(960);
  }
  std::vector<double> lengths;
  for (const int percent : {100, 60}) {
    ASSERT_TRUE(write_audio(p, options(percent), file("song.flac")));
    const Sound sound = decoded(file("song.flac"));
    for (std::size_t i = 0; i < keys.size(); ++i) {
      const double start = perform::seconds(p, p.notes[i].start, percent);
      int strongest = 0;
      double most = 0;
      for (int key = 45; key <= 74; ++key) {
        const double there =
            strength(sound, start + 0.15, 0.3, 440 * std::pow(2, (key - 69) / 12.0));
        if (there > most) {
          most = there;
          strongest = key;
        }
      }
      // In this font the octave above can be stronger than the note itself.
      EXPECT_EQ(strongest % 12, keys[i] % 12) << percent << " %, note " << i;
    }
    lengths.push_back(perform::seconds(p, p.end, percent));
  }
  EXPECT_NEAR(lengths[1], lengths[0] / 0.6, 1e-9);
}

// Of a practice track: three passes of 6/8 and 7/8, a count-in before each.
TEST_F(Audio, CountInsCaptionsAndChaptersStandOnTheClicksHeard) {
  NEEDS_FONT();
  Performance whole = clicks_alone();
  const Tick begin(4 * 3840);
  whole.sections = {{Tick(0), "A"}, {begin, "B"}};
  for (const perform::Click& click : whole.clicks) {
    if (click.is_first_of_bar) whole.chords.push_back({click.start, "D"});
  }
  const Performance p = perform::repeated(whole, {begin, whole.end}, 3);
  for (const int percent : {100, 60, 83}) {
    ASSERT_TRUE(write_audio(p, options(percent), file("clicks.flac")));
    const std::vector<double> found = onsets(decoded(file("clicks.flac")), 0.003F);
    ASSERT_EQ(found.size(), p.clicks.size());
    const auto stands_on_a_click = [&](Milliseconds at) {
      const double seconds = static_cast<double>(at.count()) / 1000;
      return std::any_of(found.begin(), found.end(),
                         [&](double onset) { return std::abs(onset - seconds) <= 0.001; });
    };
    const std::vector<Chapter> sections = chapters(p, percent);
    ASSERT_EQ(sections.size(), 6U);
    for (const Chapter& chapter : sections)
      EXPECT_TRUE(stands_on_a_click(chapter.start)) << chapter.title;
    for (const Cue& cue : captions(p, percent))
      EXPECT_TRUE(stands_on_a_click(cue.start)) << cue.lines[0];
    const TrackTime time(p, percent);
    for (const perform::Span& count_in : perform::count_ins(p)) {
      EXPECT_TRUE(stands_on_a_click(time.at(count_in.start)));
      EXPECT_TRUE(stands_on_a_click(time.at(count_in.end)));
    }
  }
}

TEST_F(Audio, WithoutClickOnlyTheCountInsClick) {
  NEEDS_FONT();
  Performance p = clicks_alone();
  p.count_in = Tick(3840);
  p.later_count_ins = {{Tick(3840 * 4), Tick(3840 * 4 + 2880)}};
  AudioOptions o = options();
  o.click = ClickHeard::in_count_ins;
  ASSERT_TRUE(write_audio(p, o, file("clicks.flac")));
  const std::vector<double> found = onsets(decoded(file("clicks.flac")), 0.003F);
  ASSERT_EQ(found.size(), 4U + 2U);
  EXPECT_NEAR(found[4], perform::seconds(p, Tick(3840 * 4), 100), 0.001);
}

// Source: ffprobe, which shares no code with the encoders.
TEST_F(Audio, TagsChaptersAndCoverAreReadBack) {
  NEEDS_FONT();
  if (output_of("ffprobe -version 2>/dev/null").empty())
    GTEST_SKIP() << "install the package ffmpeg";
  AudioOptions o = options(300);
  o.tags.title = "Lamps Along the Quay: Größe ♭";
  o.tags.artist = "Words and music: the makers";
  o.tags.album = "Lamps Along the Quay";
  o.tags.copyright = "Free";
  o.tags.number = 17;
  o.tags.chapters = {{Milliseconds(0), Milliseconds(1500), "Count-in"},
                     {Milliseconds(1500), Milliseconds(3210), "Verse 1"}};
  // One grey pixel.
  const auto png = [] {
    const unsigned char bytes[]{0x89, 'P', 'N',  'G',  '\r', '\n', 0x1a, '\n', 0,    0, 0, 13,
                                'I',  'H', 'D',  'R',  0,    0,    0,    1,    0,    0, 0, 1,
                                8,    0,   0,    0,    0,    0x3a, 0x7e, 0x9b, 0x55, 0, 0, 0,
                                10,   'I', 'D',  'A',  'T',  'x',  0x9c, 'c',  'h',  0, 0, 0,
                                0x82, 0,   0x81, 0x77, 0xcd, 'r',  0xb6, 0,    0,    0, 0, 'I',
                                'E',  'N', 'D',  0xae, 'B',  '`',  0x82};
    return std::string(reinterpret_cast<const char*>(bytes), sizeof bytes);
  };
  o.tags.cover_png = png();
  const auto report = write_audio(song(), o, {file("song.flac"), file("song.opus")});
  ASSERT_TRUE(report);
  for (const char* name : {"song.flac", "song.opus"}) {
    const std::string said =
        output_of("ffprobe -v error -show_format -show_streams -show_chapters -of flat '" +
                  file(name).string() + "'");
    for (const char* part :
         {"Lamps Along the Quay: Größe ♭\"", "Words and music: the makers\"", "=\"17\"", "\"Free\"",
          "attached_pic=1", "chapter.1.start_time=\"1.500000\"",
          "chapter.1.tags.title=\"Verse 1\""}) {
      EXPECT_THAT(said, ::testing::HasSubstr(part)) << name;
    }
    const std::string length = output_of(
        "ffprobe -v error -show_entries format=duration -of csv=p=0 '" + file(name).string() + "'");
    // ffprobe counts what Opus begins with and players leave out (RFC 7845, pre-skip: 312 frames here).
    const double skipped = std::string_view(name) == "song.opus" ? 312.0 / 48000 : 0.0;
    EXPECT_NEAR(std::stod(length), report->seconds + skipped, 0.001) << name;
  }
}

// Opus loses a little: its peak may differ by some tenths of a decibel, its time by nothing.
TEST_F(Audio, OpusSoundsTheSameAtTheSameTime) {
  NEEDS_FONT();
  if (output_of("ffmpeg -version 2>/dev/null").empty())
    GTEST_SKIP() << "install the package ffmpeg";
  ASSERT_TRUE(write_audio(clicks_alone(), options(), {file("clicks.flac"), file("clicks.opus")}));
  ASSERT_EQ(std::system(("ffmpeg -v error -i '" + file("clicks.opus").string() + "' '" +
                         file("decoded.flac").string() + "'")
                            .c_str()),
            0);
  const std::vector<double> exact = onsets(decoded(file("clicks.flac")), 0.02F);
  const std::vector<double> lossy = onsets(decoded(file("decoded.flac")), 0.02F);
  ASSERT_EQ(exact.size(), lossy.size());
  for (std::size_t i = 0; i < exact.size(); ++i) EXPECT_NEAR(exact[i], lossy[i], 0.001) << i;
  // Its peaks are held half a decibel lower.
  // Clicks are as loud as their ceilings, which lie 0.95 dB apart.
  EXPECT_NEAR(measured_in(file("decoded.flac")).lufs, measured_in(file("clicks.flac")).lufs, 1.1);
}

TEST_F(Audio, ProgressGoesUpToAHundred) {
  NEEDS_FONT();
  std::vector<int> told;
  ASSERT_TRUE(write_audio(song(), options(), file("song.flac"),
                          [&](int percent) { told.push_back(percent); }));
  EXPECT_GT(told.size(), 20U);
  EXPECT_EQ(told.back(), 100);
  EXPECT_TRUE(std::is_sorted(told.begin(), told.end()));
  EXPECT_EQ(std::adjacent_find(told.begin(), told.end()), told.end());
}

TEST_F(Audio, AKeyStruckAgainWhereItIsLetGoSounds) {
  NEEDS_FONT();
  Performance p;
  p.tempo = Tempo(60);
  p.meters = {{Tick(0), *Meter::make(4, 4)}};
  for (int i = 0; i < 3; ++i) {
    p.notes.push_back({Hand::right, PianoKey(60), Velocity(80), Tick(960 * i), Tick(960)});
  }
  p.end = Tick(2880);
  ASSERT_TRUE(write_audio(p, options(), file("song.flac")));
  const Sound sound = decoded(file("song.flac"));
  const double first = strength(sound, 0.1, 0.3, 261.63);
  EXPECT_GT(strength(sound, 2.1, 0.3, 261.63), 0.5 * first);
  // And it ends: nothing sounds three seconds after the last key is let go.
  EXPECT_LT(static_cast<double>(sound.info.frames) / 48000, 3 + 3.9);
}

std::string complaint(const Result<AudioReport>& result) {
  if (result) return "no error";
  EXPECT_EQ(result.error().size(), 1U);
  EXPECT_EQ(result.error().front().fault, Fault::file);
  return render(result.error().front());
}

constexpr const char* kRemedy =
    "install the Debian package fluid-soundfont-gm, or name a sound font with --sound-font FILE";

TEST_F(Audio, ASoundFontThatIsOfNoUseIsNamedWithARemedy) {
  AudioOptions o = options();
  const auto complaint_about = [&](const fs::path& font) {
    o.sound_font = font;
    std::string said = complaint(write_audio(song(), o, file("song.flac")));
    EXPECT_THAT(said, ::testing::HasSubstr(kRemedy));
    EXPECT_FALSE(fs::exists(file("song.flac")));
    return said;
  };
  EXPECT_THAT(
      complaint_about("nowhere/grand.sf2"),
      ::testing::HasSubstr(
          "nowhere/grand.sf2: error: cannot read the sound font: No such file or directory"));
  EXPECT_THAT(complaint_about(folder_),
              ::testing::HasSubstr("cannot read the sound font: Is a directory"));
  std::ofstream(file("words.sf2")) << "These are words, and many of them, but no sounds at all.";
  EXPECT_THAT(complaint_about(file("words.sf2")),
              ::testing::HasSubstr("this file is not a sound font (SoundFont 2, .sf2)"));
  ASSERT_EQ(::mkfifo(file("pipe.sf2").c_str(), 0600), 0);
  EXPECT_THAT(complaint_about(file("pipe.sf2")),
              ::testing::HasSubstr("this file is not a sound font (SoundFont 2, .sf2)"));
  std::ofstream(file("empty.sf2"));
  EXPECT_THAT(complaint_about(file("empty.sf2")),
              ::testing::HasSubstr("this file is not a sound font (SoundFont 2, .sf2)"));
  if (!fs::exists(kFont)) return;
  std::ofstream(file("half.sf2"), std::ios::binary) << bytes_of(kFont).substr(0, 100000);
  EXPECT_THAT(complaint_about(file("half.sf2")),
              ::testing::HasSubstr("this sound font is damaged or of an unknown kind"));
}

TEST_F(Audio, AFolderThatIsNotThereIsAnError) {
  NEEDS_FONT();
  EXPECT_THAT(complaint(write_audio(song(), options(), file("no/song.flac"))),
              ::testing::HasSubstr("cannot write the track: No such file or directory"));
}

// A limit on the size of files stands in for a full disk where none can be mounted.
class FileSizeLimit {
 public:
  explicit FileSizeLimit(rlim_t bytes) {
    ::getrlimit(RLIMIT_FSIZE, &before_);
    handler_ = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{bytes, before_.rlim_max};
    ::setrlimit(RLIMIT_FSIZE, &limit);
  }
  ~FileSizeLimit() {
    ::setrlimit(RLIMIT_FSIZE, &before_);
    std::signal(SIGXFSZ, handler_);
  }

 private:
  rlimit before_{};
  void (*handler_)(int) = nullptr;
};

TEST_F(Audio, ADiskThatFillsUpLeavesTheOldFileAndNothingElse) {
  NEEDS_FONT();
  std::ofstream(file("song.flac")) << "old";
  {
    const FileSizeLimit limit(200'000);
    EXPECT_THAT(complaint(write_audio(song(), options(), file("song.flac"))),
                ::testing::HasSubstr("cannot write the track: File too large"));
  }
  EXPECT_EQ(bytes_of(file("song.flac")), "old");
  EXPECT_THAT(names(), ::testing::ElementsAre("song.flac"));
}

std::vector<float> noise(std::size_t samples) {
  std::vector<float> out;
  std::uint32_t state = 1;
  for (std::size_t i = 0; i < samples; ++i) {
    state = state * 1664525U + 1013904223U;
    out.push_back(static_cast<float>(state >> 8) / 16777216.0F - 0.5F);
  }
  return out;
}

// The limit is met by the first bytes, by a piece in the middle, or only by closing the file.
TEST_F(Audio, AFlacFileThatCannotBeWrittenIsAnErrorWhereverItHappens) {
  for (const rlim_t bytes : {rlim_t{0}, rlim_t{100}, rlim_t{50'000}, rlim_t{150'000}}) {
    const FileSizeLimit limit(bytes);
    std::optional<Diagnostics> error;
    auto flac = SoundFile::create(file("song.flac"), SoundFormat::flac);
    if (!flac) error = flac.error();
    for (int i = 0; i < 10 && !error; ++i) {
      if (auto written = (*flac)->write(noise(8192)); !written) error = written.error();
    }
    if (!error) {
      if (auto committed = (*flac)->commit(); !committed) error = committed.error();
    }
    ASSERT_TRUE(error) << bytes;
    EXPECT_THAT(render(error->front()),
                ::testing::HasSubstr("cannot write the track: File too large"));
    flac = tl::unexpected<Diagnostics>(Diagnostics{});
    EXPECT_TRUE(names().empty()) << bytes;
  }
}

TEST_F(Audio, AFullDiskIsNamedAsSuch) {
  NEEDS_FONT();
  if (::mount("tmpfs", folder_.c_str(), "tmpfs", 0, "size=1m") != 0) {
    GTEST_SKIP() << "a small disk cannot be mounted here";
  }
  const std::string said = complaint(write_audio(song(), options(), file("song.flac")));
  const std::vector<std::string> left = names();
  ::umount(folder_.c_str());
  EXPECT_THAT(said, ::testing::HasSubstr("cannot write the track: No space left on device"));
  EXPECT_THAT(said, ::testing::HasSubstr("free some space on the disk"));
  EXPECT_TRUE(left.empty());
}

}  // namespace
}  // namespace stillhand::write
