#include "write/pack.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <system_error>

#include "base/files.h"
#include "teach/length.h"
#include "write/json.h"
#include "write/midi.h"
#include "write/musicxml.h"
#include "write/plan.h"
#include "write/sheet_text.h"

namespace stillhand::write {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr std::string_view kManifest = "manifest.json";
constexpr std::string_view kData = "lesson.json";

constexpr std::string_view kTracks = "tracks";

// Hundredths are finer than any ear, and print the same everywhere.
double rounded(double value) { return std::round(value * 100) / 100; }

class Packer {
 public:
  Packer(const teach::Lesson& lesson, const PackOptions& options, const Progress& progress)
      : lesson_(lesson), options_(options), progress_(progress) {}

  Result<PackReport> pack() {
    if (auto made = make_folder(options_.folder); !made) return tl::unexpected(made.error());
    if (auto ours = check_is_ours(); !ours) return tl::unexpected(ours.error());
    if (auto removed = remove_manifest(); !removed) return tl::unexpected(removed.error());
    tell("writing the lesson's data", 0);
    put(kData, lesson_json(lesson_));
    if (has(PackPart::sheets)) sheets();
    if (has(PackPart::plans)) plans();
    if (has(PackPart::page)) student_page();
    if (has(PackPart::midi)) put("song.mid", midi(lesson_.performance, one_line(lesson_.title)));
    if (has(PackPart::musicxml)) put("song.musicxml", musicxml(lesson_));
    if (has(PackPart::tracks) || has(PackPart::captions)) tracks();
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    put(kManifest, manifest());
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    return std::move(report_);
  }

 private:
  fs::path at(std::string_view name) const { return options_.folder / name; }

  bool has(PackPart part) const {
    return options_.parts.empty() || options_.parts.count(part) != 0;
  }

  void tell(std::string_view what, int percent) const {
    if (progress_) progress_(what, percent);
  }

  // A lesson replaces an earlier one, which has its data at least; nothing else is written over.
  Result<void> check_is_ours() const {
    std::error_code error;
    if (fs::exists(at(kManifest), error) || fs::exists(at(kData), error)) return {};
    Diagnostics found;
    for (const char* name :
         {"sheet.pdf", "sheet-large.pdf", "sheet-numbers.pdf", "moves.pdf", "plan.md", "plan.pdf",
          "practice.md", "practice.pdf", "page.html", "song.mid", "song.musicxml"}) {
      if (fs::symlink_status(at(name), error).type() == fs::file_type::not_found) continue;
      const auto one = failure(Fault::file, at(name).string(),
                               "stands where the lesson would be written, and no lesson made it",
                               "choose another folder with -o, or move the file away");
      found.insert(found.end(), one.value().begin(), one.value().end());
    }
    if (found.empty()) return {};
    return tl::unexpected(std::move(found));
  }

  Result<void> remove_manifest() const {
    std::error_code error;
    fs::remove(at(kManifest), error);
    if (!error) return {};
    return failure(Fault::file, at(kManifest).string(),
                   fmt::format("cannot remove the manifest of an earlier run: {}", error.message()),
                   "remove it by hand, or choose another folder with -o");
  }

  // What stops several files, a missing font for one, is said once.
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
    tell("writing the plans", 0);
    PlanOptions plan{PlanReader::teacher, options_.sheet.paper};
    put("plan.md", plan_markdown(lesson_, plan));
    put("plan.pdf", plan_pdf(lesson_, plan));
    plan.reader = PlanReader::student;
    plan.tracks = sounds();
    put("practice.md", plan_markdown(lesson_, plan));
    put("practice.pdf", plan_pdf(lesson_, plan));
  }

  void student_page() {
    tell("writing the student's page", 0);
    const PackPage& wanted = options_.page;
    put("page.html", page(lesson_, {wanted.other_keys, wanted.piano ? wanted.piano() : nullptr}));
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

  // The sounds that this run makes; the practice plan names them where they are of use.
  std::vector<teach::PracticeTrack> sounds() const {
    std::vector<teach::PracticeTrack> out;
    if (options_.tracks.sound == TrackFilesOptions::Sound::leave_out || !has(PackPart::tracks))
      return out;
    const std::string_view end = ending(*options_.tracks.formats.begin());
    for (const Track& track : write::tracks(lesson_, options_.tracks.choice)) {
      teach::PracticeTrack sound;
      sound.file = fmt::format("{}/{}{}", kTracks, track.name, end);
      sound.tempo = teach::TempoPercent(track.tempo_percent);
      if (track.hands == TrackHands::right) sound.hand = hand::Hand::right;
      if (track.hands == TrackHands::left) sound.hand = hand::Hand::left;
      sound.section = track.section;
      sound.change = track.shapes;
      out.push_back(std::move(sound));
    }
    return out;
  }

  void tracks() {
    TrackFilesOptions options = options_.tracks;
    options.folder = at(kTracks);
    if (!has(PackPart::tracks)) options.sound = TrackFilesOptions::Sound::leave_out;
    const Result<TrackFilesReport> made = write_track_files(lesson_, options, progress_);
    if (!made) return keep(made.error());
    for (const WrittenFile& file : made->files) {
      report_.files.push_back({fmt::format("{}/{}", kTracks, file.name), file.bytes});
    }
    report_.tracks = made->tracks;
    report_.remarks = made->remarks;
  }

  std::string manifest() const {
    Json files = Json::array();
    for (const PackedFile& file : report_.files) {
      files.push_back({{"name", file.name}, {"bytes", file.bytes}});
    }
    Json tracks = Json::array();
    for (const WrittenTrack& track : report_.tracks) {
      tracks.push_back({{"name", fmt::format("{}/{}", kTracks, track.name)},
                        {"title", track.title},
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
  return fmt::format("{:.1f} LUFS, true peak {:.1f} dBTP{}, {}", audio.lufs, audio.true_peak_db,
                     audio.peak_bound ? " (as loud as the peak allows)" : "",
                     teach::duration_in_words(audio.seconds));
}

Result<PackReport> write_pack(const teach::Lesson& lesson, const PackOptions& options,
                              const Progress& progress) {
  return Packer(lesson, options, progress).pack();
}

}  // namespace stillhand::write
