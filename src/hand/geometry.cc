#include "hand/geometry.h"

#include <array>

namespace stillhand::hand {
namespace {

constexpr std::array<int, 12> kCentre{0, 95, 235, 375, 470, 705, 785, 940, 1055, 1170, 1325, 1405};
constexpr int kOctave = 1640;
constexpr std::array<int, 12> kUnits{0, 1, 2, 3, 4, 6, 7, 8, 9, 10, 11, 12};
constexpr int kUnitsPerOctave = 14;

constexpr int place(PianoKey key, const std::array<int, 12>& within, int octave) {
  return within[static_cast<std::size_t>(key.pitch_class().value())] + octave * (key.number() / 12);
}

}  // namespace

Millimetre centre(PianoKey key) { return Millimetre(place(key, kCentre, kOctave)); }

Millimetre width(PianoKey key) { return key.is_black() ? Millimetre(95) : Millimetre(235); }

SpanUnits span_units(PianoKey from, PianoKey to) {
  return SpanUnits(place(to, kUnits, kUnitsPerOctave) - place(from, kUnits, kUnitsPerOctave));
}

}  // namespace stillhand::hand
