#include "desk/exports.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <thread>
#include <vector>

#include "base/files.h"
#include "base/utf8.h"
#include "desk/chart_text.h"
#include "desk/folder.h"
#include "teach/lesson.h"
#include "teach/other_keys.h"
#include "write/pack.h"

namespace stillhand::desk {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLargestFile = std::size_t{512} << 20;  // bytes of a track (our judgement)

// Thrown by the progress of a job that was cancelled; write_pack lets it through.
struct Cancelled {};

using Parts = std::set<write::PackPart>;

// nullopt: there is no such part.
std::optional<Parts> parts_of(const std::vector<std::string>& names) {
  using write::PackPart;
  constexpr std::array<std::pair<std::string_view, PackPart>, 8> kParts{
      {{"data", PackPart::data},
       {"sheets", PackPart::sheets},
       {"plans", PackPart::plans},
       {"page", PackPart::page},
       {"midi", PackPart::midi},
       {"musicxml", PackPart::musicxml},
       {"tracks", PackPart::tracks},
       {"captions", PackPart::captions}}};
  Parts out;
  for (const std::string& name : names) {
    const auto part = std::find_if(kParts.begin(), kParts.end(),
                                   [&](const auto& known) { return known.first == name; });
    if (part == kParts.end()) return std::nullopt;
    out.insert(part->second);
  }
  return out;
}

std::optional<std::set<write::SoundFormat>> formats_of(const std::vector<std::string>& names) {
  std::set<write::SoundFormat> out;
  for (const std::string& name : names) {
    const auto format = write::sound_format_named(name);
    if (!format) return std::nullopt;
    out.insert(*format);
  }
  if (out.empty()) out.insert(write::SoundFormat::flac);
  return out;
}

// What is in a lesson's folder, by name: all of it is whole (write/pack.h). No links, nothing hidden.
std::vector<write::PackedFile> files_in(const fs::path& folder) {
  std::vector<write::PackedFile> out;
  std::error_code error;
  for (const std::string within : {"", "tracks/"}) {
    const fs::path part = folder / within;
    if (fs::is_symlink(folder / "tracks", error) && !within.empty()) continue;
    for (fs::directory_iterator it(part, error), end; !error && it != end; it.increment(error)) {
      const std::string name = it->path().filename().string();
      if (name.front() == '.' || !is_utf8(name)) continue;
      std::error_code ignored;
      if (!fs::is_regular_file(it->symlink_status(ignored))) continue;
      const auto bytes = it->file_size(ignored);
      if (!ignored) out.push_back({within + name, bytes});
    }
  }
  std::sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
  return out;
}

Answer no_such_export() {
  return problem(Status::not_found, "there is no such export",
                 "the desk knows those since it was started; make it again");
}

}  // namespace

struct Exports::Job {
  std::string id;
  std::string name;
  teach::Lesson lesson;
  std::function<std::vector<teach::Lesson>()>
      other_keys;  // for the student's page, if it is wanted
  write::PackOptions options;
  std::atomic<bool> is_cancelled = false;
  std::thread thread;

  // With Exports::busy_ held.
  std::string state = "running";
  std::string doing;
  int percent = 0;
  std::vector<write::PackedFile> files;
  Json problem = nullptr;
};

Exports::Exports(fs::path folder, Events& events, Piano& piano)
    : folder_(std::move(folder)), events_(events), piano_(piano) {}

Exports::~Exports() {
  std::deque<std::shared_ptr<Job>> jobs;
  {
    const std::lock_guard lock(busy_);
    is_ending_ = true;
    jobs = jobs_;
  }
  for (const auto& job : jobs) job->is_cancelled = true;
  for (const auto& job : jobs) {
    if (job->thread.joinable()) job->thread.join();
  }
}

Json Exports::in_json(const Job& job) {
  Json files = Json::array();
  for (const write::PackedFile& file : job.files)
    files.push_back({{"name", file.name}, {"bytes", file.bytes}});
  return {{"id", job.id},
          {"name", job.name},
          {"state", job.state},
          {"doing", job.doing},
          {"percent", job.percent},
          {"folder", job.options.folder.string()},
          {"files", std::move(files)},
          {"problem", job.problem}};
}

