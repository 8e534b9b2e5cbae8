// Where the keys lie: centres in millimetres, and the distance between two keys.
//
//   distance(PianoKey(60), PianoKey(72)) == Millimetre(1640)  // counted in tenths: 164.0 mm
//   span_units(PianoKey(60), PianoKey(64)) == SpanUnits(4)    // C-E
//   span_units(PianoKey(60), PianoKey(65)) == SpanUnits(6)    // C-F: an unused key between E and F
#pragma once

#include "base/strong.h"
#include "music/pitch.h"

namespace stillhand::hand {

using music::PianoKey;
using music::Semitones;

// Tenths of a millimetre, so that arithmetic is exact: Millimetre(235) is 23.5 mm.
struct MillimetreTag;
using Millimetre = Amount<MillimetreTag, int>;

// Centre of a key along the keyboard, from the centre of key 0. Steps between neighbouring keys:
// C 0, C# 9.5, D 23.5, D# 37.5, E 47, F 70.5, F# 78.5, G 94, G# 105.5, A 117, A# 132.5, B 140.5,
// octave 164 mm (key centres used by a published fingering study after Jacobs 2001; octave 164–165
// mm on modern pianos).
Millimetre centre(PianoKey key);
inline Millimetre distance(PianoKey a, PianoKey b) { return abs(centre(b) - centre(a)); }

// How wide a target a key is for a finger: a white key 23.5 mm (a seventh of the octave, and the gap between neighbours
// above), a black one 9.5 mm at its top (from memory: pianos have about 9 to 11 mm).
Millimetre width(PianoKey key);

// The units of the finger-span tables: 14 to the octave, with an unused key imagined between E-F
// and B-C (Balliauw, Herremans, Palhazi Cuervo & Sörensen, ITOR 24(3), 2017). Signed: up is
// positive.
struct SpanUnitsTag;
using SpanUnits = Amount<SpanUnitsTag, int>;
SpanUnits span_units(PianoKey from, PianoKey to);

}  // namespace stillhand::hand
