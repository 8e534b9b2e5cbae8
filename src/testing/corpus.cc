#include "testing/corpus.h"

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <unordered_map>
#include <utility>

#include "chart/chart.h"
#include "chart/key_profiles.h"
#include "testing/amount.h"
#include "testing/harte.h"

namespace stillhand::testing {
namespace {

using chart::Bar;
using chart::Song;
using music::Meter;
using music::Tick;
using nlohmann::json;

constexpr std::size_t kBarsPerLine = 4;

std::optional<std::filesystem::path> folder(const char* variable) {
  const char* path = std::getenv(variable);
  if (path == nullptr || !std::filesystem::is_directory(path)) return std::nullopt;
  return path;
}

Meter meter_of(const std::string& text) {
  const auto meter = music::parse_meter(text);
  if (!meter) throw std::runtime_error("unknown meter " + text);
  return *meter;
}

// The value in force at a beat: a list of [beat, value], or the single value of the song.
std::string value_at(const json& song, const char* list, const char* single, double beat) {
  std::string value = song.at(single).get<std::string>();
  if (!song.contains(list)) return value;
  for (const json& pair : song.at(list)) {
    if (pair.at(0).get<double>() <= beat + 1e-6) value = pair.at(1).get<std::string>();
  }
  return value;
}

// A bar that does not fill its meter gets the meter it does fill, if there is one.
void close(Bar& bar) {
  if (bar.length == bar.meter.bar_length()) return;
  const int count = bar.meter.count_length().value();
  if (bar.length.value() % count != 0) return;
  const int counts = bar.length.value() / count;
  const int upper = bar.meter.is_compound() ? 3 * counts : counts;
  if (const auto meter = Meter::make(upper, bar.meter.lower())) bar.meter = *meter;
}

using Labels = std::unordered_map<std::string, std::optional<music::Chord>>;

const std::optional<music::Chord>& chord_of(const std::string& label, Labels& labels) {
  const auto known = labels.find(label);
  if (known != labels.end()) return known->second;
  const auto read = parse_harte(label);
  if (!read) throw std::runtime_error("unknown label " + label);
  return labels.emplace(label, read->chord).first->second;
}

class BarBuilder {
 public:
  void add(const std::optional<music::Chord>& chord, Tick duration, Meter meter) {
    const bool fits = is_open() && bars_.back().meter == meter &&
                      bars_.back().length + duration <= meter.bar_length();
    if (!fits) begin_bar(meter);
    // A few entries last longer than a bar.
    while (duration > meter.bar_length()) {
      push(chord, meter.bar_length());
      duration -= meter.bar_length();
      begin_bar(meter);
    }
    push(chord, duration);
  }

  std::vector<Bar> take() {
    if (is_open()) close(bars_.back());
    return std::move(bars_);
  }

 private:
  bool is_open() const {
    return !bars_.empty() && bars_.back().length < bars_.back().meter.bar_length();
  }

  void begin_bar(Meter meter) {
    if (is_open()) {
      if (bars_.size() == 1) {
        bars_.back().is_pick_up = true;
      } else {
        close(bars_.back());
      }
    }
    Bar bar;
    bar.meter = meter;
    bar.length = Tick(0);
    bars_.push_back(bar);
  }

  void push(const std::optional<music::Chord>& chord, Tick duration) {
    bars_.back().chords.push_back({chord, duration, {}});
    bars_.back().length += duration;
  }

