// A performance as sound: a file to play along with.
//
//   Result<AudioReport> made = write_audio(performance, {.tempo_percent = 60}, "slow.flac");
//   made->lufs == -16.0;  made->seconds …
//   write_audio(performance, options, {"slow.flac", "slow.opus"});    // one rendering, two files
//
// 48 kHz, stereo; FLAC or, where the name ends in .opus, Opus (audio_file.h). The piano is FluidSynth playing a sound font. The click is made here, so
// that it stands on its sample exactly, has a level of its own and is there with any sound font, a
// piano alone included. Calls are spoken some decibels above the piano (audio_voice.h). Notes begin within 0.7 ms of perform::seconds (FluidSynth works in blocks of
// 64 samples), clicks within 0.02 ms.
//
// The whole track is brought to -16 LUFS. Where its true peak would pass -1 dBTP, the peaks are turned down
// (limiter.h), by 6 dB at most; where that does not do, it is as loud as that allows and the report says so. Without it
// slow tracks, in which a chord dies away for long after its attack, would be up to 4 dB softer than fast ones. Rendered sound waits in a nameless file beside the target
// (23 MB a minute), so memory does not grow with the song. The same performance, options, sound font
// and library versions give the same bytes.
//
// Errors, all Fault::file: no sound font, one that cannot be read or used; a disk that is full or
// cannot be written to. The old files stay as they were then, and no half-written one is left. It may be called by several
// threads at once.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "perform/performance.h"
#include "teach/calls.h"
#include "write/audio_file.h"
#include "write/audio_voice.h"
#include "write/loudness.h"

namespace stillhand::write {

// Where the click is heard. A count-in always has it.
enum class ClickHeard { throughout, in_count_ins };

struct AudioOptions {
  std::optional<std::filesystem::path> sound_font;  // nullopt: the installed one
  int tempo_percent = 100;                          // 10–400; 60 is slow practice
  LoudnessGoal loudness = {};
  ClickHeard click = ClickHeard::throughout;
  SoundTags tags = {};
  // Calls, spoken by a voice that has their words; without one there are none.
  std::shared_ptr<const Voice> voice = {};
  std::vector<teach::Call> calls = {};
};

struct AudioReport {
  double lufs = 0;          // integrated loudness of the file
  double true_peak_db = 0;  // its highest true peak, dBTP
  double limited_db = 0;    // by how much its highest peak was turned down for that (limiter.h)
  bool peak_bound = false;  // the peak stopped it before the goal
  double seconds = 0;       // with count-in and the last chord's decay
  std::int64_t frames = 0;
};

// How much is done, 0–100; never goes back.
using AudioProgress = std::function<void(int percent)>;

// At least one file.
Result<AudioReport> write_audio(const perform::Performance& performance,
                                const AudioOptions& options,
                                const std::vector<std::filesystem::path>& files,
                                const AudioProgress& progress = {});
Result<AudioReport> write_audio(const perform::Performance& performance,
                                const AudioOptions& options, const std::filesystem::path& file,
                                const AudioProgress& progress = {});

// The libraries that make the sound, with their versions, and this program's own way of using them: while this text is the
// same, the same performance and options give the same bytes on one kind of machine.
std::string sound_versions();

// The named sound font, or the first installed one of those that Debian's packages bring.
Result<std::filesystem::path> find_sound_font(const AudioOptions& options);

}  // namespace stillhand::write
