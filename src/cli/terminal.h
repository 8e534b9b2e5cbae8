// Standard output and standard error of the process: what is printed, in colour or not, and whether
// it arrived.
//
//   Terminal terminal;
//   Result<void> printed = terminal.print("text\n");     // a full disk or a closed pipe is an
//   error terminal.report(diagnostics);                        // to standard error
#pragma once

#include <string>
#include <string_view>

#include "base/result.h"

namespace stillhand::cli {

class Terminal {
 public:
  // Makes sure that descriptors 0, 1 and 2 are taken (a file opened later must never become
  // standard output) and that a closed pipe is an error and no signal.
  Terminal();

  // To standard output, all of it. When the reader has gone, the error has no message: there is
  // nothing to tell anybody.
  Result<void> print(std::string_view text);

  // To standard error. Diagnostics without a message are not shown.
  void report(const Diagnostics& diagnostics);

  // One line on standard error that is overwritten by the next; only where a person is watching.
  void progress(std::string_view what, int percent);
  void end_progress();

 private:
  bool watched_ = false;   // standard error is a terminal
  bool coloured_ = false;  // and colour is welcome (NO_COLOR unset or empty, https://no-color.org)
  std::size_t shown_ = 0;  // characters of the progress line on the screen
};

}  // namespace stillhand::cli
