#include "write/piano_samples.h"

#include <FLAC/stream_encoder.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <memory>
#include <span>

#include "write/audio_synth.h"

namespace stillhand::write {
namespace {

constexpr int kLowest = 28;  // the E below the great octave's F: no left hand of ours goes lower
constexpr int kHighest = 88;
constexpr int kStep = 3;
constexpr int kVelocity = 80;
constexpr std::size_t kHeld = std::size_t{kSampleMilliseconds} * kSampleRate / 1000;  // frames
constexpr std::size_t kBetween = std::size_t{2} * kSampleRate;  // until the room is still again
constexpr std::size_t kFade = kSampleRate / 20;
constexpr float kLoudest = 0.9F;  // of full scale (our judgement)
static_assert(kHeld % kSynthBlock == 0 && kBetween % kSynthBlock == 0);

std::vector<float> mono(Synth& synth, std::size_t frames) {
  std::vector<float> stereo(frames * kChannels);
  synth.render(stereo);
  std::vector<float> out(frames);
  for (std::size_t i = 0; i < frames; ++i) out[i] = (stereo[2 * i] + stereo[2 * i + 1]) / 2;
  return out;
}

std::vector<float> struck(Synth& synth, music::PianoKey key) {
  synth.strike(hand::Hand::right, key, perform::Velocity(kVelocity));
  std::vector<float> out = mono(synth, kHeld);
  synth.release(hand::Hand::right, key);
  (void)mono(synth, kBetween);
  for (std::size_t i = 0; i < kFade; ++i)
    out[kHeld - 1 - i] *= static_cast<float>(i) / static_cast<float>(kFade);
  return out;
}

// What the encoder writes, in memory; it goes back once to fill in the header.
struct Sink {
  std::string bytes;
  std::size_t at = 0;
};

FLAC__StreamEncoderWriteStatus take(const FLAC__StreamEncoder* /*encoder*/,
                                    const FLAC__byte bytes[], std::size_t count,
                                    std::uint32_t /*samples*/, std::uint32_t /*frame*/, void* to) {
  auto& sink = *static_cast<Sink*>(to);
  if (sink.bytes.size() < sink.at + count) sink.bytes.resize(sink.at + count);
  std::copy_n(bytes, count, sink.bytes.begin() + static_cast<std::ptrdiff_t>(sink.at));
  sink.at += count;
  return FLAC__STREAM_ENCODER_WRITE_STATUS_OK;
}

FLAC__StreamEncoderSeekStatus go_to(const FLAC__StreamEncoder* /*encoder*/, FLAC__uint64 offset,
                                    void* to) {
  static_cast<Sink*>(to)->at = static_cast<std::size_t>(offset);
  return FLAC__STREAM_ENCODER_SEEK_STATUS_OK;
}

FLAC__StreamEncoderTellStatus tell(const FLAC__StreamEncoder* /*encoder*/, FLAC__uint64* offset,
                                   void* to) {
  *offset = static_cast<Sink*>(to)->at;
  return FLAC__STREAM_ENCODER_TELL_STATUS_OK;
}

Result<std::string> flac(std::span<const float> sound, float factor) {
  std::vector<FLAC__int32> samples;
  samples.reserve(sound.size());
  for (const float sample : sound)
    samples.push_back(static_cast<FLAC__int32>(std::lround(sample * factor * 32767)));
  const std::unique_ptr<FLAC__StreamEncoder, decltype(&FLAC__stream_encoder_delete)> encoder(
      FLAC__stream_encoder_new(), FLAC__stream_encoder_delete);
  Sink sink;
  const bool done =
      encoder != nullptr && FLAC__stream_encoder_set_channels(encoder.get(), 1) != 0 &&
      FLAC__stream_encoder_set_bits_per_sample(encoder.get(), 16) != 0 &&
      FLAC__stream_encoder_set_sample_rate(encoder.get(), kSampleRate) != 0 &&
      FLAC__stream_encoder_set_total_samples_estimate(encoder.get(), samples.size()) != 0 &&
      FLAC__stream_encoder_init_stream(encoder.get(), take, go_to, tell, nullptr, &sink) ==
          FLAC__STREAM_ENCODER_INIT_STATUS_OK &&
      FLAC__stream_encoder_process_interleaved(encoder.get(), samples.data(),
                                               static_cast<std::uint32_t>(samples.size())) != 0 &&
      FLAC__stream_encoder_finish(encoder.get()) != 0;
  if (!done) return failure(Fault::file, "", "the sound cannot be packed as FLAC", "");
  return std::move(sink.bytes);
}

}  // namespace

std::vector<music::PianoKey> sampled_keys() {
  std::vector<music::PianoKey> out;
  for (int key = kLowest; key <= kHighest; key += kStep) out.emplace_back(key);
  return out;
}

Result<std::vector<PianoSample>> piano_samples(const std::filesystem::path& sound_font) {
  auto synth = Synth::open(sound_font);
  if (!synth) return tl::unexpected(synth.error());
  std::vector<std::vector<float>> sounds;
  float highest = 0;
  for (const music::PianoKey key : sampled_keys()) {
    sounds.push_back(struck(*synth, key));
    for (const float sample : sounds.back()) highest = std::max(highest, std::abs(sample));
  }
  const float factor = highest > 0 ? kLoudest / highest : 1;
  std::vector<PianoSample> out;
  for (std::size_t i = 0; i < sounds.size(); ++i) {
    auto bytes = flac(sounds[i], factor);
    if (!bytes) return tl::unexpected(bytes.error());
    out.push_back({sampled_keys()[i], std::move(*bytes)});
  }
  return out;
}

}  // namespace stillhand::write
