// The command line as a value.
//
//   Result<Command> command = parse_command_line({"arrange", "quay.stillhand", "--json"});
//   std::get<ArrangeCommand>(*command).chart == "quay.stillhand"
//
// Wrong calls are Fault::usage, with what to do.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/result.h"
#include "hand/geometry.h"
#include "music/chord.h"
#include "music/tonality.h"
#include "write/sheet.h"

namespace stillhand::cli {

// What every command that arranges needs to know.
struct ArrangeOptions {
  std::string manner = "home";                // a name or a file
  std::string hand_size = "medium";           // small, medium, large
  std::optional<hand::Millimetre> hand_span;  // instead of a size
  std::optional<music::Tonality> key;         // transpose to it
};

struct LessonCommand {
  std::string chart;  // "-" = standard input
  ArrangeOptions arrange;
  std::filesystem::path folder;
  write::Paper paper = write::Paper::a4;
  enum class Audio { render, leave_out } audio = Audio::render;
  std::optional<std::filesystem::path> sound_font;
};

struct ArrangeCommand {
  std::string chart;
  ArrangeOptions arrange;
  enum class Print { text, json } print = Print::text;
  std::optional<music::Chord> prices_of;
};

struct CheckCommand {
  std::string chart;
  ArrangeOptions arrange;
  enum class Print { summary, formatted_chart } print = Print::summary;
};

// --help or --version: print this and be done.
struct ShowText {
  std::string text;
};

using Command = std::variant<LessonCommand, ArrangeCommand, CheckCommand, ShowText>;

// The arguments without the program's name.
Result<Command> parse_command_line(const std::vector<std::string>& arguments);

}  // namespace stillhand::cli
