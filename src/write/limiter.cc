#include "write/limiter.h"

#include <algorithm>
#include <cmath>

#include "write/audio_synth.h"

namespace stillhand::write {
namespace {

constexpr std::size_t kPhases = 4;
// ITU-R BS.1770-4, annex 2, table of the interpolating filter: phases 0 and 1; 3 and 2 are these backwards.
constexpr std::array<std::array<float, 12>, 2> kHalf{
    {{0.0017089843750F, 0.0109863281250F, -0.0196533203125F, 0.0332031250000F, -0.0594482421875F,
      0.1373291015625F, 0.9721679687500F, -0.1022949218750F, 0.0476074218750F, -0.0266113281250F,
      0.0148925781250F, -0.0083007812500F},
     {-0.0291748046875F, 0.0292968750000F, -0.0517578125000F, 0.0891113281250F, -0.1665039062500F,
      0.4650878906250F, 0.7797851562500F, -0.2003173828125F, 0.1015625000000F, -0.0582275390625F,
      0.0330810546875F, -0.0189208984375F}}};

constexpr std::size_t kAhead = kSampleRate / 200;  // 5 ms
constexpr double kReleaseSeconds = 0.08;           // to come up by 63 %
// The filter can raise its largest input by no more than this (the sum of a phase's coefficients, without their signs).
constexpr float kMostRaised = 2.1F;
// The filter sees the frame in its middle this many frames late.
constexpr std::size_t kLate = 6;
// The smoothing needs a gain for as long as the filter may look around a peak.
constexpr std::size_t kWindow = kAhead + kLate + 6;

}  // namespace

Limiter::Limiter(double ceiling)
    : ceiling_(static_cast<float>(ceiling)),
      waiting_(kAhead + kLate + 1),
      smoothing_(kAhead, 1.0),
      sum_(static_cast<double>(kAhead)) {}

// The highest of the recent samples and of the points between the middle ones; 0 where none is near the ceiling.
double Limiter::peak_around() const {
  if (taken_ >= near_until_) return 0;
  const Frame* const recent = &recent_[static_cast<std::size_t>(taken_ + 1) % kTaps];
  float peak = 0;
  for (std::size_t channel = 0; channel < 2; ++channel) {
    for (std::size_t tap = 0; tap < kTaps; ++tap) {
      peak = std::max(peak, std::abs(recent[tap][channel]));
    }
    for (std::size_t phase = 0; phase < kPhases; ++phase) {
      const auto& filter = kHalf[phase < 2 ? phase : 3 - phase];
      float sum = 0;
      for (std::size_t tap = 0; tap < kTaps; ++tap) {
        sum += filter[phase < 2 ? tap : kTaps - 1 - tap] * recent[tap][channel];
      }
      peak = std::max(peak, std::abs(sum));
    }
  }
  return static_cast<double>(peak);
}

// The least gain needed in the window that ends here.
double Limiter::least_in_window(double needed) {
  while (!least_.empty() && least_.back().second >= needed) least_.pop_back();
  least_.emplace_back(taken_, needed);
  if (least_.front().first + static_cast<std::int64_t>(kWindow) <= taken_) least_.pop_front();
  return least_.front().second;
}

void Limiter::step(Frame frame, std::vector<float>& out) {
  static const double kComesUp = 1 - std::exp(-1 / (kReleaseSeconds * kSampleRate));
  const auto now = static_cast<std::size_t>(taken_);
  recent_[now % kTaps] = frame;
  recent_[now % kTaps + kTaps] = frame;
  if (std::max(std::abs(frame[0]), std::abs(frame[1])) * kMostRaised > ceiling_) {
    near_until_ = taken_ + static_cast<std::int64_t>(kTaps);
  }
  const double peak = peak_around();
  const double needed =
      peak > static_cast<double>(ceiling_) ? static_cast<double>(ceiling_) / peak : 1.0;
  released_ = std::min(least_in_window(needed), released_ + (1 - released_) * kComesUp);
  double& oldest = smoothing_[now % kAhead];
  sum_ += released_ - oldest;
  oldest = released_;
  waiting_[now % waiting_.size()] = frame;
  ++taken_;
  if (now + 1 < waiting_.size() || given_ >= to_give_) return;
  ++given_;
  const Frame due = waiting_[(now + 1) % waiting_.size()];
  const auto gain = static_cast<float>(sum_ / static_cast<double>(kAhead));
  out.push_back(due[0] * gain);
  out.push_back(due[1] * gain);
}

void Limiter::take(std::span<const float> interleaved_stereo, std::vector<float>& out) {
  to_give_ += static_cast<std::int64_t>(interleaved_stereo.size() / 2);
  for (std::size_t i = 0; i + 1 < interleaved_stereo.size(); i += 2) {
    step({interleaved_stereo[i], interleaved_stereo[i + 1]}, out);
  }
}

void Limiter::finish(std::vector<float>& out) {
  while (given_ < to_give_) step({0, 0}, out);
}

}  // namespace stillhand::write
