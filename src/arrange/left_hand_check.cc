#include "arrange/left_hand_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <optional>
#include <string_view>
#include <utility>

#include "hand/line_fingering.h"

namespace stillhand::arrange {
namespace {

// Numbers of keys, as in MIDI. Deliberately not the constants of the search.
constexpr int kLowest = 36;   // C2
constexpr int kHighest = 59;  // B3
constexpr int kMuddyBelow = 43;
constexpr int kHighAbove = 53;
constexpr int kLowestWithOctave = 28;  // E1
constexpr int kLowestFull = 33;        // A1: root, fifth and octave together
constexpr int kMuddyOctaveBelow = 33;
constexpr int kHighOctaveAbove = 43;
constexpr int kHighWalkAbove = 50;  // D3
constexpr int kLowestThird = 48;    // C3

int number(const Pitch& pitch) { return pitch.key().number(); }
int lowest(const Position& position) { return number(position.keys.front()); }
int highest(const Position& position) { return number(position.keys.back()); }

bool same_place(const Position& a, const Position& b) {
  return std::equal(a.keys.begin(), a.keys.end(), b.keys.begin(), b.keys.end(),
                    [](const Pitch& x, const Pitch& y) { return x.key() == y.key(); });
}

// The key under a finger in its position.
const Pitch& own_key(const Position& position, Finger finger) {
  return position.keys[static_cast<std::size_t>(5 - finger.number())];
}

bool is_scale(const std::vector<Pitch>& keys, const music::Tonality& tonality,
              bool raised_seventh) {
  for (int first = 1; first <= 7; ++first) {
    bool fits = true;
    for (int i = 0; i < 5; ++i) {
      const int degree = (first + i - 1) % 7 + 1;
      music::NoteName name = tonality.degree(degree);
      if (raised_seventh && degree == 7)
        name.accidental = static_cast<std::int8_t>(name.accidental + 1);
      fits = fits && keys[static_cast<std::size_t>(i)].name == name;
    }
    if (fits) return true;
  }
  return false;
}

bool is_position(const Position& position, const music::Tonality& tonality) {
  if (position.keys.size() != 5) return false;
  for (std::size_t i = 1; i < 5; ++i) {
    const int step = number(position.keys[i]) - number(position.keys[i - 1]);
    if (step < 1 || step > 3) return false;
  }
  return is_scale(position.keys, tonality, false) ||
         (tonality.mode == music::Mode::minor && is_scale(position.keys, tonality, true));
}

// A bass note with the one played before it, if any.
struct Moment {
  std::size_t task;
  const BassNote* note;
  const Position* position;
  std::optional<std::size_t> task_before;
  const BassNote* note_before = nullptr;
  const Position* position_before = nullptr;

  int key() const { return number(note->pitch); }
  bool neighbours() const { return task_before && *task_before + 1 == task; }
  int leap() const { return std::abs(key() - number(note_before->pitch)); }
  bool moved() const { return task_before && !same_place(*position, *position_before); }
  bool is_open() const { return position->keys.empty(); }

