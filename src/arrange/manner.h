// A manner: a teacher's set of preferences in arranging, as weights. The built-in ones are data:
// data/manners/*.json.
//
//   Manner home = Manner::home();            home.right.inversion == …
//   Result<Manner> own = Manner::read(text, "mine.json");
//
// All weights are integer points, 0–10,000; only their proportions matter. Their origin is our
// judgement, fitted to the cadences and progressions that the tests name. A file states every
// weight once; unknown, missing or repeated names are errors.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace stillhand::arrange {

struct RightHandWeights {
  // Posture, each time a chord is played.
  int stretch = 0;  // per unit (14 to the octave) and finger pair outside the relaxed span
  int skipped_finger =
      0;  // per neighbouring notes a half or whole step apart under fingers that are no neighbours
  int thumb_on_black = 0;    // once
  int little_on_black = 0;   // once
  int outside_register = 0;  // per semitone of the shape outside F3–C5
  int register_pull = 0;  // per semitone between the middle of the shape and the middle of F3–C5
  int inversion = 0;      // a triad not in root position
  int tonic_inversion = 0;  // the tonic chord not in root position (on top of `inversion`)
  int missing_fifth = 0;    // a reduction without its fifth
  int missing_root = 0;     // a reduction without its root, but for ninths, where that is customary
  int extra_note = 0;       // per note over three
  // Learning, once for each distinct shape.
  int learn_root_position = 0;
  int learn_inversion = 0;
  int second_shape = 0;  // once for each second shape of a chord (on top of learning it)
  // Moves, at each change.
  int shift = 0;          // per 10 mm that the hand as a whole moves
  int leap = 0;           // per 10 mm of that beyond a third (two white keys, 47 mm)
  int semitones = 0;      // per semitone that a voice moves
  int finger = 0;         // per finger that moves; a hand sliding in the same frame counts as one
  int frame = 0;          // the distances between the fingers change
  int grip = 0;           // other fingers than before play the chord (1-2-5 after 1-3-5)
  int finger_change = 0;  // a held note changes its finger
  int haste = 0;          // percent added to `shift` at no time at all, falling to 0 at two seconds
  friend bool operator==(const RightHandWeights&, const RightHandWeights&) = default;
};

// Name and member of each weight, in file order.
struct WeightName {
  std::string_view name;
  int RightHandWeights::*member;
};
const std::vector<WeightName>& right_hand_weight_names();

enum class DescendingBass { slide_little_finger, announced_shift };

struct Manner {
  std::string name;
  RightHandWeights right;
  // A bass walking down out of the position: slid with the little finger (a beginner's way) or one
  // announced shift.
  DescendingBass descending_bass = DescendingBass::slide_little_finger;

  static Manner
  home();  // neighbouring chords in root position slid by step, the others inverted between them
  static Manner closest();  // stay nearest to the tonic chord
  static std::optional<Manner> named(std::string_view name);
  static Result<Manner> read(std::string_view json, const std::string& file);
};

inline constexpr int kLargestWeight = 10'000;

}  // namespace stillhand::arrange
