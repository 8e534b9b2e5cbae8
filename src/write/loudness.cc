#include "write/loudness.h"

#include <ebur128.h>

#include <algorithm>
#include <cmath>
#include <new>

namespace stillhand::write {
namespace {

constexpr unsigned kStereo = 2;

double decibels(double factor) { return 20.0 * std::log10(factor); }

}  // namespace

struct LoudnessMeter::State {
  ebur128_state* meter;

  explicit State(int sample_rate)
      : meter(ebur128_init(kStereo, static_cast<unsigned long>(sample_rate),
                           EBUR128_MODE_I | EBUR128_MODE_TRUE_PEAK)) {
    if (meter == nullptr) throw std::bad_alloc();
  }
  ~State() { ebur128_destroy(&meter); }
  State(const State&) = delete;
  State& operator=(const State&) = delete;
};

LoudnessMeter::LoudnessMeter(int sample_rate) : state_(std::make_unique<State>(sample_rate)) {}
LoudnessMeter::~LoudnessMeter() = default;

void LoudnessMeter::add(std::span<const float> interleaved_stereo) {
  const int failed = ebur128_add_frames_float(state_->meter, interleaved_stereo.data(),
                                              interleaved_stereo.size() / kStereo);
  if (failed != EBUR128_SUCCESS) throw std::bad_alloc();  // its only error
}

Loudness LoudnessMeter::measured() const {
  Loudness out;
  ebur128_loudness_global(state_->meter, &out.lufs);
  double highest = 0;
  for (unsigned channel = 0; channel < kStereo; ++channel) {
    double peak = 0;
    ebur128_true_peak(state_->meter, channel, &peak);
    highest = std::max(highest, peak);
  }
  out.true_peak_db = decibels(highest);
  return out;
}

Levelling levelling(Loudness before, LoudnessGoal goal) {
  Levelling out;
  if (!std::isfinite(before.true_peak_db) || !std::isfinite(before.lufs)) return out;
  const double wanted_db = goal.lufs - before.lufs;
  const double allowed_db = goal.ceiling_db - before.true_peak_db + kMostLimitedDb;
  const double gain_db = std::min(wanted_db, allowed_db);
  out.gain = std::pow(10.0, gain_db / 20.0);
  out.limited_db = std::max(0.0, before.true_peak_db + gain_db - goal.ceiling_db);
  out.peak_bound = allowed_db < wanted_db;
  return out;
}

}  // namespace stillhand::write
