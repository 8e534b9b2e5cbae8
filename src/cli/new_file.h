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

// Pages are made anew each time a chart is mended: a file may be replaced that begins as pages do, and nothing else.
inline constexpr std::string_view kPdfBegins = "%PDF-";
inline constexpr std::string_view kSvgBegins = "<?xml";
Result<void> check_may_replace(const std::filesystem::path& path, std::string_view begins);

}  // namespace stillhand::cli
