#include "write/loudness.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

namespace stillhand::write {
namespace {

constexpr int kRate = 48000;
constexpr double kNothing = -std::numeric_limits<double>::infinity();

std::vector<float> sine(double hertz, double amplitude, double phase, double seconds) {
  std::vector<float> out;
  for (int i = 0; i < static_cast<int>(seconds * kRate); ++i) {
    const auto sample =
        static_cast<float>(amplitude * std::sin(2 * std::numbers::pi * hertz * i / kRate + phase));
    out.insert(out.end(), {sample, sample});
  }
  return out;
}

Loudness measure(const std::vector<float>& samples) {
  LoudnessMeter meter(kRate);
  meter.add(samples);
  return meter.measured();
}

double factor(double decibels) { return std::pow(10.0, decibels / 20); }

// Source: EBU Tech 3341 (2016), test signals 1, 2 and 3 with their tolerances.
TEST(LoudnessMeter, ReadsTheTestSignalsOfTheEbu) {
  EXPECT_NEAR(measure(sine(1000, factor(-23), 0, 20)).lufs, -23.0, 0.1);
  EXPECT_NEAR(measure(sine(1000, factor(-33), 0, 20)).lufs, -33.0, 0.1);
  LoudnessMeter meter(kRate);
  meter.add(sine(1000, factor(-36), 0, 10));
  meter.add(sine(1000, factor(-23), 0, 60));
  meter.add(sine(1000, factor(-36), 0, 10));
  EXPECT_NEAR(meter.measured().lufs, -23.0, 0.1);
}

// Source: EBU Tech 3341 (2016), test signals 15 and 16: a quarter of the sample rate, amplitude 0.5,
// the second between the samples; -6.0 dBTP +0.2/-0.4.
TEST(LoudnessMeter, FindsThePeakBetweenTheSamples) {
  for (const double phase : {0.0, std::numbers::pi / 4}) {
    const double peak = measure(sine(kRate / 4.0, 0.5, phase, 1)).true_peak_db;
    EXPECT_LE(peak, -5.8);
    EXPECT_GE(peak, -6.4);
  }
}

TEST(LoudnessMeter, SilenceHasNoLoudness) {
  const Loudness silence = measure(std::vector<float>(2 * kRate));
  EXPECT_EQ(silence.lufs, kNothing);
  EXPECT_EQ(silence.true_peak_db, kNothing);
}

TEST(Levelling, ReachesTheGoalWithPeaksTurnedDownAndStopsAtTheirMost) {
  const struct {
    Loudness before;
    double gain_db;
    double limited_db;
    bool peak_bound;
  } cases[]{
      {{-24, -12}, 8, 0, false},  // room enough
      {{-10, -3}, -6, 0, false},  // softer
      {{-24, -9}, 8, 0, false},   // just enough
      {{-24, -8}, 8, 1, false},   // the peak is turned down
      {{-24, -3}, 8, 6, false},   // as far as it may be
      {{-30, 0}, 5, 6, true},     // too high for that
  };
  for (const auto& c : cases) {
    const Levelling l = levelling(c.before, {});
    EXPECT_NEAR(l.gain, factor(c.gain_db), 1e-9);
    EXPECT_EQ(l.peak_bound, c.peak_bound);
    EXPECT_NEAR(l.limited_db, c.limited_db, 1e-9);
  }
}

TEST(Levelling, LeavesSilenceAlone) {
  for (const Loudness silent : {Loudness{kNothing, kNothing}, Loudness{kNothing, -20}}) {
    const Levelling l = levelling(silent, {});
    EXPECT_EQ(l.gain, 1.0);
    EXPECT_FALSE(l.peak_bound);
  }
}

}  // namespace
}  // namespace stillhand::write