  const FigureNote* figure(BassTone tone) const {
    for (const FigureNote& part : note->figure) {
      if (part.tone == tone) return &part;
    }
    return nullptr;
  }
  int top() const { return note->figure.empty() ? key() : number(note->figure.back().pitch); }
};

std::vector<Moment> moments(const LeftHand& left) {
  std::vector<Moment> out;
  for (std::size_t i = 0; i < left.bass.size(); ++i) {
    if (!left.bass[i]) continue;
    Moment moment{i, &*left.bass[i], &left.positions[left.bass[i]->position], {}, nullptr, nullptr};
    if (!out.empty()) {
      moment.task_before = out.back().task;
      moment.note_before = out.back().note;
      moment.position_before = out.back().position;
    }
    out.push_back(moment);
  }
  return out;
}

// ---- rules

using Complaint = std::optional<std::string>;

Complaint wrong_note(const BassTask& task, const Moment& moment) {
  const int key = moment.key();
  const int lowest_key = moment.figure(BassTone::octave) != nullptr ? kLowestWithOctave : kLowest;
  if (moment.note->pitch.name != *task.note) return "another note than the chord asks for";
  if (key < lowest_key || key > kHighest) return "outside the left hand's register";
  if (task.below && key >= task.below->number()) return "meets the right hand";
  return std::nullopt;
}

Complaint wrong_position(const BassTask& task, const Position& position, int widest) {
  if (!is_position(position, task.tonality)) return "not a five-finger position of the key";
  if (lowest(position) < kLowest || highest(position) > kHighest)
    return "the position leaves the register";
  if (hand::span_units(position.keys.front().key(), position.keys.back().key()).value() > widest) {
    return "the position is wider than the hand";
  }
  return std::nullopt;
}

Complaint wrong_slide(const Moment& m) {
  const int below = lowest(*m.position) - m.key();
  if (m.note->finger != hand::kLittleFinger) return "only the little finger slides";
  if (below < 3 || below > 7) return "a slide lies a minor third to a fifth below the position";
  if (!m.neighbours() || m.moved() || m.note_before->finger != hand::kLittleFinger) {
    return "a slide begins with the little finger in the same position";
  }
  if (m.leap() > 2) return "a slide goes by step";
  return std::nullopt;
}

Complaint wrong_finger(const Moment& m, int widest, const LeftHandManner& manner) {
  if (m.note->reach == Reach::slide) {
    return manner.slide ? wrong_slide(m) : Complaint("this manner does not slide");
  }
  const int own = number(own_key(*m.position, m.note->finger));
  const int up = m.key() - own;
  if (m.note->reach == Reach::none) {
    return up == 0 ? Complaint{} : Complaint("the finger's own key is another one");
  }
  const bool on_a_position_key =
      std::any_of(m.position->keys.begin(), m.position->keys.end(),
                  [&](const Pitch& pitch) { return number(pitch) == m.key(); });
  if (on_a_position_key) return "a reach to a key which has a finger of its own";
  if ((m.note->reach == Reach::reach_up) != (up > 0)) return "the reach goes the other way";
  const bool outside = m.key() < lowest(*m.position) || m.key() > highest(*m.position);
  if (std::abs(up) > (outside ? 2 : 1)) return "the reach is too far";
  const Finger end = m.key() < own ? hand::kLittleFinger : hand::kThumb;
  if (outside && m.note->finger != end) {
    return "only the thumb and the little finger reach out of the position";
  }
  const PianoKey bottom = std::min(m.position->keys.front().key(), m.note->pitch.key());
  const PianoKey top = std::max(m.position->keys.back().key(), m.note->pitch.key());
  if (outside && hand::span_units(bottom, top).value() > widest)
    return "the reach is wider than the hand";
  return std::nullopt;
}

// ---- figures

bool wants_fifth(Rung rung) {
  return rung == Rung::root_and_fifth || rung == Rung::root_fifth_octave;
}
bool wants_octave(Rung rung) { return rung == Rung::octave || rung == Rung::root_fifth_octave; }
bool wants_open_hand(Rung rung) { return wants_octave(rung) || rung == Rung::walking_bass; }

int up_from(music::NoteName low, music::NoteName high) {
  return (high.pitch_class().value() - low.pitch_class().value() + 12) % 12;
}

std::optional<music::NoteName> degree_of(const Chord& chord, int number) {
  const auto names = chord.notes();
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (chord.quality.degrees[i].number == number) return names[i];
  }
  return std::nullopt;
}

std::optional<music::NoteName> name_of_fifth(const BassTask& task) {
  if (!task.chord || !wants_fifth(task.rung)) return std::nullopt;
  const music::NoteName bass = *task.note;
  const auto fifth = degree_of(*task.chord, 5);
  if (up_from(bass, task.chord->root) == 0) return fifth;
  const int to_root = up_from(bass, task.chord->root);
  const int to_fifth = fifth ? up_from(bass, *fifth) : 0;
  const auto fits = [](int up) { return up >= 5 && up <= 9; };
  if (fits(to_root) && (!fits(to_fifth) || std::abs(to_root - 7) <= std::abs(to_fifth - 7)))
    return task.chord->root;
  return fits(to_fifth) ? fifth : std::nullopt;
}

bool can_hold(int low, Finger lower, int high, Finger upper, const hand::HandSize& size) {
  if (upper >= lower) return false;
  const auto& span = size.span(upper, lower);
  const auto units = hand::span_units(PianoKey(low), PianoKey(high));
  return span.min_practical <= units && units <= span.max_practical;
}

bool is_free(const BassTask& task, int key) {
  return key <= kHighest && (!task.below || key < task.below->number());
}

// Whether a finger gets to a key above the bass note from its place in the position.
bool gets_there(const Position& position, Finger finger, int key, int widest) {
  const int up = key - number(own_key(position, finger));
  if (up == 0) return true;
  const bool is_taken = std::any_of(position.keys.begin(), position.keys.end(),
                                    [&](const Pitch& own) { return number(own) == key; });
  if (is_taken) return false;
  if (key < highest(position)) return std::abs(up) == 1;
  return finger == hand::kThumb && up <= 2 &&
         hand::span_units(position.keys.front().key(), PianoKey(key)).value() <= widest;
}

Complaint wrong_fifth(const BassTask& task, const Moment& m, const FigureNote& fifth,
                      const hand::HandSize& size) {
  const auto name = name_of_fifth(task);
  if (!name || fifth.pitch.name != *name) return "another fifth than the chord asks for";
  if (m.note->reach == Reach::slide) return "a fifth on a slide";
  const int up = number(fifth.pitch) - m.key();
  if (up <= 0 || up >= 12) return "the fifth is not the next one up";
  if (!can_hold(m.key(), m.note->finger, number(fifth.pitch), fifth.finger, size))
    return "the fifth is wider than the hand";
  if (m.is_open()) {
    const Finger finger = m.figure(BassTone::octave) != nullptr ? Finger(2) : hand::kThumb;
    return fifth.finger == finger ? Complaint{} : Complaint("the fifth has another finger");
  }
  const int widest = size.span(hand::kThumb, hand::kLittleFinger).max_practical.value();
  if (!gets_there(*m.position, fifth.finger, number(fifth.pitch), widest))
    return "the fifth lies away from its finger";
  return std::nullopt;
}

Complaint wrong_octave(const BassTask& task, const Moment& m, const FigureNote& octave,
                       const hand::HandSize& size) {
  if (!wants_octave(task.rung)) return "an octave nobody wants";
  if (octave.pitch.name != *task.note || number(octave.pitch) != m.key() + 12)
    return "not the octave of the bass note";
  if (octave.finger != hand::kThumb || m.note->finger != hand::kLittleFinger)
    return "an octave is played by little finger and thumb";
  if (!can_hold(m.key(), m.note->finger, m.key() + 12, octave.finger, size))
    return "the octave is wider than the hand";
  return std::nullopt;
}

Complaint wrong_third(const BassTask& task, const Moment& m, const FigureNote& third) {
  const FigureNote* fifth = m.figure(BassTone::fifth);
  if (fifth == nullptr || m.is_open()) return "a third without its fifth";
  const auto name = degree_of(*task.chord, 3);
  if (!name || third.pitch.name != *name ||
      task.chord->root.pitch_class() != task.note->pitch_class())
    return "another third than the chord asks for";
  if (number(third.pitch) < kLowestThird) return "a third below C3";
  if (!(third.finger < m.note->finger && fifth->finger < third.finger))
    return "the third's finger does not lie between";
  if (std::abs(number(third.pitch) - number(own_key(*m.position, third.finger))) > 1)
    return "the third lies away from its finger";
  return std::nullopt;
}

Complaint wrong_part(const BassTask& task, const Moment& m, const FigureNote& part,
                     const hand::HandSize& size) {
  switch (part.tone) {
    case BassTone::third:
      return wrong_third(task, m, part);
    case BassTone::fifth:
      return wrong_fifth(task, m, part, size);
    case BassTone::octave:
      break;
  }
  return wrong_octave(task, m, part, size);
}

int fullness(bool octave, bool fifth) { return (octave ? 2 : 0) + (fifth ? 1 : 0); }

// Every five-finger position of the tonality within the register.
std::vector<Position> all_positions(const music::Tonality& tonality) {
  std::vector<Position> out;
  for (int octave = 1; octave <= 3; ++octave) {
    for (int first = 1; first <= 7; ++first) {
      for (const int raise : {0, tonality.mode == music::Mode::minor ? 1 : 0}) {
        Position position;
        for (int degree = first; degree < first + 5; ++degree) {
          music::NoteName name = tonality.degree((degree - 1) % 7 + 1);
          if (degree == 7) name.accidental = static_cast<std::int8_t>(name.accidental + raise);
          Pitch pitch{name, octave};
          while (!position.keys.empty() && number(pitch) <= highest(position)) ++pitch.octave;
          position.keys.push_back(pitch);
        }
        if (lowest(position) >= kLowest && highest(position) <= kHighest)
          out.push_back(std::move(position));
      }
    }
  }
  return out;
}

bool bass_gets_there(const Position& position, Finger finger, int key, int widest) {
  if (key >= lowest(position)) return gets_there(position, finger, key, widest);
  return finger == hand::kLittleFinger && lowest(position) - key <= 2 &&
         hand::span_units(PianoKey(key), position.keys.back().key()).value() <= widest;
}

bool fifth_can_be_played_from(const Position& position, int key, int fifth,
                              const hand::HandSize& size) {
  const int widest = size.span(hand::kThumb, hand::kLittleFinger).max_practical.value();
  if (hand::span_units(position.keys.front().key(), position.keys.back().key()).value() > widest)
    return false;
  for (int lower = 5; lower > 1; --lower) {
    for (int upper = lower - 1; upper >= 1; --upper) {
      if (bass_gets_there(position, Finger(lower), key, widest) &&
          gets_there(position, Finger(upper), fifth, widest) &&
          can_hold(key, Finger(lower), fifth, Finger(upper), size))
        return true;
    }
  }
  return false;
}

// The fullest figure that any key and position allow; as fullness().
int fullest_possible(const BassTask& task, const hand::HandSize& size) {
  const auto fifth_name = name_of_fifth(task);
  const bool open = wants_open_hand(task.rung);
  const std::vector<Position> positions =
      fifth_name && !open ? all_positions(task.tonality) : std::vector<Position>{};
  int most = 0;
  for (int key = kLowestWithOctave; key <= kHighest; ++key) {
    if (PianoKey(key).pitch_class() != task.note->pitch_class()) continue;
    const int fifth = fifth_name ? key + up_from(*task.note, *fifth_name) : 0;
    const bool octave = wants_octave(task.rung) && is_free(task, key + 12) &&
                        can_hold(key, hand::kLittleFinger, key + 12, hand::kThumb, size);
    if (key < kLowest && !octave) continue;
    bool has_fifth = fifth_name && is_free(task, fifth) && (!octave || key >= kLowestFull);
    if (has_fifth && open) {
      has_fifth =
          can_hold(key, hand::kLittleFinger, fifth, octave ? Finger(2) : hand::kThumb, size);
    } else if (has_fifth) {
      has_fifth = std::any_of(positions.begin(), positions.end(), [&](const Position& position) {
        return fifth_can_be_played_from(position, key, fifth, size);
      });
    }
    most = std::max(most, fullness(octave, has_fifth));
  }
  return most;
}

Rung rung_of(Rung wanted, bool octave, bool fifth, bool open) {
  if (!wants_octave(wanted) && !wants_fifth(wanted)) return wanted;
  if (octave) return fifth ? Rung::root_fifth_octave : Rung::octave;
  if (fifth) return Rung::root_and_fifth;
  return open ? Rung::one_root : Rung::position;
}

Complaint wrong_figure(const BassTask& task, const Moment& m, const hand::HandSize& size) {
  int below = m.key();
  for (const FigureNote& part : m.note->figure) {
    if (number(part.pitch) <= below) return "the figure does not rise";
    below = number(part.pitch);
    if (!is_free(task, below)) return "the figure meets the right hand";
    if (auto wrong = wrong_part(task, m, part, size)) return wrong;
  }
  const bool octave = m.figure(BassTone::octave) != nullptr;
  const bool fifth = m.figure(BassTone::fifth) != nullptr;
  if (octave && fifth && m.key() < kLowestFull) return "a fifth in the mud";
  if (m.note->rung != rung_of(task.rung, octave, fifth, m.is_open()))
    return "another rung than is played";
  if (fullness(octave, fifth) < fullest_possible(task, size))
    return "a fuller figure can be played";
  return std::nullopt;
}

Complaint wrong_open_hand(const BassTask& task, const Moment& m) {
  if (m.note->reach != Reach::none) return "the open hand does not reach";
  if (task.rung != Rung::walking_bass && m.note->finger != hand::kLittleFinger)
    return "the open hand has its little finger on the bass note";
  return std::nullopt;
}

// ---- walks

Complaint wrong_walk(const BassTask& task, const Moment& m, const BassNote* next) {
  const auto& walk = m.note->walk;
  if (walk.empty()) return std::nullopt;
  if (task.rung != Rung::walking_bass || next == nullptr) return "a walk where there is none to be";
  const int size = static_cast<int>(walk.size());
  if (size > 3 || size > static_cast<int>(task.most_walk_notes) ||
      size * task.count.value() * 2 > task.duration.value())
    return "a walk longer than its chord allows";
  const int way = number(next->pitch) > m.key() ? 1 : -1;
  int before = m.key();
  for (int i = 0; i < size; ++i) {
    const WalkNote& note = walk[static_cast<std::size_t>(i)];
    const int step = (number(note.pitch) - before) * way;
    if (step < 1 || step > (i == 0 ? 5 : 2)) return "a walk goes by step";
    if (!is_free(task, number(note.pitch))) return "the walk meets the right hand";
    if (note.duration != task.count || note.start + task.count * (size - i) != task.duration)
      return "a walk fills the last counts";
    before = number(note.pitch);
  }
  const int last = (number(next->pitch) - before) * way;
  return last == 1 || last == 2 ? Complaint{}
                                : Complaint("the walk does not lead into the next bass");
}

// Strokes of a walking line.
struct Strokes {
  std::vector<PianoKey> keys;
  std::vector<Finger> fingers;

