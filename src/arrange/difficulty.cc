#include "arrange/difficulty.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>
#include <map>
#include <set>
#include <utility>

#include "arrange/embedded.h"
#include "arrange/right_hand.h"

namespace stillhand::arrange {
namespace {

using hand::centre;
using hand::ShapeNote;

constexpr Millimetre kWhiteKey{235};

// Where a finger is while a shape is held: on its key, or hovering where its neighbours leave it.
Millimetre resting_place(const Shape& shape, Finger finger) {
  const ShapeNote* below = nullptr;
  const ShapeNote* above = nullptr;
  for (const ShapeNote& note : shape.notes) {
    if (note.finger <= finger) below = &note;
    if (note.finger >= finger && above == nullptr) above = &note;
  }
  if (below == nullptr) {
    assert(above != nullptr && "a shape has notes");
    return centre(above->key()) - kWhiteKey * (above->finger.number() - finger.number());
  }
  if (above == nullptr) {
    return centre(below->key()) + kWhiteKey * (finger.number() - below->finger.number());
  }
  if (below == above) return centre(below->key());
  const Millimetre width = centre(above->key()) - centre(below->key());
  return centre(below->key()) + width * (finger.number() - below->finger.number()) /
                                    (above->finger.number() - below->finger.number());
}

FingerTravel travel(Finger finger, Millimetre from, PianoKey to) {
  const Millimetre distance = abs(centre(to) - from);
  return {finger, to, distance, index_of_difficulty(distance, hand::width(to))};
}

// `independent`: how many of the fingers have to find their way each for itself.
void add_up(MoveDifficulty& move, std::int64_t independent) {
  for (const FingerTravel& finger : move.fingers) {
    move.farthest = std::max(move.farthest, finger.distance);
    move.index = std::max(move.index, finger.index);
  }
  if (independent > 1) move.index += kFurtherFinger * (independent - 1);
}

// Where the left hand's finger was before it plays the next note.
Millimetre left_resting_place(const std::vector<Position>& positions, const BassNote& before,
                              Finger finger) {
  const Position& position = positions[before.position];
  if (!position.is_open()) {
    return centre(position.keys[static_cast<std::size_t>(5 - finger.number())].key());
  }
  const Pitch& last = before.walk.empty() ? before.pitch : before.walk.back().pitch;
  const Finger on_it = before.walk.empty() ? before.finger : before.walk.back().finger;
  return centre(last.key()) + kWhiteKey * (on_it.number() - finger.number());
}

std::int64_t hundredths(std::int64_t part, std::int64_t whole) {
  return whole == 0 ? 0 : part * 100 / whole;
}

// What the factors are counted from, in a section or in the song.
struct Counts {
  std::set<std::size_t> shapes;
  Millimetre farthest;
  Throughput needed;
  std::int64_t changes = 0, bars = 0;
  std::int64_t notes = 0, black = 0;
  std::int64_t shifts = 0;
  std::int64_t chords = 0, between_counts = 0;

  Difficulty difficulty(music::Tempo tempo) const {
    const std::array<std::int64_t, 8> values{static_cast<std::int64_t>(shapes.size()),
                                             farthest.value(),
                                             needed.value(),
                                             hundredths(changes, bars),
                                             hundredths(black, notes),
                                             hundredths(shifts, bars),
                                             hundredths(between_counts, chords),
                                             tempo.value()};
    Difficulty out;
    for (std::size_t i = 0; i < values.size(); ++i) {
      const Factor factor = all_factors()[i];
      const Points points = points_of(data::difficulty_tsv, name(factor), values[i]);
      out.factors.push_back({factor, values[i], points});
      out.points += points;
    }
    return out;
  }
};

class Judge {
 public:
  explicit Judge(const Arrangement& a) : a_(a), sections_(a.song.sections.size()) {}

  SongDifficulty judge() {
    count_bars();
    for (std::size_t i = 0; i < a_.chords.size(); ++i) {
      const std::size_t section = a_.chords[i].section;
      right_hand(i, sections_[section]);
      left_hand(i, sections_[section]);
    }
    SongDifficulty out;
    out.song = song_.difficulty(a_.song.tempo);
    for (const Counts& counts : sections_) {
      out.sections.push_back(counts.bars == 0 && counts.shapes.empty()
                                 ? std::nullopt
                                 : std::optional(counts.difficulty(a_.song.tempo)));
    }
    out.right = ranked(right_);
    out.left = ranked(left_);
    return out;
  }

 private:
  void count_bars() {
    std::int64_t microseconds = 0;
    for (const chart::PlayedBar& played : a_.bars) {
      const chart::Bar& bar = chart::bar_of(a_.song, played);
      bar_starts_.push_back(microseconds);
      microseconds += in_microseconds(played.length, bar.meter);
      if (bar.is_pick_up) continue;
      ++song_.bars;
      ++sections_[played.section].bars;
    }
  }

