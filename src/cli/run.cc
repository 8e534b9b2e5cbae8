#include "cli/run.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <variant>

#include "arrange/arrange.h"
#include "base/files.h"
#include "chart/chart.h"
#include "cli/arrange_output.h"
#include "cli/options.h"
#include "perform/performance.h"
#include "teach/lesson.h"
#include "write/pack.h"

namespace stillhand::cli {
namespace {

constexpr std::size_t kLargestManner = 1 << 16;  // bytes (our judgement: a manner has 1 KB)

struct Loaded {
  std::string text;
  chart::Song song;
};

// The chart as a Song in the wanted key. Remarks go to standard error at once.
Result<Loaded> load(const std::string& path, const std::optional<music::Tonality>& key,
                    Terminal& terminal) {
  Result<std::string> text = read_file(path, chart::kLargestChart);
  if (!text) return tl::unexpected(text.error());
  Result<chart::Parsed> parsed = chart::parse(*text, path);
  if (!parsed) return tl::unexpected(parsed.error());
  terminal.report(parsed->remarks);
  if (!key) return Loaded{std::move(*text), std::move(parsed->song)};
  Result<chart::Song> moved = chart::transpose(parsed->song, *key);
  if (!moved) return tl::unexpected(moved.error());
  return Loaded{std::move(*text), std::move(*moved)};
}

Result<arrange::Manner> manner_of(const std::string& name_or_file) {
  if (const auto known = arrange::Manner::named(name_or_file)) return *known;
  Result<std::string> text = read_file(name_or_file, kLargestManner);
  if (!text) {
    Diagnostics errors = text.error();
    errors.front().suggestion = "a manner is home, closest, or the name of a manner file";
    return tl::unexpected(std::move(errors));
  }
  return arrange::Manner::read(*text, name_or_file);
}

Result<arrange::Choices> choices_of(const ArrangeOptions& options) {
  Result<arrange::Manner> manner = manner_of(options.manner);
  if (!manner) return tl::unexpected(manner.error());
  const std::optional<hand::HandSize> hand = options.hand_span
                                                 ? hand::HandSize::from_span(*options.hand_span)
                                                 : hand::HandSize::named(options.hand_size);
  if (!hand) return failure(Fault::usage, "", "no such hand size", "give small, medium or large");
  arrange::Choices choices;
  choices.manner = *manner;
  choices.hand = *hand;
  return choices;
}

// Faults found while arranging know their place but not the text.
Diagnostics with_source_lines(Diagnostics errors, std::string_view text) {
  for (Diagnostic& error : errors) {
    if (error.place.line == 0 || !error.source_line.empty()) continue;
    std::string_view rest = text;
    for (int line = 1; line < error.place.line; ++line) {
      rest.remove_prefix(std::min(rest.size(), rest.find('\n') + 1));
    }
    std::string_view line = rest.substr(0, rest.find('\n'));
    if (line.ends_with('\r')) line.remove_suffix(1);
    error.source_line = line;
  }
  return errors;
}

struct Arranged {
  Loaded loaded;
  arrange::Choices choices;
  arrange::Arrangement arrangement;
};

Result<Arranged> arrange_chart(const std::string& path, const ArrangeOptions& options,
                               Terminal& terminal) {
  Result<arrange::Choices> choices = choices_of(options);
  if (!choices) return tl::unexpected(choices.error());
  Result<Loaded> loaded = load(path, options.key, terminal);
  if (!loaded) return tl::unexpected(loaded.error());
  Result<arrange::Arrangement> arrangement = arrange::arrange(loaded->song, *choices);
  if (!arrangement) return tl::unexpected(with_source_lines(arrangement.error(), loaded->text));
  terminal.report(arrangement->remarks);
  return Arranged{std::move(*loaded), std::move(*choices), std::move(*arrangement)};
}

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

Result<void> execute(const LessonCommand& command, Terminal& terminal) {
  terminal.progress("arranging", 0);
  Result<Arranged> arranged = arrange_chart(command.chart, command.arrange, terminal);
  if (!arranged) return tl::unexpected(arranged.error());
  const teach::Lesson lesson = teach::teach(arranged->arrangement);

  write::PackOptions options;
  options.folder = command.folder;
  options.sheet.paper = command.paper;
  options.sound_font = command.sound_font;
  if (command.audio == LessonCommand::Audio::leave_out) {
    options.tracks = write::PackOptions::Tracks::leave_out;
  }
  Result<write::PackReport> report = write::write_pack(
      lesson, options,
      [&](std::string_view what, int percent) { terminal.progress(what, percent); });
  if (!report) return tl::unexpected(report.error());
  terminal.report(report->remarks);
  return terminal.print(told(*report, command.folder));
}

Result<void> execute(const ArrangeCommand& command, Terminal& terminal) {
  Result<Arranged> arranged = arrange_chart(command.chart, command.arrange, terminal);
  if (!arranged) return tl::unexpected(arranged.error());
  std::optional<PriceList> list;
  if (command.prices_of) {
    auto prices = arrange::prices(arranged->loaded.song, arranged->choices, *command.prices_of);
    if (!prices) return tl::unexpected(prices.error());
    list = PriceList{*command.prices_of, std::move(*prices)};
  }
  const teach::Lesson lesson = teach::teach(arranged->arrangement);
  const PriceList* shown = list ? &*list : nullptr;
  return terminal.print(command.print == ArrangeCommand::Print::json
                            ? arrange_json(arranged->arrangement, lesson, shown)
                            : arrange_text(lesson, shown));
}

Result<void> print_formatted(const CheckCommand& command, Terminal& terminal) {
  Result<std::string> text = read_file(command.chart, chart::kLargestChart);
  if (!text) return tl::unexpected(text.error());
  if (command.arrange.key) text = chart::transpose(*text, command.chart, *command.arrange.key);
  if (!text) return tl::unexpected(text.error());
  Result<std::string> formatted = chart::format(*text, command.chart);
  if (!formatted) return tl::unexpected(formatted.error());
  return terminal.print(*formatted);
}

std::string counted(std::size_t number, std::string_view thing) {
  return fmt::format("{} {}{}", number, thing, number == 1 ? "" : "s");
}

// Bars as played; a pick-up is no bar of its own.
std::size_t whole_bars(const arrange::Arrangement& a) {
  return static_cast<std::size_t>(std::count_if(
      a.bars.begin(), a.bars.end(),
      [&](const chart::PlayedBar& played) { return !chart::bar_of(a.song, played).is_pick_up; }));
}

Result<void> execute(const CheckCommand& command, Terminal& terminal) {
  if (command.print == CheckCommand::Print::formatted_chart) {
    return print_formatted(command, terminal);
  }
  Result<Arranged> arranged = arrange_chart(command.chart, command.arrange, terminal);
  if (!arranged) return tl::unexpected(arranged.error());
  const arrange::Arrangement& a = arranged->arrangement;
  const perform::Performance performance = perform::perform(a);
  const double seconds = perform::seconds(performance, performance.end, 100) -
                         perform::seconds(performance, performance.count_in, 100);
  return terminal.print(
      fmt::format("{}: good. Key {}, {}; {}, {} as played, {} to learn, {}.\n",
                  command.chart == "-" ? "standard input" : command.chart,
                  music::text(a.song.tonality), music::text(a.song.meter),
                  counted(a.song.sections.size(), "section"), counted(whole_bars(a), "bar"),
                  counted(a.right.shapes.size(), "shape"), duration_in_words(seconds)));
}

Result<void> execute(const ShowText& command, Terminal& terminal) {
  return terminal.print(command.text);
}

}  // namespace

int exit_status(const Diagnostics& errors) {
  int status = 0;
  for (const Diagnostic& error : errors) {
    if (error.severity != Severity::error) continue;
    switch (error.fault) {
      case Fault::chart:
        status = std::max(status, 1);
        break;
      case Fault::usage:
        status = std::max(status, 2);
        break;
      case Fault::file:
        status = std::max(status, 3);
        break;
    }
  }
  return status;
}

int run(const std::vector<std::string>& arguments, Terminal& terminal) {
  const Result<Command> command = parse_command_line(arguments);
  const Result<void> done =
      command ? std::visit([&](const auto& c) { return execute(c, terminal); }, *command)
              : Result<void>(tl::unexpected(command.error()));
  if (done) {
    terminal.end_progress();
    return 0;
  }
  terminal.report(done.error());
  return exit_status(done.error());
}

}  // namespace stillhand::cli
