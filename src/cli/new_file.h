// For commands that write one file: what is there already stays.
//
//   Result<void> done = write_new_file(out_, chart);
#pragma once

#include <filesystem>
#include <string_view>

#include "base/result.h"

namespace stillhand::cli {

// Fails, Fault::file, where something of this name is: a file, a folder, a link even if it leads nowhere. Fails too where the
// name cannot be looked up.
Result<void> check_is_new(const std::filesystem::path& path);

// The same before write_file().
Result<void> write_new_file(const std::filesystem::path& path, std::string_view bytes);

}  // namespace stillhand::cli
