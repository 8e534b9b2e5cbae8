#include "arrange/right_hand_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>

namespace stillhand::arrange {
namespace {

using hand::ShapeNote;

// This file repeats in its own words what right_hand.cc prices, on purpose: it shares only the
// tables with it.

bool holds(const Shape& shape, PianoKey key) {
  return std::any_of(shape.notes.begin(), shape.notes.end(),
                     [&](const ShapeNote& n) { return n.key() == key; });
}

std::int64_t units_off(const Shape& shape, const hand::HandSize& size) {
  std::int64_t units = 0;
  for (const ShapeNote& a : shape.notes) {
    for (const ShapeNote& b : shape.notes) {
      if (!(a.key() < b.key())) continue;
      const hand::Span& span = size.span(a.finger, b.finger);
      const int wide = hand::span_units(a.key(), b.key()).value();
      if (wide > span.max_relaxed.value()) units += wide - span.max_relaxed.value();
      if (wide < span.min_relaxed.value()) units += span.min_relaxed.value() - wide;
    }
  }
  return units;
}

std::int64_t playing_cost(const Chord& chord, const Shape& shape, const Choices& choices,
                          bool tonic) {
  const RightHandWeights& w = choices.manner.right;
  std::int64_t cost = w.stretch * units_off(shape, choices.hand);
  for (std::size_t i = 0; i + 1 < shape.notes.size(); ++i) {
    const int step = shape.notes[i + 1].key().number() - shape.notes[i].key().number();
    const int fingers = shape.notes[i + 1].finger.number() - shape.notes[i].finger.number();
    if (step <= 2 && fingers >= 2) cost += w.skipped_finger;
  }
  for (const ShapeNote& n : shape.notes) {
    if (n.finger.number() == 1 && n.key().is_black()) cost += w.thumb_on_black;
    if (n.finger.number() == 5 && n.key().is_black()) cost += w.little_on_black;
  }
  const int low = shape.notes.front().key().number();
  const int high = shape.notes.back().key().number();
  const int preferred_low = choices.registers.preferred.lowest.number();
  const int preferred_high = choices.registers.preferred.highest.number();
  if (low < preferred_low) cost += std::int64_t{w.outside_register} * (preferred_low - low);
  if (high > preferred_high) cost += std::int64_t{w.outside_register} * (high - preferred_high);
  cost +=
      std::int64_t{w.register_pull} * (std::abs(low + high - preferred_low - preferred_high) / 2);
  if (shape.notes.front().degree.number != 1 && hand::is_triad(chord))
    cost += w.inversion + (tonic ? w.tonic_inversion : 0);
  std::set<music::Degree> played;
  for (const ShapeNote& n : shape.notes) played.insert(n.degree);
  // A chord may have a plain and an altered fifth: it is the plain one that is missed.
  for (music::Degree d : chord.quality.degrees) {
    if (d == music::Degree{5, 0} && !played.contains(d)) cost += w.missing_fifth;
  }
  if (!played.contains(music::Degree{1, 0}) && !chord.quality.has(9)) cost += w.missing_root;
  if (shape.notes.size() > 3)
    cost += std::int64_t{w.extra_note} * static_cast<std::int64_t>(shape.notes.size() - 3);
  return cost;
}

// Semitones of the cheapest order-keeping pairing, by trying every way to leave out notes of the
// larger shape.
std::int64_t voices(const Shape& a, const Shape& b) {
  const Shape& few = a.notes.size() <= b.notes.size() ? a : b;
  const Shape& many = a.notes.size() <= b.notes.size() ? b : a;
  std::int64_t best = -1;
  for (unsigned mask = 0; mask < (1U << many.notes.size()); ++mask) {
    std::vector<int> chosen;
    for (std::size_t i = 0; i < many.notes.size(); ++i) {
      if ((mask >> i & 1U) != 0) chosen.push_back(many.notes[i].key().number());
    }
    if (chosen.size() != few.notes.size()) continue;
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < chosen.size(); ++i)
      sum += std::abs(chosen[i] - few.notes[i].key().number());
    if (best < 0 || sum < best) best = sum;
  }
  return best;
}

int place_of_hand(const Shape& shape) {
  int sum = 0;
  for (const ShapeNote& n : shape.notes)
    sum += hand::centre(n.key()).value() - 235 * (n.finger.number() - 3);
  return sum / static_cast<int>(shape.notes.size());
}

bool regrips(const Shape& a, const Shape& b) {
  std::vector<int> before;
  std::vector<int> after;
  for (const ShapeNote& n : a.notes) before.push_back(n.finger.number());
  for (const ShapeNote& n : b.notes) after.push_back(n.finger.number());
  return before != after;
}

bool slides(const Shape& a, const Shape& b) {
  if (a.notes.size() != b.notes.size()) return false;
  for (std::size_t i = 0; i < a.notes.size(); ++i) {
    if (a.notes[i].finger != b.notes[i].finger) return false;
    if (i + 1 == a.notes.size()) break;
    const int gap_a = hand::span_units(a.notes[i].key(), a.notes[i + 1].key()).value();
    const int gap_b = hand::span_units(b.notes[i].key(), b.notes[i + 1].key()).value();
    if (std::abs(gap_a - gap_b) > 1) return false;
  }
  return true;
}

std::int64_t changing_cost(const Shape& a, const Shape& b, const RightHandWeights& w,
                           std::int64_t percent) {
  std::int64_t held = 0;
  std::int64_t fingers_changed = 0;
  for (const ShapeNote& n : a.notes) {
    if (!holds(b, n.key())) continue;
    ++held;
    for (const ShapeNote& m : b.notes)
      fingers_changed += m.key() == n.key() && m.finger != n.finger ? 1 : 0;
  }
  std::int64_t moving = static_cast<std::int64_t>(std::max(a.notes.size(), b.notes.size())) - held;
  if (moving > 0 && held == 0 && slides(a, b)) moving = 1;
  const std::int64_t steady = w.semitones * voices(a, b) + w.finger * moving +
                              (slides(a, b) ? 0 : w.frame) + (regrips(a, b) ? w.grip : 0) +
                              w.finger_change * fingers_changed;
  const std::int64_t way = std::abs(place_of_hand(b) - place_of_hand(a));
  const std::int64_t shift = (way * w.shift + (way > 470 ? (way - 470) * w.leap : 0)) / 100;
  return 100 * steady + percent * shift;
}

bool is_tonic(const Chord& chord, const music::Tonality& tonality) {
  const music::Degree third{3,
                            static_cast<std::int8_t>(tonality.mode == music::Mode::major ? 0 : -1)};
  const auto& degrees = chord.quality.degrees;
  return chord.root.pitch_class() == tonality.tonic.pitch_class() &&
         std::find(degrees.begin(), degrees.end(), third) != degrees.end();
}

// Whether the student has this chord on these keys, in any octave, with these fingers.
bool learned_before(const ShapeChoice& choice, const std::vector<KnownShape>& known) {
  const auto& notes = choice.shape.notes;
  for (const KnownShape& k : known) {
    if (!(k.chord == choice.chord)) continue;
    bool same =
        k.pitches.empty() ? notes.front().degree.number == 1 : k.pitches.size() == notes.size();
    for (std::size_t i = 0; same && i < k.pitches.size(); ++i) {
      const int up = notes[i].key().number() - k.pitches[i].key().number();
      same = up % 12 == 0 && up == notes[0].key().number() - k.pitches[0].key().number() &&
             (k.fingers.empty() || k.fingers[i] == notes[i].finger);
    }
    if (same) return true;
  }
  return false;
}

// What is played one chord after another, apart from learning it.
std::int64_t passage_cost(const Arrangement& a, const std::vector<chart::PlayedChord>& chords,
                          const std::vector<const Shape*>& shapes, const Choices& choices) {
  const RightHandWeights& w = choices.manner.right;
  std::int64_t cost = 0;
  const Shape* before = nullptr;
  Tick start_before;
  for (std::size_t i = 0; i < chords.size(); ++i) {
    const chart::PlayedChord& played = chords[i];
    if (!played.chord) continue;
    const Shape* shape = shapes[i];
    const chart::Bar& bar = chart::bar_of(a.song, a.bars[played.played_bar]);
    cost += 100 * playing_cost(played.chord->without_bass(), *shape, choices,
                               is_tonic(*played.chord, bar.tonality));
    if (before != nullptr && before != shape) {
      const std::int64_t count_ms =
          60'000 * std::int64_t{(played.start - start_before).value()} /
          (std::int64_t{bar.meter.count_length().value()} * a.song.tempo.value());
      const std::int64_t hurry = count_ms >= 2000 ? 0 : w.haste * (2000 - count_ms) / 2000;
      cost += changing_cost(*before, *shape, w, 100 + hurry);
    }
    before = shape;
    start_before = played.start;
  }
  return cost;
}

// Besides the shape that the chord has everywhere else. (Another shape pinned for one section has no price.)
bool is_second(const ShapeChoice& choice) { return !choice.sections.empty() && !choice.is_pinned; }

std::int64_t learning(const std::vector<ShapeChoice>& shapes, const Choices& choices) {
  const RightHandWeights& w = choices.manner.right;
  std::int64_t cost = 0;
  for (const ShapeChoice& choice : shapes) {
    if (learned_before(choice, choices.known)) continue;
    const bool is_root = choice.shape.notes.front().degree.number == 1;
    cost += std::int64_t{100} * (is_root ? w.learn_root_position : w.learn_inversion);
  }
  for (const ShapeChoice& choice : shapes)
    cost += is_second(choice) ? std::int64_t{100} * w.second_shape : 0;
  return cost;
}

class Checker {
 public:
  Checker(const Arrangement& a, const Choices& choices) : a_(a), choices_(choices) {}

