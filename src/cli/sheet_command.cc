#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>

#include "base/files.h"
#include "cli/arranging.h"
#include "cli/commands.h"
#include "cli/new_file.h"
#include "cli/paper.h"
#include "write/sheet.h"

namespace stillhand::cli {
namespace {

namespace fs = std::filesystem;

std::string kinds_in_words() {
  std::string out;
  const auto& all = write::all_sheet_kinds();
  for (std::size_t i = 0; i < all.size(); ++i) {
    out += i == 0 ? "" : i + 1 == all.size() ? " or " : ", ";
    out += write::name(all[i]);
  }
  return out;
}

// What an SVG of ours says of itself before "page 2 of 3": the song. Empty of any other file.
std::string title_of(std::string_view svg, std::size_t page) {
  constexpr std::string_view kTitle = "\n<title>";
  const std::size_t begin = svg.find(kTitle);
  if (!svg.starts_with(kSvgBegins) || begin == std::string_view::npos) return "";
  const std::size_t end = svg.find(fmt::format("page {} of ", page), begin);
  if (end == std::string_view::npos) return "";
  const std::string_view title = svg.substr(begin, end - begin);
  return title.find('\n', 1) == std::string_view::npos ? std::string(title) : "";
}

// A page of an earlier, longer sheet of the same song, which nobody would take for one of this sheet.
bool is_earlier_page(const fs::path& path, std::size_t page, const std::string& first_page) {
  constexpr std::size_t kLargestPage = std::size_t{4}
                                       << 20U;  // our judgement: ours have some 100 kB
  std::error_code error;
  if (!fs::is_regular_file(fs::symlink_status(path, error))) return false;
  const Result<std::string> found = read_file(path.string(), kLargestPage);
  if (!found) return false;
  const std::string title = title_of(*found, page);
  return !title.empty() && title == title_of(first_page, 1);
}

// "quay.svg" of one page; "quay-1.svg", "quay-2.svg" of more.
fs::path page_path(const fs::path& out, std::size_t page, std::size_t pages) {
  if (pages == 1) return out;
  fs::path name = out;
  name.replace_filename(
      fmt::format("{}-{}{}", out.stem().string(), page + 1, out.extension().string()));
  return name;
}

class SheetCommand : public Command {
 public:
  std::string_view name() const override { return "sheet"; }
  std::string_view about() const override {
    return "write one sheet: the song, its number chart or its moves, in normal or large print";
  }

  void declare(CLI::App& app) override {
    declare_chart(app, chart_);
    app.add_option("-o,--out", out_, "the file to write: .pdf, or .svg with a file for each page")
        ->required()
        ->type_name("FILE");
    app.add_option("--kind", kind_, kinds_in_words() + "; otherwise song")->type_name("KIND");
    app.add_option("--print", print_, "normal or large (16 points and more); otherwise normal")
        ->type_name("PRINT");
    app.add_option("--chords", chords_,
                   "letters or numbers (degrees of the key) in the bars of a song sheet")
        ->type_name("WRITING");
    declare_paper(app, paper_);
    arranging_.declare(app);
    app.footer(
        "A PDF holds all pages. An SVG is one page: where there are more, the files are\n"
        "FILE-1.svg, FILE-2.svg and so on. A PDF or SVG of the same name is replaced,\n"
        "pages that the sheet of this song no longer has are removed, nothing else is.");
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    const Result<write::SheetOptions> options = read(*arranging);
    if (!options) return tl::unexpected(options.error());
    const fs::path out(out_);
    const bool is_svg = out.extension() == ".svg";
    if (!is_svg) {
      if (auto may = check_may_replace(out, kPdfBegins); !may) return may;
    }
    const Result<Arranged> arranged = arrange_chart(chart_, *arranging, terminal);
    if (!arranged) return tl::unexpected(arranged.error());
    const teach::Lesson lesson = teach::lesson_of(*arranged);
    if (is_svg) return write_svg(lesson, *options, out, terminal);
    const Result<std::string> pdf = write::sheet_pdf(lesson, *options);
    if (!pdf) return tl::unexpected(pdf.error());
    if (auto done = write_file(out, *pdf); !done) return done;
    return terminal.print(out.string() + "\n");
  }

