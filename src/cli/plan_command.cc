#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>

#include "base/files.h"
#include "cli/arranging.h"
#include "cli/clean_at.h"
#include "cli/commands.h"
#include "cli/new_file.h"
#include "cli/paper.h"
#include "teach/lesson.h"
#include "write/plan.h"

namespace stillhand::cli {
namespace {

class PlanCommand : public Command {
 public:
  std::string_view name() const override { return "plan"; }
  std::string_view about() const override {
    return "the teaching plan with speaking notes, or the student's practice plan";
  }

  void declare(CLI::App& app) override {
    declare_chart(app, chart_);
    app.add_option("-o,--out", out_,
                   "the file to write, .md or .pdf; otherwise Markdown is printed")
        ->type_name("FILE");
    app.add_option("--for", reader_, "teacher (the teaching plan) or student (the practice plan)")
        ->type_name("WHOM");
    declare_clean_at(app, clean_at_);
    declare_paper(app, paper_);
    arranging_.declare(app);
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    const Result<write::PlanOptions> options = read(*arranging);
    if (!options) return tl::unexpected(options.error());
    const Result<std::optional<music::Tempo>> clean_at = read_clean_at(clean_at_);
    if (!clean_at) return tl::unexpected(clean_at.error());
    if (!out_.empty()) {
      const bool is_pdf = std::filesystem::path(out_).extension() == ".pdf";
      if (auto may = is_pdf ? check_may_replace(out_, kPdfBegins) : check_is_new(out_); !may)
        return may;
    }
    Result<Arranged> arranged = arrange_chart(chart_, *arranging, terminal);
    if (!arranged) return tl::unexpected(arranged.error());
    if (*clean_at) arranged->comfortable = *clean_at;
    const teach::Lesson lesson = teach::lesson_of(*arranged);
    if (out_.empty()) return terminal.print(write::plan_markdown(lesson, *options));
    if (std::filesystem::path(out_).extension() == ".md")
      return write_new_file(out_, write::plan_markdown(lesson, *options));
    const Result<std::string> pdf = write::plan_pdf(lesson, *options);
    if (!pdf) return tl::unexpected(pdf.error());
    return write_file(out_, *pdf);
  }

 private:
  Result<write::PlanOptions> read(const Arranging& arranging) const {
    write::PlanOptions out;
    if (reader_ == "student") {
      out.reader = write::PlanReader::student;
    } else if (reader_ != "teacher") {
      return wrong_call(fmt::format("--for {}: no such reader", reader_),
                        "it is teacher or student");
    }
    const auto ending = std::filesystem::path(out_).extension();
    if (!out_.empty() && ending != ".md" && ending != ".pdf") {
      return wrong_call(fmt::format("-o {}: neither .md nor .pdf", out_),
                        "end the file's name in .md for Markdown or .pdf for print");
    }
    if (!paper_.empty() && ending != ".pdf") {
      return wrong_call(fmt::format("--paper {}: Markdown has no paper", paper_),
                        "write a PDF, with -o and a name that ends in .pdf, or leave --paper out");
    }
    const Result<write::Paper> paper = paper_of(paper_, arranging);
    if (!paper) return tl::unexpected(paper.error());
    out.paper = *paper;
    return out;
  }

  std::string chart_;
  ArrangingFlags arranging_;
  std::string out_;
  std::string reader_ = "teacher";
  std::string clean_at_;
  std::string paper_;
};

}  // namespace

std::unique_ptr<Command> plan_command() { return std::make_unique<PlanCommand>(); }

}  // namespace stillhand::cli
