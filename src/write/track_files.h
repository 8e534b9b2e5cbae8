// The tracks of a lesson as files: sound, captions, chapters and timing tables in one folder.
//
//   Result<TrackFilesReport> made = write_track_files(lesson, {.folder = "quay/tracks"}, progress);
//
// For each track (tracks.h): NAME.flac or NAME.opus or both, NAME.vtt, NAME.srt, NAME-chapters.vtt, NAME-chapters.txt,
// NAME-timing.csv. As many tracks are rendered at once as the machine has processors; each needs about 50 MB, whatever
// its length.
//
// rendered.json says of each sound file what it was made of: a digest over the notes, tempo, click, tags, format, sound
// font and versions of the libraries; of the calls and the version of the voice, where there are any. A file that is there, is of the size it had and would be made of the same again is
// left as it is. rendered.json is written after every track, so that a run that was stopped goes on where it was; what
// such a run left half-written is removed. Sounds of tracks that are not asked for are left alone, with a remark if they
// no longer fit the lesson.
//
// When one track cannot be written the others still are; the errors come back together.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/parallel.h"
#include "base/result.h"
#include "teach/lesson.h"
#include "write/audio.h"
#include "write/tracks.h"

namespace stillhand::write {

struct TrackFilesOptions {
  std::filesystem::path folder;  // made if missing
  TrackChoice choice;
  enum class Sound {
    render,
    leave_out
  } sound = Sound::render;  // captions and tables are written in any case
  std::set<SoundFormat> formats = {SoundFormat::flac};
  ClickHeard click = ClickHeard::throughout;
  // A voice that calls the counts of the count-ins and the next chord (teach/calls.h); needs the program espeak-ng.
  enum class Calls { none, spoken } calls = Calls::none;
  std::optional<std::filesystem::path> sound_font;  // nullopt: the installed one
  std::size_t at_once = cores();                    // tracks rendered at once, 16 at most
};

struct WrittenFile {
  std::string name;  // within the folder
  std::uintmax_t bytes = 0;
};

struct WrittenTrack {
  std::string name;  // without ending
  std::string title;
  AudioReport audio;
  enum class How { rendered, kept } how = How::rendered;
};

struct TrackFilesReport {
  std::vector<WrittenFile> files;  // of the tracks asked for, in their order
  std::vector<WrittenTrack> tracks;
  Diagnostics remarks;  // sounds of an earlier run that do not fit any more
};

// What is being made and how much of all is done, 0–100. Calls follow each other, but come from several threads.
using TrackProgress = std::function<void(std::string_view what, int percent)>;

Result<TrackFilesReport> write_track_files(const teach::Lesson& lesson,
                                           const TrackFilesOptions& options,
                                           const TrackProgress& progress = {});

}  // namespace stillhand::write
