// The files of a track being made: a spool for sound that still waits for its level, and the sound file
// itself, FLAC or Opus. Full disks are errors at the call that meets them, or at the last one.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/files.h"
#include "base/result.h"
#include "write/chapters.h"

namespace stillhand::write {

// FLAC loses nothing: for whoever cuts a film. Opus takes a tenth of it: for sending.
enum class SoundFormat { flac, opus };
std::optional<SoundFormat> sound_format_named(std::string_view name);  // "flac", "opus"
std::string_view ending(SoundFormat format);                           // ".flac", ".opus"

// What a player shows. Empty texts, no number and no picture are left out.
struct SoundTags {
  std::string title, artist, album, copyright;
  int number = 0;
  std::vector<Chapter> chapters;
  std::string cover_png;
};

// Samples written once, in order, and read again from the front as often as needed. The file has no
// name once it is open: it goes when the program does, however that ends.
class Spool {
 public:
  // Beside `target`, because the disk of the track has to have room anyway.
  static Result<Spool> beside(const std::filesystem::path& target);
  Spool(Spool&& other) noexcept;
  Spool& operator=(Spool&&) = delete;
  ~Spool();

  Result<void> write(std::span<const float> samples);
  // Fills `samples` from sample number `first` on; there must be that many.
  Result<void> read(std::int64_t first, std::span<float> samples) const;

 private:
  Spool(int descriptor, std::filesystem::path target);
  int descriptor_;
  std::filesystem::path target_;
};

// 48 kHz stereo; FLAC with 16 bits, Opus with 96 kbit/s on average. Without commit() nothing is left.
//
// Sources: RFC 9639 (FLAC); RFC 6716 and RFC 7845 (Opus in Ogg); Vorbis comments with the chapters CHAPTERxxx as Xiph.Org
// describes them. The encoders are libFLAC and libopusenc, the latter with a serial number that is always the same.
class SoundFile {
 public:
  static Result<std::unique_ptr<SoundFile>> create(const std::filesystem::path& target,
                                                   SoundFormat format, const SoundTags& tags = {});
  static std::string versions();  // of the encoders
  ~SoundFile();
  SoundFile(const SoundFile&) = delete;
  SoundFile& operator=(const SoundFile&) = delete;

  // Interleaved, full scale is 1.
  Result<void> write(std::span<const float> interleaved_stereo);
  // Closes, syncs and gives the file its name.
  Result<void> commit();

  class Encoder;  // inside

 private:
  explicit SoundFile(const std::filesystem::path& target);
  std::filesystem::path target_;
  PendingFile pending_;
  std::unique_ptr<Encoder> encoder_;
};

}  // namespace stillhand::write