  std::vector<std::string> run() {
    for (const ShapeChoice& choice : a_.right.shapes) check_shape(choice);
    check_second_shapes();
    check_pins();
    if (complaints_.empty()) check_cost();
    if (a_.right.lower_bound > a_.right.cost) complain("the lower bound lies above the cost");
    if (a_.right.status == Status::optimal && a_.right.lower_bound != a_.right.cost) {
      complain("called optimal, but the lower bound does not meet the cost");
    }
    return std::move(complaints_);
  }

  void check_options() {
    for (const ShapeChoice& choice : a_.options.shapes) check_shape(choice);
    for (const ArrangedOption& option : a_.options.lines) {
      for (const OptionPassage& passage : option.passages) check_passage(option.place, passage);
    }
    if (!complaints_.empty()) return;
    const Cost cost = options_cost(a_, choices_);
    if (cost != a_.options.cost) {
      complain(fmt::format("the options cost {}, not {} as stated", cost.value(),
                           a_.options.cost.value()));
    }
  }

  void check_passage(const chart::OptionPlace& place, const OptionPassage& passage) {
    for (std::size_t i = 0; i < passage.chords.size(); ++i) {
      const chart::PlayedChord& played = passage.chords[i];
      if (!played.chord) continue;
      const std::string name = text(*played.chord);
      if (!passage.shapes[i] || !passage.bass[i])
        return complain(name + ": a hand has nothing to play");
      const ShapeChoice& choice = a_.shape_choice(*passage.shapes[i]);
      if (!(choice.chord == played.chord->without_bass()))
        return complain(name + ": the shape of another chord");
      if (passage.bass[i]->pitch.name.pitch_class() != played.chord->bass_note().pitch_class())
        complain(name + ": another bass note than the chord asks for");
      if (passage.bass[i]->pitch.key() >= choice.shape.lowest())
        complain(name + ": the hands meet");
      const chart::PlayedBar& bar = a_.bars[played.played_bar];
      if (bar.section == place.section && bar.line == place.line) continue;
      if (&choice.shape != plain_shape_at(played.start))
        complain(name + ": not the shape of the plain song");
    }
  }

