#include "arrange/build_up.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <optional>
#include <string>
#include <string_view>

#include "base/nearest.h"

namespace stillhand::arrange {
namespace {

// What a section is in the song's build.
enum class Part { verse, lead_in, chorus, bridge, intro, between, ending, tag };

struct PartWord {
  std::string_view word;
  Part part;
};
// Looked for in this order: "pre-chorus" is no chorus.
constexpr std::array kPartWords{
    PartWord{"pre-chorus", Part::lead_in}, PartWord{"prechorus", Part::lead_in},
    PartWord{"pre chorus", Part::lead_in}, PartWord{"pre-refrain", Part::lead_in},
    PartWord{"lift", Part::lead_in},       PartWord{"chorus", Part::chorus},
    PartWord{"refrain", Part::chorus},     PartWord{"hook", Part::chorus},
    PartWord{"bridge", Part::bridge},      PartWord{"middle eight", Part::bridge},
    PartWord{"middle 8", Part::bridge},    PartWord{"verse", Part::verse},
    PartWord{"stanza", Part::verse},       PartWord{"strophe", Part::verse},
    PartWord{"intro", Part::intro},        PartWord{"prelude", Part::intro},
    PartWord{"interlude", Part::between},  PartWord{"instrumental", Part::between},
    PartWord{"solo", Part::between},       PartWord{"turnaround", Part::between},
    PartWord{"vamp", Part::between},       PartWord{"tag", Part::tag},
    PartWord{"outro", Part::ending},       PartWord{"ending", Part::ending},
    PartWord{"coda", Part::ending},        PartWord{"postlude", Part::ending},
};

// Letters that stand before and behind make it another word: "stage" has no tag.
bool holds_word(std::string_view name, std::string_view word) {
  const auto is_letter = [&](std::size_t at) {
    return at < name.size() && std::isalpha(static_cast<unsigned char>(name[at])) != 0;
  };
  for (std::size_t at = name.find(word); at != std::string_view::npos;
       at = name.find(word, at + 1)) {
    const std::size_t end = at + word.size();
    // "Verses", "introduction"
    const bool may_go_on = word == "intro" || (end < name.size() && name[end] == 's');
    if ((at == 0 || !is_letter(at - 1)) && (may_go_on || !is_letter(end))) return true;
  }
  return false;
}

std::optional<Part> part_named(std::string_view name) {
  const std::string lower = lower_case(name);
  for (const PartWord& word : kPartWords) {
    if (holds_word(lower, word.word)) return word.part;
  }
  return std::nullopt;
}

// Plays of one section as the song goes along: indices into the list of played sections.
using Plays = std::vector<std::size_t>;

class BuildUp {
 public:
  BuildUp(const chart::Song& song, const std::vector<chart::PlayedBar>& bars)
      : plays_(song.sections.size()), parts_(song.sections.size()) {
    for (std::size_t i = 0; i < bars.size(); ++i) {
      if (!bars[i].section_begins) continue;
      plays_[bars[i].section].push_back(played_.size());
      played_.push_back({i, bars[i].section, Fullness::light});
    }
    for (std::size_t s = 0; s < song.sections.size(); ++s)
      parts_[s] = part_named(song.sections[s].name);
  }

  std::vector<PlayedSection> build() {
    guess_parts();
    for (std::size_t i = 0; i < played_.size(); ++i) played_[i].fullness = fullness_at(i);
    return played_;
  }

 private:
  bool has(Part part) const {
    return std::any_of(played_.begin(), played_.end(),
                       [&](const PlayedSection& s) { return parts_[s.section] == part; });
  }

  // A song whose names say nothing: what is played most often is the chorus, what comes late and only once between two
  // choruses the bridge, the rest are verses.
  void guess_parts() {
    const auto chorus = has(Part::chorus) ? std::nullopt : most_played();
    if (chorus) parts_[*chorus] = Part::chorus;
    for (std::size_t s = 0; s < parts_.size(); ++s) {
      if (!parts_[s]) parts_[s] = is_late_once(s) ? Part::bridge : Part::verse;
    }
  }

