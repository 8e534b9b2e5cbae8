#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>

#include "base/files.h"
#include "cli/arranging.h"
#include "cli/chart_folder.h"
#include "cli/commands.h"
#include "cli/new_file.h"
#include "cli/paper.h"
#include "teach/lesson.h"
#include "write/book.h"

namespace stillhand::cli {
namespace {

class BindCommand : public Command {
 public:
  std::string_view name() const override { return "bind"; }
  std::string_view about() const override {
    return "bind the charts of a folder into one book of song sheets";
  }

  void declare(CLI::App& app) override {
    app.add_option("folder", folder_, "the folder with the charts (.stillhand)")
        ->required()
        ->type_name("FOLDER");
    app.add_option("-o,--out", out_, "the PDF to write; a PDF of that name is replaced")
        ->required()
        ->type_name("FILE");
    app.add_option("--title", title_, "the title of the book; otherwise the folder's name")
        ->type_name("TEXT");
    app.add_option("--order", order_, "title (the default) or file: how the songs follow")
        ->type_name("ORDER");
    declare_paper(app, paper_);
    arranging_.declare_hands(app);
    app.footer(
        "Title page, contents, the sheets, an index by first words and one by the chords that\n"
        "are needed. A song of two pages stands on two facing pages.");
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    if (order_ != "title" && order_ != "file") {
      return wrong_call(fmt::format("--order {}: no such order", order_), "it is title or file");
    }
    const Result<write::Paper> paper = paper_of(paper_, *arranging);
    if (!paper) return tl::unexpected(paper.error());
    if (auto may = check_may_replace(out_, kPdfBegins); !may) return may;
    Result<std::vector<teach::Lesson>> songs = arrange_all(*arranging, terminal);
    if (!songs) return tl::unexpected(std::move(songs.error()));
    if (order_ == "title") write::order_by_title(*songs);
    write::Book book{title_.empty() ? named_after_folder() : title_, std::move(*songs)};
    const auto pdf = write::book_pdf(book, {*paper}, [&](std::size_t done) {
      terminal.progress("setting the sheets", static_cast<int>(100 * done / book.songs.size()));
    });
    if (!pdf) return tl::unexpected(pdf.error());
    if (auto written = write_file(out_, *pdf); !written) return written;
    return terminal.print(
        fmt::format("{}: {} song{}\n", out_, book.songs.size(), book.songs.size() == 1 ? "" : "s"));
  }

 private:
  // All faults of all charts: a book from which songs are silently missing would be worse than none.
  Result<std::vector<teach::Lesson>> arrange_all(const Arranging& arranging,
                                                 Terminal& terminal) const {
    const auto charts = charts_in(folder_);
    if (!charts) return tl::unexpected(charts.error());
    std::vector<teach::Lesson> songs;
    Diagnostics errors;
    for (std::size_t i = 0; i < charts->size(); ++i) {
      terminal.progress("arranging", static_cast<int>(100 * i / charts->size()));
      const Result<Arranged> arranged = arrange_chart((*charts)[i].string(), arranging, terminal);
      if (arranged) {
        songs.push_back(teach::lesson_of(*arranged));
      } else {
        errors.insert(errors.end(), arranged.error().begin(), arranged.error().end());
      }
    }
    if (!errors.empty()) return tl::unexpected(std::move(errors));
    return songs;
  }

  std::string named_after_folder() const {
    std::error_code error;
    return std::filesystem::weakly_canonical(folder_, error).filename().string();
  }

  ArrangingFlags arranging_;
  std::string folder_;
  std::string out_;
  std::string title_;
  std::string order_ = "title";
  std::string paper_;
};

}  // namespace

std::unique_ptr<Command> bind_command() { return std::make_unique<BindCommand>(); }

}  // namespace stillhand::cli
