#include "write/audio_synth.h"

#include <fcntl.h>
#include <fluidsynth.h>
#include <glib.h>
#include <unistd.h>

#include <cassert>
#include <cerrno>
#include <mutex>
#include <new>
#include <string>
#include <utility>

#include "base/files.h"

namespace stillhand::write {
namespace {

constexpr int kPianoBank = 0;
constexpr int kPianoProgram = 0;
// Its output is floating point and levelled afterwards; this only keeps it near full scale.
constexpr double kGain = 1.0;

int channel(hand::Hand hand) { return hand == hand::Hand::right ? 0 : 1; }

void silence(int, const char*, void*) {}

// FluidSynth prints its messages unless told otherwise, for the whole process at once.
void silence_messages() {
  for (int level = FLUID_PANIC; level < LAST_LOG_LEVEL; ++level) {
    fluid_set_log_function(level, silence, nullptr);
  }
}

// Messages are silenced for the whole process, so that only one thread may load at a time.
std::mutex& loading() {
  static std::mutex mutex;
  return mutex;
}

// A loader below FluidSynth complains of damaged files through GLib; for the time of loading it is
// told not to.
class QuietLoading {
 public:
  QuietLoading() : before_(g_log_set_default_handler(drop, nullptr)) {}
  ~QuietLoading() { g_log_set_default_handler(before_, nullptr); }
  QuietLoading(const QuietLoading&) = delete;
  QuietLoading& operator=(const QuietLoading&) = delete;

 private:
  static void drop(const char*, GLogLevelFlags, const char*, void*) {}
  GLogFunc before_;
};

int load(fluid_synth_t* synth, const char* name) {
  const QuietLoading quiet;
  return fluid_synth_sfload(synth, name, 0);
}

tl::unexpected<Diagnostics> unusable(const std::filesystem::path& sound_font, std::string message) {
  return failure(Fault::file, sound_font.string(), std::move(message), kSoundFontRemedy);
}

// 0, or the errno value that says why not.
int unreadable(const std::filesystem::path& file) {
  const int fd = ::open(file.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC);
  if (fd < 0) return errno;
  char first = 0;
  const int error = ::read(fd, &first, 1) < 0 ? errno : 0;
  ::close(fd);
  return error;
}

}  // namespace

struct Synth::State {
  fluid_settings_t* settings = nullptr;
  fluid_synth_t* synth = nullptr;

  State() = default;
  State(const State&) = delete;
  State& operator=(const State&) = delete;
  ~State() {
    delete_fluid_synth(synth);
    delete_fluid_settings(settings);
  }
};

void Synth::Delete::operator()(State* state) const { delete state; }

Result<Synth> Synth::open(const std::filesystem::path& sound_font) {
  if (const int error = unreadable(sound_font); error != 0) {
    auto failed = system_failure("read the sound font", sound_font, error);
    failed.value().front().suggestion = kSoundFontRemedy;
    return failed;
  }
  const std::lock_guard<std::mutex> alone(loading());
  silence_messages();
  const char* const name = sound_font.c_str();
  // A pipe or a device would be waited for without end.
  std::error_code unknown;
  if (!std::filesystem::is_regular_file(sound_font, unknown) || fluid_is_soundfont(name) == 0) {
    return unusable(sound_font, "this file is not a sound font (SoundFont 2, .sf2)");
  }
  std::unique_ptr<State, Delete> state(new State);
  state->settings = new_fluid_settings();
  if (state->settings == nullptr) throw std::bad_alloc();
  fluid_settings_setnum(state->settings, "synth.sample-rate", kSampleRate);
  fluid_settings_setnum(state->settings, "synth.gain", kGain);
  fluid_settings_setint(state->settings, "synth.cpu-cores", 1);  // more: other bytes each run
  fluid_settings_setint(state->settings, "synth.dynamic-sample-loading", 1);  // only the piano
  fluid_settings_setint(state->settings, "synth.chorus.active", 0);           // a piano has none
  state->synth = new_fluid_synth(state->settings);
  if (state->synth == nullptr) throw std::bad_alloc();
  assert(fluid_synth_get_internal_bufsize(state->synth) == kSynthBlock);
  const int font = load(state->synth, name);
  if (font == FLUID_FAILED) {
    return unusable(sound_font, "this sound font is damaged or of an unknown kind");
  }
  for (const hand::Hand hand : {hand::Hand::right, hand::Hand::left}) {
    if (fluid_synth_program_select(state->synth, channel(hand), font, kPianoBank, kPianoProgram) ==
        FLUID_FAILED) {
      return unusable(sound_font, "this sound font has no piano (bank 0, program 0)");
    }
  }
  return Synth(std::move(state));
}

std::string Synth::version() { return std::string("FluidSynth ") + fluid_version_str(); }

void Synth::strike(hand::Hand hand, music::PianoKey key, perform::Velocity velocity) {
  fluid_synth_noteon(state_->synth, channel(hand), key.number(), velocity.value());
}

void Synth::release(hand::Hand hand, music::PianoKey key) {
  fluid_synth_noteoff(state_->synth, channel(hand), key.number());
}

void Synth::pedal(perform::Pedal pedal) {
  constexpr int kSustain = 64;  // MIDI controller
  for (const hand::Hand hand : {hand::Hand::right, hand::Hand::left}) {
    fluid_synth_cc(state_->synth, channel(hand), kSustain, pedal == perform::Pedal::down ? 127 : 0);
  }
}

void Synth::render(std::span<float> interleaved_stereo) {
  assert(interleaved_stereo.size() % kChannels == 0);
  assert(interleaved_stereo.size() / kChannels % kSynthBlock == 0);
  const int frames = static_cast<int>(interleaved_stereo.size()) / kChannels;
  fluid_synth_write_float(state_->synth, frames, interleaved_stereo.data(), 0, kChannels,
                          interleaved_stereo.data(), 1, kChannels);
}

}  // namespace stillhand::write
