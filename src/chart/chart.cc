#include "chart/chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "chart/reading.h"

namespace stillhand::chart {
namespace {

bool is_empty(const ChartText& text) {
  return std::all_of(text.lines.begin(), text.lines.end(),
                     [](const TextLine& line) { return line.kind == LineKind::blank; });
}

// No key line: the first reading's chords say which key fits, the second reading puts it in.
void propose_key(Reading& reading, Report& report) {
  const Tonality proposed = propose_tonality(played_chords(reading.song, perform(reading.song)));
  Report said_already(*reading.source);
  reading.song = build_song(*reading.source, reading.text, proposed, said_already);
  reading.song.tonality_was_proposed = true;
  report.note(fmt::format("no key line: the chords fit {} best", music::long_text(proposed)),
              fmt::format("write `key {}` above the first section if that is right",
                          music::text(proposed)));
}

}  // namespace

Result<Reading> read_chart(std::string_view text, const std::string& file) {
  auto source = Source::read(text, file);
  if (!source) return tl::unexpected(std::move(source.error()));
  Reading reading;
  reading.source = std::make_unique<const Source>(std::move(*source));
  Report report(*reading.source);
  reading.text = read_lines(*reading.source, report);
  if (is_empty(reading.text)) {
    return failure(Fault::chart, file, "the chart is empty",
                   "write `section Verse 1` and below it a line such as `| D | G | A | D |`");
  }
  reading.song = build_song(*reading.source, reading.text, Tonality{}, report);
  if (report.has_errors()) return tl::unexpected(report.take_errors());
  if (!has_key_line(reading.text)) propose_key(reading, report);
  reading.remarks = report.take_remarks();
  return reading;
}

Result<Parsed> parse(std::string_view text, const std::string& file) {
  auto reading = read_chart(text, file);
  if (!reading) return tl::unexpected(std::move(reading.error()));
  return Parsed{std::move(reading->song), std::move(reading->remarks)};
}

}  // namespace stillhand::chart
