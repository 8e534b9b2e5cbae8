#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "arrange/extras_search.h"
#include "base/nearest.h"
#include "chart/bar_text.h"
#include "chart/chart.h"
#include "chart/reading.h"
#include "chart/symbol.h"

namespace stillhand::arrange {
namespace {

using chart::Bar;
using chart::LineKind;
using chart::Notation;
using chart::Reading;
using chart::ScaleStep;
using chart::Symbol;
using music::NoteName;
using music::Tick;
using music::Tonality;

// ---- chords and bars as a chart writes them

std::optional<ScaleStep> step_of(NoteName note, Tonality tonality) {
  for (const int alteration : {0, -1, 1}) {
    for (int number = 1; number <= 7; ++number) {
      const ScaleStep step{number, alteration};
      if (chart::note_of(step, tonality) == note) return step;
    }
  }
  return std::nullopt;
}

// nullopt where this notation cannot say it.
std::optional<std::string> chord_text(const Chord& chord, Notation notation, Tonality tonality) {
  if (notation == Notation::letters) return music::text(chord);
  const auto root = step_of(chord.root, tonality);
  if (!root) return std::nullopt;
  for (const int alteration : {root->alteration, 0, 1}) {
    Symbol symbol{ScaleStep{root->number, alteration}, chord.quality, std::nullopt};
    if (chord.bass) {
      const auto bass = step_of(*chord.bass, tonality);
      if (!bass) return std::nullopt;
      symbol.bass = *bass;
    }
    for (const int bass_alteration : {-2, 0, -1, 1}) {
      if (symbol.bass && bass_alteration != -2) {
        std::get<ScaleStep>(*symbol.bass).alteration = bass_alteration;
      }
      if (chart::chord_of(symbol, tonality) == chord) return chart::text(symbol, notation);
    }
  }
  return std::nullopt;
}

std::optional<std::string> bar_text(const Bar& bar, Notation notation) {
  std::vector<chart::Onset> onsets;
  Tick at{0};
  for (const chart::ChordEvent& event : bar.chords) {
    const auto symbol =
        event.chord ? chord_text(*event.chord, notation, bar.tonality) : std::string("N.C.");
    if (!symbol) return std::nullopt;
    onsets.push_back({at, *symbol});
    at += event.duration;
  }
  return chart::bar_text(onsets, bar.meter, bar.length);
}

std::optional<std::string> line_text(const std::vector<Bar>& bars, Notation notation) {
  std::string out = bars.front().is_pick_up ? "pick-up |" : "|";
  for (const Bar& bar : bars) {
    const auto text = bar_text(bar, notation);
    if (!text) return std::nullopt;
    out += " " + *text + " |";
  }
  return out;
}

// ---- where things stand in the text

// The last text line of each written line, with its words and `or` lines; and the text lines of its own row.
struct WrittenLine {
  std::size_t first = 0;
  std::size_t last = 0;
};
struct WrittenSection {
  std::size_t heading = 0;
  std::vector<WrittenLine> lines;
};

std::vector<WrittenSection> written_sections(const chart::ChartText& text) {
  std::vector<WrittenSection> out;
  bool after_option = false;
  for (std::size_t i = 0; i < text.lines.size(); ++i) {
    const LineKind kind = text.lines[i].kind;
    if (kind == LineKind::blank) continue;
    const bool is_bars = kind == LineKind::bars || kind == LineKind::pick_up;
    if (kind == LineKind::section) out.push_back({i, {}});
    if (is_bars && !after_option) out.back().lines.push_back({i, i});
    const bool belongs = is_bars || kind == LineKind::words || kind == LineKind::option;
    if (belongs && !out.empty() && !out.back().lines.empty()) out.back().lines.back().last = i;
    after_option = kind == LineKind::option;
  }
  return out;
}

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += line + "\n";
  return out;
}

// The label, with a number where the line has it already.
std::string free_label(const chart::Line& line, const std::string& label) {
  const auto taken = [&](const std::string& wanted) {
    return std::any_of(line.options.begin(), line.options.end(), [&](const auto& option) {
      return lower_case(option.label) == lower_case(wanted);
    });
  };
  std::string out = label;
  for (int number = 2; taken(out); ++number) out = fmt::format("{} {}", label, number);
  return out;
}

Result<std::string> with_lines(const Reading& reading, const Extra& extra) {
  const std::vector<WrittenSection> sections = written_sections(reading.text);
  std::vector<std::string> lines = reading.source->lines();
  // From the bottom up, so that the places above stay.
  for (auto line = extra.lines.rbegin(); line != extra.lines.rend(); ++line) {
    const auto text = line_text(line->option.bars, reading.text.notation);
    if (!text) {
      return failure(Fault::chart, reading.song.file,
                     fmt::format("`{}` cannot be written in {}", extra.id,
                                 chart::name_of(reading.text.notation)),
                     "write this line with letters");
    }
    const chart::Line& above = reading.song.sections[line->section].lines[line->line];
    if (has_option(above, line->option.bars)) continue;
    const auto at = static_cast<std::ptrdiff_t>(sections[line->section].lines[line->line].last + 1);
    lines.insert(lines.begin() + at, {"or " + free_label(above, line->option.label), *text});
  }
  return joined(lines);
}

std::string times_text(int times) {
  return times == 1 ? "" : times == 2 ? " twice" : fmt::format(" {} times", times);
}

std::string road_map_text(const Song& song, const std::vector<chart::RoadMapEntry>& entries) {
  std::string out;
  for (const chart::RoadMapEntry& entry : entries) {
    out += (out.empty() ? "" : ", ") + song.sections[entry.section].name + times_text(entry.times);
  }
  return out;
}

// The lines of the section that is copied, as they stand in the chart in the new key.
Result<std::vector<std::string>> copied_lines(const Reading& reading, const ExtraSection& extra,
                                              std::string_view text) {
  std::string moved(text);
  if (extra.tonality) {
    const auto transposed = chart::transpose(text, reading.song.file, *extra.tonality);
    if (!transposed) return tl::unexpected(transposed.error());
    moved = *transposed;
  }
  const auto again = chart::read_chart(moved, reading.song.file);
  if (!again) return tl::unexpected(again.error());
  const std::vector<WrittenSection> sections = written_sections(again->text);
  const WrittenSection& section = sections[extra.copy_of];
  std::size_t first = section.heading + 1;
  std::size_t last = section.lines.back().last;
  if (extra.line) {
    first = section.lines[*extra.line].first;
    last = section.lines[*extra.line].last;
  }
  std::vector<std::string> out;
  for (std::size_t i = first; i <= last; ++i) out.push_back(again->source->lines()[i]);
  for (const ExtraLine& line : extra.changed) {
    const auto changed = line_text(line.option.bars, again->text.notation);
    if (!changed) {
      return failure(Fault::chart, reading.song.file,
                     fmt::format("`{}` cannot be written in {}", extra.name,
                                 chart::name_of(again->text.notation)),
                     "write this section with letters");
    }
    out[section.lines[line.line].first - first] = *changed;
  }
  return out;
}

Result<std::string> with_section_text(const Reading& reading, std::string_view text,
                                      const Extra& extra) {
  const ExtraSection& section = *extra.section;
  const Song song = with_extra(reading.song, extra);
  auto copied = copied_lines(reading, section, text);
  if (!copied) return tl::unexpected(copied.error());
  std::vector<std::string> added;
  const std::string key = section.tonality ? "key " + music::text(*section.tonality) : "";
  if (section.pivot) {
    const auto pivot = chord_text(*section.pivot, reading.text.notation,
                                  section.tonality.value_or(reading.song.tonality));
    added.insert(added.end(), {"", "section " + section.pivot_name});
    if (!key.empty()) added.push_back(key);
    added.push_back("| " + pivot.value_or("N.C.") + " |");
  }
  added.insert(added.end(), {"", "section " + section.name});
  if (!key.empty()) added.push_back(key);
  added.insert(added.end(), copied->begin(), copied->end());

  const std::vector<WrittenSection> sections = written_sections(reading.text);
  const std::size_t end = sections.back().lines.back().last + 1;
  const std::string map = "road map " + road_map_text(song, song.road_map);
  const std::string plain = "; plain road map: " + road_map_text(reading.song, section.fallback);
  std::vector<std::string> out;
  bool has_map = false;
  const std::vector<std::string>& lines = reading.source->lines();
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (i == end) out.insert(out.end(), added.begin(), added.end());
    if (reading.text.lines[i].kind == LineKind::road_map) {
      const chart::Piece comment = reading.text.lines[i].comment;
      out.push_back(map + (comment.empty() ? "" : "  " + std::string(comment.text)));
      out.push_back(plain);
      has_map = true;
    } else {
      out.push_back(lines[i]);
    }
  }
  if (end >= lines.size()) out.insert(out.end(), added.begin(), added.end());
  if (!has_map) out.insert(out.end(), {"", map, plain});
  return joined(out);
}