 private:
  static Result<void> write_svg(const teach::Lesson& lesson, const write::SheetOptions& options,
                                const fs::path& out, Terminal& terminal) {
    const Result<std::vector<std::string>> pages = write::sheet_svg(lesson, options);
    if (!pages) return tl::unexpected(pages.error());
    for (std::size_t i = 0; i < pages->size(); ++i) {
      const fs::path name = page_path(out, i, pages->size());
      if (auto may = check_may_replace(name, kSvgBegins); !may) return may;
    }
    std::string told;
    for (std::size_t i = 0; i < pages->size(); ++i) {
      const fs::path name = page_path(out, i, pages->size());
      if (auto done = write_file(name, (*pages)[i]); !done) return done;
      told += name.string() + "\n";
    }
    terminal.report(remove_earlier_pages(out, *pages));
    return terminal.print(told);
  }

  // The pages that this sheet no longer has: behind its last one, and the one without a number where there are now several,
  // or the other way round. Nothing else is touched; what cannot be removed stays.
  static Diagnostics remove_earlier_pages(const fs::path& out,
                                          const std::vector<std::string>& pages) {
    constexpr std::size_t kSeveral = 2;  // pages: their names have numbers
    Diagnostics told;
    const auto removed = [&](const fs::path& name, std::size_t page) {
      std::error_code error;
      if (!is_earlier_page(name, page, pages.front()) || !fs::remove(name, error)) return false;
      told.push_back({Severity::note,
                      Fault::file,
                      name.string(),
                      {},
                      "removed, a page of the sheet that was here",
                      "",
                      ""});
      return true;
    };
    if (pages.size() > 1) removed(out, 1);
    std::size_t page = pages.size() == 1 ? 0 : pages.size();
    while (removed(page_path(out, page, kSeveral), page + 1)) ++page;
    return told;
  }

  Result<write::SheetOptions> read(const Arranging& arranging) const {
    write::SheetOptions out;
    const fs::path ending = fs::path(out_).extension();
    if (ending != ".pdf" && ending != ".svg") {
      return wrong_call(fmt::format("-o {}: a sheet is a .pdf or a .svg", out_),
                        "let the name end in one of them");
    }
    const auto kind = write::sheet_kind_named(kind_);
    if (!kind) {
      return wrong_call(fmt::format("--kind {}: no such sheet", kind_),
                        fmt::format("a kind is {}", kinds_in_words()));
    }
    out.kind = *kind;
    const auto print = write::print_named(print_);
    if (!print) {
      return wrong_call(fmt::format("--print {}: no such print", print_), "it is normal or large");
    }
    out.print = *print;
    if (*kind == write::SheetKind::moves && *print == write::Print::large) {
      return wrong_call("--print large: the sheet of moves has no large print",
                        "leave --print out; its pictures are large already");
    }
    if (!chords_.empty()) {
      const auto chords = write::chord_writing_named(chords_);
      if (!chords) {
        return wrong_call(fmt::format("--chords {}: no such writing", chords_),
                          "it is letters or numbers");
      }
      if (*kind != write::SheetKind::song) {
        return wrong_call(fmt::format("--chords does not go together with --kind {}", kind_),
                          "it is for song sheets");
      }
      out.chords = *chords;
    }
    const Result<write::Paper> paper = paper_of(paper_, arranging);
    if (!paper) return tl::unexpected(paper.error());
    out.paper = *paper;
    return out;
  }

  std::string chart_;
  ArrangingFlags arranging_;
  std::string out_;
  std::string kind_ = "song";
  std::string print_ = "normal";
  std::string chords_;
  std::string paper_;
};

}  // namespace

std::unique_ptr<Command> sheet_command() { return std::make_unique<SheetCommand>(); }

}  // namespace stillhand::cli
