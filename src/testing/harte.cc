#include "testing/harte.h"

#include <algorithm>
#include <cstdlib>
#include <utility>
#include <vector>

namespace stillhand::testing {
namespace {

using music::Degree;

constexpr std::pair<std::string_view, std::string_view> kShorthands[] = {
    {"maj", "1 3 5"},
    {"min", "1 b3 5"},
    {"dim", "1 b3 b5"},
    {"aug", "1 3 #5"},
    {"maj7", "1 3 5 7"},
    {"min7", "1 b3 5 b7"},
    {"7", "1 3 5 b7"},
    {"dim7", "1 b3 b5 bb7"},
    {"hdim7", "1 b3 b5 b7"},
    {"minmaj7", "1 b3 5 7"},
    {"maj6", "1 3 5 6"},
    {"min6", "1 b3 5 6"},
    {"9", "1 3 5 b7 9"},
    {"maj9", "1 3 5 7 9"},
    {"min9", "1 b3 5 b7 9"},
    {"sus4", "1 4 5"},
    {"sus2", "1 2 5"},
    {"11", "1 3 5 b7 9 11"},
    {"maj11", "1 3 5 7 9 11"},
    {"min11", "1 b3 5 b7 9 11"},
    {"13", "1 3 5 b7 9 11 13"},
    {"maj13", "1 3 5 7 9 11 13"},
    {"min13", "1 b3 5 b7 9 11 13"},
    {"5", "1 5"},
    {"1", "1"},
    {"", "1"},  // a list of degrees alone stands on the root
};

std::optional<Degree> parse_degree(std::string_view text) {
  int alteration = 0;
  while (!text.empty() && (text.front() == 'b' || text.front() == '#')) {
    alteration += text.front() == 'b' ? -1 : 1;
    text.remove_prefix(1);
  }
  int number = 0;
  if (text.empty() || text.size() > 2) return std::nullopt;
  for (const char c : text) {
    if (c < '0' || c > '9') return std::nullopt;
    number = 10 * number + (c - '0');
  }
  if (number < 1 || number > 13 || std::abs(alteration) > 2) return std::nullopt;
  return Degree{static_cast<std::int8_t>(number), static_cast<std::int8_t>(alteration)};
}

std::vector<std::string_view> split(std::string_view text, char at) {
  std::vector<std::string_view> parts;
  for (;;) {
    const std::size_t end = text.find(at);
    parts.push_back(text.substr(0, end));
    if (end == std::string_view::npos) return parts;
    text.remove_prefix(end + 1);
  }
}

std::optional<std::vector<Degree>> shorthand_degrees(std::string_view shorthand) {
  for (const auto& [name, degrees] : kShorthands) {
    if (name != shorthand) continue;
    std::vector<Degree> read;
    for (const std::string_view degree : split(degrees, ' ')) read.push_back(*parse_degree(degree));
    return read;
  }
  return std::nullopt;
}

// "9,*5": adds the ninth, omits the fifth.
bool apply_list(std::string_view list, std::vector<Degree>& degrees) {
  for (std::string_view word : split(list, ',')) {
    const bool omits = word.starts_with('*');
    if (omits) word.remove_prefix(1);
    const auto degree = parse_degree(word);
    if (!degree) return false;
    if (omits) {
      std::erase(degrees, *degree);
    } else if (std::find(degrees.begin(), degrees.end(), *degree) == degrees.end()) {
      degrees.push_back(*degree);
    }
  }
  return true;
}

}  // namespace

std::optional<HarteLabel> parse_harte(std::string_view label) {
  if (label == "N" || label == "X") return HarteLabel{};
  const auto root = music::take_note(label);
  if (!root) return std::nullopt;
  std::optional<Degree> bass;
  if (const std::size_t slash = label.find('/'); slash != std::string_view::npos) {
    bass = parse_degree(label.substr(slash + 1));
    if (!bass) return std::nullopt;
    label = label.substr(0, slash);
  }
  std::string_view list;
  bool has_list = false;
  if (const std::size_t open = label.find('('); open != std::string_view::npos) {
    if (!label.ends_with(')')) return std::nullopt;
    list = label.substr(open + 1, label.size() - open - 2);
    label = label.substr(0, open);
    has_list = true;
  }
  std::string_view shorthand = "maj";
  if (label.starts_with(':')) {
    shorthand = label.substr(1);
    if (shorthand.empty() && !has_list) return std::nullopt;
  } else if (!label.empty() || has_list) {
    return std::nullopt;
  }
  auto degrees = shorthand_degrees(shorthand);
  if (!degrees || (has_list && !apply_list(list, *degrees))) return std::nullopt;
  music::Chord chord{*root, music::quality_of(*degrees), std::nullopt};
  if (bass && *bass != Degree{1, 0}) chord.bass = chord.note(*bass);
  return HarteLabel{chord};
}

}  // namespace stillhand::testing
