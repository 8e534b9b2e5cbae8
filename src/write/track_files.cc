#include "write/track_files.h"

#include <fmt/format.h>
#include <glib.h>
#include <signal.h>

#include <algorithm>
#include <cerrno>
#include <limits>
#include <map>
#include <memory>
#include <mutex>
#include <nlohmann/json.hpp>
#include <utility>

#include "base/files.h"
#include "base/parallel.h"
#include "write/captions.h"
#include "write/chapters.h"
#include "write/cover.h"
#include "write/timing_table.h"

namespace stillhand::write {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr std::string_view kRecord = "rendered.json";
constexpr std::size_t kLongestRecord = std::size_t{16} << 20;
constexpr std::size_t kMostAtOnce = 16;  // 50 MB each

// ---- what a sound is made of

std::string digest(const std::string& text) {
  const std::unique_ptr<char, decltype(&g_free)> hex(
      g_compute_checksum_for_string(G_CHECKSUM_SHA256, text.c_str(),
                                    static_cast<gssize>(text.size())),
      g_free);
  return hex.get();
}

void tell_of(std::string& out, const std::vector<perform::At<std::string>>& all) {
  for (const auto& [start, text] : all) {
    out += fmt::format("{} {} {}\n", start.value(), text.size(), text);
  }
  out += "\n";
}

// All that is heard of a performance at a tempo, and its chapters.
std::string heard(const Track& track) {
  const perform::Performance& p = track.performance;
  std::string out = fmt::format("{} {} {}\n", track.tempo_percent, p.tempo.value(), p.end.value());
  for (const perform::Span& span : perform::count_ins(p)) {
    out += fmt::format("{} {}\n", span.start.value(), span.end.value());
  }
  for (const auto& [start, meter] : p.meters) {
    out += fmt::format("{} {}\n", start.value(), text(meter));
  }
  for (const perform::Note& note : p.notes) {
    out += fmt::format("{} {} {} {} {}\n", note.hand == hand::Hand::right ? 'r' : 'l',
                       note.key.number(), note.velocity.value(), note.start.value(),
                       note.duration.value());
  }
  for (const auto& [start, pedal] : p.pedal) {
    out += fmt::format("{} {}\n", start.value(), pedal == perform::Pedal::down ? 1 : 0);
  }
  for (const perform::Click& click : p.clicks) {
    out += fmt::format("{} {}\n", click.start.value(), click.is_first_of_bar ? 1 : 0);
  }
  tell_of(out, p.sections);
  return out;
}

// A sound font is told by its size and time: reading all of it would take longer than a short track.
std::string told_apart(const fs::path& font) {
  std::error_code error;
  const std::uintmax_t bytes = fs::file_size(font, error);
  const auto time = fs::last_write_time(font, error);
  return fmt::format("{} {}\n", error ? 0 : bytes, error ? 0 : time.time_since_epoch().count());
}

std::string words_of(const SoundTags& tags) {
  std::string out;
  for (const std::string& text :
       {tags.title, tags.artist, tags.album, tags.copyright, std::to_string(tags.number)}) {
    out += fmt::format("{} {}\n", text.size(), text);
  }
  return out + digest(tags.cover_png) + "\n";
}

// ---- rendered.json

struct Rendering {
  std::string plays;    // digest over what is heard
  std::string made_of;  // the same with everything else that the bytes hang on
  int tempo_percent = 100;
  std::uintmax_t bytes = 0;
  AudioReport audio;
};

// JSON has no infinities; silence has no loudness.
double number_or_silence(const Json& value) {
  return value.is_number() ? value.get<double>() : -std::numeric_limits<double>::infinity();
}

class Record {
 public:
  // What cannot be read or understood is nothing: then all is made anew.
  explicit Record(fs::path file) : file_(std::move(file)) {
    const Result<std::string> text = read_file(file_.string(), kLongestRecord);
    if (!text) return;
    const Json json = Json::parse(*text, nullptr, /*allow_exceptions=*/false);
    try {
      if (json.at("version").get<int>() != 1) return;
      for (const auto& [name, each] : json.at("files").items()) all_[name] = read(each);
    } catch (const Json::exception&) {
      all_.clear();
    }
  }

