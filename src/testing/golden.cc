#include "testing/golden.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

namespace stillhand::testing {

void expect_golden(const std::string& root, const std::string& name, std::string_view now) {
  const auto path = std::filesystem::path(root) / "golden" / name;
  if (std::getenv("STILLHAND_UPDATE_GOLDENS") != nullptr) {
    std::filesystem::create_directories(path.parent_path());
    std::ofstream(path, std::ios::binary) << now;
    return;
  }
  std::ifstream file(path, std::ios::binary);
  ASSERT_TRUE(file) << path << " is missing; STILLHAND_UPDATE_GOLDENS=1 writes it";
  const std::string approved((std::istreambuf_iterator<char>(file)), {});
  EXPECT_EQ(now, approved) << "look at the change; STILLHAND_UPDATE_GOLDENS=1 approves it";
}

}  // namespace stillhand::testing
