// How loud a recording is, and how much louder or softer it must become.
//
//   LoudnessMeter meter(48000);
//   meter.add(samples);                              // interleaved stereo, as often as needed
//   Levelling l = levelling(meter.measured(), {});   // l.gain: multiply every sample by it
//
// Integrated loudness in LUFS (EBU R 128; ITU-R BS.1770-4, gated) and the highest true peak in dBTP
// (BS.1770-4 annex 2, four times oversampled), by libebur128. Memory grows
// by a few hundred bytes a second.
#pragma once

#include <memory>
#include <span>

namespace stillhand::write {

struct Loudness {
  double lufs = 0;          // -infinity when nothing passes the gate: silence, or less than 0.4 s
  double true_peak_db = 0;  // dBTP; -infinity for digital silence
};

class LoudnessMeter {
 public:
  explicit LoudnessMeter(int sample_rate);
  ~LoudnessMeter();
  LoudnessMeter(const LoudnessMeter&) = delete;
  LoudnessMeter& operator=(const LoudnessMeter&) = delete;
  void add(std::span<const float> interleaved_stereo);
  Loudness measured() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

// What a track should be. -16 LUFS is usual for listening on phones and tablets (Audio Engineering
// Society, TD1008, 2021, asks for -16 to -20 LUFS); -1 dBTP is EBU R 128's (2023) highest peak.
struct LoudnessGoal {
  double lufs = -16.0;
  double ceiling_db = -1.0;
};

// The most by which peaks may be turned down to reach the goal (our judgement: the attack of a slow chord and the click
// upon it stand 2 to 4 dB too high, and that much less of them is not missed).
inline constexpr double kMostLimitedDb = 6.0;

struct Levelling {
  double gain = 1.0;  // factor, not decibels
  double limited_db =
      0;  // by how much the highest peak must be turned down after it; 0: nothing to limit
  bool peak_bound = false;  // the ceiling stopped it before the goal
};

// The gain that reaches the goal, with peaks turned down where it takes that; or as much of it as the ceiling allows
// then. Silence stays as it is.
Levelling levelling(Loudness before, LoudnessGoal goal);

}  // namespace stillhand::write
