// One command of the program, `stillhand lesson …`: the options it takes and what it does. Each stands in a file of its
// own, <name>_command.cc; commands.h lists them.
//
//   class CheckCommand : public Command {
//     std::string_view name() const override { return "check"; }
//     …
//   };
#pragma once

#include <string>
#include <string_view>

#include "base/result.h"
#include "cli/terminal.h"

namespace CLI {
class App;
}

namespace stillhand::cli {

class Command {
 public:
  Command() = default;
  Command(const Command&) = delete;
  Command& operator=(const Command&) = delete;
  virtual ~Command() = default;

  virtual std::string_view name() const = 0;   // "lesson"
  virtual std::string_view about() const = 0;  // one line of help
  // Declares the arguments on the command's own parser; what is typed lands in this object.
  virtual void declare(CLI::App& app) = 0;
  // Reads what was typed (wrong calls are Fault::usage, before any file is touched) and does it.
  virtual Result<void> run(Terminal& terminal) = 0;
};

tl::unexpected<Diagnostics> wrong_call(std::string message, std::string suggestion);

}  // namespace stillhand::cli
