// Holds the true peaks of a recording under a ceiling, so that it can be as loud as other recordings.
//
//   Limiter limiter(0.891);                       // a factor: -1 dBTP
//   limiter.take(samples, out);                   // interleaved stereo; appends what is ready
//   limiter.finish(out);                          // … and the rest: as many samples as were taken
//
// The sound is turned down a little before a peak that would pass the ceiling, and comes up again after it: 5 ms before, back
// within about 0.2 s (our judgement: no edge to be heard in either, and chords keep their attack). What lies under
// the ceiling is not touched. Both channels are turned down alike, so that nothing wanders from side to side.
//
// Peaks between samples are found four times oversampled by the filter of ITU-R BS.1770-4, annex 2; a frame costs about
// a hundred multiplications, and only where it comes near the ceiling.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <span>
#include <utility>
#include <vector>

namespace stillhand::write {

class Limiter {
 public:
  explicit Limiter(double ceiling);
  void take(std::span<const float> interleaved_stereo, std::vector<float>& out);
  void finish(std::vector<float>& out);

 private:
  static constexpr std::size_t kTaps = 12;
  using Frame = std::array<float, 2>;

  void step(Frame frame, std::vector<float>& out);
  double peak_around() const;
  double least_in_window(double needed);

  float ceiling_;
  std::int64_t taken_ = 0;  // frames, the silence of finish() included
  std::int64_t given_ = 0;
  std::int64_t to_give_ = 0;
  std::array<Frame, 2 * kTaps>
      recent_{};                  // each twice, so that the last ones always stand in a row
  std::int64_t near_until_ = -1;  // frames: one near the ceiling is among the recent ones
  std::vector<Frame> waiting_;    // until their gain is known; a ring
  std::deque<std::pair<std::int64_t, double>> least_;  // of the window, rising
  double released_ = 1;                                // gain as it comes up again
  std::vector<double> smoothing_;                      // the last gains; a ring
  double sum_;                                         // of them
};

}  // namespace stillhand::write
