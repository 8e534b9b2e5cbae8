#include "write/harmony.h"

#include <algorithm>
#include <optional>

namespace stillhand::write {
namespace {

using music::Degree;

struct Kind {
  std::string_view name;
  std::string_view suffix;  // of a chord symbol with the same degrees (data/chords.tsv)
};

constexpr Kind kKinds[] = {
    {"major", ""},
    {"minor", "m"},
    {"augmented", "aug"},
    {"diminished", "dim"},
    {"dominant", "7"},
    {"major-seventh", "maj7"},
    {"minor-seventh", "m7"},
    {"diminished-seventh", "dim7"},
    {"augmented-seventh", "aug7"},
    {"half-diminished", "m7b5"},
    {"major-minor", "m(maj7)"},
    {"major-sixth", "6"},
    {"minor-sixth", "m6"},
    {"dominant-ninth", "9"},
    {"major-ninth", "maj9"},
    {"minor-ninth", "m9"},
    {"dominant-11th", "11"},
    {"major-11th", "maj11"},
    {"minor-11th", "m11"},
    {"dominant-13th", "13"},
    {"major-13th", "maj13"},
    {"minor-13th", "m13"},
    {"suspended-second", "sus2"},
    {"suspended-fourth", "sus4"},
    {"power", "5"},
};

std::optional<Degree> find(const std::vector<Degree>& degrees, int number) {
  const auto found = std::find_if(degrees.begin(), degrees.end(),
                                  [&](Degree degree) { return degree.number == number; });
  return found == degrees.end() ? std::nullopt : std::optional(*found);
}

// A degree counted from the dominant chord, where the plain seventh is minor.
int alter_of_added(Degree degree) { return degree.alteration + (degree.number == 7 ? 1 : 0); }

// What turns the kind's degrees into the chord's. A number that the chord has twice (b9 and #9) is
// altered once and added once.
std::vector<HarmonyDegree> differences(const std::vector<Degree>& kind,
                                       const std::vector<Degree>& chord) {
  std::vector<HarmonyDegree> out;
  int before = 0;
  for (const Degree& degree : chord) {
    const auto held = degree.number == before ? std::nullopt : find(kind, degree.number);
    before = degree.number;
    if (!held) {
      out.push_back({degree.number, alter_of_added(degree), DegreeChange::add});
    } else if (held->alteration != degree.alteration) {
      out.push_back({degree.number, degree.alteration - held->alteration, DegreeChange::alter});
    }
  }
  for (const Degree& degree : kind) {
    if (!find(chord, degree.number)) out.push_back({degree.number, 0, DegreeChange::subtract});
  }
  return out;
}

}  // namespace

Harmony harmony_of(const music::Chord& chord) {
  std::optional<Harmony> best;
  for (const Kind& kind : kKinds) {
    const auto quality = music::parse_quality(kind.suffix);
    if (!quality) continue;
    auto degrees = differences(quality->degrees, chord.quality.degrees);
    if (!best || degrees.size() < best->degrees.size()) best = {kind.name, std::move(degrees)};
  }
  return *best;
}

}  // namespace stillhand::write
