#include "arrange/left_hand.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cstdint>
#include <map>
#include <utility>

#include "arrange/ladder.h"
#include "hand/line_fingering.h"

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
constexpr Semitones kOctave{12};
constexpr PianoKey kMuddyOctaveBelow{33};  // A1
constexpr PianoKey kHighOctaveAbove{43};   // G2
constexpr PianoKey kHighWalkAbove{50};     // D3
constexpr Finger kSecond{2};
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

// A further key of the figure with its finger.
struct Held {
  PianoKey key;
  Finger finger;
};

// One way to play one bass note.
struct Stance {
  const Home* home = nullptr;  // of no keys: the open hand
  PianoKey key;
  Finger finger;
  Reach reach = Reach::none;
  std::optional<Held> fifth;
  std::optional<Held> octave;
  Cost own;                  // whatever came before
  Cost to_go = kImpossible;  // own and all that follows, at best

  bool is_open() const { return home->position.is_open(); }
  PianoKey top() const { return octave ? octave->key : fifth ? fifth->key : key; }
  int fullness() const { return (octave ? 2 : 0) + (fifth ? 1 : 0); }
};

bool is_open(Rung rung) {
  return rung == Rung::octave || rung == Rung::root_fifth_octave || rung == Rung::walking_bass;
}

bool has_fifth(Rung rung) {
  return rung == Rung::root_and_fifth || rung == Rung::root_fifth_octave;
}

PianoKey next_above(PianoKey key, NoteName name) {
  const int up = PitchClass(name.pitch_class().value() - key.number()).value();
  return key + Semitones(up == 0 ? 12 : up);
}

// Of one chord, the stances with the fullest figure there is.
void keep_fullest(std::vector<Stance>& stances) {
  int most = 0;
  for (const Stance& stance : stances) most = std::max(most, stance.fullness());
  stances.erase(std::remove_if(stances.begin(), stances.end(),
                               [&](const Stance& s) { return s.fullness() < most; }),
                stances.end());
}

class Stances {
 public:
  Stances(const BassTask& task, const hand::HandSize& size, const LeftHandManner& manner)
      : task_(task),
        size_(size),
        widest_(size.span(hand::kThumb, hand::kLittleFinger).max_practical),
        manner_(manner) {
    if (task.chord && has_fifth(task.rung)) fifth_ = figure_tones(*task.chord).fifth;
  }

  // From a position.
  void add_from(const Home& home, std::vector<Stance>& out) const {
    for (PianoKey key = first_key(kLeftHandRegister.lowest); is_free(key); key = key + kOctave)
      add_key(home, key, out);
  }

  // With the open hand.
  void add_open(const Home& open, std::vector<Stance>& out) const {
    const PianoKey from = has_octave(task_.rung) ? kLowestOctave : kLeftHandRegister.lowest;
    for (PianoKey key = first_key(from); is_free(key); key = key + kOctave) {
      Stance stance = bare(open, key, hand::kLittleFinger, Reach::none);
      add_grip(stance);
      const bool is_low = key < kLeftHandRegister.lowest;
      if (is_low && !stance.octave) continue;
      stance.own = place_cost(stance);
      out.push_back(stance);
    }
  }

 private:
  PianoKey first_key(PianoKey from) const {
    return from + Semitones(PitchClass(task_.note->pitch_class().value() - from.number()).value());
  }

  bool is_free(PianoKey key) const {
    return key <= kLeftHandRegister.highest && (!task_.below || key < *task_.below);
  }

  bool can_hold(const Held& upper, PianoKey key, Finger finger) const {
    const hand::Span& span = size_.span(upper.finger, finger);
    const SpanUnits units = hand::span_units(key, upper.key);
    return span.min_practical <= units && units <= span.max_practical;
  }

  static Stance bare(const Home& home, PianoKey key, Finger finger, Reach reach) {
    return {&home, key, finger, reach, std::nullopt, std::nullopt, Cost{}, kImpossible};
  }

