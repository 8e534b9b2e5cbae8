#include "arrange/keys.h"

#include <algorithm>
#include <cassert>
#include <cstdlib>
#include <set>
#include <tuple>

#include "arrange/embedded.h"
#include "chart/chart.h"

namespace stillhand::arrange {
namespace {

using music::Mode;
using music::NoteName;
using music::Semitones;
using music::Tonality;

constexpr int kMostUsualAccidentals = 5;
constexpr int kTwoNamed = 6;          // sharps or flats of the key that has two usual names
constexpr int kMinorOfSignature = 3;  // fifths from the major tonic to that of the relative minor

Tonality with_signature(int fifths, Mode mode) {
  return {NoteName::at_fifths(fifths + (mode == Mode::minor ? kMinorOfSignature : 0)), mode};
}

// Mode and signature are right, so it cannot fail.
Song moved(const Song& song, Tonality to) {
  Result<Song> out = chart::transpose(song, to);
  assert(out);
  return std::move(*out);
}

// Sharps and flats in the chord symbols, each symbol once.
std::int64_t accidentals_in_symbols(const Song& song) {
  std::set<std::string> symbols;
  std::int64_t count = 0;
  const auto read = [&](const std::vector<chart::Bar>& bars) {
    for (const chart::Bar& bar : bars) {
      for (const chart::ChordEvent& event : bar.chords) {
        if (!event.chord || !symbols.insert(music::text(*event.chord)).second) continue;
        count += std::abs(event.chord->root.accidental);
        if (event.chord->bass) count += std::abs(event.chord->bass->accidental);
      }
    }
  };
  for (const chart::Section& section : song.sections) {
    for (const chart::Line& line : section.lines) read(line.bars);
  }
  return count;
}

std::int64_t hundredths(std::int64_t part, std::int64_t whole) {
  return whole == 0 ? 0 : part * 100 / whole;
}

std::int64_t black_keys_in_hundred(const Arrangement& a) {
  std::int64_t notes = 0;
  std::int64_t black = 0;
  const auto count = [&](PianoKey key) {
    ++notes;
    black += key.is_black() ? 1 : 0;
  };
  for (std::size_t i = 0; i < a.chords.size(); ++i) {
    if (const Shape* shape = a.shape_at(i)) {
      for (const hand::ShapeNote& note : shape->notes) count(note.key());
    }
    if (a.left.bass[i]) count(a.left.bass[i]->pitch.key());
  }
  return hundredths(black, notes);
}

// All parts but `movement`, which needs the other keys.
void judge(KeyOption& option, const Arrangement& a) {
  option.status = a.right.status;
  option.cost = a.right.cost;
  option.difficulty = difficulty(a).song;
  for (const auto& bass : a.left.bass) {
    if (!bass) continue;
    option.shifts += bass->shifts ? 1 : 0;
    option.reaches += bass->reach != Reach::none ? 1 : 0;
  }
  const auto bars = static_cast<std::int64_t>(a.bars.size());
  option.parts = {{KeyPart::movement, 0, {}},
                  {KeyPart::black_keys, black_keys_in_hundred(a), {}},
                  {KeyPart::shifts, hundredths(option.shifts, bars), {}},
                  {KeyPart::reaches, hundredths(option.reaches, bars), {}},
                  {KeyPart::second_position, a.left.positions.size() > 1 ? 1 : 0, {}},
                  {KeyPart::signature, std::abs(option.tonality.fifths()), {}},
                  {KeyPart::symbols, accidentals_in_symbols(a.song), {}}};
}

KeyOption option_for(const Song& song, Tonality tonality, const KeyWishes& wishes) {
  KeyOption option;
  option.tonality = tonality;
  const int up = music::PitchClass(tonality.tonic.pitch_class().value() -
                                   song.tonality.tonic.pitch_class().value())
                     .value();
  option.up = Semitones(up > 6 ? up - 12 : up);
  const Song in_key = tonality == song.tonality ? song : moved(song, tonality);
  option.range = range_fit(in_key, wishes.singers);
  const Result<Arrangement> a = arrange(in_key, wishes.choices);
  if (a) {
    judge(option, *a);
  } else {
    option.errors = a.error();
  }
  return option;
}

// Percent above the cheapest key.
void compare_movement(std::vector<KeyOption>& options) {
  std::optional<Cost> least;
  for (const KeyOption& option : options) {
    if (option.can_be_played() && (!least || option.cost < *least)) least = option.cost;
  }
  for (KeyOption& option : options) {
    if (!option.can_be_played()) continue;
    option.parts.front().value = hundredths((option.cost - *least).value(), least->value());
    for (KeyPartValue& part : option.parts) {
      part.points = points_of(data::key_choice_tsv, name(part.part), part.value);
      option.points += part.points;
    }
  }
}

Semitones outside(const KeyOption& option) {
  return option.range ? option.range->above + option.range->below : Semitones(0);
}

bool is_better(const KeyOption& a, const KeyOption& b) {
  const auto rank = [](const KeyOption& k) {
    return std::tuple(!k.can_be_played(), outside(k), k.points, k.cost,
                      std::abs(k.tonality.fifths()), k.tonality.tonic.pitch_class());
  };
  return rank(a) < rank(b);
}

}  // namespace

std::string_view name(KeyPart part) {
  switch (part) {
    case KeyPart::movement:
      return "movement";
    case KeyPart::black_keys:
      return "black keys";
    case KeyPart::shifts:
      return "shifts";
    case KeyPart::reaches:
      return "reaches";
    case KeyPart::second_position:
      return "second position";
    case KeyPart::signature:
      return "signature";
    case KeyPart::symbols:
      break;
  }
  return "symbols";
}

const std::vector<KeyPart>& all_key_parts() {
  static const std::vector<KeyPart> all{
      KeyPart::movement,        KeyPart::black_keys, KeyPart::shifts, KeyPart::reaches,
      KeyPart::second_position, KeyPart::signature,  KeyPart::symbols};
  return all;
}

std::optional<RangeFit> range_fit(const Song& song, const chart::Range& singers) {
  if (!song.range) return std::nullopt;
  const Semitones none(0);
  std::optional<RangeFit> best;
  for (const int octaves : {0, -1, 1}) {
    RangeFit fit{*song.range, octaves, none, none};
    fit.melody.lowest.octave += octaves;
    fit.melody.highest.octave += octaves;
    fit.above = std::max(none, fit.melody.highest.key() - singers.highest.key());
    fit.below = std::max(none, singers.lowest.key() - fit.melody.lowest.key());
    if (!best || fit.above + fit.below < best->above + best->below) best = fit;
  }
  return best;
}

std::vector<Tonality> usual_tonalities(const Song& song) {
  const Mode mode = song.tonality.mode;
  std::vector<Tonality> all;
  for (int fifths = -kMostUsualAccidentals; fifths <= kMostUsualAccidentals; ++fifths) {
    all.push_back(with_signature(fifths, mode));
  }
  const Tonality sharps = with_signature(kTwoNamed, mode);
  const Tonality flats = with_signature(-kTwoNamed, mode);
  const bool flats_read_better =
      accidentals_in_symbols(moved(song, flats)) < accidentals_in_symbols(moved(song, sharps));
  all.push_back(flats_read_better ? flats : sharps);
  std::sort(all.begin(), all.end(), [](const Tonality& a, const Tonality& b) {
    return a.tonic.pitch_class() < b.tonic.pitch_class();
  });
  return all;
}

std::vector<KeyOption> rank_keys(const Song& song, const KeyWishes& wishes) {
  std::vector<KeyOption> options;
  for (const Tonality& tonality : usual_tonalities(song)) {
    options.push_back(option_for(song, tonality, wishes));
  }
  compare_movement(options);
  std::sort(options.begin(), options.end(), is_better);
  return options;
}

}  // namespace stillhand::arrange
