#include "cli/new_file.h"

#include <fstream>
#include <string>
#include <system_error>

#include "base/files.h"

namespace stillhand::cli {

Result<void> check_is_new(const std::filesystem::path& path) {
  std::error_code error;
  const auto type = std::filesystem::symlink_status(path, error).type();
  if (type == std::filesystem::file_type::not_found) return {};
  if (type == std::filesystem::file_type::none) return system_failure("write", path, error.value());
  return failure(Fault::file, path.string(), "there is a file of this name already",
                 "choose another name, or move it away");
}

Result<void> check_may_replace(const std::filesystem::path& path, std::string_view begins) {
  std::error_code error;
  if (std::filesystem::is_regular_file(path, error)) {
    std::ifstream in(path, std::ios::binary);
    std::string found(begins.size(), '\0');
    in.read(found.data(), static_cast<std::streamsize>(found.size()));
    if (in && found == begins) return {};
  }
  return check_is_new(path);
}

Result<void> write_new_file(const std::filesystem::path& path, std::string_view bytes) {
  if (auto is_new = check_is_new(path); !is_new) return is_new;
  return write_file(path, bytes);
}

}  // namespace stillhand::cli
