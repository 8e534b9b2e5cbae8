// The two files of a track being made: a spool for sound that still waits for its level, and the FLAC
// file itself. Full disks are errors at the call that meets them, or at the last one.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <span>

#include "base/files.h"
#include "base/result.h"

namespace stillhand::write {

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

// 48 kHz stereo, 16 bits. Without commit() nothing is left.
class FlacFile {
 public:
  static Result<std::unique_ptr<FlacFile>> create(const std::filesystem::path& target);
  ~FlacFile();
  FlacFile(const FlacFile&) = delete;
  FlacFile& operator=(const FlacFile&) = delete;

  // Interleaved, full scale is 1.
  Result<void> write(std::span<const float> interleaved_stereo);
  // Closes, syncs and gives the file its name.
  Result<void> commit();

 private:
  struct Encoder;
  explicit FlacFile(const std::filesystem::path& target);
  std::filesystem::path target_;
  PendingFile pending_;
  std::unique_ptr<Encoder> encoder_;
};

}  // namespace stillhand::write
