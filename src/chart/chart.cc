#include "chart/chart.h"

#include <fmt/format.h>

#include <algorithm>

#include "chart/build.h"
#include "chart/text.h"

namespace stillhand::chart {
namespace {

bool is_empty(const ChartText& text) {
  return std::all_of(text.lines.begin(), text.lines.end(),
                     [](const TextLine& line) { return line.kind == LineKind::blank; });
}

}  // namespace

Result<Parsed> parse(std::string_view text, const std::string& file) {
  const auto source = Source::read(text, file);
  if (!source) return tl::unexpected(source.error());
  Report report(*source);
  const ChartText lines = read_lines(*source, report);
  if (is_empty(lines)) {
    return failure(Fault::chart, file, "the chart is empty",
                   "write `section Verse 1` and below it a line such as `| D | G | A | D |`");
  }
  Parsed parsed;
  const Tonality unknown_yet;
  parsed.song = build_song(*source, lines, unknown_yet, report);
  if (report.has_errors()) return tl::unexpected(report.take_errors());
  if (!has_key_line(lines)) {
    const auto chords = played_chords(parsed.song, perform(parsed.song));
    const Tonality proposed = propose_tonality(chords);
    Report again(*source);
    parsed.song = build_song(*source, lines, proposed, again);
    parsed.song.tonality_was_proposed = true;
    report.note(fmt::format("no key line: the chords fit {} best", music::long_text(proposed)),
                fmt::format("write `key {}` above the first section if that is right",
                            music::text(proposed)));
  }
  parsed.remarks = report.take_remarks();
  return parsed;
}

}  // namespace stillhand::chart