  void add(const Pitch& pitch, Finger finger) {
    keys.push_back(pitch.key());
    fingers.push_back(finger);
  }
  void add_chord(const BassNote& note) {
    add(note.pitch, note.finger);
    for (const WalkNote& walk : note.walk) add(walk.pitch, walk.finger);
  }
};

// Whether any fingers play the keys in one piece, the last of them this one.
bool is_playable(const std::vector<PianoKey>& keys, std::optional<Finger> last,
                 const hand::LineSpans& spans) {
  std::vector<int> fingers{1, 2, 3, 4, 5};
  for (std::size_t i = 1; i < keys.size() && !fingers.empty(); ++i) {
    std::vector<int> next;
    for (int b = 1; b <= 5; ++b) {
      const bool follows = std::any_of(fingers.begin(), fingers.end(), [&](int a) {
        return hand::is_legal_line({keys[i - 1], keys[i]}, {Finger(a), Finger(b)}, hand::Hand::left,
                                   spans);
      });
      if (follows) next.push_back(b);
    }
    fingers = std::move(next);
  }
  return last ? std::find(fingers.begin(), fingers.end(), last->number()) != fingers.end()
              : !fingers.empty();
}

// Reads the walking chords in order. A line ends with its section and where the hand jumps.
class WalkingCheck {
 public:
  WalkingCheck(const hand::LineSpans& spans, std::vector<std::string>& complaints)
      : spans_(spans), complaints_(complaints) {}

