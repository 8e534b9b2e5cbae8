#include "arrange/left_hand.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cstdint>
#include <map>
#include <utility>

namespace stillhand::arrange {
namespace {

using hand::SpanUnits;
using music::NoteName;
using music::PitchClass;
using music::Semitones;
using music::Tonality;

using Keys = std::array<PianoKey, 5>;  // low to high: fingers 5 4 3 2 1

constexpr PianoKey kMuddyBelow{43};  // G2
constexpr PianoKey kHighAbove{53};   // F3
constexpr Semitones kEasyLeap{7};
constexpr Semitones kRoomBetweenHands{5};
constexpr Semitones kWholeStep{2};
constexpr Semitones kLongestSlide{7};
constexpr Tick kUnhurried = music::kQuarter * 2;
constexpr Cost kImpossible{std::int64_t{1} << 62};
// Keys where a little finger may rest, as indices from the bottom of the register.
constexpr std::size_t kPlaces = 24;
constexpr std::size_t kOctaves = 2;  // a bass note has at most two keys in the register

// ---- positions

struct Home {
  Position position;
  Keys keys;
  bool is_familiar = false;
  std::size_t place = 0;  // equal for equal keys: the hand does not move between homes of one place
};

std::size_t place_of(PianoKey little_finger) {
  return static_cast<std::size_t>((little_finger - kLeftHandRegister.lowest).value());
}

// Five neighbouring degrees from `first` up, the little finger at or above `from`.
Position position_on(const Tonality& tonality, int first, PianoKey lowest, bool raised_seventh) {
  Position position;
  PianoKey next = lowest;
  for (int degree = first; degree < first + 5; ++degree) {
    NoteName name = tonality.degree(degree);
    if (raised_seventh && (degree - 1) % 7 == 6) ++name.accidental;
    const int up = PitchClass(name.pitch_class().value() - next.number()).value();
    const PianoKey key = next + Semitones(up);
    position.keys.push_back(music::pitch_at(key, name));
    next = key;
  }
  return position;
}

Keys keys_of(const Position& position) {
  Keys keys;
  std::transform(position.keys.begin(), position.keys.end(), keys.begin(),
                 [](const Pitch& pitch) { return pitch.key(); });
  return keys;
}

// The thumb or the little finger lies on the tonic, or in minor on that of the relative major.
bool is_familiar(const Keys& keys, const Tonality& tonality) {
  const auto is_end = [&](NoteName name) {
    return keys.front().pitch_class() == name.pitch_class() ||
           keys.back().pitch_class() == name.pitch_class();
  };
  return is_end(tonality.tonic) ||
         (tonality.mode == music::Mode::minor && is_end(tonality.degree(3)));
}

// Every position of one tonality the hand can take, in the canonical order.
std::vector<Home> homes_of(const Tonality& tonality, SpanUnits widest) {
  std::vector<Home> homes;
  const auto add = [&](Position position) {
    const Keys keys = keys_of(position);
    const bool fits = keys.back() <= kLeftHandRegister.highest &&
                      hand::span_units(keys.front(), keys.back()) <= widest;
    const bool is_new = std::none_of(homes.begin(), homes.end(),
                                     [&](const Home& home) { return home.keys == keys; });
    if (fits && is_new)
      homes.push_back({std::move(position), keys, is_familiar(keys, tonality), 0});
  };
  for (int degree = 1; degree <= 7; ++degree) {
    for (int octave = 0; octave < static_cast<int>(kOctaves); ++octave) {
      const PianoKey from = kLeftHandRegister.lowest + Semitones(12 * octave);
      add(position_on(tonality, degree, from, false));
      if (tonality.mode == music::Mode::minor) add(position_on(tonality, degree, from, true));
    }
  }
  std::sort(homes.begin(), homes.end(),
            [](const Home& a, const Home& b) { return a.keys < b.keys; });
  return homes;
}

// ---- one bass note

// One way to play one bass note.
struct Stance {
  const Home* home = nullptr;
  PianoKey key;
  Finger finger;
  Reach reach = Reach::none;
  Cost own;                  // whatever came before
  Cost to_go = kImpossible;  // own and all that follows, at best
};

class Stances {
 public:
  Stances(const BassTask& task, SpanUnits widest, const LeftHandManner& manner)
      : task_(task), widest_(widest), manner_(manner) {}

