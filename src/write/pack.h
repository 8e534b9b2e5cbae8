// The lesson as a folder: everything in it is whole, or not there.
//
//   Result<PackReport> report = write_pack(lesson, {.folder = "quay"});
//
// lesson.json, sheet.pdf, sheet-large.pdf, sheet-numbers.pdf, moves.pdf, the teaching plan (plan.md, plan.pdf), the practice
// plan (practice.md, practice.pdf), the student's page (page.html), song.mid, song.musicxml; in tracks/ the tracks with their captions, chapters, timing
// tables and sound (track_files.h); and at the end manifest.json, which lists what belongs together. A manifest of an
// earlier run is removed first, so a folder with a manifest is a whole lesson. Each file is written beside its name, synced and
// renamed. When one file cannot be written the others still are; the errors come back together.
//
// To stop it, let `progress` throw: the exception comes out of write_pack as soon as the tracks in progress have met it too
// (each tells its progress often). Then nothing is half-written, and there is no manifest; tracks that were whole stay, and
// the next run goes on from them.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "teach/lesson.h"
#include "write/page.h"
#include "write/sheet.h"
#include "write/track_files.h"

namespace stillhand::write {

// What may be made by itself. The data, lesson.json, and the manifest, which lists what this run
// made, are there in any case.
enum class PackPart { data, sheets, plans, page, midi, musicxml, tracks, captions };

// What the page is made of besides the lesson.
struct PackPage {
  std::vector<teach::Lesson> other_keys = {};
  // Asked for when the page is made, for it takes some seconds to render; nullptr, or none: a plain tone.
  std::function<std::shared_ptr<const PianoSamples>()> piano = {};
};

struct PackOptions {
  std::filesystem::path folder;   // made if missing
  std::set<PackPart> parts = {};  // empty: all. Tracks have their captions with them
  SheetOptions sheet;
  PackPage page = {};
  TrackFilesOptions tracks;  // their folder is the lesson's "tracks"
};

struct PackedFile {
  std::string name;  // within the folder: "tracks/play-along-100.flac"
  std::uintmax_t bytes = 0;
};

// "-16.0 LUFS, true peak -3.2 dBTP, 3 min 05 s"
std::string in_words(const AudioReport& audio);

struct PackReport {
  std::vector<PackedFile> files;  // in the order of writing; the manifest last
  std::vector<WrittenTrack> tracks;
  Diagnostics remarks;  // tracks of an earlier run that this one leaves alone
};

// What is being made and how much of it is done, 0–100.
using Progress = std::function<void(std::string_view what, int percent)>;

Result<PackReport> write_pack(const teach::Lesson& lesson, const PackOptions& options,
                              const Progress& progress = {});

}  // namespace stillhand::write