  void add(std::size_t chord, const BassNote& note, bool begins_section) {
    if (!line_.keys.empty() && begins_section) {
      end_section(chord, note);
    } else if (!line_.keys.empty() && note.shifts) {
      Strokes longer = line_;
      longer.add_chord(note);
      if (is_playable(longer.keys, std::nullopt, spans_)) complain_of_jump(chord);
      end();
    }
    line_.add_chord(note);
  }

  void end() {
    if (!hand::is_legal_line(line_.keys, line_.fingers, hand::Hand::left, spans_))
      complaints_.emplace_back("a walking line that the hand cannot play");
    points_ += hand::score_line(line_.keys, line_.fingers, hand::Hand::left, spans_).total();
    line_ = {};
  }

  std::int64_t points() const { return points_; }

 private:
  // The line goes on to the first note of the next section.
  void end_section(std::size_t chord, const BassNote& next) {
    Strokes longer = line_;
    longer.add(next.pitch, next.finger);
    if (!next.shifts) {
      line_ = longer;
    } else if (is_playable(longer.keys, next.finger, spans_)) {
      complain_of_jump(chord);
    }
    end();
  }

  void complain_of_jump(std::size_t chord) {
    complaints_.push_back(fmt::format("bass note {}: the hand jumps for nothing", chord));
  }

