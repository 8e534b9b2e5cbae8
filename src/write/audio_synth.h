// The piano: FluidSynth with one sound font, playing as fast as it can into memory.
//
//   Result<Synth> synth = Synth::open("FluidR3_GM.sf2");
//   synth->strike(hand::Hand::right, PianoKey(60), Velocity(80));
//   synth->render(samples);     // interleaved stereo
#pragma once

#include <filesystem>
#include <memory>
#include <span>
#include <string>

#include "base/result.h"
#include "hand/finger.h"
#include "music/pitch.h"
#include "perform/performance.h"

namespace stillhand::write {

inline constexpr int kSampleRate = 48000;
inline constexpr int kChannels = 2;
// FluidSynth computes blocks of this many frames: keys struck in between sound from the next block on.
inline constexpr int kSynthBlock = 64;

// What to do about a sound font that is missing or of no use.
inline constexpr const char* kSoundFontRemedy =
    "install the Debian package fluid-soundfont-gm, or name a sound font with --sound-font FILE";

class Synth {
 public:
  static Result<Synth> open(const std::filesystem::path& sound_font);
  static std::string version();  // "FluidSynth 2.3.1"
  void strike(hand::Hand hand, music::PianoKey key, perform::Velocity velocity);
  void release(hand::Hand hand, music::PianoKey key);
  void pedal(perform::Pedal pedal);  // for both hands
  // Fills `interleaved_stereo`: a whole number of blocks.
  void render(std::span<float> interleaved_stereo);

 private:
  struct State;
  struct Delete {
    void operator()(State* state) const;
  };
  explicit Synth(std::unique_ptr<State, Delete> state) : state_(std::move(state)) {}
  std::unique_ptr<State, Delete> state_;
};

}  // namespace stillhand::write
