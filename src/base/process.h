// Another program, run for what it prints.
//
//   Result<std::string> wav = output_of({"espeak-ng", "--stdout", "one"});
//
// Found in PATH; no shell, so that no word of it is read as a command. It reads nothing and its messages go nowhere. Errors,
// all Fault::file: no such program, or it ended otherwise than with 0.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"

namespace stillhand {

Result<std::string> output_of(const std::vector<std::string>& command);

}  // namespace stillhand
