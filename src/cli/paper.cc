#include "cli/paper.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "cli/command.h"

namespace stillhand::cli {

void declare_paper(CLI::App& app, std::string& paper) {
  app.add_option("--paper", paper, "a4 or letter; otherwise the student's, or a4")
      ->type_name("SIZE");
}

Result<write::Paper> paper_of(const std::string& named, const Arranging& arranging) {
  if (named.empty()) {
    const bool letter =
        arranging.student && arranging.student->paper == arrange::StudentPaper::letter;
    return letter ? write::Paper::letter : write::Paper::a4;
  }
  const auto paper = write::paper_named(named);
  if (paper) return *paper;
  return wrong_call(fmt::format("--paper {}: no such paper", named), "it is a4 or letter");
}

}  // namespace stillhand::cli
