#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <charconv>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <string_view>
#include <utility>
#include <vector>

#include "base/parallel.h"
#include "cli/arranging.h"
#include "cli/chart_folder.h"
#include "cli/commands.h"
#include "cli/paper.h"
#include "teach/lesson.h"
#include "teach/other_keys.h"
#include "write/pack.h"

namespace stillhand::cli {
namespace {

// Of the tracks only their folder and the sounds: each has five small files beside it.
std::string told(const write::PackReport& report, const std::filesystem::path& folder) {
  std::string out;
  bool in_tracks = false;
  for (const write::PackedFile& file : report.files) {
    const std::filesystem::path name = file.name;
    const bool is_sound = name.extension() == write::ending(write::SoundFormat::flac) ||
                          name.extension() == write::ending(write::SoundFormat::opus);
    if (name.has_parent_path() && !std::exchange(in_tracks, true)) {
      out += fmt::format("{}\n", (folder / name.parent_path()).string());
    }
    if (name.has_parent_path() && !is_sound) continue;
    out += fmt::format("{}\n", (folder / name).string());
  }
  for (const write::WrittenTrack& track : report.tracks) {
    out += fmt::format("{}: {}{}\n", track.name, write::in_words(track.audio),
                       track.how == write::WrittenTrack::How::kept ? ", unchanged" : "");
  }
  return out;
}

// What `--only` and `--tempos` say.
Result<write::TrackChoice> track_choice(const std::vector<std::string>& only,
                                        const std::vector<std::string>& tempos) {
  using write::TrackHands;
  using write::TrackPart;
  static const std::map<std::string_view, TrackPart> parts{
      {"song", TrackPart::song}, {"sections", TrackPart::section}, {"pairs", TrackPart::pair}};
  static const std::map<std::string_view, TrackHands> hands{
      {"both", TrackHands::both}, {"right", TrackHands::right}, {"left", TrackHands::left}};
  write::TrackChoice out;
  for (const std::string& word : only) {
    if (const auto part = parts.find(word); part != parts.end()) {
      out.parts.insert(part->second);
    } else if (const auto hand = hands.find(word); hand != hands.end()) {
      out.hands.insert(hand->second);
    } else if (word == "all") {
      for (const auto& [name, each] : parts) out.parts.insert(each);
      for (const auto& [name, each] : hands) out.hands.insert(each);
    } else {
      return wrong_call(fmt::format("--only {}: no such part of the tracks", word),
                        "it is song, sections, pairs; right, left, both; or all. Tempos have an "
                        "option of their own, --tempos");
    }
  }
  for (const std::string& tempo : tempos) {
    int percent = 0;
    const auto [end, error] = std::from_chars(tempo.data(), tempo.data() + tempo.size(), percent);
    const bool is_number = error == std::errc{} && end == tempo.data() + tempo.size();
    if (!is_number || percent < write::kSlowestPercent || percent > write::kFastestPercent) {
      return wrong_call(fmt::format("--tempos {}: not a tempo", tempo),
                        fmt::format("name per cents of the song's tempo, {} to {}, for example "
                                    "--tempos 60,80,100",
                                    write::kSlowestPercent, write::kFastestPercent));
    }
    out.percents.insert(percent);
  }
  return out;
}

class LessonCommand : public Command {
 public:
  std::string_view name() const override { return "lesson"; }
  std::string_view about() const override {
    return "write the whole lesson: sheet, data, MIDI and play-along tracks";
  }

