// The click: two short knocks, the higher one on the first count of a bar.
//
//   ClickTrack clicks(performance, 100, 0.1);      // at most 0.1 of full scale
//   clicks.mix_into(first_frame, samples);         // adds what sounds there
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "perform/performance.h"
#include "write/audio.h"

namespace stillhand::write {

class ClickTrack {
 public:
  ClickTrack(const perform::Performance& performance, int tempo_percent, double level,
             ClickHeard heard = ClickHeard::throughout);
  // `interleaved_stereo` begins at frame `first` of the track.
  void mix_into(std::int64_t first, std::span<float> interleaved_stereo) const;

 private:
  struct Knock {
    std::int64_t frame;
    bool is_first_of_bar;
  };
  std::vector<Knock> knocks_;  // by frame
  std::vector<float> high_;
  std::vector<float> low_;
};

}  // namespace stillhand::write
