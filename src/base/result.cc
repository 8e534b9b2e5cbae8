#include "base/result.h"

#include <fmt/format.h>

#include <algorithm>

namespace stillhand {
namespace {

// The first `count` characters of a line as blanks; tabs stay tabs so that the caret stands under
// its character.
std::string blanks_like(std::string_view line, int count) {
  std::string out;
  for (std::size_t i = 0; i < line.size() && count > 0; ++i) {
    const bool continuation = (static_cast<unsigned char>(line[i]) & 0xC0U) == 0x80U;
    if (continuation) continue;
    out += line[i] == '\t' ? '\t' : ' ';
    --count;
  }
  if (count > 0) out.append(static_cast<std::size_t>(count), ' ');
  return out;
}

}  // namespace

std::string_view name(Severity severity) {
  switch (severity) {
    case Severity::error:
      return "error";
    case Severity::warning:
      return "warning";
    case Severity::note:
      return "note";
  }
  return "error";
}

std::string render(const Diagnostic& d) {
  std::string out = d.file;
  if (d.place.line > 0) out += fmt::format(":{}:{}", d.place.line, d.place.column);
  if (!out.empty()) out += ": ";
  out += fmt::format("{}: {}", name(d.severity), d.message);
  if (!d.source_line.empty() && d.place.line > 0) {
    out +=
        fmt::format("\n  {}\n  {}{}", d.source_line, blanks_like(d.source_line, d.place.column - 1),
                    std::string(static_cast<std::size_t>(std::max(1, d.place.length)), '^'));
  }
  if (!d.suggestion.empty()) out += "\n  " + d.suggestion;
  return out;
}

}  // namespace stillhand