  void declare(CLI::App& app) override {
    declare_chart(app, chart_);
    app.get_option("CHART")->description(
        "the chart file; - reads standard input; a folder: each of its charts, into folders of "
        "their\n"
        "names");
    app.add_option("-o,--out", folder_, "the folder to write into; made if missing")
        ->required()
        ->type_name("DIR");
    arranging_.declare(app);
    declare_paper(app, paper_);
    app.add_option("--sound-font", sound_font_,
                   "the piano to play with (.sf2 or .sf3); otherwise the installed one")
        ->type_name("FILE");
    app.add_option("--only", only_,
                   "only these tracks: song, sections, pairs; right, left, both; or all of them")
        ->delimiter(',')
        ->type_name("WORDS");
    app.add_option("--tempos", tempos_, "of the tracks, per cent of the song's: 60,80,100")
        ->delimiter(',')
        ->type_name("PERCENTS");
    app.add_option("--format", formats_, "of the sound: flac (as if not given), opus, or both")
        ->delimiter(',')
        ->type_name("FORMATS");
    app.add_option("--page-keys", page_keys_,
                   "the student's page in the keys up to this many half steps away: 0 to 6, 2 if\n"
                   "not given")
        ->type_name("HALF-STEPS");
    app.add_flag("--calls", calls_,
                 "a voice counts the count-ins and calls each next chord a count ahead; needs the\n"
                 "Debian package espeak-ng");
    app.add_flag("--no-click", no_click_, "click only in the count-ins");
    app.add_flag("--no-audio", no_audio_, "leave the sound of the tracks out");
    app.footer(
        "Writes lesson.json, sheet.pdf (also in large print and as a number chart), moves.pdf,\n"
        "plan.md and .pdf (the teacher's), practice.md and .pdf (the student's), page.html (for\n"
        "the student's tablet), song.mid, song.musicxml; in tracks/, for each track, its sound,\n"
        "captions, chapters and a timing table; and, when all are whole, manifest.json. The\n"
        "tracks are the song at 100, 80 and 60 % of its tempo and, at 60 %, each hand alone, each\n"
        "section and the five hardest pairs of chords. With --only or --tempos, what is not named\n"
        "is all parts, both hands together, 100, 80 and 60 %. Tracks that have not changed are\n"
        "not made again.");
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    const Result<write::PackOptions> options = read(*arranging);
    if (!options) return tl::unexpected(options.error());
    if (auto read = read_page_reach(); !read) return read;

    std::error_code error;
    return std::filesystem::is_directory(chart_, error) ? many(*arranging, *options, terminal)
                                                        : one(*arranging, *options, terminal);
  }

 private:
  Result<void> one(const Arranging& arranging, const write::PackOptions& options,
                   Terminal& terminal) const {
    terminal.progress("arranging", 0);
    const Result<Arranged> arranged = arrange_chart(chart_, arranging, terminal);
    if (!arranged) return tl::unexpected(arranged.error());
    write::PackOptions own = options;
    own.page.other_keys = teach::in_other_keys(*arranged, arranging, page_reach_);
    const Result<write::PackReport> report = write::write_pack(
        teach::lesson_of(*arranged), own,
        [&](std::string_view what, int percent) { terminal.progress(what, percent); });
    if (!report) return tl::unexpected(report.error());
    terminal.report(report->remarks);
    return terminal.print(told(*report, folder_));
  }

  struct Song {
    std::string name;
    teach::Lesson lesson;
    std::vector<teach::Lesson> other_keys;
    Result<write::PackReport> report = write::PackReport{};
  };

  // One folder for each chart. What is wrong with one chart stops no other.
  Result<void> many(const Arranging& arranging, const write::PackOptions& options,
                    Terminal& terminal) const {
    const auto charts = charts_in(chart_);
    if (!charts) return tl::unexpected(charts.error());
    std::vector<Song> songs;
    Diagnostics errors;
    for (const std::filesystem::path& chart : *charts) {
      terminal.progress("arranging", 0);
      const Result<Arranged> arranged = arrange_chart(chart.string(), arranging, terminal);
      if (arranged) {
        songs.push_back({chart.stem().string(), teach::lesson_of(*arranged),
                         teach::in_other_keys(*arranged, arranging, page_reach_)});
      } else {
        errors.insert(errors.end(), arranged.error().begin(), arranged.error().end());
      }
    }
    write_all(songs, options, terminal);
    std::string out;
    for (const Song& song : songs) {
      if (!song.report) {
        errors.insert(errors.end(), song.report.error().begin(), song.report.error().end());
        continue;
      }
      terminal.report(song.report->remarks);
      out += fmt::format("{}: {} files\n", (options.folder / song.name).string(),
                         song.report->files.size());
    }
    if (auto printed = terminal.print(out); !printed) return printed;
    if (!errors.empty()) return tl::unexpected(std::move(errors));
    return {};
  }

  // Songs side by side; with sound one after the other, for the tracks of each are side by side.
  static void write_all(std::vector<Song>& songs, const write::PackOptions& options,
                        Terminal& terminal) {
    const bool with_sound = options.tracks.sound == write::TrackFilesOptions::Sound::render;
    std::mutex showing;
    std::size_t done = 0;
    const auto write_one = [&](std::size_t i) {
      Song& song = songs[i];
      write::PackOptions own = options;
      own.folder = options.folder / song.name;
      own.page.other_keys = std::move(song.other_keys);
      song.report = write::write_pack(song.lesson, own, [&](std::string_view, int percent) {
        const std::lock_guard lock(showing);
        const auto all = static_cast<int>(songs.size());
        terminal.progress(song.name, (static_cast<int>(done) * 100 + percent) / all);
      });
      const std::lock_guard lock(showing);
      ++done;
    };
    in_parallel(songs.size(), write_one, with_sound ? 1 : cores());
  }