  const hand::LineSpans& spans_;
  std::vector<std::string>& complaints_;
  Strokes line_;
  std::int64_t points_ = 0;
};

void check_walking_lines(const std::vector<BassTask>& tasks, const LeftHand& left,
                         const hand::HandSize& size, std::vector<std::string>& complaints) {
  const hand::LineSpans spans = hand::LineSpans::of(size);
  WalkingCheck check(spans, complaints);
  for (std::size_t i = 0; i < tasks.size(); ++i) {
    const bool walks = left.bass[i] && tasks[i].rung == Rung::walking_bass;
    if (walks) {
      check.add(i, *left.bass[i], tasks[i].begins_section);
    } else {
      check.end();
    }
  }
  check.end();
  if (check.points() != left.line_points) {
    complaints.push_back(fmt::format("the lines' points are given as {}, the notes add up to {}",
                                     left.line_points, check.points()));
  }
}

Complaint wrong_shape_of_answer(const std::vector<BassTask>& tasks, const LeftHand& left) {
  if (left.bass.size() != tasks.size()) return "not one bass note per chord";
  std::size_t seen = 0;
  for (std::size_t i = 0; i < tasks.size(); ++i) {
    if (left.bass[i].has_value() != tasks[i].note.has_value()) {
      return fmt::format("bass note {}: a note where none is asked for, or none where one is", i);
    }
    if (!left.bass[i]) continue;
    const std::size_t position = left.bass[i]->position;
    if (position > seen || position >= left.positions.size()) {
      return fmt::format("bass note {}: positions are not in order of first use", i);
    }
    seen = std::max(seen, position + 1);
  }
  if (seen != left.positions.size()) return "a position is listed and not used";
  return std::nullopt;
}

// ---- cost

Cost times(Cost weight, int n) { return weight * std::int64_t{std::max(0, n)}; }

Cost reach_cost(const Pitch& own, const Pitch& played, const LeftHandManner& manner) {
  if (own.key() == played.key()) return Cost{};
  Cost cost = manner.reach;
  if (std::abs(number(played) - number(own)) == 2)
    cost += manner.whole_step_reach;
  else if (own.name.letter != played.name.letter)
    cost += manner.other_letter;
  return cost;
}

Cost reaches_cost(const Moment& m, const LeftHandManner& manner) {
  if (m.note->reach == Reach::slide) return manner.slide.value_or(Cost{});
  Cost cost = reach_cost(own_key(*m.position, m.note->finger), m.note->pitch, manner);
  const FigureNote* fifth = m.figure(BassTone::fifth);
  if (fifth == nullptr) return cost;
  cost += reach_cost(own_key(*m.position, fifth->finger), fifth->pitch, manner);
  const bool is_usual = m.note->finger.number() == 5 && fifth->finger.number() == 1;
  return is_usual ? cost : cost + manner.unusual_fifth;
}

bool is_familiar(const Position& position, const music::Tonality& tonality) {
  std::vector<music::NoteName> tonics{tonality.tonic};
  if (tonality.mode == music::Mode::minor) tonics.push_back(tonality.degree(3));
  return std::any_of(tonics.begin(), tonics.end(), [&](music::NoteName tonic) {
    return position.thumb().name == tonic || position.little_finger().name == tonic;
  });
}

Cost note_cost(const BassTask& task, const Moment& m, const LeftHandManner& manner) {
  const int finger = m.note->finger.number();
  const bool octave = m.figure(BassTone::octave) != nullptr;
  int low = octave ? kMuddyOctaveBelow : kMuddyBelow;
  int high = octave ? kHighOctaveAbove : kHighAbove;
  if (task.rung == Rung::walking_bass) {
    low = kLowest;
    high = kHighWalkAbove;
  }
  Cost cost = times(manner.mud, low - m.key()) + times(manner.high, m.key() - high);
  if (task.below) cost += times(manner.crowding, 5 - (task.below->number() - m.top()));
  if (m.is_open()) return cost;
  cost += reaches_cost(m, manner);
  if (!is_familiar(*m.position, task.tonality)) cost += manner.unfamiliar_position;
  if ((finger == 1 || finger == 5) && m.note->pitch.key().is_black())
    cost += manner.end_finger_on_black;
  if (task.below && highest(*m.position) >= task.below->number()) cost += manner.thumb_in_the_way;
  return cost;
}

Cost change_cost(const std::vector<BassTask>& tasks, const Moment& m,
                 const LeftHandManner& manner) {
  Cost cost;
  if (m.neighbours()) {
    const int apart = std::abs(tasks[m.task].note->pitch_class().value() -
                               tasks[*m.task_before].note->pitch_class().value());
    const bool is_step = apart == 1 || apart == 2 || apart == 10 || apart == 11;
    if (is_step && m.leap() > 2) cost += manner.broken_step;
    cost += times(manner.leap, m.leap() - 7);
  }
  if (m.is_open() && m.position_before->keys.empty()) cost += times(manner.travel, m.leap());
  if (m.moved()) {
    cost += manner.shift;
    if (!m.is_open() && !m.position_before->keys.empty())
      cost += times(manner.travel, std::abs(lowest(*m.position) - lowest(*m.position_before)));
    if (tasks[m.task].section == tasks[m.task - 1].section) cost += manner.shift_inside_section;
    int ticks = 0;
    for (std::size_t i = *m.task_before; i < m.task; ++i) ticks += tasks[i].duration.value();
    if (ticks < 2 * 960) cost += manner.hurried_shift;
  }
  return cost;
}

Complaint wrong_kept(const BassTask& task, const Moment& m) {
  if (!task.kept) return std::nullopt;
  const KeptBass& kept = *task.kept;
  if (m.is_open() && m.note->pitch.key() == kept.key) return std::nullopt;
  const bool same = m.note->pitch.key() == kept.key && m.note->finger == kept.finger &&
                    m.note->reach == kept.reach && same_place(*m.position, kept.position);
  if (same) return std::nullopt;
  return "not played as it was before";
}

}  // namespace

