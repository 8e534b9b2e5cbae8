#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "chart/chart.h"
#include "chart/reading.h"

namespace stillhand::chart {
namespace {

using music::NoteName;
using music::Semitones;

constexpr PianoKey kLowestPinKey{52};   // E3
constexpr PianoKey kHighestPinKey{74};  // D5

// From one home tonality to another of the same mode.
class Move {
 public:
  Move(Tonality from, Tonality to) : from_(from), to_(to) {}

  // A tonality inside the song keeps its distance from the home tonality.
  Tonality tonality(Tonality old) const {
    if (old == from_) return to_;
    const int fifths = old.tonic.fifths() + to_.tonic.fifths() - from_.tonic.fifths();
    return music::simplest({NoteName::at_fifths(fifths), old.mode});
  }
  NoteName name(NoteName old, Tonality in) const { return music::transpose(old, in, tonality(in)); }
  Chord chord(const Chord& old, Tonality in) const {
    Chord out = old;
    out.root = name(old.root, in);
    if (old.bass) out.bass = name(*old.bass, in);
    return out;
  }
  // The shorter way, −5 … +6.
  Semitones distance() const {
    const int up = (to_.tonic.pitch_class().value() - from_.tonic.pitch_class().value() + 12) % 12;
    return Semitones(up > 6 ? up - 12 : up);
  }
  Pitch pitch(Pitch old, Tonality in, Semitones by) const {
    PianoKey key = old.key() + by;
    while (key.number() < 0) key = key + Semitones(12);
    while (key.number() > 127) key = key - Semitones(12);
    return music::pitch_at(key, name(old.name, in));
  }

 private:
  Tonality from_;
  Tonality to_;
};

void move_bars(std::vector<Bar>& bars, const Move& move) {
  for (Bar& bar : bars) {
    for (ChordEvent& event : bar.chords) {
      if (event.chord) event.chord = move.chord(*event.chord, bar.tonality);
    }
    bar.tonality = move.tonality(bar.tonality);
  }
}

std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    out.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(text.size(), end + 1));
  }
  return out;
}

// The names that extras give their `or` lines speak of chords: "G/D for G", "bass C D E", "walk C B A G", "Dm G at the end". They
// move along; whatever else a teacher calls a line stays as it is.
std::string moved_label(const std::string& label, const Move& move, Tonality in) {
  using Words = std::vector<std::string>;
  Words words = words_of(label);
  const std::size_t size = words.size();
  std::size_t first = 0;
  std::size_t last = size;
  if (size == 3 && words[1] == "for") {
    // both ends
  } else if (size >= 2 && (words[0] == "bass" || words[0] == "walk")) {
    first = 1;
  } else if (size == 5 && Words(words.begin() + 2, words.end()) == Words{"at", "the", "end"}) {
    last = 2;
  } else {
    return label;
  }
  std::string out;
  for (std::size_t i = 0; i < size; ++i) {
    const bool is_word = i < first || i >= last || words[i] == "for";
    const auto chord = is_word ? std::nullopt : music::parse_chord(words[i]);
    if (!is_word && !chord) return label;
    out += (i == 0 ? "" : " ") + (chord ? music::text(move.chord(*chord, in)) : words[i]);
  }
  return out;
}

void move_option(Option& option, const Move& move) {
  if (!option.bars.empty()) {
    std::string label = moved_label(option.label, move, option.bars[0].tonality);
    if (label != option.label && option.label_before.empty()) option.label_before = option.label;
    option.label = std::move(label);
  }
  move_bars(option.bars, move);
}

bool has_chord(const Bar& bar, const Chord& chord) {
  return std::any_of(bar.chords.begin(), bar.chords.end(), [&](const ChordEvent& event) {
    return event.chord && event.chord->without_bass() == chord;
  });
}

