#include "chart/symbol.h"

#include <algorithm>
#include <array>

#include "base/nearest.h"

namespace stillhand::chart {
namespace {

using music::ChordQuality;
using music::Degree;
using music::NoteName;

constexpr int kMostAlteration = 2;
// Longest first, so that "VII" is not read as "V".
constexpr std::array<std::pair<std::string_view, int>, 7> kNumerals{
    {{"VII", 7}, {"III", 3}, {"VI", 6}, {"IV", 4}, {"II", 2}, {"V", 5}, {"I", 1}}};

int take_alteration(std::string_view& text) {
  constexpr std::array<std::pair<std::string_view, int>, 4> signs{
      {{"b", -1}, {"♭", -1}, {"#", 1}, {"♯", 1}}};
  int alteration = 0;
  for (std::size_t i = 0; i < signs.size();) {
    if (text.starts_with(signs[i].first)) {
      alteration += signs[i].second;
      text.remove_prefix(signs[i].first.size());
      i = 0;
    } else {
      ++i;
    }
  }
  return alteration;
}

std::optional<ScaleStep> take_digit(std::string_view& text) {
  std::string_view rest = text;
  const int alteration = take_alteration(rest);
  if (rest.empty() || rest.front() < '1' || rest.front() > '7') return std::nullopt;
  if (std::abs(alteration) > kMostAlteration) return std::nullopt;
  const ScaleStep step{rest.front() - '0', alteration};
  text = rest.substr(1);
  return step;
}

struct Numeral {
  ScaleStep step;
  bool is_lower = false;
};

std::optional<Numeral> take_numeral(std::string_view& text) {
  std::string_view rest = text;
  const int alteration = take_alteration(rest);
  if (std::abs(alteration) > kMostAlteration) return std::nullopt;
  for (const auto& [numeral, number] : kNumerals) {
    for (const bool is_lower : {false, true}) {
      const std::string written = is_lower ? lower_case(numeral) : std::string(numeral);
      if (!rest.starts_with(written)) continue;
      text = rest.substr(written.size());
      return Numeral{{number, alteration}, is_lower};
    }
  }
  return std::nullopt;
}

std::optional<ScaleStep> whole_digit(std::string_view text) {
  const auto step = take_digit(text);
  return text.empty() ? step : std::nullopt;
}

// Takes "/3" from the end; "6/9" is a quality, its 9 is no degree of the key.
std::optional<SymbolNote> take_bass(std::string_view& text, Notation notation) {
  const std::size_t slash = text.rfind('/');
  if (slash == std::string_view::npos) return std::nullopt;
  const auto bass = parse_symbol_note(text.substr(slash + 1), notation);
  if (bass) text = text.substr(0, slash);
  return bass;
}

// A lower-case numeral is minor, so "7" behind it means m7; "o" and "ø" say the rest themselves.
std::optional<ChordQuality> lower_quality(std::string_view suffix) {
  for (const std::string_view own : {"o", "°", "ø", "dim", "hdim"}) {
    if (suffix.starts_with(own)) return music::parse_quality(suffix);
  }
  if (auto minor = music::parse_quality("m" + std::string(suffix))) return minor;
  return music::parse_quality(suffix);
}

std::string accidentals(int alteration) {
  return std::string(static_cast<std::size_t>(std::abs(alteration)), alteration < 0 ? 'b' : '#');
}

std::string digit_text(ScaleStep step) {
  return accidentals(step.alteration) + std::to_string(step.number);
}

std::string numeral_text(ScaleStep step, const ChordQuality& quality) {
  const auto found = std::find_if(kNumerals.begin(), kNumerals.end(),
                                  [&](const auto& n) { return n.second == step.number; });
  const std::string upper = accidentals(step.alteration) + std::string(found->first);
  const std::string lower = accidentals(step.alteration) + lower_case(found->first);
  const std::string& suffix = quality.suffix;
  if (suffix == "dim") return lower + "o";
  if (suffix == "dim7") return lower + "o7";
  if (suffix == "aug") return upper + "+";
  const bool is_minor = suffix.starts_with("m") && !suffix.starts_with("maj");
  if (!is_minor) return upper + suffix;
  // "iidim…" written without its m must still read as the same quality.
  const std::string short_suffix = suffix.substr(1);
  if (lower_quality(short_suffix) == quality) return lower + short_suffix;
  return lower + suffix;
}

NoteName name_of_step(ScaleStep step, Tonality tonality) {
  const NoteName major = Tonality{tonality.tonic, music::Mode::major}.degree(step.number);
  NoteName name = tonality.mode == music::Mode::minor && step.alteration >= 0
                      ? tonality.degree(step.number)
                      : major;
  name.accidental = static_cast<std::int8_t>(name.accidental + step.alteration);
  return music::transpose(name, tonality, tonality);  // respells a double accidental
}

bool is_plain_seventh(const SymbolNote& note, Tonality tonality) {
  return tonality.mode == music::Mode::minor && note == SymbolNote(ScaleStep{7, 0});
}

bool is_diminished(const ChordQuality& quality) {
  const auto& d = quality.degrees;
  return std::find(d.begin(), d.end(), Degree{3, -1}) != d.end() &&
         std::find(d.begin(), d.end(), Degree{5, -1}) != d.end();
}

// Of a name no further than kMostAlteration from the key's own.
std::optional<ScaleStep> step_of(NoteName name, Tonality tonality) {
  for (int number = 1; number <= 7; ++number) {
    const NoteName own = tonality.degree(number);
    if (own.letter != name.letter) continue;
    int alteration = name.accidental - own.accidental;
    // Flat degrees are counted from the major scale.
    if (alteration < 0)
      alteration =
          name.accidental - Tonality{tonality.tonic, music::Mode::major}.degree(number).accidental;
    if (std::abs(alteration) > kMostAlteration) return std::nullopt;
    return ScaleStep{number, alteration};
  }
  return std::nullopt;
}

ScaleStep nearest_step(NoteName name, Tonality tonality) {
  const auto step = step_of(name, tonality);
  return step ? *step : *step_of(tonality.spell(name.pitch_class()), tonality);
}

// A plain 7 that would be read as the raised one is written b7.
SymbolNote plainly_seven(const SymbolNote& note) {
  return note == SymbolNote(ScaleStep{7, 0}) ? ScaleStep{7, -1} : note;
}

}  // namespace

std::optional<Notation> notation_of(std::string_view word) {
  if (word.empty()) return std::nullopt;
  if (word.front() >= 'A' && word.front() <= 'G') return Notation::letters;
  std::string_view rest = word;
  if (take_digit(rest)) return Notation::numbers;
  if (take_numeral(rest)) return Notation::roman;
  return std::nullopt;
}

std::optional<SymbolNote> parse_symbol_note(std::string_view word, Notation notation) {
  if (notation == Notation::letters) {
    const auto note = music::parse_note(word);
    return note ? std::optional<SymbolNote>(*note) : std::nullopt;
  }
  const auto step = whole_digit(word);
  return step ? std::optional<SymbolNote>(*step) : std::nullopt;
}

std::optional<Symbol> parse_symbol(std::string_view word, Notation notation) {
  if (notation == Notation::letters) {
    const auto chord = music::parse_chord(word);
    if (!chord) return std::nullopt;
    Symbol symbol{chord->root, chord->quality, std::nullopt};
    if (chord->bass && *chord->bass != chord->root) symbol.bass = *chord->bass;
    return symbol;
  }
  Symbol symbol;
  symbol.bass = take_bass(word, notation);
  std::optional<ChordQuality> quality;
  if (notation == Notation::numbers) {
    const auto step = take_digit(word);
    if (!step) return std::nullopt;
    symbol.root = *step;
    quality = music::parse_quality(word);
  } else {
    const auto numeral = take_numeral(word);
    if (!numeral) return std::nullopt;
    symbol.root = numeral->step;
    quality = numeral->is_lower ? lower_quality(word) : music::parse_quality(word);
  }
  if (!quality) return std::nullopt;
  symbol.quality = *quality;
  if (symbol.bass == symbol.root) symbol.bass.reset();
  return symbol;
}

std::string text(const SymbolNote& note, Notation notation) {
  if (notation == Notation::letters) return music::text(std::get<NoteName>(note));
  return digit_text(std::get<ScaleStep>(note));
}

std::string text(const Symbol& symbol, Notation notation) {
  std::string out;
  if (notation == Notation::roman) {
    out = numeral_text(std::get<ScaleStep>(symbol.root), symbol.quality);
  } else {
    out = text(symbol.root, notation) + symbol.quality.suffix;
  }
  if (symbol.bass) out += "/" + text(*symbol.bass, notation);
  return out;
}

NoteName note_of(const SymbolNote& note, Tonality tonality) {
  if (const auto* name = std::get_if<NoteName>(&note)) return *name;
  return name_of_step(std::get<ScaleStep>(note), tonality);
}

Chord chord_of(const Symbol& symbol, Tonality tonality) {
  const NoteName leading_tone = name_of_step({7, 1}, {tonality.tonic, music::Mode::minor});
  Chord chord{note_of(symbol.root, tonality), symbol.quality, std::nullopt};
  if (is_plain_seventh(symbol.root, tonality) && is_diminished(symbol.quality))
    chord.root = leading_tone;
  if (!symbol.bass) return chord;
  chord.bass = note_of(*symbol.bass, tonality);
  if (is_plain_seventh(*symbol.bass, tonality)) {
    const auto notes = chord.notes();
    const bool is_raised = std::any_of(notes.begin(), notes.end(), [&](NoteName note) {
      return note.pitch_class() == leading_tone.pitch_class();
    });
    if (is_raised) chord.bass = leading_tone;
  }
  if (chord.bass == chord.root) chord.bass.reset();
  return chord;
}

Symbol in_numbers(const Chord& chord, Tonality tonality) {
  Symbol out{nearest_step(chord.root, tonality), chord.quality, std::nullopt};
  if (chord.bass) out.bass = nearest_step(*chord.bass, tonality);
  if (chord_of(out, tonality).root.pitch_class() != chord.root.pitch_class())
    out.root = plainly_seven(out.root);
  if (chord_of(out, tonality).bass_note().pitch_class() != chord.bass_note().pitch_class() &&
      out.bass)
    out.bass = plainly_seven(*out.bass);
  return out;
}

std::string_view name_of(Notation notation) {
  switch (notation) {
    case Notation::letters:
      return "letters";
    case Notation::numbers:
      return "numbers";
    case Notation::roman:
      return "Roman numerals";
  }
  return "letters";
}

}  // namespace stillhand::chart
