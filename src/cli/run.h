// One call of the program, from its arguments to its exit status.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "cli/terminal.h"

namespace stillhand::cli {

// 0 done; otherwise by Diagnostic::fault alone: 1 chart, 2 usage, 3 file. Where several kinds came
// together, the one that stands last here.
int run(const std::vector<std::string>& arguments, Terminal& terminal);

int exit_status(const Diagnostics& errors);

}  // namespace stillhand::cli