// Where the pin's chord is first played: its name must change as the chord's does there.
Tonality tonality_around(const Song& song, const Pin& pin) {
  for (std::size_t i = 0; i < song.sections.size(); ++i) {
    if (pin.section && *pin.section != i) continue;
    for (const Line& line : song.sections[i].lines) {
      for (const Bar& bar : line.bars) {
        if (has_chord(bar, pin.chord)) return bar.tonality;
      }
    }
  }
  return song.tonality;
}

// How many semitones the keys lie outside the hand's range, 0 if inside.
int outside(const Pin& pin, Semitones by) {
  const int below = kLowestPinKey.number() - (pin.pitches.front().key() + by).number();
  const int above = (pin.pitches.back().key() + by).number() - kHighestPinKey.number();
  return std::max({0, below, above});
}

// The way to the new key that stays in the range, then the shortest.
Semitones pin_distance(const Pin& pin, Semitones shorter_way) {
  Semitones best = shorter_way;
  for (const int octaves : {-2, -1, 1, 2}) {
    const Semitones by = shorter_way + Semitones(12 * octaves);
    const auto rank = [&](Semitones way) {
      return std::pair(outside(pin, way), std::abs(way.value()));
    };
    if (rank(by) < rank(best)) best = by;
  }
  return best;
}

Pin moved(const Pin& pin, const Song& song, const Move& move) {
  Pin out = pin;
  const Tonality in = tonality_around(song, pin);
  out.chord = move.chord(pin.chord, in);
  const Semitones by = pin_distance(pin, move.distance());
  for (Pitch& pitch : out.pitches) pitch = move.pitch(pitch, in, by);
  return out;
}

Result<void> check_mode(const Song& song, Tonality to) {
  if (song.tonality.mode == to.mode) return {};
  return failure(Fault::usage, song.file,
                 fmt::format("a song in {} cannot be moved to {}", music::long_text(song.tonality),
                             music::long_text(to)),
                 to.mode == music::Mode::major ? "name a minor key, such as `Am`"
                                               : "name a major key, such as `C`");
}

// A replacement inside one line of text.
struct Change {
  Piece old;
  std::string text;
};

// Replaces from the right to the left. What stands behind keeps its column where blanks allow it.
std::string changed(std::string line, std::vector<Change> changes) {
  std::sort(changes.begin(), changes.end(),
            [](const Change& a, const Change& b) { return a.old.begin > b.old.begin; });
  for (const Change& change : changes) {
    const std::size_t end = change.old.begin + change.old.text.size();
    const std::size_t old_width = characters(change.old.text);
    const std::size_t new_width = characters(change.text);
    std::string text = change.text;
    std::size_t surplus = 0;
    if (new_width < old_width && end < line.size() && line[end] == ' ') {
      text.append(old_width - new_width, ' ');
    }
    while (surplus + old_width < new_width && end + surplus + 1 < line.size() &&
           line[end + surplus] == ' ' && line[end + surplus + 1] == ' ') {
      ++surplus;
    }
    line.replace(change.old.begin, end + surplus - change.old.begin, text);
  }
  return line;
}

class TextMover {
 public:
  TextMover(const Reading& reading, const Song& moved_song, Tonality to)
      : reading_(reading),
        moved_song_(moved_song),
        to_(to),
        move_(reading.song.tonality, to),
        report_(*reading.source),
        in_(reading.song.tonality) {}

  std::string text() {
    std::string out;
    bool has_key = has_key_line(reading_.text);
    for (std::size_t i = 0; i < reading_.text.lines.size(); ++i) {
      const TextLine& line = reading_.text.lines[i];
      if (line.kind == LineKind::section && !has_key) {
        // The key was proposed; now it is chosen.
        out += "key        " + music::text(to_) + "\n";
        has_key = true;
      }
      changes_.clear();
      read(line);
      out += changed(reading_.source->lines()[i], changes_) + "\n";
    }
    return out;
  }

 private:
  bool letters() const { return reading_.text.notation == Notation::letters; }

