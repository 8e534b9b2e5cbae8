#include "write/audio_voice.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <memory>

#include "write/audio.h"
#include "write/audio_synth.h"

namespace stillhand::write {
namespace {

using music::Tick;
using perform::Performance;
using teach::Call;
using teach::CallKind;

#define NEEDS_VOICE() \
  if (!Voice::speaking({"one"})) GTEST_SKIP() << "espeak-ng is not installed"

Performance at_tempo(int tempo) {
  Performance p;
  p.tempo = music::Tempo(tempo);
  p.meters = {{Tick(0), *music::Meter::make(4, 4)}};
  p.end = Tick(960 * 32);
  return p;
}

Call chord(int at_count, std::string says) {
  return {Tick(960 * (at_count - 1)), Tick(960 * at_count), std::move(says), CallKind::chord};
}
Call count(int at_count, std::string says) {
  return {Tick(960 * at_count), Tick(960 * at_count), std::move(says), CallKind::count};
}

TEST(Voice, SaysTheSameEachTimeAndNamesItsVersion) {
  NEEDS_VOICE();
  const auto one = Voice::speaking({"G over B", "six"});
  const auto other = Voice::speaking({"G over B"});
  ASSERT_TRUE(one && other);
  EXPECT_EQ(one->words("G over B").sound, other->words("G over B").sound);
  EXPECT_THAT(one->version(), ::testing::MatchesRegex("eSpeak NG [0-9.]+; en-gb 190; calls 1"));
  EXPECT_GT(one->words("G over B").seconds(), 0.4);
  EXPECT_LT(one->words("G over B").seconds(), 1.2);
}

TEST(Voice, TheVowelOfSixComesAfterItsHissAndThatOfATEightAtOnce) {
  NEEDS_VOICE();
  const auto voice = Voice::speaking({"six", "eight", "A"});
  ASSERT_TRUE(voice);
  EXPECT_GT(voice->words("six").vowel, kSampleRate * 7 / 100);
  EXPECT_LT(voice->words("eight").vowel, kSampleRate * 5 / 100);
  // "A" is the note, as long as a letter is, not the article.
  EXPECT_GT(voice->words("A").seconds(), 0.15);
}

TEST(Voice, IsAnErrorWithARemedyWhereTheProgramIsMissing) {
  const char* path = std::getenv("PATH");
  const std::string before = path == nullptr ? "" : path;
  ::setenv("PATH", "/nowhere", 1);
  const auto voice = Voice::speaking({"one"});
  ::setenv("PATH", before.c_str(), 1);
  ASSERT_FALSE(voice);
  EXPECT_EQ(render(voice.error().front()),
            "espeak-ng: error: the voice that speaks the calls is not installed\n"
            "  install the Debian package espeak-ng, or leave the spoken calls out");
}

TEST(Placed, AVowelStandsOnTheCountAheadAndTheCallIsOverWhenTheChordIsDue) {
  NEEDS_VOICE();
  const std::vector<Call> calls{
      count(0, "one"), count(1, "two"),           count(2, "three"), count(3, "four"),
      chord(4, "G"),   chord(8, "C sharp minor"), chord(12, "E"),    chord(16, "B flat over D")};
  const auto voice =
      Voice::speaking({"one", "two", "three", "four", "G", "C sharp minor", "E", "B flat over D"});
  ASSERT_TRUE(voice);
  for (const int percent : {50, 100, 200}) {
    const Performance p = at_tempo(66);
    const auto spoken = placed(calls, *voice, p, percent);
    std::size_t found = 0;
    double over = 0;
    for (const SpokenCall& call : spoken) {
      const auto& words = voice->words(call.says);
      EXPECT_GE(call.start, over) << call.says;
      over = call.start + words.seconds();
      for (const Call& wanted : calls) {
        if (wanted.says != call.says || wanted.kind != CallKind::chord) continue;
        ++found;
        const double vowel = call.start + static_cast<double>(words.vowel) / kSampleRate;
        const double ahead = perform::seconds(p, wanted.at, percent);
        EXPECT_LE(vowel, ahead + 0.001) << call.says;
        EXPECT_LE(over, perform::seconds(p, wanted.due, percent)) << call.says;
        if (percent == 50) {
          EXPECT_NEAR(vowel, ahead, 0.001) << call.says;
        }
      }
    }
    EXPECT_EQ(found, 4U) << percent;
  }
}

TEST(Placed, ACountGivesWayToAChordAndACallTooLateIsLeftOut) {
  NEEDS_VOICE();
  const auto voice = Voice::speaking({"four", "G", "C sharp minor seven"});
  ASSERT_TRUE(voice);
  const auto slow = placed({count(3, "four"), chord(4, "G")}, *voice, at_tempo(60), 100);
  ASSERT_EQ(slow.size(), 1U);
  EXPECT_EQ(slow.front().says, "G");
  // A chord on each count of 0.3 s: only some can be called, none of them late.
  std::vector<Call> fast;
  for (int i = 4; i < 16; ++i) fast.push_back(chord(i, "C sharp minor seven"));
  const Performance p = at_tempo(200);
  const auto some = placed(fast, *voice, p, 100);
  EXPECT_GE(some.size(), 1U);
  EXPECT_LT(some.size(), fast.size());
}

TEST(VoiceTrack, IsTheSameWhateverThePiecesAndAsLoudAsAsked) {
  NEEDS_VOICE();
  const auto voice = Voice::speaking({"one"});
  ASSERT_TRUE(voice);
  const VoiceTrack track({{0.1, "one"}, {0.9, "one"}}, *voice, -20);
  std::vector<float> whole(static_cast<std::size_t>(2) * kSampleRate * kChannels);
  track.mix_into(0, whole);
  std::vector<float> pieces(whole.size());
  constexpr std::size_t kPiece = 1000;
  for (std::size_t at = 0; at < pieces.size(); at += kPiece * kChannels)
    track.mix_into(static_cast<std::int64_t>(at / kChannels),
                   std::span(pieces).subspan(at, std::min(kPiece * kChannels, pieces.size() - at)));
  EXPECT_EQ(whole, pieces);
  EXPECT_GT(std::abs(*std::max_element(whole.begin(), whole.end())), 0.05F);
}

// ---- in the sound of a track

namespace fs = std::filesystem;

constexpr const char* kFont = "/usr/share/sounds/sf2/TimGM6mb.sf2";

// The left channel of a file.
std::vector<double> decoded(const fs::path& path) {
  SF_INFO info{};
  SNDFILE* in = sf_open(path.c_str(), SFM_READ, &info);
  if (in == nullptr) return {};
  std::vector<double> both(static_cast<std::size_t>(info.frames * info.channels));
  sf_readf_double(in, both.data(), info.frames);
  sf_close(in);
  std::vector<double> out;
  for (std::size_t i = 0; i < both.size(); i += static_cast<std::size_t>(info.channels))
    out.push_back(both[i]);
  return out;
}

// How alike the first third of a second of the words is to the sound from a frame on, -1 to 1; each fourth sample tells enough.
double likeness(const std::vector<double>& sound, std::size_t from,
                const std::vector<float>& words) {
  double both = 0;
  double ours = 0;
  double theirs = 0;
  const std::size_t end =
      std::min({words.size(), sound.size() - from, std::size_t{kSampleRate / 3}});
  for (std::size_t i = 0; i < end; i += 4) {
    both += sound[from + i] * words[i];
    ours += sound[from + i] * sound[from + i];
    theirs += static_cast<double>(words[i]) * words[i];
  }
  return ours > 0 ? both / std::sqrt(ours * theirs) : 0;
}

TEST(CalledTrack, TheCallIsHeardBeforeItsChordAmongThePianoAndTheTrackIsNoLouder) {
  NEEDS_VOICE();
  if (!fs::exists(kFont)) GTEST_SKIP() << "install the package timgm6mb-soundfont";
  Performance p = at_tempo(80);
  p.end = Tick(960 * 12);
  for (int i = 0; i < 12; ++i) {
    p.clicks.push_back({Tick(960 * i), i % 4 == 0});
    for (const int key : {55, 59, 62}) {
      p.notes.push_back({hand::Hand::right, music::PianoKey(key), perform::Velocity(80),
                         Tick(960 * i), Tick(900)});
    }
  }
  AudioOptions options;
  options.sound_font = kFont;
  options.calls = {chord(4, "G over B"), chord(8, "E minor seven")};
  const auto voice = Voice::speaking({"G over B", "E minor seven"});
  ASSERT_TRUE(voice);
  options.voice = std::make_shared<const Voice>(*voice);
  std::string pattern = (fs::temp_directory_path() / "stillhand-calls-XXXXXX").string();
  ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
  const fs::path file = fs::path(pattern) / "called.flac";
  const auto report = write_audio(p, options, file);
  ASSERT_TRUE(report) << render(report.error().front());
  EXPECT_NEAR(report->lufs, -16, 0.5);
  EXPECT_LE(report->true_peak_db, -0.95);
  const std::vector<double> sound = decoded(file);
  fs::remove_all(pattern);
  const auto wanted = placed(options.calls, *voice, p, 100);
  ASSERT_EQ(wanted.size(), 2U);
  for (std::size_t c = 0; c < wanted.size(); ++c) {
    const auto& words = voice->words(wanted[c].says);
    // Looked for everywhere from the chord before to the one after, each eighth frame.
    const std::size_t first = c * 4 * 36000;
    std::size_t best = 0;
    double most = 0;
    for (std::size_t at = first; at < first + std::size_t{6} * 36000; at += 8) {
      const double alike = likeness(sound, at, words.sound);
      if (alike > most) {
        most = alike;
        best = at;
      }
    }
    EXPECT_GT(most, 0.4) << wanted[c].says;
    const double start = static_cast<double>(best) / kSampleRate;
    EXPECT_NEAR(start, wanted[c].start, 0.002) << wanted[c].says;
    EXPECT_LT(start + words.seconds(), perform::seconds(p, options.calls[c].due, 100));
  }
}

}  // namespace
}  // namespace stillhand::write
