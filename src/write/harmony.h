// A chord in the words of MusicXML: a kind, and the degrees in which the chord differs from it.
//
//   harmony_of(*music::parse_chord("C7b9"))  ->  "dominant", add 9 lowered
//   harmony_of(*music::parse_chord("Csus4")) ->  "suspended-fourth"
//
// The kind with the fewest differences is taken, the first of the table among equals. Source: MusicXML
// 4.0 (W3C Music Notation Community Group, 2021), kind-value, degree, degree-alter: an added degree is
// counted from the dominant chord on the root (major and perfect intervals, a minor seventh), an
// altered one from the tone that the kind holds.
#pragma once

#include <string_view>
#include <vector>

#include "music/chord.h"

namespace stillhand::write {

enum class DegreeChange { add, alter, subtract };

struct HarmonyDegree {
  int number;  // 1–13
  int alter;   // half steps
  DegreeChange change;
  friend bool operator==(const HarmonyDegree&, const HarmonyDegree&) = default;
};

struct Harmony {
  std::string_view kind;
  std::vector<HarmonyDegree> degrees;
  friend bool operator==(const Harmony&, const Harmony&) = default;
};

Harmony harmony_of(const music::Chord& chord);

}  // namespace stillhand::write
