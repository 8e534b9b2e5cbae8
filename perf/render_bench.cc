// Speed of rendering beside the bare synthesiser: the same notes, sound font and settings, in turn, in
// one run. Measuring and encoding, which the bare synthesiser does not do, are reported apart. First one track alone, in
// processor time; then the usual tracks of a lesson, on all processors, beside as many bare synthesisers side by side.
//
//   render_bench [CHART [SOUND_FONT]]
#include <fluidsynth.h>
#include <fmt/format.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <set>
#include <span>
#include <string>
#include <tuple>
#include <type_traits>
#include <utility>
#include <vector>

#include "arrange/arrange.h"
#include "base/files.h"
#include "base/parallel.h"
#include "chart/chart.h"
#include "perform/performance.h"
#include "teach/lesson.h"
#include "write/audio.h"
#include "write/audio_click.h"
#include "write/audio_file.h"
#include "write/audio_render.h"
#include "write/track_files.h"
#include "write/tracks.h"

namespace stillhand {
namespace {

namespace fs = std::filesystem;
using perform::Performance;
using write::kChannels;
using write::kSampleRate;
using write::kSynthBlock;

constexpr int kRounds = 5;
constexpr int kRoundsOfAll = 3;
constexpr std::int64_t kPiece = 8192;  // frames

// Processor time of the whole process, the system's work on the files included.
double now() {
  timespec t{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}

template <class Work>
double seconds_of(const Work& work) {
  const double start = now();
  work();
  return now() - start;
}

template <class T>
T must(Result<T> result) {
  if (!result) {
    fmt::print(stderr, "{}\n", render(result.error().front()));
    std::exit(1);
  }
  if constexpr (!std::is_void_v<T>) return std::move(*result);
}

teach::Lesson lesson_of(const std::string& chart) {
  const std::string text = must(read_file(chart, 1 << 20));
  const auto parsed = must(chart::parse(text, chart));
  return teach::teach(must(arrange::arrange(parsed.song, {})));
}

// What anybody would write who only wants the notes played: no files, no peaks, no errors.
class BareSynthesiser {
 public:
  explicit BareSynthesiser(const fs::path& font) : settings_(new_fluid_settings()) {
    fluid_settings_setnum(settings_, "synth.sample-rate", kSampleRate);
    fluid_settings_setint(settings_, "synth.cpu-cores", 1);
    fluid_settings_setint(settings_, "synth.dynamic-sample-loading", 1);
    fluid_settings_setint(settings_, "synth.chorus.active", 0);
    synth_ = new_fluid_synth(settings_);
    const int id = fluid_synth_sfload(synth_, font.c_str(), 0);
    for (int channel = 0; channel < 2; ++channel) {
      fluid_synth_program_select(synth_, channel, id, 0, 0);
    }
  }
  ~BareSynthesiser() {
    delete_fluid_synth(synth_);
    delete_fluid_settings(settings_);
  }
  BareSynthesiser(const BareSynthesiser&) = delete;
  BareSynthesiser& operator=(const BareSynthesiser&) = delete;

  void play(const Performance& p, int percent, std::int64_t frames) {
    struct Event {
      std::int64_t frame;
      int velocity;  // 0: let go
      int channel;
      int key;
    };
    std::vector<Event> events;
    for (const perform::Note& n : p.notes) {
      const auto frame = [&](music::Tick at) {
        return std::llround(perform::seconds(p, at, percent) * kSampleRate / kSynthBlock) *
               kSynthBlock;
      };
      const int channel = n.hand == hand::Hand::right ? 0 : 1;
      events.push_back({frame(n.start), n.velocity.value(), channel, n.key.number()});
      events.push_back({frame(n.start + n.duration), 0, channel, n.key.number()});
    }
    std::sort(events.begin(), events.end(), [](const Event& a, const Event& b) {
      return std::tuple(a.frame, a.velocity) < std::tuple(b.frame, b.velocity);
    });
    std::int64_t at = 0;
    for (const Event& e : events) {
      render(e.frame - at);
      at = e.frame;
      if (e.velocity == 0) {
        fluid_synth_noteoff(synth_, e.channel, e.key);
      } else {
        fluid_synth_noteon(synth_, e.channel, e.key, e.velocity);
      }
    }
    render(frames - at);
  }

 private:
  void render(std::int64_t frames) {
    buffer_.resize(static_cast<std::size_t>(frames) * kChannels);
    fluid_synth_write_float(synth_, static_cast<int>(frames), buffer_.data(), 0, kChannels,
                            buffer_.data(), 1, kChannels);
  }
  fluid_settings_t* settings_;
  fluid_synth_t* synth_ = nullptr;
  std::vector<float> buffer_;
};

// Times of one round, in seconds.
struct Times {
  double bare = 0;
  double ours = 0;  // rendering with peaks, into the spool
  double measuring = 0;
  double encoding = 0;
};

Times round(const Performance& p, const fs::path& font, const fs::path& target) {
  Times out;
  auto synth = must(write::Synth::open(font));
  auto spool = must(write::Spool::beside(target));
  write::Rendered rendered;
  out.ours = seconds_of([&] {
    rendered = must(write::render_notes(
        p, 100, synth, [&](std::span<const float> piece) { return spool.write(piece); }, {}));
  });
  BareSynthesiser bare(font);
  out.bare = seconds_of([&] { bare.play(p, 100, rendered.frames); });

  std::vector<float> buffer(kPiece * kChannels);
  const write::ClickTrack clicks(p, 100, rendered.highest / 2);
  const auto replay = [&](const auto& take) {
    for (std::int64_t at = 0; at < rendered.frames; at += kPiece) {
      const auto frames = static_cast<std::size_t>(std::min(kPiece, rendered.frames - at));
      const std::span<float> piece(buffer.data(), frames * kChannels);
      must(spool.read(at * kChannels, piece));
      clicks.mix_into(at, piece);
      take(piece);
    }
  };
  out.measuring = seconds_of([&] {
    write::LoudnessMeter meter(kSampleRate);
    replay([&](std::span<const float> piece) { meter.add(piece); });
    meter.measured();
  });
  out.encoding = seconds_of([&] {
    auto file = must(write::SoundFile::create(target, write::SoundFormat::flac));
    replay([&](std::span<const float> piece) { must(file->write(piece)); });
    must(file->commit());
  });
  return out;
}

// What the clock on the wall says.
template <class Work>
double elapsed(const Work& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

void all_tracks(const teach::Lesson& lesson, const fs::path& font, const fs::path& folder) {
  const std::vector<write::Track> tracks = write::tracks(lesson, {});
  double length = 0;
  for (const write::Track& track : tracks) {
    length += perform::seconds(track.performance, track.performance.end, track.tempo_percent);
  }
  std::vector<std::int64_t> frames(tracks.size());
  std::vector<double> ratios;
  double ours = 0;
  double bare = 0;
  for (int i = 0; i < kRoundsOfAll; ++i) {
    ours = elapsed([&] {
      in_parallel(tracks.size(), [&](std::size_t t) {
        auto synth = must(write::Synth::open(font));
        auto spool = must(write::Spool::beside(folder / tracks[t].name));
        frames[t] = must(write::render_notes(
                             tracks[t].performance, tracks[t].tempo_percent, synth,
                             [&](std::span<const float> piece) { return spool.write(piece); }, {}))
                        .frames;
      });
    });
    bare = elapsed([&] {
      in_parallel(tracks.size(), [&](std::size_t t) {
        BareSynthesiser(font).play(tracks[t].performance, tracks[t].tempo_percent, frames[t]);
      });
    });
    ratios.push_back(bare / ours);
  }
  std::sort(ratios.begin(), ratios.end());
  fmt::print(
      "the {} usual tracks, {:.0f} s of music, {} at once; seconds on the wall, {} rounds in "
      "turn\n",
      tracks.size(), length, cores(), kRoundsOfAll);
  fmt::print("  bare synthesisers {:6.2f}  {:.0f} x real time\n", bare, length / bare);
  fmt::print("  our rendering     {:6.2f}  {:.2f} x their speed ({:.2f}-{:.2f}; goal >= 0.8)\n",
             ours, ratios[ratios.size() / 2], ratios.front(), ratios.back());
  for (const auto& [name, formats] : {std::pair("FLAC", std::set{write::SoundFormat::flac}),
                                      std::pair("Opus", std::set{write::SoundFormat::opus})}) {
    write::TrackFilesOptions options;
    options.folder = folder / name;
    options.sound_font = font;
    options.formats = formats;
    const double whole = elapsed([&] { must(write::write_track_files(lesson, options)); });
    const double again = elapsed([&] { must(write::write_track_files(lesson, options)); });
    std::uintmax_t bytes = 0;
    for (const auto& entry : fs::directory_iterator(options.folder)) bytes += entry.file_size();
    fmt::print(
        "  whole, with {}  {:6.2f}  measured, levelled and encoded; {:.0f} MB; once more {:.2f}\n",
        name, whole, static_cast<double>(bytes) / 1e6, again);
  }
}

int run(const std::string& chart, const fs::path& font) {
  const teach::Lesson lesson = lesson_of(chart);
  const Performance& p = lesson.performance;
  const fs::path target =
      fs::temp_directory_path() / fmt::format("render_bench.{}.flac", ::getpid());
  const double length = perform::seconds(p, p.end, 100);
  fmt::print("{}: {:.0f} s of music, {} notes, {}\n", fs::path(chart).filename().string(), length,
             p.notes.size(), font.filename().string());
  std::vector<Times> rounds;
  for (int i = 0; i < kRounds; ++i) rounds.push_back(round(p, font, target));
  fs::remove(target);
  const auto middle = [&](double Times::*what) {
    std::vector<double> values;
    for (const Times& t : rounds) values.push_back(t.*what);
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
  };
  std::vector<double> ratios;
  for (const Times& t : rounds) ratios.push_back(t.bare / t.ours);
  std::sort(ratios.begin(), ratios.end());
  fmt::print("seconds of processor time, median of {} rounds in turn\n", kRounds);
  fmt::print("  bare synthesiser  {:6.2f}  {:.0f} x real time\n", middle(&Times::bare),
             length / middle(&Times::bare));
  fmt::print(
      "  our rendering     {:6.2f}  {:.2f} x the bare synthesiser's speed ({:.2f}-{:.2f}; goal >= "
      "0.8)\n",
      middle(&Times::ours), ratios[ratios.size() / 2], ratios.front(), ratios.back());
  fmt::print("  measuring         {:6.2f}\n  encoding          {:6.2f}\n",
             middle(&Times::measuring), middle(&Times::encoding));
  const fs::path folder = fs::temp_directory_path() / fmt::format("render_bench.{}", ::getpid());
  fs::create_directories(folder);
  all_tracks(lesson, font, folder);
  fs::remove_all(folder);
  rusage usage{};
  ::getrusage(RUSAGE_SELF, &usage);
  fmt::print("  peak memory       {:6.0f} MB, sound fonts included (of all synthesisers)\n",
             static_cast<double>(usage.ru_maxrss) / 1024);
  return 0;
}

}  // namespace
}  // namespace stillhand

int main(int count, char** words) {
  using namespace stillhand;
  const std::string chart =
      count > 1 ? words[1] : STILLHAND_SOURCE_DIR "/examples/lamps-along-the-quay.stillhand";
  write::AudioOptions options;
  if (count > 2) options.sound_font = words[2];
  return run(chart, must(write::find_sound_font(options)));
}