  std::vector<Bar> bars_;
};

std::vector<Bar> bars_of(const json& song, Labels& labels) {
  BarBuilder builder;
  double beat = 0;
  for (const json& entry : song.at("chords")) {
    const Meter meter = meter_of(value_at(song, "meters", "meter", beat));
    const double beats = entry.at(1).get<double>();
    const int count = meter.count_length().value();
    // From the rounded ends, so that three thirds make a whole.
    const double within = beat - std::floor(beat);
    const double from = std::round(within * count);
    const double to = std::round((within + beats) * count);
    builder.add(chord_of(entry.at(0).get<std::string>(), labels), Tick(static_cast<int>(to - from)),
                meter);
    beat += beats;
  }
  return builder.take();
}

CorpusSong song_of(const json& entry, Labels& labels) {
  CorpusSong out;
  out.id = entry.at("id").get<std::string>();
  Song& song = out.song;
  song.title = out.id;
  song.file = out.id;
  chart::Section section;
  section.name = "Song";
  for (Bar& bar : bars_of(entry, labels)) {
    const bool begins_line = section.lines.empty() ||
                             section.lines.back().bars.size() == kBarsPerLine ||
                             section.lines.back().bars.back().meter != bar.meter;
    if (begins_line) section.lines.emplace_back();
    section.lines.back().bars.push_back(std::move(bar));
  }
  song.meter = meter_of(entry.at("meter").get<std::string>());
  song.sections.push_back(std::move(section));
  song.road_map.push_back({0, 1});
  const auto weights = chart::weights_of(chart::played_chords(song, chart::perform(song)));
  if (entry.contains("tonic") && entry.at("tonic").is_string()) {
    out.tonic = music::parse_note(entry.at("tonic").get<std::string>());
    song.tonality = chart::best_tonality_on(*out.tonic, weights);
  } else {
    song.tonality = chart::propose_tonality(chart::played_chords(song, chart::perform(song)));
    song.tonality_was_proposed = true;
  }
  for (chart::Line& line : song.sections.front().lines) {
    for (Bar& bar : line.bars) bar.tonality = song.tonality;
  }
  return out;
}

chart::Section section_of(const std::string& name, const std::vector<Bar>& bars) {
  chart::Section section;
  section.name = name;
  for (const Bar& bar : bars) {
    if (section.lines.empty() || section.lines.back().bars.size() == kBarsPerLine)
      section.lines.emplace_back();
    section.lines.back().bars.push_back(bar);
  }
  return section;
}

// Adds to the road map: the section that has these bars already, or a new one.
void append(Song& song, const std::string& name, const std::vector<Bar>& bars) {
  if (bars.empty()) return;
  int number = 1;
  for (std::size_t s = 0; s < song.sections.size(); ++s) {
    if (!song.sections[s].name.starts_with(name)) continue;
    ++number;
    if (song.sections[s].lines != section_of(name, bars).lines) continue;
    if (song.road_map.back().section == s) {
      ++song.road_map.back().times;
    } else {
      song.road_map.push_back({s, 1});
    }
    return;
  }
  song.road_map.push_back({song.sections.size(), 1});
  song.sections.push_back(
      section_of(number == 1 ? name : name + " " + std::to_string(number), bars));
}

void divide(Song& song, const json& names) {
  const chart::Section whole = std::move(song.sections.front());
  song.sections.clear();
  song.road_map.clear();
  std::vector<Bar> bars;
  std::string name = "Song";
  auto next = names.begin();
  double beat = 0;
  for (const chart::Line& line : whole.lines) {
    for (const Bar& bar : line.bars) {
      const double beats = 1.0 * bar.length.value() / bar.meter.count_length().value();
      while (next != names.end() && next->at(0).get<double>() < beat + beats - 1e-6) {
        append(song, name, bars);
        bars.clear();
        name = next->at(1).get<std::string>();
        ++next;
      }
      bars.push_back(bar);
      beat += beats;
    }
  }
  append(song, name, bars);
}

}  // namespace

std::optional<std::filesystem::path> data_folder() { return folder("STILLHAND_DATA"); }
std::optional<std::filesystem::path> schema_folder() { return folder("STILLHAND_SCHEMA"); }

std::vector<CorpusSong> read_corpus_songs(Corpus corpus) {
  const auto from = data_folder();
  if (!from) throw std::runtime_error(kNoData);
  const auto path =
      *from / (corpus == Corpus::billboard ? "billboard_cc0.jsonl" : "openewld_pd_mit.jsonl");
  std::ifstream file(path);
  if (!file) throw std::runtime_error("cannot read " + path.string());
  std::vector<CorpusSong> songs;
  Labels labels;
  for (std::string line; std::getline(file, line);) {
    if (!line.empty()) songs.push_back(song_of(json::parse(line), labels));
  }
  return songs;
}

std::vector<chart::Song> read_corpus_in_sections() {
  std::vector<chart::Song> songs = read_corpus(Corpus::billboard);
  std::ifstream file(*data_folder() / "billboard_cc0.jsonl");
  auto song = songs.begin();
  for (std::string line; std::getline(file, line);) {
    if (!line.empty()) divide(*song++, json::parse(line).at("sections"));
  }
  return songs;
}

std::vector<chart::Song> read_corpus(Corpus corpus) {
  std::vector<chart::Song> songs;
  for (CorpusSong& song : read_corpus_songs(corpus)) songs.push_back(std::move(song.song));
  return songs;
}

std::vector<chart::Song> read_whole_corpus() {
  std::vector<chart::Song> songs = read_corpus(Corpus::billboard);
  for (chart::Song& song : read_corpus(Corpus::openewld)) songs.push_back(std::move(song));
  return songs;
}

std::vector<chart::Song> read_corpus_sample() {
  std::vector<chart::Song> all = read_whole_corpus();
  std::vector<chart::Song> songs;
  for (std::size_t i = 0; i < all.size(); i += kOneIn) songs.push_back(std::move(all[i]));
  std::cout << songs.size() << " of " << all.size() << " real songs\n";
  return songs;
}

}  // namespace stillhand::testing
