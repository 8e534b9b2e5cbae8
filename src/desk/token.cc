#include "desk/token.h"

#include <fcntl.h>
#include <openssl/crypto.h>
#include <openssl/rand.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <vector>

#include "base/files.h"
#include "desk/hex.h"

namespace stillhand::desk {
namespace {

constexpr std::size_t kBytes = 32;

bool is_token(std::string_view text) {
  return text.size() == 2 * kBytes &&
         text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

}  // namespace

Result<std::string> random_hex(std::size_t bytes) {
  std::vector<unsigned char> drawn(bytes);
  if (RAND_bytes(drawn.data(), static_cast<int>(drawn.size())) != 1)
    return failure(Fault::file, "", "this system gives no random numbers", "start it again");
  return in_hex(drawn);
}

std::filesystem::path state_folder() {
  if (const char* state = std::getenv("XDG_STATE_HOME"); state != nullptr && *state == '/')
    return std::filesystem::path(state) / "stillhand";
  if (const char* home = std::getenv("HOME"); home != nullptr && *home == '/')
    return std::filesystem::path(home) / ".local" / "state" / "stillhand";
  return {};
}

Result<std::string> kept_token(const std::filesystem::path& folder) {
  const Result<std::string> fresh = random_hex(kBytes);
  if (!fresh || folder.empty()) return fresh;
  if (auto made = make_folder(folder); !made) return tl::unexpected(made.error());
  const std::filesystem::path path = folder / "desk-token";
  struct stat found {};
  if (::lstat(path.c_str(), &found) == 0 && S_ISREG(found.st_mode) &&
      (found.st_mode & (S_IRWXG | S_IRWXO)) == 0 && found.st_uid == ::geteuid()) {
    auto kept = read_file(path.string(), 4 * kBytes);
    if (kept && is_token(*kept)) return std::move(*kept);
  }
  ::unlink(path.c_str());
  const int fd = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (fd < 0) return system_failure("write", path, errno);
  const auto written = ::write(fd, fresh->data(), fresh->size());
  const int error = errno;
  ::close(fd);
  if (written != static_cast<ssize_t>(fresh->size())) return system_failure("write", path, error);
  return fresh;
}

bool is_same_token(std::string_view a, std::string_view b) {
  return a.size() == b.size() && CRYPTO_memcmp(a.data(), b.data(), a.size()) == 0;
}

}  // namespace stillhand::desk
