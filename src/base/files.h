// Reading and writing files without losing anything.
//
//   Result<std::string> text = read_file("quay.stillhand", 4 << 20);    // "-" reads standard input
//   Result<void> done = write_file("out/song.mid", bytes);               // beside, fsync, rename
//
// A write that fails leaves the old file as it was and no half-written one. Errors are Fault::file
// with the system's reason and a remedy.
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>

#include "base/result.h"

namespace stillhand {

// Whole content of a file of at most `limit` bytes. Larger: an error of what the file holds
// (Fault::chart), read no further than the limit.
Result<std::string> read_file(const std::string& path, std::size_t limit);

// Writes beside the target (same folder, unique name), fsyncs the file, renames it over the target,
// fsyncs the folder.
Result<void> write_file(const std::filesystem::path& path, std::string_view bytes);

// For libraries that write files themselves: the name to write to. commit() fsyncs and renames it
// to the target; a destructor without commit removes what was written.
class PendingFile {
 public:
  explicit PendingFile(std::filesystem::path target);
  ~PendingFile();
  PendingFile(const PendingFile&) = delete;
  PendingFile& operator=(const PendingFile&) = delete;
  const std::filesystem::path& path() const { return beside_; }
  Result<void> commit();

 private:
  std::filesystem::path target_;
  std::filesystem::path beside_;
};

// For code that does its own reading and writing: "cannot DOING: REASON" about `path`, with a remedy;
// `error` is an errno value.
tl::unexpected<Diagnostics> system_failure(std::string_view doing,
                                           const std::filesystem::path& path, int error);

// Creates the folder (and its parents) if missing and checks that it can be written to.
Result<void> make_folder(const std::filesystem::path& folder);

}  // namespace stillhand
