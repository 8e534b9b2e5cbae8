// How hard a move, a section and a song are to play.
//
//   index_of_difficulty(Millimetre(705), Millimetre(235)) == Millibits(2000)     // 3 white keys on: log2(3 + 1)
//   SongDifficulty d = difficulty(arrangement);
//   d.right.front()            // the hardest right-hand move;   d.song.points    // of the whole song
//
// A finger going to a key is a pointing movement, so its index of difficulty is that of Fitts' law in the Shannon form,
// log2(D/W + 1) bits: D from key centre to key centre, W the width of the key that is struck.
//   P. M. Fitts, "The information capacity of the human motor system in controlling the amplitude of movement", Journal of
//   Experimental Psychology 47, 1954, 381–391;  I. S. MacKenzie, "Fitts' law as a research and design tool in
//   human-computer interaction", Human-Computer Interaction 7, 1992, 91–139.
// Both were measured with one pointer, not with the fingers of a pianist: here the index ranks moves, it predicts no times.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "arrange/arrangement.h"
#include "arrange/points.h"

namespace stillhand::arrange {

using hand::Millimetre;

// Thousandths of a bit.
struct MillibitsTag;
using Millibits = Amount<MillibitsTag, std::int64_t>;

// Thousandths of a bit a second: what a move asks, its index over the time there is for it.
struct ThroughputTag;
using Throughput = Amount<ThroughputTag, std::int64_t>;

struct MillisecondsTag;
using Milliseconds = Amount<MillisecondsTag, std::int64_t>;

// log2(D/W + 1), rounded down to a thousandth of a bit; worked out in integers, so that it is the same everywhere.
// Precondition: 0 <= distance <= 30 m, width > 0.
Millibits index_of_difficulty(Millimetre distance, Millimetre width);

struct FingerTravel {
  Finger finger;
  PianoKey to;
  Millimetre distance;
  Millibits index;
  friend bool operator==(const FingerTravel&, const FingerTravel&) = default;
};

struct MoveDifficulty {
  std::vector<FingerTravel> fingers;  // those with a way to go, thumb first
  Millimetre farthest;                // of their ways
  // Of the hardest finger, and a quarter of a bit more for each further one (our judgement). A hand that slides in its
  // frame, no finger staying, moves as one: no further finger.
  Millibits index;
  friend bool operator==(const MoveDifficulty&, const MoveDifficulty&) = default;
};
inline constexpr Millibits kFurtherFinger{250};

// Right hand. A finger that did not play before comes from where it rested: between the keys of its neighbours, or one
// white key on from the nearest playing finger for each finger outside them.
MoveDifficulty move_difficulty(const Shape& from, const Shape& to);

// The way of the left-hand finger that plays `now`: none in the position it lies in; from its key of the position where it
// reaches; from its key of the position left behind where the hand shifts. The open hand measures from the note before.
MoveDifficulty bass_difficulty(const std::vector<Position>& positions, const BassNote& before,
                               const BassNote& now);

// One kind of move in a song. Right hand: each ordered pair of shapes once. Left hand: each ordered pair of bass notes,
// with their fingers, that ask a way.
struct RankedMove {
  MoveDifficulty difficulty;
  int times = 0;
  Milliseconds shortest;   // the least time there is for it, from chord to chord
  Throughput needed;       // the index over that time
  std::size_t chord = 0;   // index into Arrangement::chords: where that is first so
  std::size_t before = 0;  // the chord it comes from
};

enum class Factor {
  shapes,
  farthest_finger,
  hardest_move,
  changes,
  black_keys,
  shifts,
  syncopation,
  tempo
};
std::string_view name(Factor factor);  // "shapes", "farthest finger", … as in data/difficulty.tsv
const std::vector<Factor>& all_factors();

struct FactorValue {
  Factor factor;
  std::int64_t value = 0;  // in the unit that data/difficulty.tsv names
  Points points;
};
// "3 shapes", "a finger move of 70.5 mm", "1.25 changes a bar".
std::string in_words(const FactorValue& value);

struct Difficulty {
  std::vector<FactorValue> factors;  // every factor, in the order of Factor
  Points points;                     // their sum
};

struct SongDifficulty {
  Difficulty song;
  // One per Song::sections, over all times it is played, the way into it included; nullopt: never played.
  std::vector<std::optional<Difficulty>> sections;
  // Hardest first: by what they need, then by index, then by first appearance.
  std::vector<RankedMove> right;
  std::vector<RankedMove> left;
};

SongDifficulty difficulty(const Arrangement& arrangement);

// How many of ten real songs (data/difficulty_scale.tsv) are easier, 0 to 9. Of a song, not of a section.
struct SongsInTenTag;
using SongsInTen = Amount<SongsInTenTag, int>;
SongsInTen easier_songs(Points points);

}  // namespace stillhand::arrange