  void read(const TextLine& line) {
    switch (line.kind) {
      case LineKind::section:
        inside_ = true;
        in_ = reading_.song.tonality;
        break;
      case LineKind::key:
        read_key(line);
        break;
      case LineKind::bars:
      case LineKind::pick_up:
        if (!letters()) break;
        for (const BarText& bar : read_bars(line.content, reading_.text.notation, report_).bars) {
          read_tokens(bar.tokens);
        }
        break;
      case LineKind::option:
        if (!line.content.text.empty() && letters())
          changes_.push_back(
              {line.content, moved_label(std::string(line.content.text), move_, in_)});
        break;
      case LineKind::pedal:
        if (const auto bass = music::parse_note(line.content.text); letters() && bass)
          changes_.push_back({line.content, music::text(move_.name(*bass, in_))});
        break;
      case LineKind::range:
        changes_.push_back({line.content, music::text(moved_song_.range->lowest) + "-" +
                                              music::text(moved_song_.range->highest)});
        break;
      case LineKind::shape:
        read_shape(line);
        break;
      default:
        break;
    }
  }

  void read_key(const TextLine& line) {
    const Tonality old = *music::parse_tonality(collapsed(line.content.text));
    if (inside_) in_ = old;
    changes_.push_back({line.content, music::text(move_.tonality(old))});
  }

  void read_tokens(const std::vector<Token>& tokens) {
    for (const Token& token : tokens) {
      if (token.kind == Token::Kind::chord) {
        Symbol symbol = *token.symbol;
        symbol.root = move_.name(std::get<NoteName>(symbol.root), in_);
        if (symbol.bass) symbol.bass = move_.name(std::get<NoteName>(*symbol.bass), in_);
        changes_.push_back({token.piece, chart::text(symbol, Notation::letters)});
      }
      read_tokens(token.inside);
    }
  }

  void read_shape(const TextLine& line) {
    const PinText old = read_pin(line.content, reading_.text.notation, report_);
    const Pin& pin = moved_song_.pins[next_pin_++];
    if (letters()) changes_.push_back({old.name, music::text(pin.chord)});
    for (std::size_t i = 0; i < old.pitch_pieces.size(); ++i)
      changes_.push_back({old.pitch_pieces[i], music::text(pin.pitches[i])});
  }

  const Reading& reading_;
  const Song& moved_song_;
  Tonality to_;
  Move move_;
  Report report_;  // what parse() would have said already; nothing reaches it
  Tonality in_;
  bool inside_ = false;
  std::size_t next_pin_ = 0;
  std::vector<Change> changes_;
};

}  // namespace

Result<Song> transpose(const Song& song, Tonality to) {
  if (const auto right = check_mode(song, to); !right) return tl::unexpected(right.error());
  const Move move(song.tonality, to);
  Song out = song;
  for (Pin& pin : out.pins) pin = moved(pin, song, move);
  for (Section& section : out.sections) {
    for (Line& line : section.lines) {
      move_bars(line.bars, move);
      for (Option& option : line.options) move_option(option, move);
    }
  }
  if (song.range) {
    const Semitones by = move.distance();
    out.range = Range{move.pitch(song.range->lowest, song.tonality, by),
                      move.pitch(song.range->highest, song.tonality, by)};
  }
  out.tonality = to;
  out.tonality_was_proposed = false;
  return out;
}

Result<std::string> transpose(std::string_view text, const std::string& file, Tonality to) {
  const auto reading = read_chart(text, file);
  if (!reading) return tl::unexpected(reading.error());
  const auto song = transpose(reading->song, to);
  if (!song) return tl::unexpected(song.error());
  const std::string moved = TextMover(*reading, *song, to).text();
  // A chart in canonical layout stays in it.
  const auto formatted = format(text, file);
  return formatted && *formatted == text ? format(moved, file) : moved;
}

}  // namespace stillhand::chart
