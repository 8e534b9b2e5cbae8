#include "desk/token.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <openssl/crypto.h>
#include <openssl/rand.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdlib>

#include "base/files.h"

namespace stillhand::desk {
namespace {

constexpr std::size_t kBytes = 32;

bool is_token(std::string_view text) {
  return text.size() == 2 * kBytes &&
         text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

Result<std::string> new_token() {
  std::array<unsigned char, kBytes> bytes{};
  if (RAND_bytes(bytes.data(), static_cast<int>(bytes.size())) != 1)
    return failure(Fault::file, "", "this system gives no random numbers", "start it again");
  std::string out;
  for (const unsigned char byte : bytes) out += fmt::format("{:02x}", byte);
  return out;
}

}  // namespace

std::filesystem::path state_folder() {
  if (const char* state = std::getenv("XDG_STATE_HOME"); state != nullptr && *state == '/')
    return std::filesystem::path(state) / "stillhand";
  if (const char* home = std::getenv("HOME"); home != nullptr && *home == '/')
    return std::filesystem::path(home) / ".local" / "state" / "stillhand";
  return {};
}

Result<std::string> kept_token(const std::filesystem::path& folder) {
  const Result<std::string> fresh = new_token();
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