  Result<write::PackOptions> read(const Arranging& arranging) const {
    write::PackOptions out;
    if (folder_.empty()) {
      return wrong_call("-o: the folder has no name", "name the folder to write the lesson into");
    }
    out.folder = folder_;
    const Result<write::Paper> paper = paper_of(paper_, arranging);
    if (!paper) return tl::unexpected(paper.error());
    out.sheet.paper = *paper;
    if (auto read = read_tracks(out.tracks); !read) return tl::unexpected(read.error());
    if (out.tracks.sound == write::TrackFilesOptions::Sound::render)
      out.page.piano = piano(out.tracks.sound_font);
    return out;
  }

  Result<void> read_page_reach() {
    if (page_keys_.empty()) return {};
    int half_steps = -1;
    const char* const last = page_keys_.data() + page_keys_.size();
    const auto [end, error] = std::from_chars(page_keys_.data(), last, half_steps);
    if (error != std::errc{} || end != last || half_steps < 0 ||
        half_steps > teach::kAllKeys.value()) {
      return wrong_call(
          fmt::format("--page-keys {}: not a reach of keys", page_keys_),
          fmt::format("it is a number of half steps, 0 to {}; {} gives all twelve keys",
                      teach::kAllKeys.value(), teach::kAllKeys.value()));
    }
    page_reach_ = music::Semitones(half_steps);
    return {};
  }

  // Rendered when the first page wants it, and kept for those of the other songs. Without one the tracks say what is missing.
  static std::function<std::shared_ptr<const write::PianoSamples>()> piano(
      const std::optional<std::filesystem::path>& wanted) {
    struct Kept {
      std::mutex busy;
      std::shared_ptr<const write::PianoSamples> samples;
    };
    return [wanted, kept = std::make_shared<Kept>()] {
      const std::lock_guard lock(kept->busy);
      if (kept->samples) return kept->samples;
      const auto font = write::find_sound_font({.sound_font = wanted});
      auto made = font ? write::piano_samples(*font) : tl::unexpected(font.error());
      if (made) kept->samples = std::make_shared<const write::PianoSamples>(std::move(*made));
      return kept->samples;
    };
  }

  Result<void> read_tracks(write::TrackFilesOptions& out) const {
    if (no_audio_) {
      out.sound = write::TrackFilesOptions::Sound::leave_out;
      const std::string_view other = !sound_font_.empty() ? "--sound-font"
                                     : !formats_.empty()  ? "--format"
                                     : no_click_          ? "--no-click"
                                     : calls_             ? "--calls"
                                                          : "";
      if (!other.empty()) {
        return wrong_call(fmt::format("{} and --no-audio contradict each other", other),
                          "give only one");
      }
    }
    const auto choice = track_choice(only_, tempos_);
    if (!choice) return tl::unexpected(choice.error());
    out.choice = *choice;
    if (!sound_font_.empty()) out.sound_font = sound_font_;
    if (calls_) out.calls = write::TrackFilesOptions::Calls::spoken;
    if (no_click_) out.click = write::ClickHeard::in_count_ins;
    if (!formats_.empty()) out.formats.clear();
    for (const std::string& name : formats_) {
      const auto format = write::sound_format_named(name);
      if (!format) {
        return wrong_call(fmt::format("--format {}: no such format", name),
                          "it is flac, opus or flac,opus");
      }
      out.formats.insert(*format);
    }
    return {};
  }

  std::string chart_;
  ArrangingFlags arranging_;
  std::string folder_;
  std::string paper_;
  std::string sound_font_;
  std::vector<std::string> only_;
  std::vector<std::string> tempos_;
  std::vector<std::string> formats_;
  std::string page_keys_;
  music::Semitones page_reach_ = teach::kUsualReach;
  bool calls_ = false;
  bool no_click_ = false;
  bool no_audio_ = false;
};

}  // namespace

std::unique_ptr<Command> lesson_command() { return std::make_unique<LessonCommand>(); }

}  // namespace stillhand::cli
