// The piano key by key, for players that put their notes together themselves.
//
//   Result<std::vector<PianoSample>> keys = piano_samples("FluidR3_GM.sf2");
//   keys->front().key.number() == 28;  keys->front().flac …
//
// Every third key from 28 to 88, so that no note is more than a semitone away from one; each struck at velocity 80 and held
// for four seconds. Mono, 48 kHz, FLAC (RFC 9639) with 16 bits, all by the same factor, so that the loudest just fills the
// scale; the last 50 ms fade out. The same sound font and library versions give the same bytes. Takes some seconds.
//
// Errors, Fault::file: a sound font that cannot be read or used.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"
#include "music/pitch.h"

namespace stillhand::write {

inline constexpr int kSampleMilliseconds = 4000;

struct PianoSample {
  music::PianoKey key;
  std::string flac;
};

std::vector<music::PianoKey> sampled_keys();
Result<std::vector<PianoSample>> piano_samples(const std::filesystem::path& sound_font);

}  // namespace stillhand::write
