// A performance as sound: a FLAC file to play along with.
//
//   Result<AudioReport> made = write_audio(performance, {.tempo_percent = 60}, "slow.flac");
//   made->lufs == -16.0;  made->seconds …
//
// 48 kHz, stereo, 16 bits. The piano is FluidSynth playing a sound font. The click is made here, so
// that it stands on its sample exactly, has a level of its own and is there with any sound font, a
// piano alone included. Notes begin within 0.7 ms of perform::seconds (FluidSynth works in blocks of
// 64 samples), clicks within 0.02 ms.
//
// The whole track is brought to -16 LUFS; where its true peak would pass -1 dBTP first, it is as loud
// as that allows and the report says so. Rendered sound waits in a nameless file beside the target
// (23 MB a minute), so memory does not grow with the song. The same performance, options, sound font
// and library versions give the same bytes.
//
// Errors, all Fault::file: no sound font, one that cannot be read or used; a disk that is full or
// cannot be written to. The old file stays as it was then, and no half-written one is left.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>

#include "base/result.h"
#include "perform/performance.h"
#include "write/loudness.h"

namespace stillhand::write {

struct AudioOptions {
  std::optional<std::filesystem::path> sound_font;  // nullopt: the installed one
  int tempo_percent = 100;                          // 10–400; 60 is slow practice
  LoudnessGoal loudness;
};

struct AudioReport {
  double lufs = 0;          // integrated loudness of the file
  double true_peak_db = 0;  // its highest true peak, dBTP
  bool peak_bound = false;  // the peak stopped it before the goal
  double seconds = 0;       // with count-in and the last chord's decay
  std::int64_t frames = 0;
};

// How much is done, 0–100; never goes back.
using AudioProgress = std::function<void(int percent)>;

Result<AudioReport> write_audio(const perform::Performance& performance,
                                const AudioOptions& options, const std::filesystem::path& flac,
                                const AudioProgress& progress = {});

// The named sound font, or the first installed one of those that Debian's packages bring.
Result<std::filesystem::path> find_sound_font(const AudioOptions& options);

}  // namespace stillhand::write
