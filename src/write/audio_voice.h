// A voice that calls chords and counts over a track (teach/calls.h). The program espeak-ng speaks; it is run, not linked.
//
//   Result<Voice> voice = Voice::speaking({"G over B", "one"});        // each once
//   std::vector<SpokenCall> spoken = placed(calls, *voice, performance, 60);
//   VoiceTrack(spoken, *voice, -18.0).mix_into(first_frame, samples);
//
// The first vowel of a call, not its hiss, stands on its count (common practice of callers, no source). A chord's call that
// lasts longer than the count ahead begins as much sooner; one that would not be over when its chord is due is left out, for
// a late call is worse than none (our judgement). Counts give way to chords, and no two calls are heard at once.
//
// The same words and version of espeak-ng give the same sound.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <set>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "perform/performance.h"
#include "teach/calls.h"

namespace stillhand::write {

struct SpokenWords {
  std::vector<float> sound;  // 48 kHz, one channel, without the silence around it
  std::int64_t vowel = 0;    // frames from its beginning to where its first vowel sets in
  double seconds() const;
};

class Voice {
 public:
  // Error, Fault::file: espeak-ng is not installed, or says nothing.
  static Result<Voice> speaking(const std::set<std::string>& texts);

  const SpokenWords& words(const std::string& text) const { return said_.at(text); }
  double lufs() const { return lufs_; }  // of all the words, one after the other
  // "eSpeak NG 1.51; calls 1": while this is the same, words sound the same.
  const std::string& version() const { return version_; }

 private:
  std::map<std::string, SpokenWords> said_;
  double lufs_ = 0;
  std::string version_;
};

struct SpokenCall {
  double start = 0;  // seconds from the track's beginning to that of the sound
  std::string says;
  friend bool operator==(const SpokenCall&, const SpokenCall&) = default;
};

// Those for which there is time, in order.
std::vector<SpokenCall> placed(const std::vector<teach::Call>& calls, const Voice& voice,
                               const perform::Performance& performance, int tempo_percent);

class VoiceTrack {
 public:
  // The voice is brought to `lufs`.
  VoiceTrack(const std::vector<SpokenCall>& calls, const Voice& voice, double lufs);
  // `interleaved_stereo` begins at frame `first` of the track.
  void mix_into(std::int64_t first, std::span<float> interleaved_stereo) const;

 private:
  struct Placed {
    std::int64_t frame;
    const std::vector<float>* sound;
  };
  std::vector<Placed> placed_;
  float gain_ = 1;
};

}  // namespace stillhand::write
