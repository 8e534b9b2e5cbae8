#include "cli/options.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cctype>
#include <cmath>
#include <string_view>

#include "base/files.h"
#include "hand/size.h"

#ifndef STILLHAND_VERSION
#error "the build defines STILLHAND_VERSION"
#endif

namespace stillhand::cli {
namespace {

constexpr int kNarrowestSpan = 1200;  // tenths of a millimetre; hand::HandSize::from_span
constexpr int kWidestSpan = 2800;

constexpr std::string_view kOverview =
    "Stillhand turns a song's chord chart into a piano lesson: which keys and fingers the right "
    "hand\n"
    "plays for every chord, moving as little as it can; where the left hand rests; what moves at "
    "every\n"
    "change, in words; a printed sheet without staff notation, a MIDI file and play-along tracks.";

constexpr std::string_view kFooter =
    "Examples:\n"
    "  stillhand lesson quay.stillhand -o quay        the whole lesson into the folder quay\n"
    "  stillhand arrange quay.stillhand --key Eb      only the hands, in another key\n"
    "  stillhand check quay.stillhand --format        the chart, neatly laid out\n"
    "\n"
    "`stillhand COMMAND --help` shows the options of a command.\n"
    "Exit status: 0 done, 1 the chart has errors or cannot be played, 2 wrong call,\n"
    "3 something could not be read or written. NO_COLOR=1 switches colour off.";

// What is typed, before it is understood.
struct Raw {
  std::string chart;
  std::string manner = "home";
  std::string hand_size;
  std::string span;
  std::string key;
  std::string folder;
  std::string paper = "a4";
  std::string sound_font;
  std::string prices;
  bool no_audio = false;
  bool json = false;
  bool format = false;
};

void add_chart(CLI::App& app, Raw& raw) {
  app.add_option("CHART", raw.chart, "the chart file; - reads standard input")
      ->required()
      ->type_name("");
}

void add_arranging(CLI::App& app, Raw& raw) {
  app.add_option("--manner", raw.manner,
                 "home (familiar root positions slid by step; the default), closest (least "
                 "movement), or the file of a manner of your own")
      ->type_name("NAME|FILE");
  app.add_option("--hand-size", raw.hand_size, "small, medium (the default) or large")
      ->type_name("SIZE");
  app.add_option("--span-mm", raw.span,
                 "instead of a size: thumb tip to little finger tip of the flat, stretched hand, "
                 "120 to 280 millimetres")
      ->type_name("N");
  app.add_option("--key", raw.key, "transpose to this key first: D, F#m, Bb")->type_name("KEY");
}

tl::unexpected<Diagnostics> wrong_call(std::string message, std::string suggestion) {
  return failure(Fault::usage, "", std::move(message), std::move(suggestion));
}

Result<hand::Millimetre> read_span(const std::string& text) {
  std::size_t used = 0;
  double millimetres = 0;
  try {
    millimetres = std::stod(text, &used);
  } catch (const std::exception&) {
    used = 0;
  }
  const double tenths = std::round(millimetres * 10);
  if (used != text.size() || text.empty() || !(tenths >= kNarrowestSpan && tenths <= kWidestSpan)) {
    return wrong_call(fmt::format("--span-mm {}: no hand span in millimetres", text),
                      "give 120 to 280: thumb tip to little finger tip, the hand flat and "
                      "stretched without pain");
  }
  return hand::Millimetre(static_cast<int>(tenths));
}

Result<ArrangeOptions> read_arranging(const Raw& raw) {
  ArrangeOptions out;
  out.manner = raw.manner;
  if (!raw.hand_size.empty() && !raw.span.empty()) {
    return wrong_call("--hand-size and --span-mm both say how large the hand is",
                      "give only one of them");
  }
  if (!raw.hand_size.empty()) {
    if (!hand::HandSize::named(raw.hand_size)) {
      return wrong_call(fmt::format("--hand-size {}: no such size", raw.hand_size),
                        "it is small, medium or large; or measure and give --span-mm");
    }
    out.hand_size = raw.hand_size;
  }
  if (!raw.span.empty()) {
    Result<hand::Millimetre> span = read_span(raw.span);
    if (!span) return tl::unexpected(span.error());
    out.hand_span = *span;
  }
  if (!raw.key.empty()) {
    out.key = music::parse_tonality(raw.key);
    if (!out.key) {
      return wrong_call(fmt::format("--key {}: no key I know", raw.key),
                        "write it like D, Bb or F#m, with at most seven sharps or flats");
    }
  }
  return out;
}

Result<Command> read_lesson(const Raw& raw) {
  LessonCommand out;
  out.chart = raw.chart;
  Result<ArrangeOptions> arrange = read_arranging(raw);
  if (!arrange) return tl::unexpected(arrange.error());
  out.arrange = *arrange;
  if (raw.folder.empty()) {
    return wrong_call("-o: the folder has no name", "name the folder to write the lesson into");
  }
  out.folder = raw.folder;
  const auto paper = write::paper_named(raw.paper);
  if (!paper) {
    return wrong_call(fmt::format("--paper {}: no such paper", raw.paper), "it is a4 or letter");
  }
  out.paper = *paper;
  if (raw.no_audio) out.audio = LessonCommand::Audio::leave_out;
  if (!raw.sound_font.empty()) {
    if (raw.no_audio) {
      return wrong_call("--sound-font and --no-audio contradict each other", "give only one");
    }
    out.sound_font = raw.sound_font;
  }
  return out;
}

Result<Command> read_arrange(const Raw& raw) {
  ArrangeCommand out;
  out.chart = raw.chart;
  Result<ArrangeOptions> arrange = read_arranging(raw);
  if (!arrange) return tl::unexpected(arrange.error());
  out.arrange = *arrange;
  if (raw.json) out.print = ArrangeCommand::Print::json;
  if (!raw.prices.empty()) {
    out.prices_of = music::parse_chord(raw.prices);
    if (!out.prices_of) {
      const auto near = music::suggest_chord(raw.prices);
      return wrong_call(fmt::format("--prices {}: no chord I know", raw.prices),
                        near ? fmt::format("did you mean {}?", *near) : "write it as in the chart");
    }
    out.prices_of = out.prices_of->without_bass();
  }
  return out;
}

Result<Command> read_check(const Raw& raw) {
  CheckCommand out;
  out.chart = raw.chart;
  Result<ArrangeOptions> arrange = read_arranging(raw);
  if (!arrange) return tl::unexpected(arrange.error());
  out.arrange = *arrange;
  if (raw.format) out.print = CheckCommand::Print::formatted_chart;
  return out;
}

std::string without_full_stop(std::string message) {
  message = message.substr(0, message.find('\n'));
  while (!message.empty() && (message.back() == '.' || message.back() == ' ')) message.pop_back();
  if (!message.empty() && message[0] >= 'A' && message[0] <= 'Z' &&
      (message.size() < 2 || message[1] < 'A' || message[1] > 'Z')) {
    message[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(message[0])));
  }
  return message;
}

}  // namespace

