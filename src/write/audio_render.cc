#include "write/audio_render.h"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <vector>

namespace stillhand::write {
namespace {

using perform::Performance;

constexpr std::int64_t kPiece = std::int64_t{64} * kSynthBlock;  // frames handed on at once, 85 ms
constexpr std::int64_t kLongestTail = std::int64_t{4} * kSampleRate;
constexpr float kQuiet = 0.0005F;     // of the highest sample: 66 dB below it (our judgement)
constexpr float kNothing = 0.00001F;  // FluidSynth's reverberation is never quite still

// Released keys and the pedal's release come before struck keys, so that a key struck again sounds.
enum class Action : std::int8_t { release, pedal_up, strike, pedal_down };

struct Event {
  std::int64_t block;
  Action action;
  hand::Hand hand;
  music::PianoKey key;
  perform::Velocity velocity;
  friend auto operator<=>(const Event&, const Event&) = default;
};

std::vector<Event> events_of(const Performance& p, int tempo_percent) {
  const auto block_at = [&](music::Tick at) {
    return std::llround(perform::seconds(p, at, tempo_percent) * kSampleRate / kSynthBlock);
  };
  std::vector<Event> events;
  for (const perform::Note& note : p.notes) {
    const std::int64_t start = block_at(note.start);
    const std::int64_t end =
        std::max<std::int64_t>(block_at(note.start + note.duration), start + 1);
    events.push_back({start, Action::strike, note.hand, note.key, note.velocity});
    events.push_back({end, Action::release, note.hand, note.key, note.velocity});
  }
  for (const auto& [start, pedal] : p.pedal) {
    const Action action = pedal == perform::Pedal::up ? Action::pedal_up : Action::pedal_down;
    events.push_back({block_at(start), action, {}, {}, {}});
  }
  std::sort(events.begin(), events.end());
  return events;
}

class Renderer {
 public:
  Renderer(Synth& synth, const TakeSound& take, const RenderProgress& progress)
      : synth_(synth), take_(take), progress_(progress) {}

  Result<Rendered> render(const std::vector<Event>& events, std::int64_t end_frame) {
    end_frame_ = end_frame;
    for (const Event& event : events) {
      if (auto done = sound_until(event.block * kSynthBlock); !done) {
        return tl::unexpected(done.error());
      }
      act(event);
    }
    if (auto done = sound_until(end_frame); !done) return tl::unexpected(done.error());
    if (auto done = tail(); !done) return tl::unexpected(done.error());
    return out_;
  }

 private:
  void act(const Event& event) {
    switch (event.action) {
      case Action::release:
        return synth_.release(event.hand, event.key);
      case Action::pedal_up:
        return synth_.pedal(perform::Pedal::up);
      case Action::strike:
        return synth_.strike(event.hand, event.key, event.velocity);
      case Action::pedal_down:
        return synth_.pedal(perform::Pedal::down);
    }
  }

  // Up to the next block border at or after `frame`.
  Result<void> sound_until(std::int64_t frame) {
    while (out_.frames < frame) {
      const std::int64_t blocks = (frame - out_.frames + kSynthBlock - 1) / kSynthBlock;
      if (auto done = piece(std::min(blocks * kSynthBlock, kPiece)); !done) return done;
    }
    return {};
  }

  Result<void> tail() {
    const std::int64_t latest = end_frame_ + kLongestTail;
    while (out_.frames < latest && highest_of_piece_ > std::max(kQuiet * out_.highest, kNothing)) {
      if (auto done = piece(kPiece); !done) return done;
    }
    return {};
  }

  Result<void> piece(std::int64_t frames) {
    buffer_.resize(static_cast<std::size_t>(frames) * kChannels);
    synth_.render(buffer_);
    highest_of_piece_ = 0;
    for (const float sample : buffer_) {
      highest_of_piece_ = std::max(highest_of_piece_, std::abs(sample));
    }
    out_.highest = std::max(out_.highest, highest_of_piece_);
    out_.frames += frames;
    if (progress_) {
      progress_(std::min(1.0, static_cast<double>(out_.frames) / static_cast<double>(end_frame_)));
    }
    return take_(buffer_);
  }

  Synth& synth_;
  const TakeSound& take_;
  const RenderProgress& progress_;
  Rendered out_;
  std::int64_t end_frame_ = 0;
  float highest_of_piece_ = 0;
  std::vector<float> buffer_;
};

}  // namespace

Result<Rendered> render_notes(const Performance& performance, int tempo_percent, Synth& synth,
                              const TakeSound& take, const RenderProgress& progress) {
  const double seconds = perform::seconds(performance, performance.end, tempo_percent);
  return Renderer(synth, take, progress)
      .render(events_of(performance, tempo_percent), std::llround(seconds * kSampleRate));
}

}  // namespace stillhand::write
