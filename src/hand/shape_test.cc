#include "hand/shape.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <map>
#include <set>
#include <sstream>

namespace stillhand::hand {
namespace {

using music::parse_chord;
using music::parse_pitch;
using ::testing::ElementsAre;

std::vector<PianoKey> keys_of(std::string_view pitches) {
  std::vector<PianoKey> keys;
  std::istringstream words{std::string(pitches)};
  for (std::string word; words >> word;) keys.push_back(parse_pitch(word)->key());
  return keys;
}

std::string written(const Shape& shape) {
  std::string out;
  for (const ShapeNote& n : shape.notes)
    out += text(n.pitch) + "(" + std::to_string(n.finger.number()) + ") ";
  return out;
}

std::vector<Shape> all_shapes(std::string_view chord, RootIn root = RootIn::left_hand) {
  return shapes(*parse_chord(chord), HandSize::medium(), kRightHandRegister, root);
}

std::set<std::string> degree_sets(std::string_view chord, RootIn root) {
  std::set<std::string> sets;
  for (const Shape& s : all_shapes(chord, root)) {
    std::set<Degree> degrees;
    for (const ShapeNote& n : s.notes) degrees.insert(n.degree);
    std::string out;
    for (Degree d : degrees) out += text(d) + " ";
    sets.insert(out);
  }
  return sets;
}

// Customary triad fingers of both hands: Clark, Baylor Piano Basics, ch. 22, and class-piano practice.
TEST(Shape, TriadsOfEveryKindAndRootCarryTheirCustomaryFingers) {
  int seen = 0;
  for (const char* suffix : {"", "m", "dim", "aug"}) {
    for (int fifths = -5; fifths <= 6; ++fifths) {
      const Chord chord{music::NoteName::at_fifths(fifths), *music::parse_quality(suffix),
                        std::nullopt};
      std::set<Inversion> inversions;
      for (const Shape& s :
           shapes(chord, HandSize::medium(), kRightHandRegister, RootIn::left_hand)) {
        inversions.insert(s.inversion);
        const int middle = s.inversion == Inversion::first ? 2 : 3;
        ASSERT_EQ(s.notes.size(), 3U);
        EXPECT_EQ(s.notes[0].finger, Finger(1));
        EXPECT_EQ(s.notes[1].finger, Finger(middle)) << text(chord) << " " << written(s);
        EXPECT_EQ(s.notes[2].finger, Finger(5));
        ++seen;
      }
      EXPECT_THAT(inversions,
                  ElementsAre(Inversion::root_position, Inversion::first, Inversion::second));
    }
  }
  EXPECT_GT(seen, 48 * 3);
}

TEST(Shape, LeftHandCustomaryFingers) {
  EXPECT_THAT(customary_fingers(Hand::left, Inversion::root_position),
              ElementsAre(Finger(5), Finger(3), Finger(1)));
  EXPECT_THAT(customary_fingers(Hand::left, Inversion::first),
              ElementsAre(Finger(5), Finger(3), Finger(1)));
  EXPECT_THAT(customary_fingers(Hand::left, Inversion::second),
              ElementsAre(Finger(5), Finger(2), Finger(1)));
}

// Semitone spans of closed triads, root/first/second: major 7/8/9, minor 7/9/8 (arithmetic).
TEST(Shape, ClosedTriadSpans) {
  const std::map<std::string, std::vector<int>> expected{{"C", {7, 8, 9}}, {"Cm", {7, 9, 8}}};
  for (const auto& [symbol, spans] : expected) {
    for (const Shape& s : all_shapes(symbol)) {
      EXPECT_EQ((s.highest() - s.lowest()).value(), spans[static_cast<std::size_t>(s.inversion)])
          << written(s);
    }
  }
}

// Common practice, no source: the fifth goes first unless altered, third and seventh stay, the root only when the left
// hand has it; a ninth is 3-7-9, an added ninth 9-3-5, a dominant eleventh leaves out its third.
TEST(Shape, CustomaryReductions) {
  EXPECT_TRUE(degree_sets("G7", RootIn::left_hand).contains("1 3 b7 "));
  EXPECT_TRUE(degree_sets("G7", RootIn::left_hand).contains("3 5 b7 "));
  EXPECT_FALSE(degree_sets("G7", RootIn::right_hand).contains("3 5 b7 "));
  EXPECT_TRUE(degree_sets("G9", RootIn::left_hand).contains("3 b7 9 "));
  EXPECT_TRUE(degree_sets("Cadd9", RootIn::left_hand).contains("3 5 9 "));
  EXPECT_TRUE(degree_sets("Bm7b5", RootIn::left_hand).contains("b3 b5 b7 "));
  for (const std::string& set : degree_sets("G7b5", RootIn::left_hand))
    EXPECT_NE(set.find("b5"), std::string::npos);
  for (const std::string& set : degree_sets("G11", RootIn::left_hand)) {
    EXPECT_FALSE(set.starts_with("3 ") || set.starts_with("1 3 ")) << set;
  }
}

TEST(Shape, EveryKnownQualityOnEveryRootCanBePlayedByEveryHand) {
  for (const HandSize& size : {HandSize::small(), HandSize::medium(), HandSize::large()}) {
    for (const music::ChordQuality& quality : music::known_qualities()) {
      for (int fifths = -5; fifths <= 6; ++fifths) {
        const Chord chord{music::NoteName::at_fifths(fifths), quality, std::nullopt};
        for (RootIn root : {RootIn::left_hand, RootIn::right_hand}) {
          const auto found = shapes(chord, size, kRightHandRegister, root);
          EXPECT_FALSE(found.empty()) << text(chord) << " in a " << size.name() << " hand";
          for (const Shape& s : found) {
            EXPECT_GE(s.lowest(), kRightHandRegister.lowest);
            EXPECT_LE(s.highest(), kRightHandRegister.highest);
            EXPECT_LE(s.notes.size(), 4U);
          }
        }
      }
    }
  }
}

TEST(Shape, SpanGivenInMillimetres) {
  EXPECT_FALSE(HandSize::from_span(Millimetre(1199)));
  EXPECT_FALSE(HandSize::from_span(Millimetre(2801)));
  const auto widest = [](int mm) {
    return HandSize::from_span(Millimetre(mm * 10))->span(kThumb, kLittleFinger);
  };
  // Boyle, Boyle & Booker 2015: 216 mm reaches a tenth (18 units) and plays octaves (14) without strain.
  EXPECT_EQ(widest(216).max_practical, SpanUnits(18));
  EXPECT_EQ(widest(216).max_comfortable, SpanUnits(14));
  // 201 mm, the female mean: comfortable to a seventh (12), a ninth reachable (16).
  EXPECT_EQ(widest(201).max_practical, SpanUnits(16));
  EXPECT_EQ(widest(201).max_comfortable, SpanUnits(12));
  EXPECT_FALSE(HandSize::small().may_play_octaves());
  EXPECT_TRUE(HandSize::medium().may_play_octaves());
}

TEST(Shape, KeyGeometry) {
  EXPECT_EQ(distance(PianoKey(60), PianoKey(72)), Millimetre(1640));
  EXPECT_EQ(distance(PianoKey(60), PianoKey(62)), Millimetre(235));
  EXPECT_EQ(span_units(PianoKey(60), PianoKey(64)), SpanUnits(4));
  EXPECT_EQ(span_units(PianoKey(60), PianoKey(65)), SpanUnits(6));
  EXPECT_EQ(span_units(PianoKey(72), PianoKey(60)), SpanUnits(-14));
}

// Beringer & Dunhill, A Manual of Scales, Arpeggios and Broken Chords (1900): 368 four-note shapes with the fingers
// printed. Nothing here was fitted to them, so both hands are a test. The misses are listed in docs/fingering.md.
TEST(Shape, BrokenChordsOfBeringerAndDunhill) {
  const char* folder = std::getenv("STILLHAND_DATA");
  if (folder == nullptr) GTEST_SKIP() << "set STILLHAND_DATA to the folder with the outside data";
  std::ifstream file(std::string(folder) + "/beringer_dunhill_broken_chords.csv");
  ASSERT_TRUE(file);
  std::map<std::string, int> all;
  std::map<std::string, int> same;
  std::string misses;
  std::string line;
  std::getline(file, line);
  while (std::getline(file, line)) {
    std::istringstream row(line);
    std::string tonality, hand, group, midi, printed, direction;
    for (std::string* cell : {&tonality, &hand, &group, &midi, &printed, &direction})
      std::getline(row, *cell, ',');
    std::vector<PianoKey> keys;
    std::istringstream numbers(midi);
    for (int n = 0; numbers >> n;) keys.emplace_back(n);
    std::string ours;
    const auto fingers =
        easiest_fingers(keys, hand == "RH" ? Hand::right : Hand::left, HandSize::medium());
    for (Finger f : fingers) ours += static_cast<char>('0' + f.number());
    ++all[hand];
    if (ours == printed)
      ++same[hand];
    else
      misses +=
          tonality + " " + hand + " " + midi + ": printed " + printed + ", ours " + ours + "\n";
  }
  RecordProperty("misses", misses);
  if (std::getenv("STILLHAND_SHOW") != nullptr) std::printf("%s", misses.c_str());
  std::printf("right hand %d of %d, left hand %d of %d\n", same["RH"], all["RH"], same["LH"],
              all["LH"]);
  EXPECT_EQ(all["RH"] + all["LH"], 368);
  EXPECT_EQ(same["RH"], 165);
  EXPECT_EQ(same["LH"], 164);
}

TEST(Shape, AFingeringNeverUsesAFingerTwiceOrCrosses) {
  for (const auto& fingers : fingerings(keys_of("C4 E4 G4 C5"), Hand::right, HandSize::medium())) {
    for (std::size_t i = 1; i < fingers.size(); ++i) EXPECT_LT(fingers[i - 1], fingers[i]);
  }
  for (const auto& fingers : fingerings(keys_of("C3 E3 G3"), Hand::left, HandSize::medium())) {
    for (std::size_t i = 1; i < fingers.size(); ++i) EXPECT_GT(fingers[i - 1], fingers[i]);
  }
}

// Common practice, no source: what the hand holds decides the fingers, not what the chord is called.
TEST(Shapes, KeysOfATriadCarryTheTriadsFingers) {
  const auto fingers = [](const char* symbol, const std::vector<int>& keys) {
    std::vector<std::string> out;
    for (const Shape& shape : shapes(*music::parse_chord(symbol), HandSize::medium(),
                                     kRightHandRegister, RootIn::left_hand)) {
      std::vector<int> these;
      std::string text;
      for (const ShapeNote& note : shape.notes) {
        these.push_back(note.key().number());
        text += std::to_string(note.finger.number());
      }
      if (these == keys) out.push_back(text);
    }
    return out;
  };
  using Fingers = std::vector<std::string>;
  EXPECT_EQ(fingers("F#m7b5", {57, 60, 64}), Fingers{"135"});  // A C E
  EXPECT_EQ(fingers("B7b9", {57, 60, 63}), Fingers{"135"});    // A C D#
  EXPECT_EQ(fingers("C#dim7", {58, 64, 67}), Fingers{"135"});  // Bb E G
  EXPECT_EQ(fingers("Am7", {60, 64, 67}), Fingers{"135"});     // C E G
  EXPECT_EQ(fingers("Fmaj7", {60, 64, 69}), Fingers{"125"});   // C E A
  EXPECT_NE(fingers("G7", {59, 65, 67}), Fingers{"135"});      // B F G is no triad
}

TEST(Shapes, AnEleventhKeepsItsEleventhAndWordsNameAllThatIsLeftOut) {
  for (const char* symbol : {"Dm11", "Cm11", "C11", "G11"}) {
    const music::Chord chord = *music::parse_chord(symbol);
    for (const RootIn root : {RootIn::left_hand, RootIn::right_hand}) {
      const auto all = shapes(chord, HandSize::medium(), kRightHandRegister, root);
      ASSERT_FALSE(all.empty()) << symbol;
      for (const Shape& shape : all) {
        EXPECT_TRUE(std::any_of(shape.notes.begin(), shape.notes.end(),
                                [](const ShapeNote& n) { return n.degree.number == 11; }))
            << symbol << " " << described(shape, chord);
      }
    }
  }
  const auto words = [](const char* symbol, const char* low, const char* middle, const char* high) {
    const music::Chord chord = *music::parse_chord(symbol);
    return described(*shape_of(chord,
                               {*music::parse_pitch(low), *music::parse_pitch(middle),
                                *music::parse_pitch(high)},
                               {Finger(1), Finger(3), Finger(5)}),
                     chord);
  };
  EXPECT_EQ(words("Dm11", "C4", "F4", "G4"), "third inversion, without root, fifth and ninth");
  EXPECT_EQ(words("C11", "Bb3", "D4", "F4"), "third inversion, without root, third and fifth");
  EXPECT_EQ(words("G7", "B3", "F4", "G4"), "first inversion, without the fifth");
  EXPECT_EQ(words("F#m7b5", "A3", "C4", "E4"), "first inversion, without the root");
}

}  // namespace
}  // namespace stillhand::hand
