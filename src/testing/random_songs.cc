#include "testing/random_songs.h"

#include <array>
#include <string>
#include <vector>

#include "hand/shape.h"

namespace stillhand::testing {
namespace {

using chart::Bar;
using chart::ChordEvent;
using music::Chord;
using music::Meter;

constexpr std::array<const char*, 24> kTonalities{
    "C",  "Db",  "D",  "Eb",  "E",  "F",   "Gb", "G",  "Ab",  "A",  "Bb",  "B",
    "Cm", "C#m", "Dm", "Ebm", "Em", "F#m", "Fm", "Gm", "G#m", "Am", "Bbm", "Bm"};
constexpr std::array<const char*, 16> kQualities{"",     "",     "m",     "m", "m",  "sus4",
                                                 "sus2", "dim",  "aug",   "7", "m7", "maj7",
                                                 "add9", "m7b5", "7sus4", "6"};
constexpr std::array<std::pair<int, int>, 6> kMeters{
    {{4, 4}, {3, 4}, {2, 4}, {6, 8}, {5, 8}, {2, 2}}};

template <class T, std::size_t n>
const T& one_of(std::mt19937& random, const std::array<T, n>& list) {
  return list[static_cast<std::size_t>(below(random, static_cast<int>(n)))];
}

template <class T>
const T& one_of(std::mt19937& random, const std::vector<T>& list) {
  return list[static_cast<std::size_t>(below(random, static_cast<int>(list.size())))];
}

Chord random_chord(std::mt19937& random, const music::Tonality& tonality) {
  return {tonality.degree(1 + below(random, 7)), *music::parse_quality(one_of(random, kQualities)),
          std::nullopt};
}

ChordEvent random_event(std::mt19937& random, const std::vector<Chord>& chords,
                        const music::Tonality& tonality) {
  if (below(random, 20) == 0) return {};
  ChordEvent event{one_of(random, chords), {}, {}};
  if (below(random, 8) == 0) event.chord->bass = tonality.degree(1 + below(random, 7));
  return event;
}

Bar random_bar(std::mt19937& random, const std::vector<Chord>& chords,
               const music::Tonality& tonality, Meter meter) {
  Bar bar;
  bar.meter = meter;
  bar.tonality = tonality;
  bar.length = meter.bar_length();
  int counts = meter.counts().value();
  while (counts > 0) {
    const int held = below(random, 2) == 0 ? counts : 1 + below(random, counts);
    ChordEvent event = random_event(random, chords, tonality);
    event.duration = meter.count_length() * held;
    bar.chords.push_back(event);
    counts -= held;
  }
  return bar;
}

}  // namespace

int below(std::mt19937& random, int n) {
  return static_cast<int>(random() % static_cast<unsigned>(n));
}

chart::Song random_song(std::mt19937& random) {
  chart::Song song;
  song.title = "By chance";
  song.tonality = *music::parse_tonality(one_of(random, kTonalities));
  const auto [upper, lower] = one_of(random, kMeters);
  song.meter = *Meter::make(upper, lower);
  song.tempo = music::Tempo(40 + below(random, 160));
  std::vector<Chord> chords;
  const int distinct = 2 + below(random, 3);
  for (int i = 0; i < distinct; ++i) chords.push_back(random_chord(random, song.tonality));
  const int sections = 1 + below(random, 2);
  for (int i = 0; i < sections; ++i) {
    chart::Section section;
    section.name = std::string(1, static_cast<char>('A' + i));
    section.lines.emplace_back();
    const int bars = 3 + below(random, 3);
    for (int b = 0; b < bars; ++b)
      section.lines[0].bars.push_back(random_bar(random, chords, song.tonality, song.meter));
    // No song of N.C. alone.
    section.lines[0].bars[0].chords[0].chord = chords[0];
    song.sections.push_back(std::move(section));
    song.road_map.push_back({static_cast<std::size_t>(i), 1 + below(random, 2)});
  }
  return song;
}

chart::Pin random_pin(std::mt19937& random, const chart::Song& song,
                      const arrange::Choices& choices) {
  const std::size_t section =
      static_cast<std::size_t>(below(random, static_cast<int>(song.sections.size())));
  chart::Pin pin;
  pin.chord = song.sections[section].lines[0].bars[0].chords[0].chord->without_bass();
  const auto shapes =
      hand::shapes(pin.chord, choices.hand, choices.registers.limit, hand::RootIn::left_hand);
  if (below(random, 2) == 0) pin.section = section;
  const bool with_fingers = below(random, 2) == 0;
  for (const hand::ShapeNote& note : one_of(random, shapes).notes) {
    pin.pitches.push_back(note.pitch);
    if (with_fingers) pin.fingers.push_back(note.finger.number());
  }
  return pin;
}

arrange::Choices random_choices(std::mt19937& random) {
  using hand::HandSize;
  arrange::Choices choices;
  choices.hand =
      one_of(random, std::array{HandSize::small(), HandSize::medium(), HandSize::large()});
  const int manner = below(random, 3);
  if (manner == 0) choices.manner = arrange::Manner::closest();
  if (manner == 1) {
    for (const arrange::WeightName& weight : arrange::right_hand_weight_names())
      choices.manner.right.*weight.member = below(random, 3);
  }
  return choices;
}

}  // namespace stillhand::testing
