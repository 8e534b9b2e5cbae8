#include "write/limiter.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "write/loudness.h"

namespace stillhand::write {
namespace {

constexpr int kRate = 48000;
constexpr double kCeiling = 0.5;

std::vector<float> limited(const std::vector<float>& sound, std::size_t piece) {
  Limiter limiter(kCeiling);
  std::vector<float> out;
  for (std::size_t at = 0; at < sound.size(); at += piece) {
    limiter.take({sound.data() + at, std::min(piece, sound.size() - at)}, out);
  }
  limiter.finish(out);
  return out;
}

// A sine with a loud burst between 0.5 and 0.6 s, the right channel at half the level.
std::vector<float> burst(double hertz, double amplitude, double loud) {
  std::vector<float> out;
  for (int i = 0; i < 2 * kRate; ++i) {
    const double level = i > kRate / 2 && i < kRate * 6 / 10 ? loud : amplitude;
    const auto sample =
        static_cast<float>(level * std::sin(2 * std::numbers::pi * hertz * i / kRate + 0.7));
    out.insert(out.end(), {sample, sample / 2});
  }
  return out;
}

double true_peak_db(const std::vector<float>& sound) {
  LoudnessMeter meter(kRate);
  meter.add(sound);
  return meter.measured().true_peak_db;
}

TEST(Limiter, TouchesNothingUnderTheCeiling) {
  const std::vector<float> sound = burst(440, 0.1, 0.45);
  EXPECT_EQ(limited(sound, 1000), sound);
}

// The pitch of a quarter of the sample rate has its peaks between the samples. Where the burst begins at once, the meter's
// longer filter rings by a tenth of a decibel more than the limiter's.
TEST(Limiter, HoldsTruePeaksUnderTheCeiling) {
  for (const double hertz : {97.0, 440.0, 3000.0, kRate / 4.0}) {
    const std::vector<float> sound = burst(hertz, 0.3, 0.95);
    ASSERT_GT(true_peak_db(sound), -1.0);
    EXPECT_LE(true_peak_db(limited(sound, 8192)), 20 * std::log10(kCeiling) + 0.15) << hertz;
  }
}

TEST(Limiter, KeepsTimeAndTheBalanceOfTheChannels) {
  const std::vector<float> sound = burst(440, 0.3, 0.95);
  const std::vector<float> out = limited(sound, 8192);
  ASSERT_EQ(out.size(), sound.size());
  for (std::size_t i = 0; i + 1 < out.size(); i += 2) {
    ASSERT_NEAR(out[i + 1], out[i] / 2, 1e-6);
    ASSERT_LE(std::abs(out[i]), std::abs(sound[i]) + 1e-6F);
  }
  // Far before the burst, and half a second after it, the sound is as it was.
  for (const std::size_t frame : {std::size_t{20000}, std::size_t{60000}}) {
    EXPECT_NEAR(out[2 * frame], sound[2 * frame], 1e-3);
  }
}

TEST(Limiter, PiecesOfAnySizeGiveTheSame) {
  const std::vector<float> sound = burst(440, 0.3, 0.95);
  const std::vector<float> whole = limited(sound, sound.size());
  for (const std::size_t piece : {2U, 14U, 4096U}) EXPECT_EQ(limited(sound, piece), whole);
}

TEST(Limiter, OfLittleOrNothingComesAsMuch) {
  EXPECT_TRUE(limited({}, 2).empty());
  EXPECT_EQ(limited({0.9F, 0.9F}, 2).size(), 2U);
}

}  // namespace
}  // namespace stillhand::write
