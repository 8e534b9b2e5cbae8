#include "write/harmony.h"

#include <algorithm>
#include <optional>

#include "music/kind_values.h"

namespace stillhand::write {
namespace {

using music::Degree;

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
  for (const music::KindValue& kind : music::kKindValues) {
    const auto quality = music::parse_quality(kind.suffix);
    if (!quality) continue;
    auto degrees = differences(quality->degrees, chord.quality.degrees);
    if (!best || degrees.size() < best->degrees.size()) best = {kind.name, std::move(degrees)};
  }
  return *best;
}

}  // namespace stillhand::write
