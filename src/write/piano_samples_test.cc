#include "write/piano_samples.h"

#include <gtest/gtest.h>
#include <sndfile.h>

#include <cmath>
#include <filesystem>
#include <fstream>

namespace stillhand::write {
namespace {

const std::filesystem::path kFont = "/usr/share/sounds/sf2/TimGM6mb.sf2";

struct Decoded {
  SF_INFO info{};
  std::vector<float> samples;
};

Decoded decoded(const PianoSample& sample) {
  const std::string path =
      std::string(STILLHAND_BINARY_DIR) + "/piano_" + std::to_string(sample.key.number()) + ".flac";
  std::ofstream(path, std::ios::binary) << sample.flac;
  Decoded out;
  SNDFILE* file = sf_open(path.c_str(), SFM_READ, &out.info);
  EXPECT_NE(file, nullptr) << path;
  if (file == nullptr) return out;
  out.samples.resize(static_cast<std::size_t>(out.info.frames));
  EXPECT_EQ(sf_readf_float(file, out.samples.data(), out.info.frames), out.info.frames);
  sf_close(file);
  return out;
}

// How strongly it sounds at this frequency (Goertzel), over its first second.
double strength(const std::vector<float>& sound, double hertz) {
  const double turn = 2 * std::cos(2 * M_PI * hertz / 48000);
  double before = 0;
  double last = 0;
  for (std::size_t i = 0; i < 48000 && i < sound.size(); ++i) {
    const double now = sound[i] + turn * last - before;
    before = last;
    last = now;
  }
  return last * last + before * before - turn * last * before;
}

TEST(PianoSamples, EveryKeySoundsAtItsPitchForFourSecondsAndTheSameTwice) {
  if (!std::filesystem::exists(kFont)) GTEST_SKIP() << "install the package timgm6mb-soundfont";
  const auto samples = piano_samples(kFont);
  ASSERT_TRUE(samples);
  ASSERT_EQ(samples->size(), 21U);
  float highest = 0;
  for (const PianoSample& sample : *samples) {
    const Decoded sound = decoded(sample);
    EXPECT_EQ(sound.info.channels, 1);
    EXPECT_EQ(sound.info.samplerate, 48000);
    EXPECT_EQ(sound.info.frames, 4 * 48000);
    for (const float value : sound.samples) highest = std::max(highest, std::abs(value));
    EXPECT_NEAR(sound.samples.back(), 0, 1e-3);
    const int key = sample.key.number();
    if (key < 46) continue;  // the lowest strings sound by their overtones
    const double hertz = 440 * std::exp2((key - 69) / 12.0);
    const double semitone = std::exp2(1 / 12.0);
    EXPECT_GT(strength(sound.samples, hertz), 10 * strength(sound.samples, hertz * semitone))
        << key;
    EXPECT_GT(strength(sound.samples, hertz), 10 * strength(sound.samples, hertz / semitone))
        << key;
  }
  EXPECT_NEAR(highest, 0.9, 0.001);
  const auto again = piano_samples(kFont);
  ASSERT_TRUE(again);
  for (std::size_t i = 0; i < samples->size(); ++i) EXPECT_EQ((*samples)[i].flac, (*again)[i].flac);
}

TEST(PianoSamples, AFileThatIsNoSoundFontIsSaid) {
  EXPECT_FALSE(piano_samples("/nowhere/grand.sf2"));
}

}  // namespace
}  // namespace stillhand::write