  const Shape* plain_shape_at(Tick moment) const {
    const Shape* found = nullptr;
    for (std::size_t i = 0; i < a_.chords.size() && a_.chords[i].start <= moment; ++i)
      found = a_.shape_at(i);
    return found;
  }

  std::vector<std::string> take_complaints() { return std::move(complaints_); }

 private:
  void check_shape(const ShapeChoice& choice) {
    const std::string name = text(choice.chord);
    std::set<int> of_chord;
    for (music::NoteName n : choice.chord.notes()) of_chord.insert(n.pitch_class().value());
    std::vector<PianoKey> keys;
    std::vector<Finger> fingers;
    for (const ShapeNote& n : choice.shape.notes) {
      keys.push_back(n.key());
      fingers.push_back(n.finger);
      if (!of_chord.contains(n.key().pitch_class().value()))
        complain(name + ": a key is not of the chord");
      if (choice.chord.note(n.degree).pitch_class() != n.key().pitch_class())
        complain(name + ": a degree is wrong");
    }
    if (!std::is_sorted(keys.begin(), keys.end())) complain(name + ": the keys do not rise");
    if (!hand::can_play(keys, fingers, choices_.hand))
      complain(name + ": the fingers do not reach");
    if (keys.front() < choices_.registers.limit.lowest ||
        keys.back() > choices_.registers.limit.highest) {
      complain(name + ": outside E3–D5");
    }
    if (!choice.is_pinned && choices_.skills && !choices_.skills->contains(Skill::inversions) &&
        !(choice.shape.notes.front().degree == music::Degree{1, 0})) {
      complain(name + ": an inversion, which the student has not learned");
    }
    if (!choice.is_pinned) {
      const auto triad = hand::triad_inversion(choice.shape, choice.chord);
      if (triad && fingers != hand::customary_fingers(hand::Hand::right, *triad))
        complain(name + ": not the customary fingers");
    }
  }

