// A shape: the piano keys and fingers of one chord in one hand. All a student has to learn for it.
//
//   auto all = shapes(chord, HandSize::medium(), kRightHandRegister, RootIn::left_hand);
//   customary_fingers(Hand::right, Inversion::second) == {1, 3, 5}
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "hand/finger.h"
#include "hand/geometry.h"
#include "hand/size.h"
#include "music/chord.h"
#include "music/pitch.h"

namespace stillhand::hand {

using music::Chord;
using music::Degree;
using music::Pitch;

struct ShapeNote {
  Pitch pitch;    // as spelled in the chord
  Degree degree;  // of the chord
  Finger finger;
  PianoKey key() const { return pitch.key(); }
  friend auto operator<=>(const ShapeNote&, const ShapeNote&) = default;
};

// Named by the chord note at the bottom: root 0, third (or what replaces it) 1, fifth 2, seventh or
// sixth 3, an added or higher note at the bottom 4.
enum class Inversion : std::int8_t { root_position, first, second, third, other };
std::string_view name(
    Inversion inversion);  // "root position", "first inversion", …, "other inversion"

struct Shape {
  std::vector<ShapeNote> notes;  // low to high, two to four
  Inversion inversion = Inversion::root_position;
  bool is_reduction = false;  // fewer notes than the chord has

  PianoKey lowest() const { return notes.front().key(); }
  PianoKey highest() const { return notes.back().key(); }
  friend bool operator==(const Shape&, const Shape&) = default;
};

// "first inversion"; of a reduction of `chord` also every note it leaves out: "first inversion, without the fifth",
// "third inversion, without root, fifth and ninth".
std::string described(const Shape& shape, const Chord& chord);

struct Register {
  PianoKey lowest, highest;
};
inline constexpr Register kRightHandRegister{PianoKey(52), PianoKey(74)};  // E3–D5: the hard limit
inline constexpr Register kRightHandPreferred{PianoKey(53), PianoKey(72)};  // F3–C5

// Who sounds the root. A right-hand shape may leave it out only where the left hand has it.
enum class RootIn : std::int8_t { left_hand, right_hand };

// Every playable shape of the chord inside the register, in the canonical order of the tie rule:
// lower bottom key first, then fewer semitones from bottom to top, then fewer notes, then the keys,
// then fingers read low to high.
//
// Three-note chords are taken in closed position in every inversion; larger chords as four notes
// and in the customary three-note reductions: the fifth goes first (unless altered), third and
// seventh stay; a ninth is 3-7-9, an added ninth 9-3-5, a dominant eleventh leaves out the third,
// and no eleventh loses its eleventh (common practice, no source). Keys that make a closed triad,
// whatever the chord is called, carry the triad's customary fingers only; all other shapes every
// comfortable fingering, or every practical one where none is comfortable. Empty when the hand
// cannot play the chord at all.
std::vector<Shape> shapes(const Chord& chord, const HandSize& size, Register range, RootIn root);

// The shape of exactly these pitches (ascending), or nullopt when they are not notes of the chord.
// Fingers: one each.
std::optional<Shape> shape_of(const Chord& chord, const std::vector<Pitch>& pitches,
                              const std::vector<Finger>& fingers);

// All fingerings of given keys (ascending) whose finger pairs stay within the hand's practical
// spans; the comfortable ones only, if there are any. One finger per key low to high; in
// lexicographic order. The left hand mirrors the right.
std::vector<std::vector<Finger>> fingerings(const std::vector<PianoKey>& keys, Hand hand,
                                            const HandSize& size);

// Whether these fingers (one per key, ascending keys, right hand) stay within the practical spans,
// no finger twice.
bool can_play(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers,
              const HandSize& size);

// Span units outside the relaxed spans, summed over all finger pairs, in either hand. 0 = relaxed.
int stretch(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers,
            const HandSize& size);

// The fingering with the least stretch; among equals the first, the fingers being read
// from the thumb: 1-2-3-5 comes before 1-2-4-5, and 5-3-2-1 before 5-4-2-1.
// Empty when no fingering is within the practical spans.
std::vector<Finger> easiest_fingers(const std::vector<PianoKey>& keys, Hand hand,
                                    const HandSize& size);

// Major, minor, diminished or augmented, and nothing added.
bool is_triad(const Chord& chord);

// The inversion of the triad that a three-note shape of `chord` is to the hand: its own for a triad, else that of the major,
// minor, diminished or augmented triad which its keys make in closed position (F♯m7♭5 without its root is A minor).
// nullopt if they make none.
std::optional<Inversion> triad_inversion(const Shape& shape, const Chord& chord);

// Closed three-note triad shapes, right hand low to high: 1-3-5, 1-2-5, 1-3-5; left hand: 5-3-1,
// 5-3-1, 5-2-1.
std::vector<Finger> customary_fingers(Hand hand, Inversion inversion);

}  // namespace stillhand::hand
