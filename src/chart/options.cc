#include "chart/options.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>

#include "base/nearest.h"

namespace stillhand::chart {
namespace {

// "`a`", "`a` and `b`", "`a`, `b` and `c`", each once.
std::string labels_of(const Song& song) {
  std::vector<std::string> names;
  for (const OptionPlace& place : all_options(song)) {
    const std::string& label = option_at(song, place).label;
    if (!label.empty() && std::find(names.begin(), names.end(), label) == names.end())
      names.push_back(label);
  }
  std::string out;
  for (std::size_t i = 0; i < names.size(); ++i) {
    out += i == 0 ? "" : i + 1 == names.size() ? " and " : ", ";
    out += fmt::format("`{}`", names[i]);
  }
  return out;
}

}  // namespace

const Option& option_at(const Song& song, const OptionPlace& place) {
  return song.sections[place.section].lines[place.line].options[place.option];
}

std::vector<OptionPlace> all_options(const Song& song) {
  std::vector<OptionPlace> out;
  for (std::size_t s = 0; s < song.sections.size(); ++s) {
    const auto& lines = song.sections[s].lines;
    for (std::size_t l = 0; l < lines.size(); ++l) {
      for (std::size_t o = 0; o < lines[l].options.size(); ++o) out.push_back({s, l, o});
    }
  }
  return out;
}

std::vector<OptionPlace> first_options(const Song& song) {
  std::vector<OptionPlace> out = all_options(song);
  std::erase_if(out, [](const OptionPlace& place) { return place.option != 0; });
  return out;
}

Result<std::vector<OptionPlace>> options_named(const Song& song, std::string_view label) {
  std::vector<OptionPlace> out = all_options(song);
  std::erase_if(out, [&](const OptionPlace& place) {
    const Option& option = option_at(song, place);
    return lower_case(option.label) != lower_case(label) &&
           (option.label_before.empty() || lower_case(option.label_before) != lower_case(label));
  });
  if (!out.empty()) return out;
  const std::string known = labels_of(song);
  return failure(
      Fault::usage, song.file, fmt::format("no `or` line is called `{}`", label),
      known.empty() ? "the chart names no `or` lines; take all of them" : "there are " + known);
}

Song with_options(const Song& song, const std::vector<OptionPlace>& taken) {
  Song out = song;
  for (const OptionPlace& place : taken) {
    Line& line = out.sections[place.section].lines[place.line];
    assert(place.option < line.options.size());
    std::vector<Bar> bars = std::move(line.options[place.option].bars);
    for (std::size_t i = 0; i < bars.size(); ++i) {
      if (bars[i].words.empty()) bars[i].words = std::move(line.bars[i].words);
    }
    line.bars = std::move(bars);
    line.options.clear();
  }
  return out;
}

}  // namespace stillhand::chart