  std::int64_t in_microseconds(Tick ticks, music::Meter meter) const {
    return std::int64_t{60'000'000} * ticks.value() /
           (std::int64_t{meter.count_length().value()} * a_.song.tempo.value());
  }

  Milliseconds between(std::size_t before, std::size_t now) const {
    const auto start = [&](std::size_t i) {
      const chart::PlayedChord& chord = a_.chords[i];
      const chart::PlayedBar& played = a_.bars[chord.played_bar];
      return bar_starts_[chord.played_bar] +
             in_microseconds(chord.start - played.start, chart::bar_of(a_.song, played).meter);
    };
    return Milliseconds(std::max<std::int64_t>(1, (start(now) - start(before)) / 1000));
  }

  bool begins_between_counts(const chart::PlayedChord& chord,
                             const chart::PlayedBar& played) const {
    const chart::Bar& bar = chart::bar_of(a_.song, played);
    // The counts of a pick-up are the last ones of a bar.
    const Tick offset =
        bar.is_pick_up ? played.start + played.length - chord.start : chord.start - played.start;
    return offset.value() % bar.meter.count_length().value() != 0;
  }

  void right_hand(std::size_t i, Counts& section) {
    const auto& shape = a_.shape_of_chord[i];
    if (!shape) return;
    const chart::PlayedChord& chord = a_.chords[i];
    const chart::PlayedBar& played = a_.bars[chord.played_bar];
    const bool between_counts = begins_between_counts(chord, played);
    for (Counts* counts : {&song_, &section}) {
      counts->shapes.insert(*shape);
      ++counts->chords;
      counts->between_counts += between_counts ? 1 : 0;
      for (const ShapeNote& note : a_.right.shapes[*shape].shape.notes) {
        ++counts->notes;
        counts->black += note.key().is_black() ? 1 : 0;
      }
    }
    if (before_right_ && a_.shape_of_chord[*before_right_] != shape) {
      const std::size_t from = *a_.shape_of_chord[*before_right_];
      const auto [at, is_new] = right_.try_emplace({from, *shape});
      if (is_new) {
        at->second.difficulty =
            move_difficulty(a_.right.shapes[from].shape, a_.right.shapes[*shape].shape);
      }
      ++song_.changes;
      ++section.changes;
      note_move(at->second, *before_right_, i, section);
      const Millimetre farthest = at->second.difficulty.farthest;
      song_.farthest = std::max(song_.farthest, farthest);
      section.farthest = std::max(section.farthest, farthest);
    }
    before_right_ = i;
  }

  void left_hand(std::size_t i, Counts& section) {
    const auto& bass = a_.left.bass[i];
    if (!bass) return;
    song_.shifts += bass->shifts ? 1 : 0;
    section.shifts += bass->shifts ? 1 : 0;
    if (before_left_) {
      const BassNote& before = *a_.left.bass[*before_left_];
      const MoveDifficulty move = bass_difficulty(a_.left.positions, before, *bass);
      if (!move.fingers.empty()) {
        const auto key = std::pair(std::tuple(before.position, before.pitch, before.finger),
                                   std::tuple(bass->position, bass->pitch, bass->finger));
        const auto [at, is_new] = left_.try_emplace(key);
        if (is_new) at->second.difficulty = move;
        note_move(at->second, *before_left_, i, section);
      }
    }
    before_left_ = i;
  }

  void note_move(RankedMove& move, std::size_t before, std::size_t now, Counts& section) {
    const Milliseconds time = between(before, now);
    const Throughput needed(move.difficulty.index.value() * 1000 / time.value());
    if (move.times == 0 || time < move.shortest) {
      move.shortest = time;
      move.needed = needed;
      move.chord = now;
      move.before = before;
    }
    ++move.times;
    song_.needed = std::max(song_.needed, needed);
    section.needed = std::max(section.needed, needed);
  }

  template <class Map>
  static std::vector<RankedMove> ranked(const Map& moves) {
    std::vector<RankedMove> out;
    for (const auto& [key, move] : moves) out.push_back(move);
    std::stable_sort(out.begin(), out.end(), [](const RankedMove& a, const RankedMove& b) {
      return std::tuple(b.needed, b.difficulty.index, a.chord) <
             std::tuple(a.needed, a.difficulty.index, b.chord);
    });
    return out;
  }

  using BassPlace = std::tuple<std::size_t, Pitch, Finger>;

