// --paper, for commands that write pages.
#pragma once

#include <string>

#include "base/result.h"
#include "cli/arranging.h"
#include "write/sheet.h"

namespace CLI {
class App;
}

namespace stillhand::cli {

void declare_paper(CLI::App& app, std::string& paper);

// The paper named, otherwise the student's, otherwise A4.
Result<write::Paper> paper_of(const std::string& named, const Arranging& arranging);

}  // namespace stillhand::cli