  void add_from(const Home& home, std::vector<Stance>& out) const {
    PianoKey key =
        kLeftHandRegister.lowest +
        Semitones(PitchClass(task_.note->pitch_class().value() - kLeftHandRegister.lowest.number())
                      .value());
    for (; key <= kLeftHandRegister.highest && (!task_.below || key < *task_.below);
         key = key + Semitones(12)) {
      add_key(home, key, out);
    }
  }

 private:
  void add_key(const Home& home, PianoKey key, std::vector<Stance>& out) const {
    const PianoKey low = home.keys.front();
    const PianoKey high = home.keys.back();
    if (key < low) {
      if (key >= low - kWholeStep) {
        if (hand::span_units(key, high) <= widest_) add(home, key, 0, Reach::reach_down, out);
      } else if (manner_.slide && key >= low - kLongestSlide) {
        add(home, key, 0, Reach::slide, out);
      }
    } else if (key > high) {
      if (key <= high + kWholeStep && hand::span_units(low, key) <= widest_) {
        add(home, key, 4, Reach::reach_up, out);
      }
    } else {
      add_inside(home, key, out);
    }
  }

  void add_inside(const Home& home, PianoKey key, std::vector<Stance>& out) const {
    for (std::size_t i = 0; i < home.keys.size(); ++i) {
      if (home.keys[i] == key) return add(home, key, i, Reach::none, out);
    }
    for (std::size_t i = 0; i < home.keys.size(); ++i) {
      if (home.keys[i] + Semitones(1) == key) add(home, key, i, Reach::reach_up, out);
      if (home.keys[i] - Semitones(1) == key) add(home, key, i, Reach::reach_down, out);
    }
  }

  void add(const Home& home, PianoKey key, std::size_t place, Reach reach,
           std::vector<Stance>& out) const {
    const Finger finger(5 - static_cast<int>(place));
    Stance stance{&home, key, finger, reach, Cost{}, kImpossible};
    stance.own = reach_cost(home.position.keys[place], key, reach) + comfort(home, key, finger);
    out.push_back(stance);
  }

  Cost reach_cost(const Pitch& from, PianoKey key, Reach reach) const {
    if (reach == Reach::none) return Cost{};
    if (reach == Reach::slide) return *manner_.slide;
    Cost cost = manner_.reach;
    const bool is_whole = abs(key - from.key()) == kWholeStep;
    if (is_whole) cost += manner_.whole_step_reach;
    if (!is_whole && from.name.letter != task_.note->letter) cost += manner_.other_letter;
    return cost;
  }

  Cost comfort(const Home& home, PianoKey key, Finger finger) const {
    const auto per_semitone = [](Cost weight, Semitones beyond) {
      return weight * std::int64_t{std::max(0, beyond.value())};
    };
    const bool is_end = finger == hand::kThumb || finger == hand::kLittleFinger;
    Cost cost =
        per_semitone(manner_.mud, kMuddyBelow - key) + per_semitone(manner_.high, key - kHighAbove);
    if (!home.is_familiar) cost += manner_.unfamiliar_position;
    if (is_end && key.is_black()) cost += manner_.end_finger_on_black;
    if (task_.below) {
      cost += per_semitone(manner_.crowding, kRoomBetweenHands - (*task_.below - key));
      if (home.keys.back() >= *task_.below) cost += manner_.thumb_in_the_way;
    }
    return cost;
  }