  const Rendering* find(const std::string& name) const {
    const auto found = all_.find(name);
    return found == all_.end() ? nullptr : &found->second;
  }
  std::set<int> percents() const {
    std::set<int> out;
    for (const auto& [name, each] : all_) {
      if (each.tempo_percent >= kSlowestPercent && each.tempo_percent <= kFastestPercent) {
        out.insert(each.tempo_percent);
      }
    }
    return out;
  }

  Result<void> put(const std::string& name, const Rendering& rendering) {
    all_[name] = rendering;
    return write();
  }
  // Before a file is made anew: should the run stop then, nothing is said of it.
  Result<void> drop(const std::vector<std::string>& names) {
    std::size_t dropped = 0;
    for (const std::string& name : names) dropped += all_.erase(name);
    return dropped == 0 ? Result<void>{} : write();
  }

 private:
  static Rendering read(const Json& json) {
    Rendering out;
    out.plays = json.at("plays").get<std::string>();
    out.made_of = json.at("made_of").get<std::string>();
    out.tempo_percent = json.at("tempo_percent").get<int>();
    out.bytes = json.at("bytes").get<std::uintmax_t>();
    out.audio.frames = json.at("frames").get<std::int64_t>();
    out.audio.seconds = json.at("seconds").get<double>();
    out.audio.lufs = number_or_silence(json.at("loudness_lufs"));
    out.audio.true_peak_db = number_or_silence(json.at("true_peak_dbtp"));
    out.audio.limited_db = json.at("limited_db").get<double>();
    out.audio.peak_bound = json.at("peak_bound").get<bool>();
    return out;
  }

  Result<void> write() const {
    Json files = Json::object();
    for (const auto& [name, each] : all_) {
      files[name] = {{"plays", each.plays},
                     {"made_of", each.made_of},
                     {"tempo_percent", each.tempo_percent},
                     {"bytes", each.bytes},
                     {"frames", each.audio.frames},
                     {"seconds", each.audio.seconds},
                     {"loudness_lufs", each.audio.lufs},
                     {"true_peak_dbtp", each.audio.true_peak_db},
                     {"limited_db", each.audio.limited_db},
                     {"peak_bound", each.audio.peak_bound}};
    }
    const Json out{{"version", 1}, {"files", std::move(files)}};
    return write_file(file_, out.dump(1, ' ', false, Json::error_handler_t::replace) + "\n");
  }

  fs::path file_;
  std::map<std::string, Rendering> all_;
};

// ---- the folder

// Files that a run which was ended left unfinished: ".NAME.PROCESS.tmp" of a process that is gone.
void remove_unfinished(const fs::path& folder) {
  std::error_code error;
  std::vector<fs::path> gone;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    const std::string name = entry.path().filename().string();
    if (!name.starts_with('.') || !name.ends_with(".tmp")) continue;
    const std::size_t end = name.size() - 4;
    const std::size_t dot = name.rfind('.', end - 1);
    const std::string process = name.substr(dot + 1, end - dot - 1);
    if (process.empty() || process.size() > 9 ||
        process.find_first_not_of("0123456789") != std::string::npos) {
      continue;
    }
    if (::kill(std::stoi(process), 0) != 0 && errno == ESRCH) gone.push_back(entry.path());
  }
  for (const fs::path& path : gone) fs::remove(path, error);
}

// One track's sound still to be made.
struct Job {
  std::size_t track;
  std::vector<SoundFormat> formats;
  double seconds;  // about: without the last sound
};

