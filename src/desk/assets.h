// The files of the desk's page, built into the program.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace stillhand::desk {

struct Asset {
  std::string path;  // "/", "/desk.js"
  std::string type;  // media type
  std::string_view bytes;
};

const std::vector<Asset>& built_in_assets();

}  // namespace stillhand::desk