  const BassTask& task_;
  SpanUnits widest_;
  const LeftHandManner& manner_;
};

// ---- from one bass note to the next

// What lies between two bass notes that follow each other, apart from the hand.
struct Gap {
  bool neighbours = true;  // no N.C. between them
  bool is_step = false;    // neighbours a half or whole step apart
  Cost shift;              // of any shift here, without its travel
};

bool is_step(NoteName a, NoteName b) {
  const int up = PitchClass(b.pitch_class().value() - a.pitch_class().value()).value();
  return up == 1 || up == 2 || up == 10 || up == 11;
}

Cost travel(std::size_t from, std::size_t to, const LeftHandManner& manner) {
  return manner.travel * static_cast<std::int64_t>(from < to ? to - from : from - to);
}

Cost line_cost(PianoKey from, PianoKey to, const Gap& gap, const LeftHandManner& manner) {
  if (!gap.neighbours) return Cost{};
  const Semitones size = abs(to - from);
  Cost cost = manner.leap * std::int64_t{std::max(0, (size - kEasyLeap).value())};
  if (gap.is_step && size > kWholeStep) cost += manner.broken_step;
  return cost;
}

// A slide goes on by step from the little finger in the same home. A slide lies below every reach, so it begins
// downward and may turn.
bool may_follow(const Stance& a, const Stance& b, const Gap& gap) {
  if (b.reach != Reach::slide) return true;
  return gap.neighbours && a.home->place == b.home->place && a.finger == hand::kLittleFinger &&
         abs(b.key - a.key) <= kWholeStep;
}

Cost change(const Stance& a, const Stance& b, const Gap& gap, const LeftHandManner& manner) {
  if (!may_follow(a, b, gap)) return kImpossible;
  Cost cost = line_cost(a.key, b.key, gap, manner);
  if (a.home->place != b.home->place) {
    cost +=
        gap.shift + travel(place_of(a.home->keys.front()), place_of(b.home->keys.front()), manner);
  }
  return cost;
}

// ---- the search

struct Step {
  std::size_t task = 0;
  std::vector<Stance> stances;  // in the canonical order
  Gap gap;                      // to the next step
};

// The least cost to go after a shift, by the bass key arrived at and the place shifted from.
class Arrivals {
 public:
  Arrivals(const std::vector<Stance>& stances, const LeftHandManner& manner) {
    for (const Stance& stance : stances) {
      if (stance.reach == Reach::slide) continue;  // a slide never follows a shift
      auto& column = column_of(stance.key);
      Cost& at = column.second[place_of(stance.home->keys.front())];
      at = std::min(at, stance.to_go);
    }
    for (auto& [key, to_go] : columns_) {
      for (std::size_t i = 1; i < kPlaces; ++i)
        to_go[i] = std::min(to_go[i], to_go[i - 1] + manner.travel);
      for (std::size_t i = kPlaces - 1; i > 0; --i) {
        to_go[i - 1] = std::min(to_go[i - 1], to_go[i] + manner.travel);
      }
    }
  }

  Cost best_after_shift(const Stance& from, const Gap& gap, const LeftHandManner& manner) const {
    Cost best = kImpossible;
    for (const auto& [key, to_go] : columns_) {
      best = std::min(
          best, to_go[place_of(from.home->keys.front())] + line_cost(from.key, key, gap, manner));
    }
    return std::min(best + gap.shift, kImpossible);
  }

 private:
  using Column = std::pair<PianoKey, std::array<Cost, kPlaces>>;

  Column& column_of(PianoKey key) {
    for (Column& column : columns_) {
      if (column.first == key) return column;
    }
    columns_.emplace_back(key, std::array<Cost, kPlaces>{});
    columns_.back().second.fill(kImpossible);
    return columns_.back();
  }

  std::vector<Column> columns_;
};

class Search {
 public:
  Search(const std::vector<BassTask>& tasks, const hand::HandSize& size,
         const LeftHandManner& manner)
      : tasks_(tasks),
        widest_(size.span(hand::kThumb, hand::kLittleFinger).max_practical),
        manner_(manner) {
    find_homes();
    find_steps();
  }

  LeftHand run() {
    for (std::size_t i = steps_.size(); i-- > 0;) find_costs_to_go(i);
    return trace();
  }

 private:
  void find_homes() {
    std::map<Keys, std::size_t> places;
    for (const BassTask& task : tasks_) {
      if (homes_.contains(task.tonality)) continue;
      std::vector<Home>& homes = homes_[task.tonality] = homes_of(task.tonality, widest_);
      for (Home& home : homes)
        home.place = places.try_emplace(home.keys, places.size()).first->second;
    }
    place_count_ = places.size();
  }

  void find_steps() {
    for (std::size_t i = 0; i < tasks_.size(); ++i) {
      const BassTask& task = tasks_[i];
      if (!task.note) continue;
      assert(!task.below || *task.below >= kLowestCeiling);
      if (!steps_.empty()) steps_.back().gap = gap(steps_.back().task, i);
      Step step{i, {}, {}};
      const Stances stances(task, widest_, manner_);
      for (const Home& home : homes_.at(task.tonality)) stances.add_from(home, step.stances);
      steps_.push_back(std::move(step));
    }
  }

