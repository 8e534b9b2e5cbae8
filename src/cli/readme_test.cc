// The README's tour is real: each ```console block is one command and exactly what it prints.
// STILLHAND_UPDATE_GOLDENS=1 writes the present output into the README.
#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

namespace stillhand::cli {
namespace {

constexpr std::string_view kOpen = "```console\n$ ";
constexpr std::string_view kClose = "```\n";
const char* const kReadme = STILLHAND_SOURCE_DIR "/README.md";

std::string output_of(const std::string& command) {
  const std::string line = "cd '" STILLHAND_SOURCE_DIR "' && PATH='" STILLHAND_BINARY_DIR
                           "':\"$PATH\" && export PATH && { " +
                           command + "; } 2>&1 </dev/null";
  std::FILE* pipe = ::popen(line.c_str(), "r");
  if (pipe == nullptr) return "cannot run the shell";
  std::string out;
  char buffer[4096];
  for (std::size_t got = 0; (got = std::fread(buffer, 1, sizeof buffer, pipe)) > 0;) {
    out.append(buffer, got);
  }
  ::pclose(pipe);
  return out;
}

TEST(Readme, ShowsWhatTheProgramPrints) {
  std::ifstream in(kReadme, std::ios::binary);
  std::ostringstream content;
  content << in.rdbuf();
  std::string readme = content.str();
  const bool update = std::getenv("STILLHAND_UPDATE_GOLDENS") != nullptr;
  int blocks = 0;
  for (std::size_t at = readme.find(kOpen); at != std::string::npos; at = readme.find(kOpen, at)) {
    const std::size_t command_at = at + kOpen.size();
    const std::size_t output_at = readme.find('\n', command_at) + 1;
    const std::size_t end = readme.find(kClose, output_at);
    ASSERT_NE(end, std::string::npos) << "a block is not closed";
    const std::string command = readme.substr(command_at, output_at - 1 - command_at);
    const std::string shown = readme.substr(output_at, end - output_at);
    const std::string printed = output_of(command);
    if (update) {
      readme.replace(output_at, end - output_at, printed);
    } else {
      EXPECT_EQ(shown, printed) << command;
    }
    ++blocks;
    at = output_at;
  }
  EXPECT_GE(blocks, 5);
  if (update) std::ofstream(kReadme, std::ios::binary) << readme;
}

}  // namespace
}  // namespace stillhand::cli
