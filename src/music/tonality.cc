#include "music/tonality.h"

#include <cstdlib>

namespace stillhand::music {
namespace {

constexpr int kMostSignature = 7;

// A name with at most one accidental on the same key; sharps stay sharps where there is a choice.
NoteName respelled(NoteName name) {
  if (std::abs(name.accidental) <= 1) return name;
  return NoteName::at_fifths(name.fifths() + (name.accidental > 0 ? -12 : 12));
}

}  // namespace

NoteName Tonality::degree(int number) const {
  constexpr std::array<int, 7> major{0, 2, 4, 5, 7, 9, 11};
  constexpr std::array<int, 7> minor{0, 2, 3, 5, 7, 8, 10};
  const int index = ((number - 1) % 7 + 7) % 7;
  const auto at = static_cast<std::size_t>(index);
  return tonic.up({index, Semitones(mode == Mode::major ? major[at] : minor[at])});
}

NoteName Tonality::spell(PitchClass pitch_class) const {
  // The twelve names around the tonic on the line of fifths: major from b2 … (-5) to #4 (+6); minor
  // from b2 (-5) to #7, which is the leading tone (+5), and #6 (+3), with #4 (+6). Both windows are
  // the same twelve.
  for (int offset = -5; offset <= 6; ++offset) {
    const NoteName name = NoteName::at_fifths(tonic.fifths() + offset);
    if (name.pitch_class() == pitch_class) return respelled(name);
  }
  return tonic;  // not reached: twelve neighbouring fifths cover all pitch classes
}

std::optional<Tonality> parse_tonality(std::string_view text) {
  const auto tonic = take_note(text);
  if (!tonic) return std::nullopt;
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  Mode mode = Mode::major;
  if (text == "m" || text == "min" || text == "minor" || text == "-")
    mode = Mode::minor;
  else if (!text.empty() && text != "major" && text != "maj")
    return std::nullopt;
  const Tonality tonality{*tonic, mode};
  if (std::abs(tonality.fifths()) > kMostSignature) return std::nullopt;
  return tonality;
}

std::string text(Tonality tonality) {
  return text(tonality.tonic) + (tonality.mode == Mode::minor ? "m" : "");
}

std::string long_text(Tonality tonality) {
  return text(tonality.tonic) + (tonality.mode == Mode::minor ? " minor" : " major");
}

Tonality simplest(Tonality tonality) {
  if (tonality.fifths() > 6)
    return {NoteName::at_fifths(tonality.tonic.fifths() - 12), tonality.mode};
  if (tonality.fifths() < -6)
    return {NoteName::at_fifths(tonality.tonic.fifths() + 12), tonality.mode};
  return tonality;
}

NoteName transpose(NoteName name, Tonality from, Tonality to) {
  return respelled(NoteName::at_fifths(name.fifths() + to.tonic.fifths() - from.tonic.fifths()));
}

}  // namespace stillhand::music