class TrackFiles {
 public:
  TrackFiles(const teach::Lesson& lesson, const TrackFilesOptions& options,
             const TrackProgress& progress)
      : lesson_(lesson),
        options_(options),
        progress_(progress),
        tracks_(tracks(lesson, options.choice)),
        record_(options.folder / kRecord) {}

  Result<TrackFilesReport> write() {
    if (auto made = make_folder(options_.folder); !made) return tl::unexpected(made.error());
    remove_unfinished(options_.folder);
    for (const Track& track : tracks_) texts_of(track);
    if (options_.sound == TrackFilesOptions::Sound::render) sounds();
    remark_on_others();
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    return std::move(report_);
  }

 private:
  fs::path at(const std::string& name) const { return options_.folder / name; }

  static std::string sound_name(const Track& track, SoundFormat format) {
    return fmt::format("{}{}", track.name, ending(format));
  }

  // What stops every track, a missing sound font for one, is said once.
  void keep(const Diagnostics& errors) {
    for (const Diagnostic& error : errors) {
      const bool said = std::find(errors_.begin(), errors_.end(), error) != errors_.end();
      if (!said) errors_.push_back(error);
    }
  }

  // ---- texts

  void texts_of(const Track& track) {
    const perform::Performance& p = track.performance;
    const std::vector<Cue> cues = captions(p, track.tempo_percent);
    const std::vector<Chapter> sections = chapters(p, track.tempo_percent);
    put(fmt::format("{}.vtt", track.name), web_vtt(cues));
    put(fmt::format("{}.srt", track.name), sub_rip(cues));
    put(fmt::format("{}-chapters.vtt", track.name), chapters_web_vtt(sections));
    put(fmt::format("{}-chapters.txt", track.name), chapters_text(sections));
    put(fmt::format("{}-timing.csv", track.name), timing_table(p, track.tempo_percent));
  }

  // What is there already is not written again: waiting for the disk takes longer than all the rest.
  void put(const std::string& name, const std::string& bytes) {
    report_.files.push_back({name, bytes.size()});
    std::error_code error;
    if (fs::file_size(at(name), error) == bytes.size() && !error) {
      const Result<std::string> there = read_file(at(name).string(), bytes.size());
      if (there && *there == bytes) return;
    }
    if (const auto written = write_file(at(name), bytes); !written) keep(written.error());
  }

  // ---- sounds

  SoundTags tags_of(const Track& track) const {
    SoundTags out;
    out.title = track.title;
    out.artist = lesson_.writers;
    out.album = lesson_.title;
    out.copyright = lesson_.rights;
    out.number = track.number;
    out.chapters = chapters(track.performance, track.tempo_percent);
    out.cover_png = cover_;
    return out;
  }

  std::string made_of(const Track& track, SoundFormat format) const {
    return digest(fmt::format("{}\n{}\n{}{}{}{}", sound_versions(), ending(format),
                              options_.click == ClickHeard::throughout ? "click\n" : "no click\n",
                              font_, words_of(tags_of(track)), heard(track)) +
                  called(track));
  }

  // ---- calls

  std::vector<teach::Call> calls_of(const Track& track) const {
    return teach::calls(track.performance, lesson_.note_names);
  }

  // Nothing without calls, so that sounds of earlier versions stay good.
  std::string called(const Track& track) const {
    if (voice_ == nullptr) return {};
    std::string out = voice_->version() + "\n";
    for (const teach::Call& call : calls_of(track))
      out += fmt::format("{} {} {}\n", call.at.value(), call.due.value(), call.says);
    return out;
  }

  // Each distinct word is spoken once for all the tracks.
  Result<void> find_voice() {
    if (options_.calls == TrackFilesOptions::Calls::none) return {};
    std::set<std::string> texts;
    for (const Track& track : tracks_) {
      for (const teach::Call& call : calls_of(track)) texts.insert(call.says);
    }
    auto voice = Voice::speaking(texts);
    if (!voice) return tl::unexpected(voice.error());
    voice_ = std::make_shared<const Voice>(std::move(*voice));
    return {};
  }

