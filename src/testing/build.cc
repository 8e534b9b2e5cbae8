#include "testing/build.h"

#include <array>
#include <cassert>
#include <sstream>
#include <string>

namespace stillhand::testing {

music::Chord chord_of(std::string_view degree, music::Tonality tonality) {
  constexpr std::array<std::string_view, 7> romans{"VII", "III", "VI", "IV",
                                                   "II",  "V",   "I"};  // longest first
  constexpr std::array<int, 7> numbers{7, 3, 6, 4, 2, 5, 1};
  std::string upper(degree);
  const bool is_minor = upper[0] == 'i' || upper[0] == 'v';
  for (char& c : upper) {
    if (c == 'i')
      c = 'I';
    else if (c == 'v')
      c = 'V';
    else
      break;
  }
  music::Chord chord;
  if (const auto slash = upper.rfind('/'); slash != std::string::npos) {
    chord.bass = tonality.degree(upper[slash + 1] - '0');
    upper.resize(slash);
  }
  for (std::size_t i = 0; i < romans.size(); ++i) {
    if (!upper.starts_with(romans[i])) continue;
    chord.root = tonality.degree(numbers[i]);
    chord.quality = *music::parse_quality((is_minor ? "m" : "") + upper.substr(romans[i].size()));
    return chord;
  }
  assert(false);
  return chord;
}

chart::Song song_of(std::string_view degrees, music::Tonality tonality) {
  chart::Song song;
  song.title = "Test";
  song.tonality = tonality;
  song.tempo = music::Tempo(76);
  chart::Section section;
  section.name = "All";
  section.lines.emplace_back();
  std::istringstream words{std::string(degrees)};
  for (std::string word; words >> word;) {
    chart::Bar bar;
    bar.tonality = tonality;
    bar.length = bar.meter.bar_length();
    bar.chords.push_back({chord_of(word, tonality), bar.length, {}});
    section.lines[0].bars.push_back(std::move(bar));
  }
  song.sections.push_back(std::move(section));
  song.road_map.push_back({0, 1});
  return song;
}

}  // namespace stillhand::testing
