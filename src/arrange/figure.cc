#include "arrange/figure.h"

#include <algorithm>
#include <array>
#include <cstdlib>

namespace stillhand::arrange {
namespace {

using music::Degree;
using music::NoteName;
using music::Semitones;
using music::Tonality;

constexpr int kFifth = 7;
constexpr int kFarthestFromAFifth = 2;  // a fourth to a major sixth
constexpr Semitones kWholeStep{2};
constexpr Semitones kLongestLeap{5};

std::optional<NoteName> note_of(const Chord& chord, int degree) {
  const auto& degrees = chord.quality.degrees;
  const auto found = std::find_if(degrees.begin(), degrees.end(),
                                  [&](const Degree& d) { return d.number == degree; });
  if (found == degrees.end()) return std::nullopt;
  return chord.note(*found);
}

// Over another bass than the root; the root before the fifth where both are as near.
std::optional<NoteName> nearest_to_a_fifth(const Chord& chord) {
  std::optional<NoteName> best;
  int least = kFarthestFromAFifth + 1;
  for (const auto& tone : {std::optional(chord.root), note_of(chord, 5)}) {
    if (!tone) continue;
    const int off = std::abs(music::semitones_up(chord.bass_note(), *tone).value() - kFifth);
    if (off >= least) continue;
    least = off;
    best = tone;
  }
  return best;
}

// ---- walks

// The seven notes at hand, one for each letter: the key's, but a chord note takes the place of its letter; where the
// seventh of a minor key is raised the sixth is too, unless the chord holds it.
class Scale {
 public:
  Scale(const Chord& chord, const Tonality& tonality) {
    for (int degree = 1; degree <= 7; ++degree) set(tonality.degree(degree));
    for (const NoteName& note : chord.notes()) set(note);
    set(chord.bass_note());
    if (tonality.mode == music::Mode::major) return;
    const NoteName sixth = tonality.degree(6);
    const NoteName seventh = tonality.degree(7);
    const bool is_raised = at(seventh.letter).accidental > seventh.accidental;
    const auto notes = chord.notes();
    const bool holds_sixth = std::find(notes.begin(), notes.end(), sixth) != notes.end();
    if (is_raised && !holds_sixth) ++at(sixth.letter).accidental;
  }

  std::optional<NoteName> name_of(PianoKey key) const {
    for (const NoteName& note : notes_) {
      if (note.pitch_class() == key.pitch_class()) return note;
    }
    return std::nullopt;
  }

 private:
  NoteName& at(music::Letter letter) { return notes_[static_cast<std::size_t>(letter)]; }
  void set(NoteName note) { at(note.letter) = note; }

  std::array<NoteName, 7> notes_;
};

// A half step below or above its goal, named by the goal's neighbouring letter: C# to D, Db to C.
Pitch half_step_into(const Pitch& goal, PianoKey key, const Tonality& tonality) {
  const bool rises = key < goal.key();
  NoteName name;
  name.letter =
      static_cast<music::Letter>((static_cast<int>(goal.name.letter) + (rises ? 6 : 1)) % 7);
  for (const int accidental : {0, 1, -1}) {
    name.accidental = static_cast<std::int8_t>(accidental);
    if (name.pitch_class() == key.pitch_class()) return music::pitch_at(key, name);
  }
  return music::pitch_at(key, tonality.spell(key.pitch_class()));
}

}  // namespace

FigureTones figure_tones(const Chord& chord) {
  if (chord.bass_note().pitch_class() != chord.root.pitch_class())
    return {std::nullopt, nearest_to_a_fifth(chord)};
  return {note_of(chord, 3), note_of(chord, 5)};
}

std::vector<Pitch> walk(const Chord& chord, const Pitch& from, const Pitch& to,
                        const Tonality& tonality, std::size_t most) {
  std::vector<Pitch> notes;  // from the goal backwards
  const int towards = from.key() < to.key() ? 1 : -1;
  const Scale scale(chord, tonality);
  PianoKey last = to.key();
  while (notes.size() < most) {
    std::optional<Pitch> found;
    for (const int size : {2, 1}) {
      const PianoKey key = last - Semitones(size * towards);
      const bool is_between = (key - from.key()).value() * towards > 0;
      const auto name = scale.name_of(key);
      if (is_between && name) found = music::pitch_at(key, *name);
      // The nearer one wins.
    }
    if (!found && notes.empty() && abs(to.key() - from.key()) >= kWholeStep)
      found = half_step_into(to, to.key() - Semitones(towards), tonality);
    if (!found) break;
    notes.push_back(*found);
    last = found->key();
  }
  if (notes.empty() || abs(notes.back().key() - from.key()) > kLongestLeap) return {};
  std::reverse(notes.begin(), notes.end());
  return notes;
}

std::size_t walk_notes(Tick duration, Tick count) {
  const int counts = duration.value() / count.value();
  return std::min<std::size_t>(static_cast<std::size_t>(counts / 2), kMostWalkNotes);
}

}  // namespace stillhand::arrange
