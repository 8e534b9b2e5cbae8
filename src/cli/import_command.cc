#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>

#include "base/files.h"
#include "chart/chart.h"
#include "cli/commands.h"
#include "cli/new_file.h"
#include "imports/imports.h"

namespace stillhand::cli {
namespace {

class ImportCommand : public Command {
 public:
  std::string_view name() const override { return "import"; }
  std::string_view about() const override {
    return "make a chart of chords typed over words, MusicXML or a MIDI file";
  }

  void declare(CLI::App& app) override {
    app.add_option("FILE", file_, "what to read; - reads standard input")
        ->required()
        ->type_name("");
    app.add_option("-o,--out", out_, "the chart to write; otherwise it is printed")
        ->type_name("CHART");
    app.footer(
        "What was uncertain stands in the chart as a comment. An existing chart is not written "
        "over.");
  }

  Result<void> run(Terminal& terminal) override {
    const Result<std::string> bytes = read_file(file_, imports::kLargestFile);
    if (!bytes) return tl::unexpected(bytes.error());
    if (is_chart(*bytes)) {
      return failure(Fault::chart, file_, "this is a chart already",
                     fmt::format("`stillhand check {0}` reads it, `stillhand check --format {0}` "
                                 "lays it out",
                                 file_));
    }
    const Result<std::string> chart = imports::import_file(*bytes, file_);
    if (!chart) return tl::unexpected(chart.error());
    if (out_.empty()) return terminal.print(*chart);
    return write_new_file(out_, *chart);
  }

 private:
  // By its name, or because it can be read as one.
  bool is_chart(const std::string& bytes) const {
    return std::filesystem::path(file_).extension() == ".stillhand" ||
           (bytes.size() <= chart::kLargestChart && chart::parse(bytes, file_));
  }

  std::string file_;
  std::string out_;
};

}  // namespace

std::unique_ptr<Command> import_command() { return std::make_unique<ImportCommand>(); }

}  // namespace stillhand::cli
