#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>

#include "cli/arranging.h"
#include "cli/commands.h"
#include "cli/paper.h"
#include "teach/lesson.h"
#include "write/pack.h"

namespace stillhand::cli {
namespace {

std::string told(const write::PackReport& report, const std::filesystem::path& folder) {
  std::string out;
  for (const write::PackedFile& file : report.files) {
    out += fmt::format("{}\n", (folder / file.name).string());
  }
  for (const write::PackedTrack& track : report.tracks) {
    out += fmt::format("{}: {}\n", track.name, write::in_words(track.audio));
  }
  return out;
}

class LessonCommand : public Command {
 public:
  std::string_view name() const override { return "lesson"; }
  std::string_view about() const override {
    return "write the whole lesson: sheet, data, MIDI and play-along tracks";
  }

  void declare(CLI::App& app) override {
    declare_chart(app, chart_);
    app.add_option("-o,--out", folder_, "the folder to write into; made if missing")
        ->required()
        ->type_name("DIR");
    arranging_.declare(app);
    declare_paper(app, paper_);
    app.add_option("--sound-font", sound_font_,
                   "the piano to play with (.sf2 or .sf3); otherwise the installed one")
        ->type_name("FILE");
    app.add_flag("--no-audio", no_audio_, "leave the play-along tracks out");
    app.footer(
        "Writes lesson.json, sheet.pdf (also in large print and as a number chart), moves.pdf,\n"
        "plan.md and .pdf (the teacher's), practice.md and .pdf (the student's), song.mid,\n"
        "song.musicxml; for play-along and play-along-slow (60 % of the tempo) the sound,\n"
        "captions, chapters and a timing table; and, when all of them are whole, manifest.json.");
  }

  Result<void> run(Terminal& terminal) override {
    const Result<Arranging> arranging = arranging_.read();
    if (!arranging) return tl::unexpected(arranging.error());
    const Result<write::PackOptions> options = read(*arranging);
    if (!options) return tl::unexpected(options.error());

    terminal.progress("arranging", 0);
    const Result<Arranged> arranged = arrange_chart(chart_, *arranging, terminal);
    if (!arranged) return tl::unexpected(arranged.error());
    const Result<write::PackReport> report = write::write_pack(
        lesson_of(*arranged), *options,
        [&](std::string_view what, int percent) { terminal.progress(what, percent); });
    if (!report) return tl::unexpected(report.error());
    terminal.report(report->remarks);
    return terminal.print(told(*report, folder_));
  }

 private:
  Result<write::PackOptions> read(const Arranging& arranging) const {
    write::PackOptions out;
    if (folder_.empty()) {
      return wrong_call("-o: the folder has no name", "name the folder to write the lesson into");
    }
    out.folder = folder_;
    const Result<write::Paper> paper = paper_of(paper_, arranging);
    if (!paper) return tl::unexpected(paper.error());
    out.sheet.paper = *paper;
    if (no_audio_) out.tracks = write::PackOptions::Tracks::leave_out;
    if (!sound_font_.empty()) {
      if (no_audio_) {
        return wrong_call("--sound-font and --no-audio contradict each other", "give only one");
      }
      out.sound_font = sound_font_;
    }
    return out;
  }

  std::string chart_;
  ArrangingFlags arranging_;
  std::string folder_;
  std::string paper_;
  std::string sound_font_;
  bool no_audio_ = false;
};

}  // namespace

std::unique_ptr<Command> lesson_command() { return std::make_unique<LessonCommand>(); }

}  // namespace stillhand::cli
