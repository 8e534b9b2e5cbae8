#include <string>
#include <vector>

#include "cli/run.h"
#include "cli/terminal.h"

int main(int argc, char** argv) {
  stillhand::cli::Terminal terminal;
  const std::vector<std::string> arguments(argv + (argc > 0 ? 1 : 0), argv + argc);
  return stillhand::cli::run(arguments, terminal);
}
