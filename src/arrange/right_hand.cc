#include "arrange/right_hand.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <map>

namespace stillhand::arrange {
namespace {

using hand::centre;
using hand::RootIn;
using hand::ShapeNote;
using hand::span_units;
using music::Degree;

constexpr std::int64_t kMillisecondsToSpare =
    2000;  // from here on a change has all the time it wants (our judgement)
constexpr std::int64_t kWholePercent = 100;
constexpr music::Semitones kWholeStep{2};
constexpr int kFingerWidth = 235;  // tenths of a millimetre: one white key for each finger
constexpr int kThird = 2 * kFingerWidth;
constexpr int kTenthsPerShift = 100;  // the weight `shift` counts per 10 mm

int middle_doubled(PianoKey low, PianoKey high) { return low.number() + high.number(); }

// Where the hand is: the mean place of its middle finger.
int hand_place(const Shape& shape) {
  int sum = 0;
  for (const ShapeNote& note : shape.notes) {
    sum += centre(note.key()).value() - kFingerWidth * (note.finger.number() - 3);
  }
  return sum / static_cast<int>(shape.notes.size());
}

// What a change of shape depends on, worked out once for each shape: a song has up to 80,000 pairs
// of shapes to price.
struct Grip {
  static constexpr std::size_t kMostNotes = 5;
  std::size_t notes = 0;
  std::array<int, kMostNotes> keys{};     // rising; the unused places stay 0
  std::array<int, kMostNotes> fingers{};  // one for each key
  std::array<int, kMostNotes> units{};    // where the keys lie, in span units
  int place = 0;                          // of the hand
};

Grip grip_of(const Shape& shape) {
  Grip grip;
  for (const ShapeNote& note : shape.notes) {
    grip.keys[grip.notes] = note.key().number();
    grip.fingers[grip.notes] = note.finger.number();
    grip.units[grip.notes] = span_units(PianoKey(0), note.key()).value();
    ++grip.notes;
  }
  grip.place = hand_place(shape);
  return grip;
}

bool same_fingers(const Grip& a, const Grip& b) { return a.fingers == b.fingers; }

bool same_frame(const Grip& a, const Grip& b) {
  if (!same_fingers(a, b)) return false;
  for (std::size_t i = 1; i < a.notes; ++i) {
    const int before = a.units[i] - a.units[i - 1];
    const int after = b.units[i] - b.units[i - 1];
    if (std::abs(after - before) > 1) return false;
  }
  return true;
}

// Semitones moved by the voices, each note of the smaller shape with one of the larger, in order.
int voice_semitones(const Grip& from, const Grip& to) {
  const Grip& few = from.notes <= to.notes ? from : to;
  const Grip& many = from.notes <= to.notes ? to : from;
  if (few.notes == many.notes) {
    int sum = 0;
    for (std::size_t i = 0; i < few.notes; ++i) sum += std::abs(many.keys[i] - few.keys[i]);
    return sum;
  }
  constexpr int kNever = 1 << 20;
  std::array<int, Grip::kMostNotes + 1> best{};  // best[i]: the first i notes of `few` matched
  best.fill(kNever);
  best[0] = 0;
  for (std::size_t n = 0; n < many.notes; ++n) {
    for (std::size_t i = few.notes; i > 0; --i) {
      best[i] = std::min(best[i], best[i - 1] + std::abs(many.keys[n] - few.keys[i - 1]));
    }
  }
  return best[few.notes];
}

Motion motion(const Grip& from, const Grip& to) {
  Motion m;
  m.semitones = voice_semitones(from, to);
  int held = 0;
  for (std::size_t i = 0; i < from.notes; ++i) {
    for (std::size_t j = 0; j < to.notes; ++j) {
      if (from.keys[i] != to.keys[j]) continue;
      ++held;
      if (from.fingers[i] != to.fingers[j]) ++m.finger_changes;
    }
  }
  const bool frame_kept = same_frame(from, to);
  m.frame_changes = frame_kept ? 0 : 1;
  m.grip_changes = same_fingers(from, to) ? 0 : 1;
  const int moved = static_cast<int>(std::max(from.notes, to.notes)) - held;
  m.fingers = moved == 0 ? 0 : frame_kept && held == 0 ? 1 : moved;
  m.shift = std::abs(to.place - from.place);
  return m;
}

std::vector<Grip> grips_of(const std::vector<Shape>& shapes) {
  std::vector<Grip> grips;
  grips.reserve(shapes.size());
  for (const Shape& shape : shapes) grips.push_back(grip_of(shape));
  return grips;
}

}  // namespace

Posture posture(const Chord& chord, const Shape& shape, const Choices& choices) {
  const hand::Register& preferred = choices.registers.preferred;
  Posture p;
  std::vector<PianoKey> keys;
  std::vector<Finger> fingers;
  for (const ShapeNote& note : shape.notes) {
    keys.push_back(note.key());
    fingers.push_back(note.finger);
    if (note.finger == hand::kThumb && note.key().is_black()) p.black_thumb = 1;
    if (note.finger == hand::kLittleFinger && note.key().is_black()) p.black_little = 1;
  }
  for (std::size_t i = 1; i < keys.size(); ++i) {
    const bool is_step = keys[i] - keys[i - 1] <= kWholeStep;
    if (is_step && fingers[i].number() - fingers[i - 1].number() > 1) ++p.skipped;
  }
  p.stretch = hand::stretch(keys, fingers, choices.hand);
  p.outside = std::max(0, (preferred.lowest - shape.lowest()).value()) +
              std::max(0, (shape.highest() - preferred.highest).value());
  p.off_centre = std::abs(middle_doubled(shape.lowest(), shape.highest()) -
                          middle_doubled(preferred.lowest, preferred.highest)) /
                 2;
  // Only triads have a familiar root position; a suspension or a reduction leans on its neighbours.
  const bool root_below = shape.inversion == hand::Inversion::root_position;
  p.inverted = hand::is_triad(chord) && !root_below ? 1 : 0;
  const auto has = [&](Degree d) {
    return std::any_of(shape.notes.begin(), shape.notes.end(),
                       [&](const ShapeNote& n) { return n.degree == d; });
  };
  const auto& degrees = chord.quality.degrees;
  const bool plain_fifth = std::find(degrees.begin(), degrees.end(), Degree{5, 0}) != degrees.end();
  p.missing_fifth = plain_fifth && !has({5, 0}) ? 1 : 0;
  // A ninth is 3-7-9 and an added ninth 9-3-5: there the root belongs to the left hand.
  p.missing_root = has({1, 0}) || chord.quality.has(9) ? 0 : 1;
  p.extra_notes = std::max(0, static_cast<int>(shape.notes.size()) - 3);
  return p;
}

Motion motion(const Shape& from, const Shape& to) { return motion(grip_of(from), grip_of(to)); }

namespace {

std::int64_t posture_cost(const Posture& p, const RightHandWeights& w, bool is_tonic) {
  return std::int64_t{p.stretch} * w.stretch + std::int64_t{p.skipped} * w.skipped_finger +
         std::int64_t{p.black_thumb} * w.thumb_on_black +
         std::int64_t{p.black_little} * w.little_on_black +
         std::int64_t{p.outside} * w.outside_register +
         std::int64_t{p.off_centre} * w.register_pull + std::int64_t{p.inverted} * w.inversion +
         std::int64_t{is_tonic ? p.inverted : 0} * w.tonic_inversion +
         std::int64_t{p.missing_fifth} * w.missing_fifth +
         std::int64_t{p.missing_root} * w.missing_root + std::int64_t{p.extra_notes} * w.extra_note;
}

std::int64_t learning_cost(const Chord& chord, const Shape& shape, const Choices& choices) {
  if (is_known(chord, shape, choices.known)) return 0;
  const RightHandWeights& w = choices.manner.right;
  return shape.inversion == hand::Inversion::root_position ? w.learn_root_position
                                                           : w.learn_inversion;
}

// Cost of one kind of change, `changes` times, of which the shifts are priced in percent summed
// over all of them.
std::int64_t motion_cost(const Motion& m, const RightHandWeights& w, std::int64_t changes,
                         std::int64_t percents) {
  const std::int64_t steady =
      std::int64_t{m.semitones} * w.semitones + std::int64_t{m.fingers} * w.finger +
      std::int64_t{m.frame_changes} * w.frame + std::int64_t{m.grip_changes} * w.grip +
      std::int64_t{m.finger_changes} * w.finger_change;
  const std::int64_t beyond = std::max(0, m.shift - kThird);
  const std::int64_t shift = (std::int64_t{m.shift} * w.shift + beyond * w.leap) / kTenthsPerShift;
  return steady * changes * kWholePercent + shift * percents;
}

// A student who has not learned inversions meets root positions only.
bool may_invert(const Choices& choices) {
  return !choices.skills || choices.skills->contains(Skill::inversions);
}

struct Changes {
  std::int64_t count = 0;
  std::int64_t percents = 0;  // 100 each, more where there is little time
};

bool is_tonic_chord(const Chord& chord, const music::Tonality& tonality) {
  if (chord.root.pitch_class() != tonality.tonic.pitch_class()) return false;
  const auto& d = chord.quality.degrees;
  const Degree third{3, static_cast<std::int8_t>(tonality.mode == music::Mode::major ? 0 : -1)};
  return std::find(d.begin(), d.end(), third) != d.end();
}

std::int64_t milliseconds(Tick duration, const chart::Bar& bar, music::Tempo tempo) {
  return std::int64_t{60'000} * duration.value() /
         (std::int64_t{bar.meter.count_length().value()} * tempo.value());
}

Diagnostic unplayable(const Song& song, Place place, std::string message, std::string suggestion) {
  return {Severity::error,    Fault::chart,          song.file, place,
          std::move(message), std::move(suggestion), {}};
}

class Builder {
 public:
  enum class Sections { together, apart };  // of a free chord

  Builder(const Song& song, const std::vector<Passage>& passages, const KnownShapes& known,
          const Choices& choices, Pins pins_are, Sections sections = Sections::together)
      : song_(song),
        passages_(passages),
        known_(known),
        choices_(choices),
        pins_are_(pins_are),
        sections_(sections),
        bars_(chart::perform(song)) {}

  Result<RightHandTask> build() {
    find_variables();
    give_shapes();
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    price_shapes();
    price_changes();
    return std::move(task_);
  }

 private:
  const chart::Pin* pin_for(const Chord& chord, std::size_t section) const {
    const chart::Pin* found = nullptr;
    for (const chart::Pin& pin : song_.pins) {
      if (!(pin.chord == chord)) continue;
      if (pin.section && *pin.section != section) continue;
      if (found == nullptr || pin.section) found = &pin;
    }
    return found;
  }

  void find_variables() {
    for (const Passage& passage : passages_) {
      for (const chart::PlayedChord& played : passage) {
        task_.variable_at.push_back(played.chord ? std::optional(variable_for(played))
                                                 : std::nullopt);
      }
    }
    if (sections_ == Sections::apart) share_roots();
  }

  bool is_part(std::size_t variable) const {
    return sections_ == Sections::apart && pins_[variable] == nullptr;
  }

  // So that a chord has the same shapes in all its sections.
  void share_roots() {
    for (std::size_t i = 0; i < roots_.size(); ++i) {
      if (!is_part(i) || roots_[i] != RootIn::right_hand) continue;
      for (std::size_t j = 0; j < roots_.size(); ++j) {
        if (is_part(j) && task_.variables[j].chord == task_.variables[i].chord)
          roots_[j] = RootIn::right_hand;
      }
    }
  }

  std::size_t variable_for(const chart::PlayedChord& played) {
    const Chord chord = played.chord->without_bass();
    const chart::Pin* pin = pin_for(chord, played.section);
    std::optional<std::size_t> section = pin != nullptr ? pin->section : std::nullopt;
    if (pin == nullptr && sections_ == Sections::apart) section = played.section;
    auto known = shape_for(known_.shapes, *played.chord, played.section);
    if (known && pin != nullptr && pin->section &&
        !(known_.shapes[*known].is_pinned && is_only_in(known_.shapes[*known], *pin->section)))
      known.reset();  // a pin of this section's own
    std::size_t at = 0;
    while (at < task_.variables.size() &&
           !(task_.variables[at].chord == chord && task_.variables[at].section == section &&
             task_.variables[at].known == known)) {
      ++at;
    }
    if (at == task_.variables.size()) {
      task_.variables.push_back({chord, section, pin != nullptr, {}, {}, known});
      pins_.push_back(pin);
      places_.push_back(played.place);
      roots_.push_back(RootIn::left_hand);
    }
    if (played.chord->bass_note().pitch_class() != chord.root.pitch_class())
      roots_[at] = RootIn::right_hand;
    return at;
  }

  void give_shapes() {
    for (std::size_t i = 0; i < task_.variables.size(); ++i) {
      Variable& variable = task_.variables[i];
      if (variable.known) {
        variable.shapes = {known_.shapes[*variable.known].shape};
        continue;
      }
      if (pins_[i] != nullptr) {
        variable.shapes = pinned_shapes(variable.chord, *pins_[i]);
        if (pins_are_ == Pins::examples) set_beside_the_others(variable, roots_[i]);
        continue;
      }
      variable.shapes =
          hand::shapes(variable.chord, choices_.hand, choices_.registers.limit, roots_[i]);
      if (!variable.shapes.empty() && !may_invert(choices_)) {
        keep_root_positions(variable, places_[i]);
        continue;
      }
      if (variable.shapes.empty()) {
        errors_.push_back(
            unplayable(song_, places_[i],
                       fmt::format("{} cannot be played: no shape between E3 and D5 fits a {} hand",
                                   text(variable.chord), choices_.hand.name()),
                       "write a smaller chord, pin a shape of your own with `shape`, or choose "
                       "another hand size"));
      }
    }
  }

  void keep_root_positions(Variable& variable, Place place) {
    std::erase_if(variable.shapes, [](const Shape& shape) {
      return shape.inversion != hand::Inversion::root_position;
    });
    if (!variable.shapes.empty()) return;
    errors_.push_back(unplayable(
        song_, place,
        fmt::format("{} cannot be played in root position by a {} hand", text(variable.chord),
                    choices_.hand.name()),
        "wait until inversions are learned, write a smaller chord, or pin a shape with `shape`"));
  }

  void set_beside_the_others(Variable& variable, RootIn root) const {
    const std::vector<Shape> pinned = std::move(variable.shapes);
    variable.shapes = hand::shapes(variable.chord, choices_.hand, choices_.registers.limit, root);
    for (const Shape& shape : pinned) {
      auto& all = variable.shapes;
      const auto found = std::find_if(all.begin(), all.end(), [&](const Shape& other) {
        return std::equal(shape.notes.begin(), shape.notes.end(), other.notes.begin(),
                          other.notes.end(), [](const ShapeNote& a, const ShapeNote& b) {
                            return a.key() == b.key() && a.finger == b.finger;
                          });
      });
      variable.pinned.push_back(static_cast<std::size_t>(found - all.begin()));
      if (found == all.end()) all.push_back(shape);
    }
    std::sort(variable.pinned.begin(), variable.pinned.end());
  }

  std::vector<Shape> pinned_shapes(const Chord& chord, const chart::Pin& pin) {
    std::vector<PianoKey> keys;
    for (const Pitch& pitch : pin.pitches) keys.push_back(pitch.key());
    const auto refuse = [&](std::string why, std::string remedy) {
      errors_.push_back(
          unplayable(song_, pin.place,
                     fmt::format("the pinned shape of {} cannot be played: {}", text(chord), why),
                     std::move(remedy)));
      return std::vector<Shape>{};
    };
    if (keys.empty() || keys.size() > 5) {
      return refuse(fmt::format("{} keys for five fingers", keys.size()),
                    "pin between one and five keys");
    }
    for (std::size_t i = 1; i < keys.size(); ++i) {
      if (keys[i] <= keys[i - 1])
        return refuse("its keys do not rise", "write the keys from low to high");
    }
    if (keys.front() < choices_.registers.limit.lowest ||
        keys.back() > choices_.registers.limit.highest) {
      return refuse("it leaves the right hand's range", "keep it between E3 and D5");
    }
    const auto possible = hand::fingerings(keys, hand::Hand::right, choices_.hand);
    std::vector<std::vector<Finger>> wanted = possible;
    if (!pin.fingers.empty()) {
      std::vector<Finger> given;
      for (int finger : pin.fingers) given.push_back(Finger(finger));
      if (!hand::can_play(keys, given, choices_.hand)) {
        return refuse(fmt::format("these fingers do not reach in a {} hand", choices_.hand.name()),
                      "leave the fingers out to have them found, or choose other keys");
      }
      wanted = {given};
    }
    std::vector<Shape> shapes;
    for (const auto& fingers : wanted) {
      if (auto shape = hand::shape_of(chord, pin.pitches, fingers))
        shapes.push_back(std::move(*shape));
    }
    if (shapes.empty() && !wanted.empty()) {
      return refuse("a key is not a note of the chord", "pin only notes of the chord");
    }
    if (shapes.empty()) {
      return refuse(fmt::format("its keys are too far apart for a {} hand", choices_.hand.name()),
                    "choose keys that lie closer together");
    }
    const auto triad = hand::triad_inversion(shapes.front(), chord);
    if (pin.fingers.empty() && triad) {
      const auto customary = hand::customary_fingers(hand::Hand::right, *triad);
      for (const Shape& shape : shapes) {
        const bool same = std::equal(customary.begin(), customary.end(), shape.notes.begin(),
                                     [](Finger f, const ShapeNote& n) { return f == n.finger; });
        if (same) return {shape};
      }
    }
    return shapes;
  }

  void price_shapes() {
    const RightHandWeights& w = choices_.manner.right;
    std::vector<std::int64_t> times(task_.variables.size(), 0);
    std::vector<std::int64_t> tonic_times(task_.variables.size(), 0);
    auto variable = task_.variable_at.begin();
    for (const Passage& passage : passages_) {
      for (const chart::PlayedChord& played : passage) {
        const std::optional<std::size_t> v = *variable++;
        if (!v) continue;
        ++times[*v];
        const chart::Bar& bar = chart::bar_of(song_, bars_[played.played_bar]);
        if (is_tonic_chord(task_.variables[*v].chord, bar.tonality)) ++tonic_times[*v];
      }
    }
    for (std::size_t v = 0; v < task_.variables.size(); ++v) {
      auto& row = task_.network.unary.emplace_back();
      const bool is_new =
          !is_part(v) && (!task_.variables[v].known || *task_.variables[v].known >= known_.learned);
      for (const Shape& shape : task_.variables[v].shapes) {
        const Posture p = posture(task_.variables[v].chord, shape, choices_);
        row.push_back(kWholePercent *
                      (posture_cost(p, w, false) * (times[v] - tonic_times[v]) +
                       posture_cost(p, w, true) * tonic_times[v] +
                       (is_new ? learning_cost(task_.variables[v].chord, shape, choices_) : 0)));
      }
    }
  }

  // By unordered pair: a move costs the same back.
  using ChangesOfPairs = std::map<std::pair<std::size_t, std::size_t>, Changes>;

  ChangesOfPairs count_changes() const {
    ChangesOfPairs changes;
    auto variable = task_.variable_at.begin();
    for (const Passage& passage : passages_) {
      std::optional<std::size_t> previous;
      Tick free_from;
      for (const chart::PlayedChord& played : passage) {
        const std::optional<std::size_t> now = *variable++;
        if (!now) continue;
        if (previous && *previous != *now) {
          const chart::Bar& bar = chart::bar_of(song_, bars_[played.played_bar]);
          const std::int64_t time = std::min(
              kMillisecondsToSpare, milliseconds(played.start - free_from, bar, song_.tempo));
          Changes& c = changes[std::minmax(*previous, *now)];
          ++c.count;
          c.percents += kWholePercent + choices_.manner.right.haste *
                                            (kMillisecondsToSpare - time) / kMillisecondsToSpare;
        }
        previous = now;
        free_from = played.start;
      }
    }
    return changes;
  }

  void price_changes() {
    const ChangesOfPairs changes = count_changes();
    std::vector<std::vector<Grip>> grips;
    for (const Variable& variable : task_.variables) grips.push_back(grips_of(variable.shapes));
    for (const auto& [pair, c] : changes) {
      Edge edge{pair.first, pair.second, {}};
      const auto& from = grips[pair.first];
      const auto& to = grips[pair.second];
      edge.costs.reserve(from.size() * to.size());
      for (const Grip& a : from) {
        for (const Grip& b : to) {
          edge.costs.push_back(
              motion_cost(motion(a, b), choices_.manner.right, c.count, c.percents));
        }
      }
      task_.network.edges.push_back(std::move(edge));
    }
  }

  const Song& song_;
  const std::vector<Passage>& passages_;
  const KnownShapes& known_;
  const Choices& choices_;
  Pins pins_are_;
  Sections sections_;
  std::vector<chart::PlayedBar> bars_;
  RightHandTask task_;
  std::vector<const chart::Pin*> pins_;  // one per variable, nullptr = free
  std::vector<Place> places_;            // first place of each variable
  std::vector<RootIn> roots_;
  Diagnostics errors_;
};

}  // namespace

Result<RightHandTask> right_hand_task(const Song& song, const Passage& chords,
                                      const Choices& choices, Pins pins) {
  const std::vector<Passage> whole{chords};
  const KnownShapes none;
  return Builder(song, whole, none, choices, pins).build();
}

Result<RightHandTask> right_hand_task_by_section(const Song& song, const Passage& chords,
                                                 const Choices& choices) {
  const std::vector<Passage> whole{chords};
  const KnownShapes none;
  return Builder(song, whole, none, choices, Pins::orders, Builder::Sections::apart).build();
}

std::int64_t learning_price(const Chord& chord, const Shape& shape, const Choices& choices) {
  return kWholePercent * learning_cost(chord, shape, choices);
}

ShapeChoice choice_of(const Variable& variable, std::size_t value) {
  ShapeChoice choice{variable.chord, variable.shapes[value], variable.is_pinned, {}};
  if (variable.section) choice.sections.push_back(*variable.section);
  return choice;
}

Result<RightHandTask> right_hand_task(const Song& song, const std::vector<Passage>& passages,
                                      const KnownShapes& known, const Choices& choices) {
  return Builder(song, passages, known, choices, Pins::orders).build();
}

}  // namespace stillhand::arrange
