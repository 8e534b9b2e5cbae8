#include "teach/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cstdlib>
#include <string_view>

namespace stillhand::teach {
namespace {

using hand::Shape;
using hand::ShapeNote;
using music::display;
using music::NoteNames;
using music::PianoKey;

const ShapeNote* note_at(const Shape& shape, PianoKey key) {
  for (const ShapeNote& n : shape.notes) {
    if (n.key() == key) return &n;
  }
  return nullptr;
}

const ShapeNote* note_of(const Shape& shape, Finger finger) {
  for (const ShapeNote& n : shape.notes) {
    if (n.finger == finger) return &n;
  }
  return nullptr;
}

std::string_view direction(Pitch from, Pitch to) { return to.key() > from.key() ? "up" : "down"; }

std::string finger_name(Finger finger) {
  const std::string_view plain = hand::name(finger);
  return finger == hand::kThumb || finger == hand::kLittleFinger ? fmt::format("the {}", plain)
                                                                 : std::string(plain);
}

std::string capitalised(std::string text) {
  text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

std::string article(std::string_view noun) {
  return (std::string_view("aeiou").find(noun.front()) != std::string_view::npos ? "an " : "a ") +
         std::string(noun);
}

// "thumb up a whole step, G to A"
std::string finger_clause(const FingerMove& m, NoteNames names) {
  return fmt::format("{} {} {}, {} to {}", hand::name(m.finger), direction(m.from, m.to),
                     distance_in_words(m.from, m.to), display(m.from.name, names),
                     display(m.to.name, names));
}

// The note that a lifted finger has left nearest to `key`, to say where a new finger comes in.
const std::pair<Finger, Pitch>* nearest_left(const Move& move, const Shape& to, PianoKey key) {
  const std::pair<Finger, Pitch>* best = nullptr;
  for (const auto& lifted : move.lifted) {
    if (note_at(to, lifted.second.key()) != nullptr)
      continue;  // that note is held by another finger
    if (best == nullptr || abs(lifted.second.key() - key) < abs(best->second.key() - key))
      best = &lifted;
  }
  return best;
}

// A held key that the next chord spells otherwise is named as both pictures name it.
std::string held_name(const HeldNote& held, NoteNames names) {
  const std::string before = display(held.spelled_before, names);
  const std::string after = display(held.pitch.name, names);
  return before == after ? after : fmt::format("{} (now called {})", before, after);
}

std::string words_of(const Move& move, const Shape& to, NoteNames names) {
  std::vector<std::string> clauses;
  const bool all_move = move.held.empty() && move.lifted.empty() && move.added.empty();
  const auto same_direction = [&](const FingerMove& m) {
    return direction(m.from, m.to) == direction(move.fingers.front().from, move.fingers.front().to);
  };
  const bool slides = all_move && move.fingers.size() > 1 &&
                      std::all_of(move.fingers.begin(), move.fingers.end(), same_direction);
  const auto distance = [](const FingerMove& m) { return distance_in_words(m.from, m.to); };
  const bool as_one =
      slides && std::all_of(move.fingers.begin(), move.fingers.end(), [&](const FingerMove& m) {
        return distance(m) == distance(move.fingers.front());
      });
  if (as_one) {
    std::vector<std::string> pairs;
    for (const FingerMove& m : move.fingers) {
      pairs.push_back(fmt::format("{} {} to {}", hand::name(m.finger), display(m.from.name, names),
                                  display(m.to.name, names)));
    }
    const FingerMove& first = move.fingers.front();
    return fmt::format("The whole hand {} {}: {}.", direction(first.from, first.to),
                       distance(first), fmt::join(pairs, ", "));
  }
  for (const FingerMove& m : move.fingers) clauses.push_back(finger_clause(m, names));
  for (const auto& [finger, pitch] : move.added) {
    if (const auto* left = nearest_left(move, to, pitch.key())) {
      clauses.push_back(fmt::format("{} plays {}, {} {} from {}, which {} leaves",
                                    finger_name(finger), display(pitch.name, names),
                                    distance_in_words(left->second, pitch),
                                    direction(left->second, pitch),
                                    display(left->second.name, names), finger_name(left->first)));
    } else {
      clauses.push_back(fmt::format("{} adds {}", finger_name(finger), display(pitch.name, names)));
    }
  }
  std::vector<std::string> stay;
  Finger staying;
  for (const HeldNote& h : move.held) {
    if (h.before == h.after) {
      stay.push_back(held_name(h, names));
      staying = h.after;
      continue;
    }
    clauses.push_back(fmt::format("{} is held, but {} takes it over from {}", held_name(h, names),
                                  finger_name(h.after), finger_name(h.before)));
  }
  // A finger that leaves a note nobody replaces must be told to lift.
  if (move.added.empty()) {
    for (const auto& [finger, pitch] : move.lifted) {
      if (note_at(to, pitch.key()) == nullptr) {
        clauses.push_back(
            fmt::format("{} lifts from {}", hand::name(finger), display(pitch.name, names)));
      }
    }
  }
  if (clauses.empty()) return "Nothing moves: the same keys, the same fingers.";
  if (stay.size() > 1) clauses.push_back(fmt::format("the others stay on {}", list_in_words(stay)));
  if (stay.size() == 1)
    clauses.push_back(fmt::format("{} stays on {}", finger_name(staying), stay.front()));
  std::string sentence = fmt::format("{}.", fmt::join(clauses, "; "));
  if (slides) {
    return fmt::format("The hand slides {}: {}",
                       direction(move.fingers.front().from, move.fingers.front().to), sentence);
  }
  return capitalised(std::move(sentence));
}

}  // namespace

std::string list_in_words(const std::vector<std::string>& items) {
  if (items.empty()) return "";
  std::string out = items.front();
  for (std::size_t i = 1; i < items.size(); ++i)
    out += (i + 1 == items.size() ? " and " : ", ") + items[i];
  return out;
}

std::string distance_in_words(Pitch from, Pitch to) {
  if (to.key() < from.key()) std::swap(from, to);
  const int semitones = (to.key() - from.key()).value();
  if (semitones == 0) return "no distance";
  if (semitones == 1) return "a half step";
  if (semitones == 2) return "a whole step";
  constexpr std::array<std::string_view, 13> by_keys{"",
                                                     "",
                                                     "",
                                                     "minor third",
                                                     "major third",
                                                     "fourth",
                                                     "tritone",
                                                     "fifth",
                                                     "minor sixth",
                                                     "major sixth",
                                                     "minor seventh",
                                                     "major seventh",
                                                     "octave"};
  constexpr std::array<std::string_view, 8> letters{"unison", "second", "third",   "fourth",
                                                    "fifth",  "sixth",  "seventh", "octave"};
  const int steps = 7 * (to.octave - from.octave) + static_cast<int>(to.name.letter) -
                    static_cast<int>(from.name.letter);
  const int natural =
      music::NoteName::kNatural[static_cast<std::size_t>(((steps % 7) + 7) % 7)] + 12 * (steps / 7);
  const int altered = semitones - natural;
  if (steps >= 1 && steps <= 7) {
    const bool perfect = steps == 3 || steps == 4 || steps == 7;
    const auto letter = letters[static_cast<std::size_t>(steps)];
    if (altered == 0) return article(perfect ? letter : fmt::format("major {}", letter));
    if (altered == -1 && !perfect) return article(fmt::format("minor {}", letter));
    // Who reads no staff counts keys: D♯ to G is no "diminished fourth".
    constexpr std::array<std::string_view, 13> numbers{"",     "",       "",      "three", "four",
                                                       "five", "six",    "seven", "eight", "nine",
                                                       "ten",  "eleven", "twelve"};
    if (semitones >= 3 && semitones <= 12)
      return fmt::format("{} half steps", numbers[static_cast<std::size_t>(semitones)]);
  }
  const int octaves = semitones / 12;
  const int rest = semitones % 12;
  if (octaves == 0) return article(by_keys[static_cast<std::size_t>(rest)]);
  std::string many = octaves == 1 ? "an octave" : fmt::format("{} octaves", octaves);
  if (rest == 0) return many;
  const std::string more = rest == 1   ? "a half step"
                           : rest == 2 ? "a whole step"
                                       : article(by_keys[static_cast<std::size_t>(rest)]);
  return fmt::format("{} and {}", many, more);
}

std::string about(const TaughtShape& taught) {
  const auto chord = music::parse_chord(taught.chord);
  return chord ? hand::described(taught.shape, *chord)
               : std::string(hand::name(taught.shape.inversion));
}

Move describe_move(const Shape& from, const Shape& to, music::NoteNames names) {
  Move move;
  for (int number = 1; number <= 5; ++number) {
    const Finger finger(number);
    const ShapeNote* before = note_of(from, finger);
    const ShapeNote* after = note_of(to, finger);
    if (before != nullptr && after == nullptr) move.lifted.emplace_back(finger, before->pitch);
    if (before == nullptr && after != nullptr && note_at(from, after->key()) == nullptr) {
      move.added.emplace_back(finger, after->pitch);
    }
    if (before != nullptr && after != nullptr && before->key() != after->key() &&
        note_at(from, after->key()) == nullptr) {
      move.fingers.push_back({finger, before->pitch, after->pitch});
    }
  }
  for (const ShapeNote& note : to.notes) {
    if (const ShapeNote* before = note_at(from, note.key()))
      move.held.push_back({note.pitch, before->pitch.name, before->finger, note.finger});
  }
  move.words = words_of(move, to, names);
  return move;
}

}  // namespace stillhand::teach
