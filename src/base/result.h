// Errors as values. Every boundary of the house returns Result<T>: either the value, or all
// diagnostics at once.
//
//   Result<Song> song = chart::parse(text, "quay.stillhand");
//   if (!song) for (const Diagnostic& d : song.error()) std::cerr << render(d) << "\n";
//
// Libraries never print and never throw for bad input; render() is the one place that turns
// diagnostics into text.
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <utility>
#include <vector>

namespace stillhand {

enum class Severity { error, warning, note };
std::string_view name(Severity severity);  // "error", "warning", "note"

// What kind of fault it is; the command line derives its exit code from this and from nothing else.
enum class Fault {
  chart,  // the chart has an error or cannot be played       -> exit 1
  usage,  // the command was called wrongly                   -> exit 2
  file,   // something could not be read or written           -> exit 3
};

// A place in a text: line and column count from 1, columns in characters (code points), not bytes.
// line 0 means "the file as a whole".
struct Place {
  int line = 0;
  int column = 0;
  int length = 1;  // characters to underline, at least 1
  friend bool operator==(const Place&, const Place&) = default;
};

struct Diagnostic {
  Severity severity = Severity::error;
  Fault fault = Fault::chart;
  std::string
      file;  // as the user named it; "-" is standard input; empty where no file is concerned
  Place place;
  std::string message;      // what is wrong; no final full stop
  std::string suggestion;   // what to do about it; may be empty
  std::string source_line;  // the line the caret stands under; may be empty
  int system_error = 0;     // errno of what the system refused; 0: it refused nothing
  friend bool operator==(const Diagnostic&, const Diagnostic&) = default;
};

using Diagnostics = std::vector<Diagnostic>;

template <class T>
using Result = tl::expected<T, Diagnostics>;

// One diagnostic as a failed Result.
inline tl::unexpected<Diagnostics> failure(Diagnostic diagnostic) {
  return tl::unexpected<Diagnostics>(Diagnostics{std::move(diagnostic)});
}
inline tl::unexpected<Diagnostics> failure(Fault fault, std::string file, std::string message,
                                           std::string suggestion = {}) {
  return failure(Diagnostic{Severity::error,
                            fault,
                            std::move(file),
                            Place{},
                            std::move(message),
                            std::move(suggestion),
                            {}});
}

// "FILE:LINE:COLUMN: error: MESSAGE", then the source line, a caret, and the suggestion, each on a
// line of its own. A diagnostic without a line prints "FILE: error: MESSAGE". No final newline.
std::string render(const Diagnostic& diagnostic);

}  // namespace stillhand