Cost left_hand_cost(const std::vector<BassTask>& tasks, const LeftHand& left,
                    const LeftHandManner& manner) {
  Cost cost;
  for (const Moment& m : moments(left)) {
    cost += note_cost(tasks[m.task], m, manner);
    if (m.task_before) cost += change_cost(tasks, m, manner);
  }
  return cost;
}

std::vector<std::string> check_left_hand(const std::vector<BassTask>& tasks, const LeftHand& left,
                                         const hand::HandSize& size, const LeftHandManner& manner) {
  if (const Complaint wrong = wrong_shape_of_answer(tasks, left)) return {*wrong};
  std::vector<std::string> complaints;
  const auto complain = [&](const Moment& m, const Complaint& wrong) {
    if (wrong)
      complaints.push_back(
          fmt::format("bass note {}, {}: {}", m.task, text(m.note->pitch), *wrong));
  };
  const int widest = size.span(hand::kThumb, hand::kLittleFinger).max_practical.value();
  for (const Moment& m : moments(left)) {
    const BassTask& task = tasks[m.task];
    if (m.is_open() != wants_open_hand(task.rung)) {
      complain(m, Complaint("the hand is open or closed against its rung"));
      continue;
    }
    if (m.is_open()) {
      complain(m, wrong_open_hand(task, m));
    } else {
      const Complaint position = wrong_position(task, *m.position, widest);
      complain(m, position);
      if (position) continue;  // the fingers mean nothing then
    }
    complain(m, wrong_note(task, m));
    if (!m.is_open()) complain(m, wrong_finger(m, widest, manner));
    complain(m, wrong_kept(task, m));
    complain(m, wrong_figure(task, m, size));
    const bool has_next = m.task + 1 < tasks.size() && left.bass[m.task + 1];
    complain(m, wrong_walk(task, m, has_next ? &*left.bass[m.task + 1] : nullptr));
    const bool may_jump = task.rung == Rung::walking_bass && m.neighbours() &&
                          tasks[*m.task_before].rung == Rung::walking_bass;
    if (!may_jump && m.note->shifts != m.moved()) complain(m, "the shift is announced wrongly");
  }
  check_walking_lines(tasks, left, size, complaints);
  if (!complaints.empty()) return complaints;
  const Cost cost = left_hand_cost(tasks, left, manner);
  if (cost != left.cost) {
    complaints.push_back(fmt::format("the cost is given as {}, the notes add up to {}",
                                     left.cost.value(), cost.value()));
  }
  if (left.status != Status::optimal)
    complaints.push_back("the left hand's answer is always proven");
  return complaints;
}

}  // namespace stillhand::arrange
