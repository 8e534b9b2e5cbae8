// The lesson as a folder: everything in it is whole, or not there.
//
//   Result<PackReport> report = write_pack(lesson, {.folder = "quay"});
//
// lesson.json, sheet.pdf, sheet-large.pdf, sheet-numbers.pdf, moves.pdf,
// the teaching plan (plan.md, plan.pdf), the practice plan (practice.md, practice.pdf),
// song.mid, song.musicxml; for each track, play-along and play-along-slow, its captions
// (.vtt, .srt), chapters (-chapters.vtt, -chapters.txt), timing table (-timing.csv) and sound (.flac);
// and at the end manifest.json, which lists what belongs together. A manifest of an earlier run is removed first, so
// a folder with a manifest is a whole lesson. Each file is written beside its name, synced and
// renamed. When one file cannot be written the others still are; the errors come back together.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "teach/lesson.h"
#include "write/audio.h"
#include "write/sheet.h"

namespace stillhand::write {

struct PackOptions {
  std::filesystem::path folder;  // made if missing
  SheetOptions sheet;
  enum class Tracks { render, leave_out } tracks = Tracks::render;
  std::optional<std::filesystem::path> sound_font;  // nullopt: the installed one
};

struct PackedFile {
  std::string name;  // within the folder
  std::uintmax_t bytes = 0;
};

struct PackedTrack {
  std::string name;
  AudioReport audio;
};
// "-16.0 LUFS, true peak -3.2 dBTP, 3 min 05 s"
std::string in_words(const AudioReport& audio);

struct PackReport {
  std::vector<PackedFile> files;  // in the order of writing; the manifest last
  std::vector<PackedTrack> tracks;
  Diagnostics remarks;  // tracks of an earlier run that this one leaves alone
};

// What is being made and how much of it is done, 0–100.
using Progress = std::function<void(std::string_view what, int percent)>;

Result<PackReport> write_pack(const teach::Lesson& lesson, const PackOptions& options,
                              const Progress& progress = {});

}  // namespace stillhand::write
