#include "testing/chart_text.h"

#include <algorithm>
#include <stdexcept>

#include "chart/bar_text.h"

namespace stillhand::testing {
namespace {

using chart::Bar;
using chart::Song;
using music::Tick;

std::string symbol(const chart::ChordEvent& event) {
  return event.chord ? music::text(*event.chord) : "N.C.";
}

std::string bar_line(const Bar& bar, bool is_first) {
  std::string out = "|";
  if (bar.repeat_begins) out += ":";
  for (const int ending : bar.endings) {
    if (is_first) out += std::to_string(ending) + ".";
  }
  return out;
}

std::string line_text(const std::vector<Bar>& bars, bool with_repeats) {
  std::string out = bars.front().is_pick_up ? "pick-up " : "";
  std::vector<int> ending;
  bool wrote_times = false;
  for (const Bar& bar : bars) {
    const bool begins_ending = bar.endings != ending;
    const std::string sign = with_repeats ? bar_line(bar, begins_ending) : "|";
    out += wrote_times || !out.ends_with('|') ? sign : sign.substr(1);
    out += " " + bar_text(bar) + " ";
    ending = bar.endings;
    wrote_times = false;
    if (!with_repeats || bar.repeat_times <= 1) continue;
    out += ":|";
    if (bar.is_vamp || bar.endings.empty()) {
      out += (bar.is_vamp ? " vamp " : " ") + std::to_string(bar.repeat_times) + " times ";
      wrote_times = true;
    }
    ending.clear();
  }
  return out.ends_with('|') || wrote_times ? out : out + "|";
}

std::string words_text(const std::vector<Bar>& bars) {
  if (std::all_of(bars.begin(), bars.end(), [](const Bar& bar) { return bar.words.empty(); }))
    return "";
  std::string out = "\"";
  for (const Bar& bar : bars) out += " " + bar.words + " |";
  return out + "\n";
}

}  // namespace

std::string bar_text(const Bar& bar) {
  if (!bar.is_pick_up && bar.length != bar.meter.bar_length())
    throw std::runtime_error("a chart cannot say a bar that does not fill its meter");
  std::vector<chart::Onset> onsets;
  Tick at;
  for (const chart::ChordEvent& event : bar.chords) {
    onsets.push_back({at, symbol(event)});
    at += event.duration;
  }
  const auto text = chart::bar_text(onsets, bar.meter, bar.length);
  if (!text) throw std::runtime_error("a chart cannot divide this bar");
  return *text;
}

std::string chart_text(const Song& song) {
  std::string out;
  if (!song.title.empty()) out += "title " + song.title + "\n";
  if (!song.writers.empty()) out += "writers " + song.writers + "\n";
  if (!song.rights.empty()) out += "rights " + song.rights + "\n";
  if (!song.tonality_was_proposed) out += "key " + music::text(song.tonality) + "\n";
  out += "meter " + music::text(song.meter) + "\n";
  out += "tempo " + std::to_string(song.tempo.value()) + "\n";
  if (song.range) {
    out +=
        "range " + music::text(song.range->lowest) + "-" + music::text(song.range->highest) + "\n";
  }
  for (const chart::PatternDefinition& pattern : song.patterns) {
    out += "pattern " + pattern.name + "\nleft " + text(pattern.left) + "\nright " +
           text(pattern.right) + "\n";
  }
  if (song.pattern) out += "pattern " + song.pattern->name + "\n";
  for (const chart::Section& section : song.sections) {
    out += "section " + section.name + "\n";
    if (section.pattern) out += "pattern " + section.pattern->name + "\n";
    music::Meter meter = song.meter;
    music::Tonality tonality = song.tonality;
    for (const chart::Line& line : section.lines) {
      if (line.bars.front().meter != meter) {
        meter = line.bars.front().meter;
        out += "meter " + music::text(meter) + "\n";
      }
      if (line.bars.front().tonality != tonality) {
        tonality = line.bars.front().tonality;
        out += "key " + music::text(tonality) + "\n";
      }
      out += line_text(line.bars, true) + "\n" + words_text(line.bars);
      for (const chart::Option& option : line.options) {
        out += "or " + option.label + "\n" + line_text(option.bars, false) + "\n";
        out += words_text(option.bars);
      }
    }
  }
  out += "road map ";
  for (std::size_t i = 0; i < song.road_map.size(); ++i) {
    out += (i == 0 ? "" : ", ") + song.sections[song.road_map[i].section].name + " " +
           std::to_string(song.road_map[i].times) + " times";
  }
  out += "\n";
  for (const chart::Pin& pin : song.pins) {
    out += "shape " + music::text(pin.chord);
    for (const music::Pitch pitch : pin.pitches) out += " " + music::text(pitch);
    for (const int finger : pin.fingers) out += " " + std::to_string(finger);
    if (pin.section) out += " in " + song.sections[*pin.section].name;
    out += "\n";
  }
  return out;
}

}  // namespace stillhand::testing
