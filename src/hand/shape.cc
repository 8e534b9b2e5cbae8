#include "hand/shape.h"

#include <algorithm>
#include <array>
#include <tuple>

namespace stillhand::hand {
namespace {

using music::PitchClass;
using music::Semitones;

constexpr std::size_t kMostNotes =
    4;  // in one shape; five fingers on five keys are no beginner's shape (our judgement)

// ---- which notes of the chord the right hand takes

// What a chord is called after stays: without its eleventh an eleventh is a ninth.
bool is_named_after_eleventh(const Chord& chord) {
  return chord.quality.has(11) && !chord.quality.has(13);
}

// Degrees in the order in which they are indispensable; root and plain fifth come last.
std::vector<Degree> by_importance(const Chord& chord) {
  const auto& degrees = chord.quality.degrees;
  // A dominant eleventh leaves out its third, which rubs against the eleventh.
  const bool eleventh =
      chord.quality.has(11) && std::count(degrees.begin(), degrees.end(), Degree{7, -1}) != 0 &&
      std::count(degrees.begin(), degrees.end(), Degree{3, 0}) != 0 &&
      std::count(degrees.begin(), degrees.end(), Degree{11, 0}) != 0 && !chord.quality.has(13);
  const auto rank = [&](Degree d) {
    switch (d.number) {
      case 3:
        return 0;
      case 7:
        return 1;
      case 6:
        return 1;
      case 2:
        return 2;
      case 4:
        return 2;
      case 5:
        return d.alteration != 0 ? 3 : 8;
      case 13:
        return 4;
      case 11:
        return d.alteration != 0 || is_named_after_eleventh(chord) ? 4 : 6;
      case 9:
        return 5;
      case 1:
        return 7;
      default:
        return 9;
    }
  };
  std::vector<Degree> order = degrees;
  if (eleventh) std::erase(order, Degree{3, 0});
  std::stable_sort(order.begin(), order.end(),
                   [&](Degree a, Degree b) { return rank(a) < rank(b); });
  return order;
}

bool is_plain_fifth(Degree d) { return d == Degree{5, 0}; }
bool is_root(Degree d) { return d == Degree{1, 0}; }

// The sets of degrees the hand may take: the whole chord up to four notes, and the three-note
// reductions.
std::vector<std::vector<Degree>> selections(const Chord& chord, RootIn root) {
  const std::vector<Degree> order = by_importance(chord);
  if (order.size() <= 3) return {order};
  std::vector<std::vector<Degree>> sets;
  const auto add = [&](std::vector<Degree> set) {
    const bool has_root = std::any_of(set.begin(), set.end(), is_root);
    if (root == RootIn::right_hand && !has_root && chord.quality.has(1)) return;
    std::sort(set.begin(), set.end());
    if (std::find(sets.begin(), sets.end(), set) == sets.end()) sets.push_back(std::move(set));
  };
  std::vector<Degree> needed;
  for (Degree d : order) {
    if (!is_root(d) && !is_plain_fifth(d)) needed.push_back(d);
  }
  const auto first = [&](std::size_t n) {
    return std::vector<Degree>(
        needed.begin(), needed.begin() + static_cast<std::ptrdiff_t>(std::min(n, needed.size())));
  };
  const auto with = [](std::vector<Degree> set, Degree d) {
    set.push_back(d);
    return set;
  };
  if (order.size() == kMostNotes) add(order);
  if (needed.size() >= kMostNotes) add(first(kMostNotes));
  if (needed.size() >= 3) {
    add(first(3));
    add(with(first(3), Degree{1, 0}));
  } else {
    for (Degree d : order) {
      if (!is_root(d) && !is_plain_fifth(d)) continue;
      if (needed.size() == 2) add(with(needed, d));
    }
  }
  if (root == RootIn::right_hand) {
    const auto eleventh =
        std::find_if(needed.begin(), needed.end(), [](Degree d) { return d.number == 11; });
    const bool named = is_named_after_eleventh(chord) && eleventh != needed.end();
    add(named ? with({needed.front(), *eleventh}, Degree{1, 0}) : with(first(2), Degree{1, 0}));
  }
  if (sets.empty()) add(order.size() <= kMostNotes ? order : with(first(3), Degree{1, 0}));
  return sets;
}

// ---- placing them on keys

Inversion inversion_of(const Chord& chord, Degree bottom) {
  switch (bottom.number) {
    case 1:
      return Inversion::root_position;
    case 3:
      return Inversion::first;
    case 5:
      return Inversion::second;
    case 6:
    case 7:
      return Inversion::third;
    case 2:
    case 4:
      return chord.quality.has(3) ? Inversion::other : Inversion::first;
    default:
      return Inversion::other;
  }
}

struct Tone {
  Degree degree;
  PitchClass pitch_class;
};

// Distinct keys of a selection; two degrees on one key (#9 and b3) are one tone.
std::vector<Tone> tones_of(const Chord& chord, const std::vector<Degree>& selection) {
  std::vector<Tone> tones;
  for (Degree d : selection) {
    const PitchClass pc = chord.note(d).pitch_class();
    if (std::none_of(tones.begin(), tones.end(),
                     [&](const Tone& t) { return t.pitch_class == pc; })) {
      tones.push_back({d, pc});
    }
  }
  return tones;
}

int semitones_above(PitchClass from, PitchClass to) {
  return PitchClass(to.value() - from.value()).value();
}

// Closed position with tone `bottom` lowest, on `lowest`.
Shape closed_shape(const Chord& chord, std::vector<Tone> tones, const Tone& bottom,
                   PianoKey lowest) {
  std::sort(tones.begin(), tones.end(), [&](const Tone& a, const Tone& b) {
    return semitones_above(bottom.pitch_class, a.pitch_class) <
           semitones_above(bottom.pitch_class, b.pitch_class);
  });
  Shape shape;
  shape.inversion = inversion_of(chord, bottom.degree);
  shape.is_reduction = tones.size() < chord.quality.degrees.size();
  for (const Tone& tone : tones) {
    const PianoKey key = lowest + Semitones(semitones_above(bottom.pitch_class, tone.pitch_class));
    shape.notes.push_back({music::pitch_at(key, chord.note(tone.degree)), tone.degree, Finger(1)});
  }
  return shape;
}

std::string_view degree_name(Degree degree) {
  constexpr std::array<std::string_view, 14> names{
      "",        "root",   "second", "third", "fourth",   "fifth",   "sixth",
      "seventh", "octave", "ninth",  "tenth", "eleventh", "twelfth", "thirteenth"};
  return names[static_cast<std::size_t>(degree.number)];
}

std::vector<PianoKey> keys_of(const Shape& shape) {
  std::vector<PianoKey> keys;
  for (const ShapeNote& note : shape.notes) keys.push_back(note.key());
  return keys;
}

void set_fingers(Shape& shape, const std::vector<Finger>& fingers) {
  for (std::size_t i = 0; i < shape.notes.size(); ++i) shape.notes[i].finger = fingers[i];
}

bool in_canonical_order(const Shape& a, const Shape& b) {
  const auto order = [](const Shape& s) {
    return std::tuple(s.lowest(), s.highest() - s.lowest(), s.notes.size());
  };
  if (order(a) != order(b)) return order(a) < order(b);
  return std::lexicographical_compare(a.notes.begin(), a.notes.end(), b.notes.begin(),
                                      b.notes.end(), [](const ShapeNote& x, const ShapeNote& y) {
                                        return std::tuple(x.key(), x.finger) <
                                               std::tuple(y.key(), y.finger);
                                      });
}

// ---- fingers

enum class Ease { comfortable, practical };

bool within(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers,
            const HandSize& size, Ease ease) {
  if (!keys.empty() && !size.may_span(keys.front(), keys.back())) return false;
  for (std::size_t i = 0; i < keys.size(); ++i) {
    for (std::size_t j = i + 1; j < keys.size(); ++j) {
      const Finger low = std::min(fingers[i], fingers[j]);
      const Finger high = std::max(fingers[i], fingers[j]);
      const Span& span = size.span(low, high);
      const SpanUnits wide = span_units(keys[i], keys[j]);
      const bool fits = ease == Ease::practical
                            ? wide >= span.min_practical && wide <= span.max_practical
                            : wide >= span.min_comfortable && wide <= span.max_comfortable;
      if (!fits) return false;
    }
  }
  return true;
}

void choose_fingers(std::size_t count, int from, std::vector<Finger>& chosen,
                    std::vector<std::vector<Finger>>& all) {
  if (chosen.size() == count) {
    all.push_back(chosen);
    return;
  }
  for (int finger = from; finger <= 5; ++finger) {
    chosen.push_back(Finger(finger));
    choose_fingers(count, finger + 1, chosen, all);
    chosen.pop_back();
  }
}

}  // namespace

std::string_view name(Inversion inversion) {
  constexpr std::array<std::string_view, 5> names{
      "root position", "first inversion", "second inversion", "third inversion", "other inversion"};
  return names[static_cast<std::size_t>(inversion)];
}

std::string described(const Shape& shape, const Chord& chord) {
  std::string out(name(shape.inversion));
  if (!shape.is_reduction) return out;
  std::vector<std::string_view> missing;
  for (const Degree d : chord.quality.degrees) {
    const PitchClass pitch_class = chord.note(d).pitch_class();
    const bool sounds =
        std::any_of(shape.notes.begin(), shape.notes.end(),
                    [&](const ShapeNote& n) { return n.key().pitch_class() == pitch_class; });
    if (!sounds) missing.push_back(degree_name(d));
  }
  for (std::size_t i = 0; i < missing.size(); ++i) {
    const bool is_last = i + 1 == missing.size();
    out += i == 0 ? (is_last ? ", without the " : ", without ") : is_last ? " and " : ", ";
    out += missing[i];
  }
  return out;
}

std::optional<Inversion> triad_inversion(const Shape& shape, const Chord& chord) {
  const std::vector<PianoKey> keys = keys_of(shape);
  if (keys.size() != 3) return std::nullopt;
  if (is_triad(chord)) return shape.inversion;
  const auto is_third = [](Semitones wide) { return wide == Semitones(3) || wide == Semitones(4); };
  const auto is_fourth = [](Semitones wide) {
    return wide == Semitones(5) || wide == Semitones(6);
  };
  const Semitones lower = keys[1] - keys[0];
  const Semitones upper = keys[2] - keys[1];
  const Semitones both = keys[2] - keys[0];
  const bool is_sixth = both == Semitones(8) || both == Semitones(9);
  if (is_third(lower) && is_third(upper)) return Inversion::root_position;
  if (is_third(lower) && is_fourth(upper) && is_sixth) return Inversion::first;
  if (is_fourth(lower) && is_third(upper) && is_sixth) return Inversion::second;
  return std::nullopt;
}

bool is_triad(const Chord& chord) {
  const auto& d = chord.quality.degrees;
  return d.size() == 3 && d[0] == Degree{1, 0} && d[1].number == 3 && d[2].number == 5;
}

std::vector<Finger> customary_fingers(Hand hand, Inversion inversion) {
  const bool first = inversion == Inversion::first;
  const bool second = inversion == Inversion::second;
  if (hand == Hand::right) return {Finger(1), Finger(first ? 2 : 3), Finger(5)};
  return {Finger(5), Finger(second ? 2 : 3), Finger(1)};
}

std::vector<std::vector<Finger>> fingerings(const std::vector<PianoKey>& keys, Hand hand,
                                            const HandSize& size) {
  std::vector<std::vector<Finger>> all;
  std::vector<Finger> chosen;
  choose_fingers(keys.size(), 1, chosen, all);
  if (hand == Hand::left) {
    for (auto& fingers : all) std::reverse(fingers.begin(), fingers.end());
    std::sort(all.begin(), all.end());
  }
  for (Ease ease : {Ease::comfortable, Ease::practical}) {
    std::vector<std::vector<Finger>> fitting;
    for (const auto& fingers : all) {
      if (within(keys, fingers, size, ease)) fitting.push_back(fingers);
    }
    if (!fitting.empty()) return fitting;
  }
  return {};
}

int stretch(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers,
            const HandSize& size) {
  int units = 0;
  for (std::size_t i = 0; i < keys.size(); ++i) {
    for (std::size_t j = i + 1; j < keys.size(); ++j) {
      const Span& span =
          size.span(std::min(fingers[i], fingers[j]), std::max(fingers[i], fingers[j]));
      const SpanUnits wide = span_units(keys[i], keys[j]);
      units += std::max(0, (wide - span.max_relaxed).value()) +
               std::max(0, (span.min_relaxed - wide).value());
    }
  }
  return units;
}

std::vector<Finger> easiest_fingers(const std::vector<PianoKey>& keys, Hand hand,
                                    const HandSize& size) {
  std::vector<std::vector<Finger>> all = fingerings(keys, hand, size);
  if (hand == Hand::left) std::reverse(all.begin(), all.end());
  const auto best = std::min_element(all.begin(), all.end(), [&](const auto& a, const auto& b) {
    return stretch(keys, a, size) < stretch(keys, b, size);
  });
  return best == all.end() ? std::vector<Finger>{} : *best;
}

bool can_play(const std::vector<PianoKey>& keys, const std::vector<Finger>& fingers,
              const HandSize& size) {
  if (fingers.size() != keys.size()) return false;
  for (std::size_t i = 1; i < fingers.size(); ++i) {
    if (fingers[i] <= fingers[i - 1]) return false;
  }
  return within(keys, fingers, size, Ease::practical);
}

std::vector<Shape> shapes(const Chord& chord, const HandSize& size, Register range, RootIn root) {
  std::vector<Shape> found;
  for (const auto& selection : selections(chord, root)) {
    const std::vector<Tone> tones = tones_of(chord, selection);
    for (const Tone& bottom : tones) {
      for (PianoKey key = range.lowest; key <= range.highest; key = key + Semitones(1)) {
        if (key.pitch_class() != bottom.pitch_class) continue;
        Shape shape = closed_shape(chord, tones, bottom, key);
        if (shape.highest() > range.highest) continue;
        const auto keys = keys_of(shape);
        if (const auto triad = triad_inversion(shape, chord)) {
          const auto fingers = customary_fingers(Hand::right, *triad);
          if (!within(keys, fingers, size, Ease::practical)) continue;
          set_fingers(shape, fingers);
          found.push_back(std::move(shape));
          continue;
        }
        for (const auto& fingers : fingerings(keys, Hand::right, size)) {
          set_fingers(shape, fingers);
          found.push_back(shape);
        }
      }
    }
  }
  std::sort(found.begin(), found.end(), in_canonical_order);
  found.erase(std::unique(found.begin(), found.end()), found.end());
  return found;
}

std::optional<Shape> shape_of(const Chord& chord, const std::vector<Pitch>& pitches,
                              const std::vector<Finger>& fingers) {
  if (pitches.empty() || pitches.size() != fingers.size()) return std::nullopt;
  Shape shape;
  for (std::size_t i = 0; i < pitches.size(); ++i) {
    const PianoKey key = pitches[i].key();
    if (i > 0 && key <= pitches[i - 1].key()) return std::nullopt;
    const auto& degrees = chord.quality.degrees;
    const auto degree = std::find_if(degrees.begin(), degrees.end(), [&](Degree d) {
      return chord.note(d).pitch_class() == key.pitch_class();
    });
    if (degree == degrees.end()) return std::nullopt;
    shape.notes.push_back({music::pitch_at(key, chord.note(*degree)), *degree, fingers[i]});
  }
  shape.inversion = inversion_of(chord, shape.notes.front().degree);
  shape.is_reduction = shape.notes.size() < chord.quality.degrees.size();
  return shape;
}

}  // namespace stillhand::hand