  Gap gap(std::size_t from, std::size_t to) const {
    Gap gap;
    gap.neighbours = to == from + 1;
    gap.is_step = gap.neighbours && is_step(*tasks_[from].note, *tasks_[to].note);
    gap.shift = manner_.shift;
    if (tasks_[to - 1].section == tasks_[to].section) gap.shift += manner_.shift_inside_section;
    Tick time{};
    for (std::size_t i = from; i < to; ++i) time += tasks_[i].duration;
    if (time < kUnhurried) gap.shift += manner_.hurried_shift;
    return gap;
  }

  void find_costs_to_go(std::size_t at) {
    Step& step = steps_[at];
    if (at + 1 == steps_.size()) {
      for (Stance& stance : step.stances) stance.to_go = stance.own;
      return;
    }
    const std::vector<Stance>& next = steps_[at + 1].stances;
    const Arrivals arrivals(next, manner_);
    std::vector<std::size_t> first_there(place_count_, next.size());
    for (std::size_t i = next.size(); i-- > 0;) first_there[next[i].home->place] = i;
    for (Stance& stance : step.stances) {
      Cost best = arrivals.best_after_shift(stance, step.gap, manner_);
      const std::size_t place = stance.home->place;
      for (std::size_t i = first_there[place]; i < next.size() && next[i].home->place == place;
           ++i) {
        best = std::min(best, through(stance, next[i], step.gap));
      }
      stance.to_go = best >= kImpossible ? kImpossible : stance.own + best;
    }
  }

  Cost through(const Stance& a, const Stance& b, const Gap& gap) const {
    if (b.to_go >= kImpossible) return kImpossible;
    const Cost cost = change(a, b, gap, manner_);
    return cost >= kImpossible ? kImpossible : cost + b.to_go;
  }

  LeftHand trace() const {
    LeftHand left;
    left.status = Status::optimal;
    left.bass.resize(tasks_.size());
    const Stance* before = nullptr;
    for (std::size_t i = 0; i < steps_.size(); ++i) {
      const Stance& taken =
          before == nullptr ? first_stance() : next_stance(*before, steps_[i - 1], steps_[i]);
      if (before == nullptr) left.cost = taken.to_go;
      left.bass[steps_[i].task] = bass_note(taken, before, steps_[i].task, left.positions);
      before = &taken;
    }
    return left;
  }

  const Stance& first_stance() const {
    const Stance* best = nullptr;
    for (const Stance& stance : steps_.front().stances) {
      if (stance.reach == Reach::slide) continue;
      if (best == nullptr || stance.to_go < best->to_go) best = &stance;
    }
    assert(best != nullptr);
    return *best;
  }

  const Stance& next_stance(const Stance& before, const Step& step, const Step& next) const {
    const Stance* best = nullptr;
    Cost least = kImpossible;
    for (const Stance& stance : next.stances) {
      const Cost cost = through(before, stance, step.gap);
      if (cost < least) {
        least = cost;
        best = &stance;
      }
    }
    assert(best != nullptr && before.own + least == before.to_go);
    return *best;
  }

  BassNote bass_note(const Stance& taken, const Stance* before, std::size_t task,
                     std::vector<Position>& positions) const {
    const auto found = std::find(positions.begin(), positions.end(), taken.home->position);
    const auto index = static_cast<std::size_t>(found - positions.begin());
    if (found == positions.end()) positions.push_back(taken.home->position);
    const bool shifts = before != nullptr && before->home->place != taken.home->place;
    return {music::pitch_at(taken.key, *tasks_[task].note), taken.finger, taken.reach, index,
            shifts};
  }

  const std::vector<BassTask>& tasks_;
  SpanUnits widest_;
  const LeftHandManner& manner_;
  std::map<Tonality, std::vector<Home>> homes_;
  std::size_t place_count_ = 0;
  std::vector<Step> steps_;
};

}  // namespace

LeftHand left_hand(const std::vector<BassTask>& tasks, const hand::HandSize& size,
                   const LeftHandManner& manner) {
  return Search(tasks, size, manner).run();
}

}  // namespace stillhand::arrange