  const Arrangement& a_;
  Counts song_;
  std::vector<Counts> sections_;
  std::vector<std::int64_t> bar_starts_;  // microseconds
  std::map<std::pair<std::size_t, std::size_t>, RankedMove> right_;
  std::map<std::pair<BassPlace, BassPlace>, RankedMove> left_;
  std::optional<std::size_t> before_right_, before_left_;  // chords
};

}  // namespace

Millibits index_of_difficulty(Millimetre distance, Millimetre width) {
  assert(distance.value() >= 0 && distance.value() <= 300'000 && width.value() > 0);
  // log2 of a fraction bit by bit: squaring doubles the logarithm, and each halving is one bit of it.
  constexpr int kPlaces = 30;
  constexpr int kBits = 20;
  constexpr std::uint64_t kOne = std::uint64_t{1} << kPlaces;
  std::uint64_t x =
      ((static_cast<std::uint64_t>(distance.value()) + static_cast<std::uint64_t>(width.value()))
       << kPlaces) /
      static_cast<std::uint64_t>(width.value());
  std::int64_t log = 0;
  while (x >= 2 * kOne) {
    x >>= 1;
    ++log;
  }
  for (int bit = 0; bit < kBits; ++bit) {
    x = (x * x) >> kPlaces;
    log *= 2;
    if (x >= 2 * kOne) {
      x >>= 1;
      ++log;
    }
  }
  return Millibits((log * 1000) >> kBits);
}

MoveDifficulty move_difficulty(const Shape& from, const Shape& to) {
  MoveDifficulty out;
  for (const ShapeNote& note : to.notes) {
    const FingerTravel way = travel(note.finger, resting_place(from, note.finger), note.key());
    if (way.distance > Millimetre(0)) out.fingers.push_back(way);
  }
  const auto moving = static_cast<std::int64_t>(out.fingers.size());
  const bool stays = out.fingers.size() < to.notes.size();
  const bool as_one = motion(from, to).frame_changes == 0 && !stays;
  add_up(out, as_one ? 1 : moving);
  return out;
}

MoveDifficulty bass_difficulty(const std::vector<Position>& positions, const BassNote& before,
                               const BassNote& now) {
  // In one position a finger starts from its own key, whichever finger played last.
  const Millimetre from = left_resting_place(positions, before, now.finger);
  MoveDifficulty out;
  const FingerTravel way = travel(now.finger, from, now.pitch.key());
  if (way.distance > Millimetre(0)) out.fingers.push_back(way);
  add_up(out, 1);
  return out;
}

std::string_view name(Factor factor) {
  switch (factor) {
    case Factor::shapes:
      return "shapes";
    case Factor::farthest_finger:
      return "farthest finger";
    case Factor::hardest_move:
      return "hardest move";
    case Factor::changes:
      return "changes";
    case Factor::black_keys:
      return "black keys";
    case Factor::shifts:
      return "shifts";
    case Factor::syncopation:
      return "syncopation";
    case Factor::tempo:
      break;
  }
  return "tempo";
}

const std::vector<Factor>& all_factors() {
  static const std::vector<Factor> all{
      Factor::shapes,     Factor::farthest_finger, Factor::hardest_move, Factor::changes,
      Factor::black_keys, Factor::shifts,          Factor::syncopation,  Factor::tempo};
  return all;
}

std::string in_words(const FactorValue& value) {
  const std::int64_t v = value.value;
  switch (value.factor) {
    case Factor::shapes:
      return fmt::format("{} {}", v, v == 1 ? "shape" : "shapes");
    case Factor::farthest_finger:
      return fmt::format("a finger goes up to {}.{} mm", v / 10, v % 10);
    case Factor::hardest_move:
      return fmt::format("a move asks up to {}.{:02} bits a second", v / 1000, v % 1000 / 10);
    case Factor::changes:
      return fmt::format("{}.{:02} changes a bar", v / 100, v % 100);
    case Factor::black_keys:
      return fmt::format("{} % of the right hand on black keys", v);
    case Factor::shifts:
      return fmt::format("{} left-hand shifts in 100 bars", v);
    case Factor::syncopation:
      return fmt::format("{} % of the chords between counts", v);
    case Factor::tempo:
      break;
  }
  return fmt::format("{} counts a minute", v);
}

SongsInTen easier_songs(Points points) {
  const std::string_view table = data::difficulty_scale_tsv;
  int easier = 0;
  for (std::size_t begin = 0; begin < table.size();) {
    const std::size_t end = std::min(table.find('\n', begin), table.size());
    const std::string_view line = table.substr(begin, end - begin);
    begin = end + 1;
    if (line.empty() || line.front() == '#') continue;
    std::int64_t limit = 0;
    const std::string_view number = line.substr(line.find('\t') + 1);
    std::from_chars(number.data(), number.data() + number.size(), limit);
    if (points.value() >= limit) ++easier;
  }
  return SongsInTen(easier);
}

SongDifficulty difficulty(const Arrangement& arrangement) { return Judge(arrangement).judge(); }

}  // namespace stillhand::arrange
