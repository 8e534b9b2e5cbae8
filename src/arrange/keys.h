// All twelve keys of a song, the best first.
//
//   KeyWishes wishes;                                  // the student's hand and manner, the singers' range
//   std::vector<KeyOption> keys = rank_keys(song, wishes);
//   keys.front().tonality;  keys.front().points        // what speaks against it, part by part
//
// Every option is the song as chart::transpose() gives it, arranged like any other. Keys are named by the usual signature
// of at most five sharps or flats; of the two with six, F# and Gb (D#m and Ebm), the one that needs fewer accidentals in
// the chord symbols is taken, of equals the one with sharps.
//
// The order is total: keys that can be played; then those that keep the singers within their range, the fewest semitones
// outside first; then the fewest points (data/key_choice.tsv); then cost, then accidentals of the signature, then from C
// upwards. A song without pins gives the same ranking from whatever key it is written in, apart from the range.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "arrange/arrange.h"
#include "arrange/difficulty.h"
#include "arrange/points.h"

namespace stillhand::arrange {

// A3–D5: a congregation's comfortable range, men an octave lower (common practice, no source).
inline constexpr chart::Range kCongregation{{{music::Letter::a, 0}, 3}, {{music::Letter::d, 0}, 5}};

struct KeyWishes {
  Choices choices;
  chart::Range singers = kCongregation;
};

// Where a melody leaves the singers' range, in the octave in which it leaves it least.
struct RangeFit {
  chart::Range melody;            // in this key and octave
  int octaves_up = 0;             // -1, 0 or 1: from where chart::transpose() puts the range
  music::Semitones above, below;  // outside the singers' range; 0: inside
  bool fits() const { return above == music::Semitones(0) && below == music::Semitones(0); }
};

enum class KeyPart { movement, black_keys, shifts, reaches, second_position, signature, symbols };
std::string_view name(KeyPart part);  // "movement", "black keys", … as in data/key_choice.tsv
const std::vector<KeyPart>& all_key_parts();

struct KeyPartValue {
  KeyPart part;
  std::int64_t value = 0;  // in the unit that data/key_choice.tsv names
  Points points;
};

struct KeyOption {
  music::Tonality tonality;
  music::Semitones up;            // from the key the song is written in, -5 … +6
  std::optional<RangeFit> range;  // nullopt: the chart has no range
  // Of a key that can be played.
  Status status = Status::optimal;
  Cost cost;
  Difficulty difficulty;
  std::vector<KeyPartValue> parts;  // every part, in the order of KeyPart
  Points points;                    // their sum
  int shifts = 0, reaches = 0;      // of the left hand in the whole song
  Diagnostics errors;               // why it cannot be played; empty: it can
  bool can_be_played() const { return errors.empty(); }
};

// Twelve options, one for each pitch class of the tonic.
std::vector<KeyOption> rank_keys(const Song& song, const KeyWishes& wishes);

// The twelve tonalities in the mode of the song, named as above, from C upwards.
std::vector<music::Tonality> usual_tonalities(const Song& song);

// How the song's melody lies in its present key; nullopt if the chart has no range.
std::optional<RangeFit> range_fit(const Song& song, const chart::Range& singers);

}  // namespace stillhand::arrange