  void add_grip(Stance& stance) const {
    const Held octave{stance.key + kOctave, hand::kThumb};
    if (has_octave(task_.rung) && is_free(octave.key) &&
        can_hold(octave, stance.key, stance.finger))
      stance.octave = octave;
    if (!fifth_) return;
    if (stance.octave && stance.key < kLowestFullGrip) return;
    const Held fifth{next_above(stance.key, *fifth_), stance.octave ? kSecond : hand::kThumb};
    if (is_free(fifth.key) && can_hold(fifth, stance.key, stance.finger)) stance.fifth = fifth;
  }

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
    Stance stance = bare(home, key, finger_at(place), reach);
    const Cost bass = reach_cost(home.position.keys[place], key, *task_.note, reach);
    if (fifth_ && reach != Reach::slide) add_with_fifth(stance, place, bass, out);
    stance.own = bass + place_cost(stance);
    out.push_back(stance);
  }

  void add_with_fifth(Stance stance, std::size_t place, Cost bass, std::vector<Stance>& out) const {
    const PianoKey key = next_above(stance.key, *fifth_);
    if (!is_free(key)) return;
    for (std::size_t i = place + 1; i < stance.home->keys.size(); ++i) {
      const std::optional<Reach> reach = reach_to(*stance.home, i, key);
      const Held fifth{key, finger_at(i)};
      if (!reach || !can_hold(fifth, stance.key, stance.finger)) continue;
      stance.fifth = fifth;
      stance.own = bass + reach_cost(stance.home->position.keys[i], key, *fifth_, *reach) +
                   place_cost(stance);
      if (!is_usual(stance)) stance.own += manner_.unusual_fifth;
      out.push_back(stance);
    }
  }

  static bool is_usual(const Stance& stance) {
    return stance.finger == hand::kLittleFinger && stance.fifth->finger == hand::kThumb;
  }

  static Finger finger_at(std::size_t place) { return Finger(5 - static_cast<int>(place)); }

  // How the finger at a place gets to a key above the bass note.
  std::optional<Reach> reach_to(const Home& home, std::size_t place, PianoKey key) const {
    const PianoKey own = home.keys[place];
    if (key == own) return Reach::none;
    if (std::find(home.keys.begin(), home.keys.end(), key) != home.keys.end()) return std::nullopt;
    const bool is_outside = key > home.keys.back();
    if (is_outside) {
      const bool thumb_gets_there = place == 4 && key <= own + kWholeStep &&
                                    hand::span_units(home.keys.front(), key) <= widest_;
      return thumb_gets_there ? std::optional(Reach::reach_up) : std::nullopt;
    }
    if (abs(key - own) != Semitones(1)) return std::nullopt;
    return key > own ? Reach::reach_up : Reach::reach_down;
  }

  Cost reach_cost(const Pitch& from, PianoKey key, NoteName name, Reach reach) const {
    if (reach == Reach::none) return Cost{};
    if (reach == Reach::slide) return *manner_.slide;
    Cost cost = manner_.reach;
    const bool is_whole = abs(key - from.key()) == kWholeStep;
    if (is_whole) cost += manner_.whole_step_reach;
    if (!is_whole && from.name.letter != name.letter) cost += manner_.other_letter;
    return cost;
  }

  // Where the hand lies and what it touches, apart from reaches.
  Cost place_cost(const Stance& stance) const {
    const auto per_semitone = [](Cost weight, Semitones beyond) {
      return weight * std::int64_t{std::max(0, beyond.value())};
    };
    const PianoKey key = stance.key;
    // Bass notes alone, as in a walk, are never mud in this register.
    const bool is_walk = task_.rung == Rung::walking_bass;
    const PianoKey low = stance.octave ? kMuddyOctaveBelow
                         : is_walk     ? kLeftHandRegister.lowest
                                       : kMuddyBelow;
    const PianoKey high = stance.octave ? kHighOctaveAbove : is_walk ? kHighWalkAbove : kHighAbove;
    Cost cost = per_semitone(manner_.mud, low - key) + per_semitone(manner_.high, key - high);
    if (task_.below) {
      cost += per_semitone(manner_.crowding, kRoomBetweenHands - (*task_.below - stance.top()));
    }
    if (stance.is_open()) return cost;
    const Home& home = *stance.home;
    const bool is_end = stance.finger == hand::kThumb || stance.finger == hand::kLittleFinger;
    if (!home.is_familiar) cost += manner_.unfamiliar_position;
    if (is_end && key.is_black()) cost += manner_.end_finger_on_black;
    if (task_.below && home.keys.back() >= *task_.below) cost += manner_.thumb_in_the_way;
    return cost;
  }

  const BassTask& task_;
  const hand::HandSize& size_;
  SpanUnits widest_;
  const LeftHandManner& manner_;
  std::optional<NoteName> fifth_;
};

// The open hand's fingers are found last of all.
bool is_kept(const Stance& stance, const KeptBass& kept) {
  if (stance.is_open() || kept.position.is_open())
    return stance.is_open() && kept.position.is_open() && stance.key == kept.key;
  return stance.key == kept.key && stance.finger == kept.finger && stance.reach == kept.reach &&
         stance.home->keys == keys_of(kept.position);
}

// ---- from one bass note to the next

