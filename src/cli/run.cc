#include "cli/run.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cctype>
#include <string_view>

#include "cli/commands.h"

#ifndef STILLHAND_VERSION
#error "the build defines STILLHAND_VERSION"
#endif

namespace stillhand::cli {
namespace {

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

std::string without_full_stop(std::string message) {
  message = message.substr(0, message.find('\n'));
  while (!message.empty() && (message.back() == '.' || message.back() == ' ')) message.pop_back();
  if (!message.empty() && message[0] >= 'A' && message[0] <= 'Z' &&
      (message.size() < 2 || message[1] < 'A' || message[1] > 'Z')) {
    message[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(message[0])));
  }
  return message;
}

// "lesson, arrange or check"
std::string in_words(const std::vector<std::unique_ptr<Command>>& commands) {
  std::string out;
  for (std::size_t i = 0; i < commands.size(); ++i) {
    out += i == 0 ? "" : i + 1 == commands.size() ? " or " : ", ";
    out += commands[i]->name();
  }
  return out;
}

Result<void> understand_and_do(const std::vector<std::string>& arguments, Terminal& terminal) {
  CLI::App app{std::string(kOverview), "stillhand"};
  app.footer(std::string(kFooter));
  app.set_help_flag("-h,--help", "print this help and exit");
  app.set_version_flag("--version", "stillhand " STILLHAND_VERSION)
      ->description("print the version and exit");
  app.get_formatter()->column_width(28);
  app.require_subcommand(0, 1);
  const std::vector<std::unique_ptr<Command>> commands = all_commands();
  std::vector<CLI::App*> parsers;
  for (const auto& command : commands) {
    parsers.push_back(
        app.add_subcommand(std::string(command->name()), std::string(command->about())));
    command->declare(*parsers.back());
  }
  const auto asked = [&] {
    return static_cast<std::size_t>(
        std::find_if(parsers.begin(), parsers.end(),
                     [](const CLI::App* parser) { return parser->parsed(); }) -
        parsers.begin());
  };

  std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
  try {
    app.parse(std::move(reversed));
  } catch (const CLI::CallForHelp&) {
    return terminal.print(asked() == parsers.size() ? app.help()
                                                    : parsers[asked()]->help("stillhand"));
  } catch (const CLI::CallForVersion&) {
    return terminal.print("stillhand " STILLHAND_VERSION "\n");
  } catch (const CLI::ParseError& error) {
    const std::string command =
        asked() == parsers.size() ? "" : fmt::format("{} ", commands[asked()]->name());
    return wrong_call(without_full_stop(error.what()),
                      fmt::format("`stillhand {}--help` shows how to call it", command));
  }
  if (asked() == parsers.size()) {
    return wrong_call(fmt::format("say what to do: {}", in_words(commands)),
                      "`stillhand --help` shows how");
  }
  return commands[asked()]->run(terminal);
}

}  // namespace

tl::unexpected<Diagnostics> wrong_call(std::string message, std::string suggestion) {
  return failure(Fault::usage, "", std::move(message), std::move(suggestion));
}

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
  const Result<void> done = understand_and_do(arguments, terminal);
  if (done) {
    terminal.end_progress();
    return 0;
  }
  terminal.report(done.error());
  return exit_status(done.error());
}

}  // namespace stillhand::cli
