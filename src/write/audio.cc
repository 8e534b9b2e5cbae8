#include "write/audio.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <functional>
#include <memory>
#include <span>
#include <utility>
#include <vector>

#include "write/audio_click.h"
#include "write/audio_file.h"
#include "write/audio_render.h"
#include "write/audio_synth.h"
#include "write/audio_voice.h"
#include "write/limiter.h"

namespace stillhand::write {
namespace {

namespace fs = std::filesystem;

// Where Debian's packages fluid-soundfont-gm and timgm6mb-soundfont put theirs; the fullest first.
constexpr std::array<const char*, 3> kInstalled{"/usr/share/sounds/sf2/FluidR3_GM.sf2",
                                                "/usr/share/sounds/sf2/default-GM.sf2",
                                                "/usr/share/sounds/sf2/TimGM6mb.sf2"};
constexpr std::int64_t kPiece = 8192;  // frames measured or encoded at once
// The click's highest sample against the piano's: to be heard, not to lead (our judgement).
constexpr double kClickLevel = 0.5;
constexpr double kClickAlone = 0.25;  // where no key is struck at all

// The voice above the piano, of which it has to be understood (our judgement).
constexpr double kVoiceAbovePianoDb = 4;
constexpr double kVoiceAloneLufs = -20;  // where no key is struck at all

// One more whenever the same performance sounds otherwise: older tracks are made anew then.
constexpr int kWayOfPlaying = 3;

// What meters of other makes may read higher than ours, and 16 bits than what was rounded to them (with 0.05 some pair tracks read
// -0.9987 dBTP).
constexpr double kMarginDb = 0.1;
// Opus is not exact: its peaks come out up to 0.9 dB higher than they went in (measured with ffmpeg on examples).
constexpr double kOpusMarginDb = 1.0;

// Shares of the whole work, measured: rendering takes most of it.
constexpr int kRendered = 60;
constexpr int kMeasured = 75;

class Recording {
 public:
  Recording(const perform::Performance& performance, const AudioOptions& options,
            const std::vector<fs::path>& files, const AudioProgress& progress)
      : performance_(performance), options_(options), files_(files), progress_(progress) {}

  Result<AudioReport> make(Synth& synth) {
    auto spool = Spool::beside(files_.front());
    if (!spool) return tl::unexpected(spool.error());
    const auto rendered = render(synth, *spool);
    if (!rendered) return tl::unexpected(rendered.error());
    const double click = performance_.notes.empty() ? kClickAlone : kClickLevel * rendered->highest;
    const Over over{ClickTrack(performance_, options_.tempo_percent, click, options_.click),
                    voice()};

    LoudnessMeter meter(kSampleRate);
    const auto measured = replay(*spool, over, rendered->frames, kRendered, kMeasured,
                                 [&](std::span<float> sound) -> Result<void> {
                                   meter.add(sound);
                                   return {};
                                 });
    if (!measured) return tl::unexpected(measured.error());
    const Levelling level = levelling(meter.measured(), options_.loudness);

    const auto after = encode(*spool, over, rendered->frames, level);
    if (!after) return tl::unexpected(after.error());
    return AudioReport{after->lufs,
                       after->true_peak_db,
                       level.limited_db,
                       level.peak_bound,
                       static_cast<double>(rendered->frames) / kSampleRate,
                       rendered->frames};
  }

 private:
  // What is heard over the piano.
  struct Over {
    ClickTrack clicks;
    std::optional<VoiceTrack> voice;
  };

  bool has_calls() const { return options_.voice != nullptr && !options_.calls.empty(); }

  std::optional<VoiceTrack> voice() const {
    if (!has_calls()) return std::nullopt;
    const double piano = piano_.measured().lufs;
    return VoiceTrack(placed(options_.calls, *options_.voice, performance_, options_.tempo_percent),
                      *options_.voice,
                      std::isfinite(piano) ? piano + kVoiceAbovePianoDb : kVoiceAloneLufs);
  }

  Result<Rendered> render(Synth& synth, Spool& spool) {
    return render_notes(
        performance_, options_.tempo_percent, synth,
        [&](std::span<const float> sound) {
          if (has_calls()) piano_.add(sound);
          return spool.write(sound);
        },
        [&](double part) { tell(static_cast<int>(part * kRendered)); });
  }