  bool is_there(const std::string& name, const std::string& made_of) const {
    const Rendering* known = record_.find(name);
    std::error_code error;
    return known != nullptr && known->made_of == made_of &&
           fs::file_size(at(name), error) == known->bytes && !error;
  }

  void sounds() {
    const AudioOptions asked{.sound_font = options_.sound_font};
    const Result<fs::path> font = find_sound_font(asked);
    if (!font) return keep(font.error());
    const Result<std::string> cover = cover_png(lesson_);
    if (!cover) return keep(cover.error());
    if (const auto found = find_voice(); !found) return keep(found.error());
    sound_font_ = *font;
    font_ = told_apart(*font);
    cover_ = *cover;
    how_.assign(tracks_.size(), WrittenTrack::How::kept);
    std::vector<Job> jobs = jobs_to_do();
    for (const Job& job : jobs) {
      how_[job.track] = WrittenTrack::How::rendered;
      to_do_ += job.seconds;
    }
    done_.assign(jobs.size(), 0);
    work(jobs);
    for (const Diagnostics& errors : errors_of_) keep(errors);
    report_sounds();
  }

  std::vector<Job> jobs_to_do() {
    std::vector<Job> jobs;
    std::vector<std::string> old;
    for (std::size_t i = 0; i < tracks_.size(); ++i) {
      const Track& track = tracks_[i];
      Job job{
          i, {}, perform::seconds(track.performance, track.performance.end, track.tempo_percent)};
      for (const SoundFormat format : options_.formats) {
        const std::string name = sound_name(track, format);
        if (is_there(name, made_of(track, format))) continue;
        job.formats.push_back(format);
        old.push_back(name);
      }
      if (!job.formats.empty()) jobs.push_back(std::move(job));
    }
    if (auto dropped = record_.drop(old); !dropped) keep(dropped.error());
    // The longest first, so that no processor waits for the last one.
    std::stable_sort(jobs.begin(), jobs.end(),
                     [](const Job& a, const Job& b) { return a.seconds > b.seconds; });
    return jobs;
  }

  void work(const std::vector<Job>& jobs) {
    errors_of_.resize(tracks_.size());
    in_parallel(
        jobs.size(),
        [&](std::size_t i) {
          if (auto made = render(jobs, i); !made) errors_of_[jobs[i].track] = made.error();
        },
        std::min(options_.at_once, kMostAtOnce));
  }

  Result<void> render(const std::vector<Job>& jobs, std::size_t index) {
    const Job& job = jobs[index];
    const Track& track = tracks_[job.track];
    AudioOptions audio;
    audio.sound_font = sound_font_;
    audio.tempo_percent = track.tempo_percent;
    audio.click = options_.click;
    audio.tags = tags_of(track);
    audio.voice = voice_;
    if (voice_ != nullptr) audio.calls = calls_of(track);
    std::vector<fs::path> paths;
    for (const SoundFormat format : job.formats) paths.push_back(at(sound_name(track, format)));
    const Result<AudioReport> made = write_audio(track.performance, audio, paths,
                                                 [&](int percent) { tell(jobs, index, percent); });
    if (!made) return tl::unexpected(made.error());
    const std::lock_guard<std::mutex> alone(mutex_);
    for (const SoundFormat format : job.formats) {
      const std::string name = sound_name(track, format);
      std::error_code error;
      const std::uintmax_t bytes = fs::file_size(at(name), error);
      const Rendering rendering{digest(heard(track)), made_of(track, format), track.tempo_percent,
                                error ? 0 : bytes, *made};
      if (auto put = record_.put(name, rendering); !put) return put;
    }
    return {};
  }

