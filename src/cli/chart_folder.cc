#include "cli/chart_folder.h"

#include <algorithm>
#include <system_error>

#include "base/files.h"

namespace stillhand::cli {

Result<std::vector<std::filesystem::path>> charts_in(const std::filesystem::path& folder) {
  std::error_code error;
  std::filesystem::directory_iterator at(folder, error);
  std::vector<std::filesystem::path> out;
  for (; !error && at != std::filesystem::directory_iterator(); at.increment(error)) {
    const std::filesystem::path& path = at->path();
    if (path.extension() != ".stillhand" || path.filename().string().starts_with('.')) continue;
    // What cannot be looked up, as a link to itself, is said when it is read.
    std::error_code unknown;
    if (!at->is_directory(unknown)) out.push_back(path);
  }
  if (error) return system_failure("read", folder, error.value());
  if (out.empty()) {
    return failure(Fault::file, folder.string(), "no chart stands in this folder",
                   "charts are files whose names end in .stillhand");
  }
  std::sort(out.begin(), out.end());
  return out;
}

}  // namespace stillhand::cli