  // What the files have then; of the first one, before Opus takes its share.
  Result<Loudness> encode(const Spool& spool, const Over& over, std::int64_t frames,
                          const Levelling& level) {
    std::vector<Target> targets;
    for (const fs::path& path : files_) {
      const SoundFormat format = format_of(path);
      auto file = SoundFile::create(path, format, options_.tags);
      if (!file) return tl::unexpected(file.error());
      targets.push_back({std::move(*file), Limiter(ceiling(format))});
    }
    LoudnessMeter meter(kSampleRate);
    std::vector<float> limited;
    const auto put = [&](const auto& limit) -> Result<void> {
      for (Target& target : targets) {
        limited.clear();
        limit(target.limiter);
        if (&target == &targets.front()) meter.add(limited);
        if (auto written = target.file->write(limited); !written) return written;
      }
      return {};
    };
    const auto factor = static_cast<float>(level.gain);
    auto encoded = replay(spool, over, frames, kMeasured, 100, [&](std::span<float> sound) {
      for (float& sample : sound) sample *= factor;
      return put([&](Limiter& limiter) { limiter.take(sound, limited); });
    });
    if (!encoded) return tl::unexpected(encoded.error());
    if (auto rest = put([&](Limiter& limiter) { limiter.finish(limited); }); !rest) {
      return tl::unexpected(rest.error());
    }
    for (const Target& target : targets) {
      if (auto done = target.file->commit(); !done) return tl::unexpected(done.error());
    }
    return meter.measured();
  }

  struct Target {
    std::unique_ptr<SoundFile> file;
    Limiter limiter;
  };

  double ceiling(SoundFormat format) const {
    const double margin = format == SoundFormat::opus ? kOpusMarginDb : kMarginDb;
    return std::pow(10.0, (options_.loudness.ceiling_db - margin) / 20);
  }

  static SoundFormat format_of(const fs::path& path) {
    return path.extension() == ending(SoundFormat::opus) ? SoundFormat::opus : SoundFormat::flac;
  }

  // The whole track once more, piano, click and voice, piece by piece.
  Result<void> replay(const Spool& spool, const Over& over, std::int64_t frames, int percent_before,
                      int percent_after,
                      const std::function<Result<void>(std::span<float>)>& take) {
    std::vector<float> buffer(static_cast<std::size_t>(kPiece) * kChannels);
    for (std::int64_t at = 0; at < frames; at += kPiece) {
      const auto here = static_cast<std::size_t>(std::min(kPiece, frames - at));
      const std::span<float> sound(buffer.data(), here * kChannels);
      if (auto read = spool.read(at * kChannels, sound); !read) return read;
      over.clicks.mix_into(at, sound);
      if (over.voice) over.voice->mix_into(at, sound);
      if (auto taken = take(sound); !taken) return taken;
      tell(percent_before + static_cast<int>((percent_after - percent_before) * at / frames));
    }
    tell(percent_after);
    return {};
  }

  // Only what is new, so that a terminal is not flooded.
  void tell(int percent) {
    if (!progress_ || percent <= told_) return;
    told_ = percent;
    progress_(percent);
  }

  const perform::Performance& performance_;
  const AudioOptions& options_;
  const std::vector<fs::path>& files_;
  const AudioProgress& progress_;
  LoudnessMeter piano_{kSampleRate};  // only where calls must be above it
  int told_ = -1;
};

}  // namespace

Result<fs::path> find_sound_font(const AudioOptions& options) {
  if (options.sound_font) return *options.sound_font;
  for (const char* installed : kInstalled) {
    std::error_code missing;
    if (fs::is_regular_file(installed, missing)) return fs::path(installed);
  }
  return failure(Fault::file, "", "no sound font is installed", std::string(kSoundFontRemedy));
}

std::string sound_versions() {
  return fmt::format("{}; {}; stillhand {}", Synth::version(), SoundFile::versions(),
                     kWayOfPlaying);
}

Result<AudioReport> write_audio(const perform::Performance& performance,
                                const AudioOptions& options, const std::vector<fs::path>& files,
                                const AudioProgress& progress) {
  assert(options.tempo_percent >= 10 && options.tempo_percent <= 400);
  assert(!files.empty());
  const auto sound_font = find_sound_font(options);
  if (!sound_font) return tl::unexpected(sound_font.error());
  auto synth = Synth::open(*sound_font);
  if (!synth) return tl::unexpected(synth.error());
  return Recording(performance, options, files, progress).make(*synth);
}

Result<AudioReport> write_audio(const perform::Performance& performance,
                                const AudioOptions& options, const fs::path& file,
                                const AudioProgress& progress) {
  return write_audio(performance, options, std::vector<fs::path>{file}, progress);
}

}  // namespace stillhand::write