// The song that the new text must say.
Song expected_song(const Song& song, const Extra& extra) {
  if (extra.section) return with_extra(song, extra);
  Song out = song;
  for (const ExtraLine& line : extra.lines) {
    chart::Line& above = out.sections[line.section].lines[line.line];
    if (has_option(above, line.option.bars)) continue;
    chart::Option option = line.option;
    option.label = free_label(above, option.label);
    above.options.push_back(std::move(option));
  }
  return out;
}

}  // namespace

std::string bars_text(const std::vector<Bar>& bars) {
  return line_text(bars, Notation::letters).value_or("");
}

std::vector<ExtraLine> lines_already_there(const Song& song, std::string_view id) {
  std::vector<ExtraLine> out;
  for (const Extra& extra : every_extra(song, TurnCounts::built_in())) {
    if (extra.id != id) continue;
    for (const ExtraLine& line : extra.lines) {
      if (has_option(song.sections[line.section].lines[line.line], line.option.bars))
        out.push_back(line);
    }
  }
  return out;
}

Result<std::string> accept_extra(std::string_view text, const std::string& file,
                                 std::string_view id, const ExtrasRequest& request) {
  const auto reading = chart::read_chart(text, file);
  if (!reading) return tl::unexpected(reading.error());
  const Song& song = reading->song;
  const std::vector<Extra> all = every_extra(song, TurnCounts::built_in());
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const Extra& extra) { return extra.id == id; });
  if (found == all.end()) {
    return failure(Fault::usage, file, fmt::format("`{}` is no extra of this chart", id),
                   "the chart may have changed since; `stillhand extras` lists what fits now");
  }
  if (is_there(song, *found)) {
    return failure(Fault::usage, file, fmt::format("the chart has `{}` already", id),
                   fmt::format("its `or` lines are called `{}`", found->change));
  }
  if (const auto with = arrange(with_extra(song, *found), request.choices); !with) {
    Diagnostics errors = with.error();
    errors.insert(errors.begin(), {Severity::error,
                                   Fault::chart,
                                   file,
                                   {},
                                   fmt::format("the hands cannot play `{}`", id),
                                   "choose another extra",
                                   {}});
    return tl::unexpected(std::move(errors));
  }
  Result<std::string> written =
      found->section ? with_section_text(*reading, text, *found) : with_lines(*reading, *found);
  if (written) written = chart::format(*written, file);
  if (!written) return written;
  const auto again = chart::parse(*written, file);
  if (!again || !(again->song == expected_song(song, *found))) {
    return failure(Fault::chart, file, fmt::format("`{}` cannot be written into this chart", id),
                   "a pedal point or a pick-up stands in its way; write the line by hand");
  }
  return written;
}

}  // namespace stillhand::arrange
