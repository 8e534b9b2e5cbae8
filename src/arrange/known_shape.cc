#include "arrange/known_shape.h"

#include <algorithm>

namespace stillhand::arrange {
namespace {

constexpr int kOctave = 12;

bool same_but_for_octaves(const hand::Shape& shape, const std::vector<music::Pitch>& pitches) {
  if (shape.notes.size() != pitches.size()) return false;
  const int moved = (shape.lowest() - pitches.front().key()).value();
  if (moved % kOctave != 0) return false;
  return std::equal(pitches.begin(), pitches.end(), shape.notes.begin(),
                    [moved](const music::Pitch& pitch, const hand::ShapeNote& note) {
                      return (note.key() - pitch.key()).value() == moved;
                    });
}

bool same_fingers(const hand::Shape& shape, const std::vector<hand::Finger>& fingers) {
  return std::equal(
      fingers.begin(), fingers.end(), shape.notes.begin(), shape.notes.end(),
      [](hand::Finger finger, const hand::ShapeNote& note) { return finger == note.finger; });
}

}  // namespace

bool is_known(const music::Chord& chord, const hand::Shape& shape,
              const std::vector<KnownShape>& known) {
  return std::any_of(known.begin(), known.end(), [&](const KnownShape& k) {
    if (!(k.chord.without_bass() == chord.without_bass())) return false;
    if (k.pitches.empty()) return shape.inversion == hand::Inversion::root_position;
    return same_but_for_octaves(shape, k.pitches) &&
           (k.fingers.empty() || same_fingers(shape, k.fingers));
  });
}

}  // namespace stillhand::arrange
