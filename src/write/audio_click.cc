#include "write/audio_click.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "write/audio_synth.h"

namespace stillhand::write {
namespace {

// A struck wooden block: one partial and an inharmonic one above it, dying away at once. Pitches,
// decay and levels are our own judgement, by ear and spectrogram: above the hands' register (up to
// about 590 Hz), short, soft on the counts inside the bar.
constexpr double kHighHertz = 1568;
constexpr double kLowHertz = 1175;
constexpr double kUpperPartial = 2.57;
constexpr double kUpperLevel = 0.35;
constexpr double kDecaySeconds = 0.010;
constexpr double kUpperDecaySeconds = 0.004;
constexpr std::int64_t kKnockFrames = kSampleRate / 20;
constexpr double kSoftCount = 0.6;  // of the first count's level

std::vector<float> knock(double hertz, double level) {
  std::vector<float> out;
  for (std::int64_t i = 0; i < kKnockFrames; ++i) {
    const double seconds = static_cast<double>(i) / kSampleRate;
    const double turn = 2 * std::numbers::pi * hertz * seconds;
    const double to_the_end =
        1.0 - static_cast<double>(i) / static_cast<double>(kKnockFrames);  // no edge at the end
    out.push_back(
        static_cast<float>(to_the_end * (std::sin(turn) * std::exp(-seconds / kDecaySeconds) +
                                         kUpperLevel * std::sin(turn * kUpperPartial) *
                                             std::exp(-seconds / kUpperDecaySeconds))));
  }
  float highest = 0;
  for (const float sample : out) highest = std::max(highest, std::abs(sample));
  for (float& sample : out) sample *= static_cast<float>(level) / highest;
  return out;
}

}  // namespace

ClickTrack::ClickTrack(const perform::Performance& performance, int tempo_percent, double level,
                       ClickHeard heard)
    : high_(knock(kHighHertz, level)), low_(knock(kLowHertz, level * kSoftCount)) {
  const std::vector<perform::Span> count_ins = perform::count_ins(performance);
  const auto counts_in = [&](music::Tick at) {
    return std::any_of(count_ins.begin(), count_ins.end(), [at](const perform::Span& count_in) {
      return at >= count_in.start && at < count_in.end;
    });
  };
  for (const perform::Click& click : performance.clicks) {
    if (heard == ClickHeard::in_count_ins && !counts_in(click.start)) continue;
    const double at = perform::seconds(performance, click.start, tempo_percent);
    knocks_.push_back({std::llround(at * kSampleRate), click.is_first_of_bar});
  }
}

void ClickTrack::mix_into(std::int64_t first, std::span<float> interleaved_stereo) const {
  const std::int64_t frames = static_cast<std::int64_t>(interleaved_stereo.size()) / kChannels;
  auto knock = std::upper_bound(
      knocks_.begin(), knocks_.end(), first - kKnockFrames,
      [](std::int64_t frame, const Knock& candidate) { return frame < candidate.frame; });
  for (; knock != knocks_.end() && knock->frame < first + frames; ++knock) {
    const std::vector<float>& sound = knock->is_first_of_bar ? high_ : low_;
    const std::int64_t from = std::max(knock->frame, first);
    const std::int64_t to = std::min(knock->frame + kKnockFrames, first + frames);
    for (std::int64_t frame = from; frame < to; ++frame) {
      const float sample = sound[static_cast<std::size_t>(frame - knock->frame)];
      const auto at = static_cast<std::size_t>(frame - first) * kChannels;
      interleaved_stereo[at] += sample;
      interleaved_stereo[at + 1] += sample;
    }
  }
}

}  // namespace stillhand::write
