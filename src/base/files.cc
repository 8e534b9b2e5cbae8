#include "base/files.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

namespace stillhand {
namespace {

namespace fs = std::filesystem;

std::string remedy_for(int error) {
  switch (error) {
    case ENOENT:
      return "check the name and the folder";
    case EACCES:
    case EPERM:
    case EROFS:
      return "choose a place you may write to, or change its permissions";
    case ENOSPC:
    case EDQUOT:
      return "free some space on the disk, or choose a place on another one";
    case ENOTDIR:
      return "a part of this path is a file, not a folder; choose another";
    case EISDIR:
      return "this is a folder; name a file";
    case EFBIG:
      return "the disk or a limit does not allow a file of this size; choose another place";
    default:
      return "";
  }
}

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  ~Descriptor() {
    if (fd_ > 2) ::close(fd_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int get() const { return fd_; }
  // close(2) can report a delayed write error (a full disk on some file systems), so it must be
  // asked.
  int close_now() {
    const int fd = std::exchange(fd_, -1);
    return ::close(fd) == 0 ? 0 : errno;
  }

 private:
  int fd_;
};

fs::path folder_of(const fs::path& path) {
  return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

Result<void> sync_folder(const fs::path& folder) {
  Descriptor fd(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (fd.get() < 0) return system_failure("open the folder", folder, errno);
  // Some file systems refuse fsync on a folder with EINVAL; there is nothing more to do then.
  if (::fsync(fd.get()) != 0 && errno != EINVAL) return system_failure("write", folder, errno);
  return {};
}

}  // namespace

tl::unexpected<Diagnostics> system_failure(std::string_view doing, const fs::path& path,
                                           int error) {
  Diagnostic out{Severity::error,
                 Fault::file,
                 path.string(),
                 {},
                 fmt::format("cannot {}: {}", doing, std::strerror(error)),
                 remedy_for(error),
                 {}};
  out.system_error = error;
  return failure(std::move(out));
}

Result<std::string> read_file(const std::string& path, std::size_t limit) {
  const bool from_stdin = path == "-";
  Descriptor fd(from_stdin ? STDIN_FILENO : ::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (fd.get() < 0) return system_failure("read", path, errno);
  std::string text;
  char buffer[1 << 16];
  for (;;) {
    const ssize_t got = ::read(fd.get(), buffer, sizeof buffer);
    if (got < 0) {
      if (errno == EINTR) continue;
      return system_failure("read", path, errno);
    }
    if (got == 0) return text;
    text.append(buffer, static_cast<std::size_t>(got));
    if (text.size() > limit) {
      return failure(Fault::chart, path, fmt::format("it is larger than {} KB", limit / 1024),
                     "is this the right file?");
    }
  }
}

PendingFile::PendingFile(fs::path target) : target_(std::move(target)) {
  beside_ = folder_of(target_) / fmt::format(".{}.{}.tmp", target_.filename().string(), ::getpid());
}

PendingFile::~PendingFile() {
  std::error_code ignored;
  if (!beside_.empty()) fs::remove(beside_, ignored);
}

Result<void> PendingFile::commit() {
  {
    Descriptor fd(::open(beside_.c_str(), O_RDONLY | O_CLOEXEC));
    if (fd.get() < 0) return system_failure("write", target_, errno);
    if (::fsync(fd.get()) != 0) return system_failure("write", target_, errno);
  }
  if (::rename(beside_.c_str(), target_.c_str()) != 0)
    return system_failure("write", target_, errno);
  beside_.clear();
  return sync_folder(folder_of(target_));
}

Result<void> write_file(const fs::path& path, std::string_view bytes) {
  PendingFile pending(path);
  // Its name can be guessed: what somebody has put there as a link is not written through.
  Descriptor fd(
      ::open(pending.path().c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0644));
  if (fd.get() < 0) return system_failure("write", path, errno);
  while (!bytes.empty()) {
    const ssize_t put = ::write(fd.get(), bytes.data(), bytes.size());
    if (put < 0) {
      if (errno == EINTR) continue;
      return system_failure("write", path, errno);
    }
    bytes.remove_prefix(static_cast<std::size_t>(put));
  }
  if (const int error = fd.close_now(); error != 0) return system_failure("write", path, error);
  return pending.commit();
}

Result<void> make_folder(const fs::path& folder) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (error) return system_failure("make the folder", folder, error.value());
  if (!fs::is_directory(folder, error)) return system_failure("use the folder", folder, ENOTDIR);
  if (::access(folder.c_str(), W_OK | X_OK) != 0)
    return system_failure("write into the folder", folder, errno);
  return {};
}

}  // namespace stillhand
