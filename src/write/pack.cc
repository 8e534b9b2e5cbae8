#include "write/pack.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <system_error>

#include "base/files.h"
#include "write/captions.h"
#include "write/chapters.h"
#include "write/json.h"
#include "write/midi.h"
#include "write/musicxml.h"
#include "write/plan.h"
#include "write/sheet_text.h"
#include "write/timing_table.h"

namespace stillhand::write {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr std::string_view kManifest = "manifest.json";

struct Track {
  std::string_view name;  // of all its files, without their endings
  int percent;            // of the tempo
  std::string sound() const { return fmt::format("{}.flac", name); }
};
// Slow is 60 % of the tempo: common practice, no source.
constexpr std::array<Track, 2> kTracks{{{"play-along", 100}, {"play-along-slow", 60}}};

// Hundredths are finer than any ear, and print the same everywhere.
double rounded(double value) { return std::round(value * 100) / 100; }

class Packer {
 public:
  Packer(const teach::Lesson& lesson, const PackOptions& options, const Progress& progress)
      : lesson_(lesson), options_(options), progress_(progress) {}

  Result<PackReport> pack() {
    if (auto made = make_folder(options_.folder); !made) return tl::unexpected(made.error());
    if (auto removed = remove_manifest(); !removed) return tl::unexpected(removed.error());
    tell("writing the lesson's data", 0);
    put("lesson.json", lesson_json(lesson_));
    sheets();
    plans();
    put("song.mid", midi(lesson_.performance, one_line(lesson_.title)));
    put("song.musicxml", musicxml(lesson_));
    for (const Track& track : kTracks) captions_of(track);
    tracks();
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    put(kManifest, manifest());
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    return std::move(report_);
  }

 private:
  fs::path at(std::string_view name) const { return options_.folder / name; }

  void tell(std::string_view what, int percent) const {
    if (progress_) progress_(what, percent);
  }

  Result<void> remove_manifest() const {
    std::error_code error;
    fs::remove(at(kManifest), error);
    if (!error) return {};
    return failure(Fault::file, at(kManifest).string(),
                   fmt::format("cannot remove the manifest of an earlier run: {}", error.message()),
                   "remove it by hand, or choose another folder with -o");
  }

  // What stops both tracks, a missing sound font for one, is said once.
  void keep(const Diagnostics& errors) {
    for (const Diagnostic& error : errors) {
      const bool said = std::find(errors_.begin(), errors_.end(), error) != errors_.end();
      if (!said) errors_.push_back(error);
    }
  }

  void put(std::string_view name, const Result<std::string>& bytes) {
    if (!bytes) return keep(bytes.error());
    if (const auto written = write_file(at(name), *bytes); !written) return keep(written.error());
    report_.files.push_back({std::string(name), bytes->size()});
  }

  void plans() {
    PlanOptions plan{PlanReader::teacher, options_.sheet.paper};
    put("plan.md", plan_markdown(lesson_, plan));
    put("plan.pdf", plan_pdf(lesson_, plan));
    plan.reader = PlanReader::student;
    if (options_.tracks == PackOptions::Tracks::render) {
      for (const Track& track : kTracks) plan.tracks.push_back({track.sound(), track.percent});
    }
    put("practice.md", plan_markdown(lesson_, plan));
    put("practice.pdf", plan_pdf(lesson_, plan));
  }

  // Besides the sheet as it is wanted, the same in large print, and the number chart.
  void sheets() {
    tell("drawing the sheets", 0);
    put("sheet.pdf", sheet_pdf(lesson_, options_.sheet));
    SheetOptions large = options_.sheet;
    large.print = Print::large;
    put("sheet-large.pdf", sheet_pdf(lesson_, large));
    SheetOptions numbers = options_.sheet;
    numbers.kind = SheetKind::numbers;
    put("sheet-numbers.pdf", sheet_pdf(lesson_, numbers));
    SheetOptions moves = options_.sheet;
    moves.kind = SheetKind::moves;
    put("moves.pdf", sheet_pdf(lesson_, moves));
  }

  // Written even where the sound is left out: they fit song.mid too, and none may be left behind that
  // fits an earlier chart.
  void captions_of(const Track& track) {
    const perform::Performance& song = lesson_.performance;
    const std::vector<Cue> cues = captions(song, track.percent);
    const std::vector<Chapter> sections = chapters(song, track.percent);
    put(fmt::format("{}.vtt", track.name), web_vtt(cues));
    put(fmt::format("{}.srt", track.name), sub_rip(cues));
    put(fmt::format("{}-chapters.vtt", track.name), chapters_web_vtt(sections));
    put(fmt::format("{}-chapters.txt", track.name), chapters_text(sections));
    put(fmt::format("{}-timing.csv", track.name), timing_table(song, track.percent));
  }

  void tracks() {
    if (options_.tracks == PackOptions::Tracks::leave_out) {
      for (const Track& track : kTracks) remark_on_old(track);
      return;
    }
    AudioOptions audio;
    audio.sound_font = options_.sound_font;
    for (const Track& track : kTracks) render(track, audio);
  }

  void render(const Track& track, AudioOptions audio) {
    audio.tempo_percent = track.percent;
    const std::string name = track.sound();
    const Result<AudioReport> made = write_audio(lesson_.performance, audio, at(name),
                                                 [&](int percent) { tell(name, percent); });
    if (!made) return keep(made.error());
    std::error_code error;
    const std::uintmax_t bytes = fs::file_size(at(name), error);
    report_.files.push_back({name, error ? 0 : bytes});
    report_.tracks.push_back({name, *made});
  }

  void remark_on_old(const Track& track) {
    std::error_code error;
    if (!fs::exists(at(track.sound()), error)) return;
    report_.remarks.push_back({Severity::note,
                               Fault::file,
                               at(track.sound()).string(),
                               {},
                               "this track is from an earlier run and may not fit the sheet",
                               "make it anew by leaving out --no-audio",
                               {}});
  }

  std::string manifest() const {
    Json files = Json::array();
    for (const PackedFile& file : report_.files) {
      files.push_back({{"name", file.name}, {"bytes", file.bytes}});
    }
    Json tracks = Json::array();
    for (const PackedTrack& track : report_.tracks) {
      tracks.push_back({{"name", track.name},
                        {"seconds", rounded(track.audio.seconds)},
                        {"loudness_lufs", rounded(track.audio.lufs)},
                        {"true_peak_dbtp", rounded(track.audio.true_peak_db)},
                        {"peak_bound", track.audio.peak_bound}});
    }
    const Json out{{"version", 1},
                   {"title", lesson_.title},
                   {"files", std::move(files)},
                   {"tracks", std::move(tracks)}};
    return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
  }

  const teach::Lesson& lesson_;
  const PackOptions& options_;
  const Progress& progress_;
  PackReport report_;
  Diagnostics errors_;
};

}  // namespace

std::string in_words(const AudioReport& audio) {
  const long seconds = std::lround(audio.seconds);
  return fmt::format("{:.1f} LUFS, true peak {:.1f} dBTP{}, {} min {:02} s", audio.lufs,
                     audio.true_peak_db, audio.peak_bound ? " (as loud as the peak allows)" : "",
                     seconds / 60, seconds % 60);
}

Result<PackReport> write_pack(const teach::Lesson& lesson, const PackOptions& options,
                              const Progress& progress) {
  return Packer(lesson, options, progress).pack();
}

}  // namespace stillhand::write