  // At most one for a chord, and only where second shapes are allowed; each section plays the one shape that it is said to.
  void check_second_shapes() {
    const auto& shapes = a_.right.shapes;
    std::map<std::string, int> seconds;
    for (const ShapeChoice& choice : shapes) {
      if (!is_second(choice)) continue;
      const std::string name = text(choice.chord);
      if (choices_.second_shapes == SecondShapes::leave_out) complain(name + ": a second shape");
      if (++seconds[name] == 2) complain(name + ": a third shape");
    }
    if (seconds.empty()) return;
    for (std::size_t i = 0; i < a_.chords.size(); ++i) {
      if (!a_.shape_of_chord[i]) continue;
      const ShapeChoice& played = shapes[*a_.shape_of_chord[i]];
      for (const ShapeChoice& other : shapes) {
        if (!(other.chord == played.chord) || other.is_pinned || played.is_pinned) continue;
        const auto lists_it = [&](const ShapeChoice& choice) {
          return std::count(choice.sections.begin(), choice.sections.end(), a_.chords[i].section);
        };
        const bool is_wrong = is_second(played) ? lists_it(played) != 1 : lists_it(other) != 0;
        if (is_wrong) complain(text(played.chord) + ": the shape of another section");
      }
    }
  }

  void check_pins() {
    for (const chart::Pin& pin : a_.song.pins) {
      for (std::size_t i = 0; i < a_.chords.size(); ++i) {
        if (!a_.chords[i].chord || !(a_.chords[i].chord->without_bass() == pin.chord)) continue;
        if (pin.section ? *pin.section != a_.chords[i].section
                        : pinned_in(pin.chord, a_.chords[i].section))
          continue;
        const Shape* shape = a_.shape_at(i);
        if (shape == nullptr) continue;
        const bool same =
            shape->notes.size() == pin.pitches.size() &&
            std::equal(pin.pitches.begin(), pin.pitches.end(), shape->notes.begin(),
                       [](const Pitch& p, const ShapeNote& n) { return p.key() == n.key(); });
        if (!same) complain(text(pin.chord) + ": the pin is not honoured");
      }
    }
  }

  // Whether a section's own pin takes the place of the general one.
  bool pinned_in(const Chord& chord, std::size_t section) const {
    return std::any_of(a_.song.pins.begin(), a_.song.pins.end(), [&](const chart::Pin& p) {
      return p.chord == chord && p.section == section;
    });
  }

  void check_cost() {
    for (std::size_t i = 0; i < a_.chords.size(); ++i) {
      if (a_.chords[i].chord && a_.shape_at(i) == nullptr)
        return complain(text(*a_.chords[i].chord) + ": no shape");
    }
    const Cost cost = plain_cost(a_, choices_);
    if (cost != a_.right.cost) {
      complain(
          fmt::format("the cost is {}, not {} as stated", cost.value(), a_.right.cost.value()));
    }
  }

  void complain(std::string what) { complaints_.push_back(std::move(what)); }

  const Arrangement& a_;
  const Choices& choices_;
  std::vector<std::string> complaints_;
};

}  // namespace

Cost plain_cost(const Arrangement& a, const Choices& choices) {
  std::vector<const Shape*> shapes;
  for (std::size_t i = 0; i < a.chords.size(); ++i) shapes.push_back(a.shape_at(i));
  return Cost(passage_cost(a, a.chords, shapes, choices) + learning(a.right.shapes, choices));
}

Cost options_cost(const Arrangement& a, const Choices& choices) {
  std::int64_t cost = learning(a.options.shapes, choices);
  for (const ArrangedOption& option : a.options.lines) {
    for (const OptionPassage& passage : option.passages) {
      std::vector<const Shape*> shapes;
      for (const auto& index : passage.shapes)
        shapes.push_back(index ? &a.shape_choice(*index).shape : nullptr);
      cost += passage_cost(a, passage.chords, shapes, choices);
    }
  }
  return Cost(cost);
}

std::vector<std::string> check_right_hand(const Arrangement& arrangement, const Choices& choices) {
  return Checker(arrangement, choices).run();
}

std::vector<std::string> check_options(const Arrangement& arrangement, const Choices& choices) {
  Checker checker(arrangement, choices);
  checker.check_options();
  return checker.take_complaints();
}

}  // namespace stillhand::arrange
