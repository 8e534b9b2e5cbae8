#include "music/pitch.h"

#include <charconv>

namespace stillhand::music {
namespace {

constexpr std::string_view kLetters = "CDEFGAB";
constexpr int kMostAccidentals = 3;

bool take(std::string_view& text, std::string_view front) {
  if (!text.starts_with(front)) return false;
  text.remove_prefix(front.size());
  return true;
}

constexpr int floor_div(int a, int b) {
  return a / b - ((a % b != 0) && ((a < 0) != (b < 0)) ? 1 : 0);
}

}  // namespace

NoteName NoteName::at_fifths(int fifths) {
  // F C G D A E B stand at -1 … 5; every seven fifths add one sharp.
  constexpr std::array<Letter, 7> order{Letter::f, Letter::c, Letter::g, Letter::d,
                                        Letter::a, Letter::e, Letter::b};
  const int shifted = fifths + 1;
  const int accidental = floor_div(shifted, 7);
  return {order[static_cast<std::size_t>(shifted - 7 * accidental)],
          static_cast<std::int8_t>(accidental)};
}

NoteName NoteName::up(Interval interval) const {
  const int raw = static_cast<int>(letter) + interval.steps;
  const int octaves = floor_div(raw, 7);
  const auto to = static_cast<std::size_t>(raw - 7 * octaves);
  const int natural = kNatural[to] + 12 * octaves;
  const int wanted =
      kNatural[static_cast<std::size_t>(letter)] + accidental + interval.size.value();
  return {static_cast<Letter>(to), static_cast<std::int8_t>(wanted - natural)};
}

NoteName NoteName::down(Interval interval) const { return up({-interval.steps, -interval.size}); }

Interval interval_up(NoteName from, NoteName to) {
  const int steps = (static_cast<int>(to.letter) - static_cast<int>(from.letter) + 7) % 7;
  const bool wraps = static_cast<int>(to.letter) < static_cast<int>(from.letter);
  const int size = NoteName::kNatural[static_cast<std::size_t>(to.letter)] + to.accidental +
                   (wraps ? 12 : 0) - NoteName::kNatural[static_cast<std::size_t>(from.letter)] -
                   from.accidental;
  return {steps, Semitones(size)};
}

Pitch pitch_at(PianoKey key, NoteName name) {
  const int natural = NoteName::kNatural[static_cast<std::size_t>(name.letter)] + name.accidental;
  return {name, floor_div(key.number() - natural, 12) - 1};
}

std::optional<NoteName> take_note(std::string_view& text) {
  if (text.empty()) return std::nullopt;
  const std::size_t letter = kLetters.find(text.front());
  if (letter == std::string_view::npos) return std::nullopt;
  std::string_view rest = text.substr(1);
  int accidental = 0;
  for (;;) {
    if (take(rest, "#") || take(rest, "♯"))
      ++accidental;
    else if (take(rest, "b") || take(rest, "♭"))
      --accidental;
    else
      break;
    if (accidental > kMostAccidentals || accidental < -kMostAccidentals) return std::nullopt;
  }
  text = rest;
  return NoteName{static_cast<Letter>(letter), static_cast<std::int8_t>(accidental)};
}

std::optional<NoteName> parse_note(std::string_view text) {
  const auto name = take_note(text);
  return text.empty() ? name : std::nullopt;
}

std::optional<Pitch> parse_pitch(std::string_view text) {
  const auto name = take_note(text);
  if (!name || text.empty()) return std::nullopt;
  int octave = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), octave);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  if (octave < -1 || octave > 9) return std::nullopt;
  const Pitch pitch{*name, octave};
  if (pitch.key().number() < 0 || pitch.key().number() > 127) return std::nullopt;
  return pitch;
}

std::string text(NoteName name) {
  std::string out(1, kLetters[static_cast<std::size_t>(name.letter)]);
  for (int i = 0; i < name.accidental; ++i) out += '#';
  for (int i = 0; i > name.accidental; --i) out += 'b';
  return out;
}

std::string display(NoteName name) {
  std::string out(1, kLetters[static_cast<std::size_t>(name.letter)]);
  for (int i = 0; i < name.accidental; ++i) out += "♯";
  for (int i = 0; i > name.accidental; --i) out += "♭";
  return out;
}

std::string text(Pitch pitch) { return text(pitch.name) + std::to_string(pitch.octave); }

}  // namespace stillhand::music