  // Of those without a telling name, if it comes back and another section is played too. Of equals the one that begins
  // later: a verse comes before its chorus.
  std::optional<std::size_t> most_played() const {
    std::optional<std::size_t> best;
    for (std::size_t s = 0; s < plays_.size(); ++s) {
      if (parts_[s] || plays_[s].size() < 2 || plays_[s].size() == played_.size()) continue;
      if (!best || plays_[s].size() > plays_[*best].size() ||
          (plays_[s].size() == plays_[*best].size() && plays_[s].front() > plays_[*best].front()))
        best = s;
    }
    return best;
  }

  bool is_late_once(std::size_t section) const {
    if (plays_[section].size() != 1) return false;
    const std::size_t at = plays_[section].front();
    const auto chorus_between = [&](std::size_t from, std::size_t to) {
      return std::count_if(
          played_.begin() + static_cast<std::ptrdiff_t>(from),
          played_.begin() + static_cast<std::ptrdiff_t>(to),
          [&](const PlayedSection& s) { return parts_[s.section] == Part::chorus; });
    };
    return chorus_between(0, at) >= 2 && chorus_between(at + 1, played_.size()) >= 1;
  }

  Part part_at(std::size_t i) const { return *parts_[played_[i].section]; }

  // How many of this part came before, and come in all.
  std::size_t before(std::size_t i) const {
    std::size_t n = 0;
    for (std::size_t j = 0; j < i; ++j) n += part_at(j) == part_at(i) ? 1U : 0U;
    return n;
  }
  std::size_t in_all(Part part) const {
    std::size_t n = 0;
    for (std::size_t j = 0; j < played_.size(); ++j) n += part_at(j) == part ? 1U : 0U;
    return n;
  }

  Fullness fullness_at(std::size_t i) const {
    switch (part_at(i)) {
      case Part::verse:
        return verse(i);
      case Part::lead_in:
        return before(i) == 0 ? Fullness::light : Fullness::middling;
      case Part::chorus:
        return before(i) + 1 == in_all(Part::chorus) ? Fullness::fullest : Fullness::full;
      case Part::bridge:
        return i > 0 && part_at(i - 1) == Part::bridge ? Fullness::middling : Fullness::sparse;
      case Part::intro:
        return Fullness::sparse;
      case Part::between:
        return Fullness::light;
      case Part::ending:
        return i == 0 ? Fullness::sparse : Fullness::light;
      case Part::tag:
        return i == 0 ? Fullness::light : played_[i - 1].fullness;
    }
    return Fullness::light;
  }

  // With a chorus to lead to, verses stay below it. Alone, as in a hymn, they carry the build themselves.
  Fullness verse(std::size_t i) const {
    const std::size_t number = before(i);
    const std::size_t verses = in_all(Part::verse);
    if (has(Part::chorus)) {
      if (number == 0) return Fullness::sparse;
      return number == 1 ? Fullness::light : Fullness::middling;
    }
    if (verses == 1) return Fullness::light;
    if (number + 1 == verses) return verses == 2 ? Fullness::middling : Fullness::full;
    if (number == 0) return verses == 2 ? Fullness::light : Fullness::sparse;
    return number == 1 ? Fullness::light : Fullness::middling;
  }

  std::vector<PlayedSection> played_;
  std::vector<Plays> plays_;
  std::vector<std::optional<Part>> parts_;
};

}  // namespace

std::vector<PlayedSection> build_up(const chart::Song& song,
                                    const std::vector<chart::PlayedBar>& bars) {
  return BuildUp(song, bars).build();
}

std::string_view name(Fullness fullness) {
  switch (fullness) {
    case Fullness::sparse:
      return "sparse";
    case Fullness::light:
      return "light";
    case Fullness::middling:
      return "middling";
    case Fullness::full:
      return "full";
    case Fullness::fullest:
      return "fullest";
  }
  return "";
}

}  // namespace stillhand::arrange
