#include "arrange/left_hand_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <optional>
#include <string_view>
#include <utility>

namespace stillhand::arrange {
namespace {

// Numbers of keys, as in MIDI. Deliberately not the constants of the search.
constexpr int kLowest = 36;   // C2
constexpr int kHighest = 59;  // B3
constexpr int kMuddyBelow = 43;
constexpr int kHighAbove = 53;

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
  if (moment.note->pitch.name != *task.note) return "another note than the chord asks for";
  if (key < kLowest || key > kHighest) return "outside the left hand's register";
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

Cost reach_cost(const Moment& m, const LeftHandManner& manner) {
  if (m.note->reach == Reach::none) return Cost{};
  if (m.note->reach == Reach::slide) return manner.slide.value_or(Cost{});
  const Pitch& own = own_key(*m.position, m.note->finger);
  Cost cost = manner.reach;
  if (std::abs(m.key() - number(own)) == 2)
    cost += manner.whole_step_reach;
  else if (own.name.letter != m.note->pitch.name.letter)
    cost += manner.other_letter;
  return cost;
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
  Cost cost = reach_cost(m, manner);
  cost += times(manner.mud, kMuddyBelow - m.key()) + times(manner.high, m.key() - kHighAbove);
  if (!is_familiar(*m.position, task.tonality)) cost += manner.unfamiliar_position;
  if ((finger == 1 || finger == 5) && m.note->pitch.key().is_black())
    cost += manner.end_finger_on_black;
  if (task.below) {
    const int right = task.below->number();
    cost += times(manner.crowding, 5 - (right - m.key()));
    if (highest(*m.position) >= right) cost += manner.thumb_in_the_way;
  }
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
  if (m.moved()) {
    cost += manner.shift +
            times(manner.travel, std::abs(lowest(*m.position) - lowest(*m.position_before)));
    if (tasks[m.task].section == tasks[m.task - 1].section) cost += manner.shift_inside_section;
    int ticks = 0;
    for (std::size_t i = *m.task_before; i < m.task; ++i) ticks += tasks[i].duration.value();
    if (ticks < 2 * 960) cost += manner.hurried_shift;
  }
  return cost;
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
    const Complaint position = wrong_position(task, *m.position, widest);
    complain(m, position);
    if (position) continue;  // the fingers mean nothing then
    complain(m, wrong_note(task, m));
    complain(m, wrong_finger(m, widest, manner));
    if (m.note->shifts != m.moved()) complain(m, "the shift is announced wrongly");
  }
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