  void tell(const std::vector<Job>& jobs, std::size_t index, int percent) {
    if (!progress_) return;
    const std::lock_guard<std::mutex> alone(mutex_);
    done_[index] = percent;
    double done = 0;
    std::size_t whole = 0;
    for (std::size_t i = 0; i < jobs.size(); ++i) {
      done += jobs[i].seconds * done_[i] / 100;
      if (done_[i] == 100) ++whole;
    }
    const int now = static_cast<int>(100 * done / std::max(to_do_, 1e-9));
    // Also where nothing new is to be told: a progress that throws stops the work, and should not have to wait.
    told_ = std::max(told_, now);
    progress_(fmt::format("playing the tracks, {} of {} done", whole, jobs.size()),
              std::min(told_, 100));
  }

  void report_sounds() {
    for (std::size_t i = 0; i < tracks_.size(); ++i) {
      const Track& track = tracks_[i];
      for (const SoundFormat format : options_.formats) {
        const std::string name = sound_name(track, format);
        const Rendering* known = record_.find(name);
        if (known == nullptr) continue;  // it failed
        report_.files.push_back({name, known->bytes});
        if (format != *options_.formats.begin()) continue;
        report_.tracks.push_back({track.name, track.title, known->audio, how_[i]});
      }
    }
  }

  // ---- sounds of other runs

  void remark_on_others() {
    std::vector<std::string> others = other_sounds();
    if (others.empty()) return;
    TrackChoice all;
    all.parts = {TrackPart::song, TrackPart::section, TrackPart::pair};
    all.hands = {TrackHands::both, TrackHands::right, TrackHands::left};
    all.percents = record_.percents();
    std::map<std::string, std::string> plays;  // by name
    for (const Track& track : tracks(lesson_, all)) plays[track.name] = digest(heard(track));
    std::erase_if(others, [&](const std::string& name) {
      const Rendering* known = record_.find(name);
      const auto now = plays.find(fs::path(name).stem().string());
      return known != nullptr && now != plays.end() && now->second == known->plays;
    });
    if (others.empty()) return;
    report_.remarks.push_back(
        {Severity::note,
         Fault::file,
         options_.folder.string(),
         {},
         fmt::format("of an earlier run, and may not fit the lesson any more: {}",
                     fmt::join(others, ", ")),
         "make them anew by asking for them, or remove them",
         {}});
  }

  // Sounds in the folder that this run has neither made nor found good.
  std::vector<std::string> other_sounds() const {
    std::set<std::string> ours;
    for (const WrittenFile& file : report_.files) ours.insert(file.name);
    std::vector<std::string> out;
    std::error_code error;
    for (const auto& entry : fs::directory_iterator(options_.folder, error)) {
      const std::string kind = entry.path().extension().string();
      const std::string name = entry.path().filename().string();
      const bool is_sound = kind == ending(SoundFormat::flac) || kind == ending(SoundFormat::opus);
      if (is_sound && ours.count(name) == 0) out.push_back(name);
    }
    std::sort(out.begin(), out.end());
    return out;
  }

  const teach::Lesson& lesson_;
  const TrackFilesOptions& options_;
  const TrackProgress& progress_;
  std::vector<Track> tracks_;
  Record record_;
  TrackFilesReport report_;
  Diagnostics errors_;

  // Of the sounds.
  fs::path sound_font_;
  std::string font_;
  std::string cover_;
  std::shared_ptr<const Voice> voice_;  // only with calls
  std::vector<WrittenTrack::How> how_;  // by track
  std::vector<Diagnostics> errors_of_;  // by track
  std::mutex mutex_;                    // of record_, done_, told_
  std::vector<int> done_;               // per cent, by job
  double to_do_ = 0;                    // seconds of sound
  int told_ = -1;
};

}  // namespace

Result<TrackFilesReport> write_track_files(const teach::Lesson& lesson,
                                           const TrackFilesOptions& options,
                                           const TrackProgress& progress) {
  return TrackFiles(lesson, options, progress).write();
}

}  // namespace stillhand::write
