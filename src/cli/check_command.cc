#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/files.h"
#include "chart/chart.h"
#include "cli/arranging.h"
#include "cli/chart_file.h"
#include "cli/commands.h"
#include "perform/performance.h"
#include "teach/length.h"

namespace stillhand::cli {
namespace {

std::string counted(std::size_t number, std::string_view thing) {
  return fmt::format("{} {}{}", number, thing, number == 1 ? "" : "s");
}

class CheckCommand : public Command {
 public:
  std::string_view name() const override { return "check"; }
  std::string_view about() const override { return "find every mistake in a chart"; }

  void declare(CLI::App& app) override {
    declare_chart(app, chart_);
    app.add_flag("--format", format_,
                 "print the chart in its standard layout; with --key, transposed");
    arranging_.declare(app);
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    if (format_) return print_formatted(*arranging, terminal);

    const Result<Arranged> arranged = arrange_chart(chart_, *arranging, terminal);
    if (!arranged) return tl::unexpected(arranged.error());
    const arrange::Arrangement& a = arranged->arrangement;
    const teach::SongLength length = teach::length_of(a, perform::perform(a));
    return terminal.print(
        fmt::format("{}: good. Key {}, {}; {}, {} as played, {} to learn, {}.\n",
                    chart_ == "-" ? "standard input" : chart_, music::text(a.song.tonality),
                    music::text(a.song.meter), counted(a.song.sections.size(), "section"),
                    counted(length.bars, "bar"), counted(a.right.shapes.size(), "shape"),
                    teach::duration_in_words(length.seconds)));
  }

 private:
  Result<void> print_formatted(const Arranging& arranging, Terminal& terminal) const {
    Result<std::string> text = read_chart(chart_);
    if (!text) return tl::unexpected(text.error());
    if (arranging.key) text = chart::transpose(*text, chart_, *arranging.key);
    if (!text) return tl::unexpected(text.error());
    const Result<std::string> formatted = chart::format(*text, chart_);
    if (!formatted) return tl::unexpected(formatted.error());
    return terminal.print(*formatted);
  }

  std::string chart_;
  ArrangingFlags arranging_;
  bool format_ = false;
};

}  // namespace

std::unique_ptr<Command> check_command() { return std::make_unique<CheckCommand>(); }

}  // namespace stillhand::cli