Result<Command> parse_command_line(const std::vector<std::string>& arguments) {
  Raw raw;
  CLI::App app{std::string(kOverview), "stillhand"};
  app.footer(std::string(kFooter));
  app.set_help_flag("-h,--help", "print this help and exit");
  app.set_version_flag("--version", "stillhand " STILLHAND_VERSION)
      ->description("print the version and exit");
  app.get_formatter()->column_width(28);
  app.require_subcommand(0, 1);

  CLI::App* lesson = app.add_subcommand(
      "lesson", "write the whole lesson: sheet, data, MIDI and play-along tracks");
  add_chart(*lesson, raw);
  lesson->add_option("-o,--out", raw.folder, "the folder to write into; made if missing")
      ->required()
      ->type_name("DIR");
  add_arranging(*lesson, raw);
  lesson->add_option("--paper", raw.paper, "a4 (the default) or letter")->type_name("SIZE");
  lesson
      ->add_option("--sound-font", raw.sound_font,
                   "the piano to play with (.sf2 or .sf3); otherwise the installed one")
      ->type_name("FILE");
  lesson->add_flag("--no-audio", raw.no_audio, "leave the play-along tracks out");
  lesson->footer(
      "Writes lesson.json, sheet.pdf, song.mid, play-along.flac, play-along-slow.flac (60 % of "
      "the\n"
      "tempo) and, when all of them are whole, manifest.json.");

  CLI::App* arrange =
      app.add_subcommand("arrange", "print what the hands do: shapes, fingers, moves in words");
  add_chart(*arrange, raw);
  arrange->add_flag("--json", raw.json, "print one JSON object");
  arrange
      ->add_option(
          "--prices", raw.prices,
          "also print what each other shape of this chord (as it is in the key asked for) would "
          "cost the song")
      ->type_name("CHORD");
  add_arranging(*arrange, raw);

  CLI::App* check = app.add_subcommand("check", "find every mistake in a chart");
  add_chart(*check, raw);
  check->add_flag("--format", raw.format,
                  "print the chart in its standard layout; with --key, transposed");
  add_arranging(*check, raw);

  std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
  try {
    app.parse(std::move(reversed));
  } catch (const CLI::CallForHelp&) {
    const auto asked = app.get_subcommands();
    return ShowText{asked.empty() ? app.help() : asked.front()->help("stillhand")};
  } catch (const CLI::CallForVersion&) {
    return ShowText{"stillhand " STILLHAND_VERSION "\n"};
  } catch (const CLI::ParseError& error) {
    const std::string command = lesson->parsed()    ? "lesson "
                                : arrange->parsed() ? "arrange "
                                : check->parsed()   ? "check "
                                                    : "";
    return wrong_call(without_full_stop(error.what()),
                      fmt::format("`stillhand {}--help` shows how to call it", command));
  }
  if (lesson->parsed()) return read_lesson(raw);
  if (arrange->parsed()) return read_arrange(raw);
  if (check->parsed()) return read_check(raw);
  return wrong_call("say what to do: lesson, arrange or check", "`stillhand --help` shows how");
}

}  // namespace stillhand::cli