// What lies between two bass notes that follow each other, apart from the hand.
struct Gap {
  bool neighbours = true;  // no N.C. between them
  bool is_step = false;    // neighbours a half or whole step apart
  Cost shift;              // of any shift here, without its travel
};

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
  if (a.is_open() && b.is_open())
    return cost + manner.travel * std::int64_t{abs(b.key - a.key).value()};
  if (a.is_open() || b.is_open()) return cost + gap.shift;
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
        size_(size),
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
    open_.place = places.size();
    place_count_ = places.size() + 1;
  }

  void find_steps() {
    for (std::size_t i = 0; i < tasks_.size(); ++i) {
      const BassTask& task = tasks_[i];
      if (!task.note) continue;
      assert(!task.below || *task.below >= kLowestCeiling);
      if (!steps_.empty()) steps_.back().gap = gap(steps_.back().task, i);
      Step step{i, {}, {}};
      const Stances stances(task, size_, manner_);
      if (is_open(task.rung)) {
        stances.add_open(open_, step.stances);
      } else {
        for (const Home& home : homes_.at(task.tonality)) stances.add_from(home, step.stances);
      }
      if (task.kept) {
        std::erase_if(step.stances, [&](const Stance& s) { return !is_kept(s, *task.kept); });
        assert(!step.stances.empty());
      }
      keep_fullest(step.stances);
      steps_.push_back(std::move(step));
    }
  }

  Gap gap(std::size_t from, std::size_t to) const {
    Gap gap;
    gap.neighbours = to == from + 1;
    gap.is_step = gap.neighbours && music::is_step(*tasks_[from].note, *tasks_[to].note);
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
    if (step.stances.front().is_open() || next.front().is_open())
      return find_costs_one_by_one(step, next);
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

  // The open hand has few keys to choose from.
  void find_costs_one_by_one(Step& step, const std::vector<Stance>& next) {
    for (Stance& stance : step.stances) {
      Cost best = kImpossible;
      for (const Stance& follower : next)
        best = std::min(best, through(stance, follower, step.gap));
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
    BassNote note{music::pitch_at(taken.key, *tasks_[task].note), taken.finger, taken.reach, index,
                  shifts};
    note.rung = rung_played(taken, tasks_[task].rung);
    note.figure = figure(taken, tasks_[task]);
    return note;
  }

  static Rung rung_played(const Stance& taken, Rung wanted) {
    if (!has_fifth(wanted) && !has_octave(wanted)) return wanted;
    if (taken.octave) return taken.fifth ? Rung::root_fifth_octave : Rung::octave;
    if (taken.fifth) return Rung::root_and_fifth;
    return taken.is_open() ? Rung::one_root : Rung::position;
  }

  static std::vector<FigureNote> figure(const Stance& taken, const BassTask& task) {
    std::vector<FigureNote> notes;
    if (!task.chord) return notes;
    const FigureTones tones = figure_tones(*task.chord);
    if (taken.fifth && !taken.is_open() && tones.third) {
      if (const auto third = third_within(taken, *tones.third)) notes.push_back(*third);
    }
    if (taken.fifth) {
      notes.push_back(
          {BassTone::fifth, music::pitch_at(taken.fifth->key, *tones.fifth), taken.fifth->finger});
    }
    if (taken.octave) {
      notes.push_back(
          {BassTone::octave, music::pitch_at(taken.octave->key, *task.note), taken.octave->finger});
    }
    return notes;
  }

  // The third under a finger between those of bass and fifth; on its own key if there is one, else the finger below it.
  static std::optional<FigureNote> third_within(const Stance& taken, NoteName name) {
    const PianoKey key = next_above(taken.key, name);
    if (key < kLowestThird || key >= taken.fifth->key) return std::nullopt;
    for (const int off : {0, 1, -1}) {
      for (int finger = taken.finger.number() - 1; finger > taken.fifth->finger.number();
           --finger) {
        if (taken.home->keys[static_cast<std::size_t>(5 - finger)] + Semitones(off) == key)
          return FigureNote{BassTone::third, music::pitch_at(key, name), Finger(finger)};
      }
    }
    return std::nullopt;
  }

  const std::vector<BassTask>& tasks_;
  const hand::HandSize& size_;
  SpanUnits widest_;
  const LeftHandManner& manner_;
  std::map<Tonality, std::vector<Home>> homes_;
  Home open_;  // no keys
  std::size_t place_count_ = 0;
  std::vector<Step> steps_;
};

// ---- walking bass

std::vector<PianoKey> part(const std::vector<PianoKey>& keys, std::size_t begin, std::size_t end) {
  return {keys.begin() + static_cast<std::ptrdiff_t>(begin),
          keys.begin() + static_cast<std::ptrdiff_t>(end)};
}

// The bass notes and walks of one section's neighbouring chords, one line for the fingers.
class WalkingLine {
 public:
  // Of the chords [first, last).
  WalkingLine(LeftHand& left, std::size_t first, std::size_t last, const hand::LineSpans& spans)
      : left_(left), spans_(spans) {
    for (std::size_t i = first; i < last; ++i) {
      BassNote& bass = *left_.bass[i];
      chords_.push_back({keys_.size(), &bass});
      add(bass.pitch, bass.finger);
      for (WalkNote& note : bass.walk) add(note.pitch, note.finger);
    }
  }

  // In one piece, or in as few as the leaps allow; the last one goes on to `after`, whose finger is known.
  void play(BassNote* after) {
    std::size_t begin = 0;
    while (begin < keys_.size()) {
      const std::size_t end = end_of_piece(begin);
      if (begin > 0) chord_at(begin).bass->shifts = true;
      if (end < keys_.size() || after == nullptr || !finger_towards(begin, *after))
        finger_piece(begin, end,
                     hand::easiest_line(part(keys_, begin, end), hand::Hand::left, spans_));
      begin = end;
    }
  }

 private:
  struct InLine {
    std::size_t begin;  // index into keys_
    BassNote* bass;
  };

  void add(const Pitch& pitch, Finger& finger) {
    keys_.push_back(pitch.key());
    fingers_.push_back(&finger);
  }

  // The last chord that begins at this note or before it.
  const InLine& chord_at(std::size_t note) const {
    return *(std::upper_bound(chords_.begin(), chords_.end(), note,
                              [](std::size_t n, const InLine& chord) { return n < chord.begin; }) -
             1);
  }

  // The hand jumps only where a chord begins.
  std::size_t end_of_piece(std::size_t begin) const {
    const std::size_t length =
        hand::playable_length(part(keys_, begin, keys_.size()), hand::Hand::left, spans_);
    if (begin + length == keys_.size()) return keys_.size();
    const std::size_t end = chord_at(begin + length).begin;
    assert(end > begin);  // a chord and its walk stay within a fourth and some steps
    return end;
  }

  // False where the hand has to jump to `after`.
  bool finger_towards(std::size_t begin, BassNote& after) {
    std::vector<PianoKey> keys = part(keys_, begin, keys_.size());
    keys.push_back(after.pitch.key());
    const auto line = hand::easiest_line(keys, hand::Hand::left, spans_, after.finger);
    after.shifts = !line;
    if (line) finger_piece(begin, keys_.size(), line);
    return line.has_value();
  }

  void finger_piece(std::size_t begin, std::size_t end,
                    const std::optional<hand::LineFingering>& line) {
    assert(line);
    for (std::size_t i = begin; i < end; ++i) *fingers_[i] = line->fingers[i - begin];
    left_.line_points += line->points;
  }

  LeftHand& left_;
  const hand::LineSpans& spans_;
  std::vector<PianoKey> keys_;
  std::vector<Finger*> fingers_;
  std::vector<InLine> chords_;
};

void add_walk(const BassTask& task, const BassNote& next, BassNote& bass) {
  if (!task.chord) return;
  const std::size_t most = std::min(walk_notes(task.duration, task.count), task.most_walk_notes);
  const auto pitches = walk(*task.chord, bass.pitch, next.pitch, task.tonality, most);
  const bool is_free = std::all_of(pitches.begin(), pitches.end(), [&](const Pitch& pitch) {
    return !task.below || pitch.key() < *task.below;
  });
  if (!is_free) return;
  Tick start = task.duration - task.count * static_cast<int>(pitches.size());
  for (const Pitch& pitch : pitches) {
    bass.walk.push_back({pitch, Finger{}, start, task.count});
    start += task.count;
  }
}

// From the last section to the first.
void play_walking_lines(const std::vector<BassTask>& tasks, const hand::HandSize& size,
                        LeftHand& left) {
  const auto walks = [&](std::size_t i) {
    return i < tasks.size() && left.bass[i] && tasks[i].rung == Rung::walking_bass;
  };
  for (std::size_t i = 0; i + 1 < tasks.size(); ++i) {
    if (walks(i) && left.bass[i + 1]) add_walk(tasks[i], *left.bass[i + 1], *left.bass[i]);
  }
  const hand::LineSpans spans = hand::LineSpans::of(size);
  for (std::size_t last = tasks.size(); last > 0;) {
    std::size_t first = last - 1;
    if (walks(first)) {
      while (first > 0 && !tasks[first].begins_section && walks(first - 1)) --first;
      WalkingLine(left, first, last, spans).play(walks(last) ? &*left.bass[last] : nullptr);
    }
    last = first;
  }
}

}  // namespace

LeftHand left_hand(const std::vector<BassTask>& tasks, const hand::HandSize& size,
                   const LeftHandManner& manner) {
  LeftHand left = Search(tasks, size, manner).run();
  play_walking_lines(tasks, size, left);
  return left;
}

}  // namespace stillhand::arrange
