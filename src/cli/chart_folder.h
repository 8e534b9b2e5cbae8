// The charts of a folder, for commands that take many songs.
#pragma once

#include <filesystem>
#include <vector>

#include "base/result.h"

namespace stillhand::cli {

// Every file of the folder itself whose name ends in .stillhand, by name; hidden ones are left out. Fails where the folder
// cannot be read, or holds none.
Result<std::vector<std::filesystem::path>> charts_in(const std::filesystem::path& folder);

}  // namespace stillhand::cli