Answer Exports::start(const Json& body, const Shelf& shelf) {
  Fields fields(body);
  const auto asked = read_chart_text(fields, shelf);
  const auto parts = parts_of(fields.texts_if_any("what"));
  const auto formats = formats_of(fields.texts_if_any("sound"));
  const auto calls = fields.word_if_any("calls", {"none", "spoken"});
  if (auto fault = fields.fault()) return *fault;
  if (!parts) {
    return problem(Status::not_understood, "`what` names something that is not made",
                   "sheets, plans, page, midi, musicxml, tracks, captions, data");
  }
  if (!formats) {
    return problem(Status::not_understood, "`sound` names no format of sound", "flac or opus");
  }
  if (!asked) return asked.error();
  if (!is_plain_name(asked->name)) {
    return problem(Status::not_understood, "`name` is no name for a lesson",
                   "use letters, figures, blanks and hyphens; no slash, no dot in front");
  }
  const fs::path lessons = folder_ / "lessons";
  std::error_code error;
  // It would be made anew, in a place where nobody looks.
  if (!fs::is_directory(folder_, error)) {
    return problem(Status::own_fault, fmt::format("{} is not there any more", folder_.string()),
                   "bring the folder back, or open the desk with another");
  }
  for (const fs::path& part : {lessons, lessons / asked->name, lessons / asked->name / "tracks"}) {
    if (!fs::is_symlink(part, error)) continue;
    return problem(Status::own_fault, fmt::format("{} is a link", part.string()),
                   "put a folder there; the desk does not write through links");
  }
  const auto song = arranged(*asked);
  if (!song) return song.error();

  auto job = std::make_shared<Job>();
  job->name = asked->name;
  job->lesson = teach::lesson_of(*song);
  job->options.folder = lessons / asked->name;
  job->options.parts = *parts;
  if (parts->empty() || parts->count(write::PackPart::page) != 0) {
    job->other_keys = [song = *song, wishes = asked->wishes] {
      return teach::in_other_keys(song, wishes, teach::kUsualReach);
    };
    job->options.page.piano = [this] { return piano_.samples(); };
  }
  job->options.sheet.paper = asked->paper;
  job->options.tracks.formats = *formats;
  if (calls == "spoken") job->options.tracks.calls = write::TrackFilesOptions::Calls::spoken;

  const std::lock_guard lock(busy_);
  const auto is_running = [](const auto& other) { return other->state == "running"; };
  if (std::any_of(jobs_.begin(), jobs_.end(), [&](const auto& other) {
        return is_running(other) && other->name == job->name;
      })) {
    return problem(Status::conflict, "this lesson is being made already",
                   "wait for it, or cancel it");
  }
  if (is_ending_ || std::count_if(jobs_.begin(), jobs_.end(), is_running) >=
                        static_cast<std::ptrdiff_t>(kMostExports)) {
    return problem(Status::too_many, "several lessons are being made already",
                   "wait for one of them, or cancel it");
  }
  while (jobs_.size() >= kExportsKept) {
    const auto old = std::find_if_not(jobs_.begin(), jobs_.end(), is_running);
    (*old)->thread.join();
    jobs_.erase(old);
  }
  job->id = std::to_string(++last_id_);
  jobs_.push_back(job);
  job->thread = std::thread([this, running = job.get()] { make(*running); });
  return answer(in_json(*job));
}

void Exports::tell(const Job& job) {
  Json now;
  {
    const std::lock_guard lock(busy_);
    now = in_json(job);
  }
  events_.tell("export", now);
}

void Exports::make(Job& job) {
  const auto progress = [&](std::string_view what, int percent) {
    if (job.is_cancelled) throw Cancelled();
    {
      const std::lock_guard lock(busy_);
      if (job.doing == what && job.percent == percent) return;
      job.doing = what;
      job.percent = percent;
    }
    tell(job);
  };
  std::string state = "failed";
  std::vector<write::PackedFile> files;
  Json fault = nullptr;
  try {
    progress("arranging the other keys", 0);
    if (job.other_keys) job.options.page.other_keys = job.other_keys();
    const auto made = write::write_pack(job.lesson, job.options, progress);
    if (made) {
      state = "done";
      files = made->files;
    } else {
      fault = Json::parse(problem(made.error()).body);
    }
  } catch (const Cancelled&) {
    state = "cancelled";
  } catch (const std::exception&) {
    fault = {{"error", "the desk has a fault of its own"},
             {"remedy", "what was whole is there; try again"}};
  }
  {
    if (state != "done") files = files_in(job.options.folder);
    const std::lock_guard lock(busy_);
    job.state = state;
    job.files = std::move(files);
    job.problem = std::move(fault);
    if (state == "done") job.percent = 100;
    job.doing = "";
    job.lesson = {};  // the largest part of it
    job.other_keys = nullptr;
    job.options.page = {};
  }
  tell(job);
}

std::shared_ptr<Exports::Job> Exports::find(std::string_view id) {
  const auto found =
      std::find_if(jobs_.begin(), jobs_.end(), [&](const auto& job) { return job->id == id; });
  return found == jobs_.end() ? nullptr : *found;
}

Answer Exports::state(std::string_view id) {
  const std::lock_guard lock(busy_);
  const auto job = find(id);
  return job ? answer(in_json(*job)) : no_such_export();
}

Answer Exports::cancel(std::string_view id) {
  const std::lock_guard lock(busy_);
  const auto job = find(id);
  if (!job) return no_such_export();
  job->is_cancelled = true;
  return answer(in_json(*job));
}

Answer Exports::file(std::string_view id, std::string_view name) {
  fs::path path;
  {
    const std::lock_guard lock(busy_);
    const auto job = find(id);
    if (!job) return no_such_export();
    // Only what was made into its folder, by the very name: nothing else can be reached.
    const bool is_ours = std::any_of(job->files.begin(), job->files.end(),
                                     [&](const auto& file) { return file.name == name; });
    if (!is_ours) {
      return problem(Status::not_found, "this export has no such file", "see its list of files");
    }
    path = job->options.folder / name;
  }
  auto bytes = read_file(path.string(), kLargestFile);
  if (!bytes) return problem(bytes.error());
  return {Status::ok, "application/octet-stream", std::move(*bytes)};
}

}  // namespace stillhand::desk
