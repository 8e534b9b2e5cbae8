#include "teach/words.h"

#include <gtest/gtest.h>

#include <set>
#include <sstream>

#include "hand/shape.h"

namespace stillhand::teach {
namespace {

using hand::Shape;
using music::parse_chord;
using music::parse_pitch;

// "G: G3/1 B3/3 D4/5"
Shape shape(std::string_view symbol, std::string_view notes) {
  std::vector<Pitch> pitches;
  std::vector<Finger> fingers;
  std::istringstream words{std::string(notes)};
  for (std::string word; words >> word;) {
    const auto slash = word.find('/');
    pitches.push_back(*parse_pitch(word.substr(0, slash)));
    fingers.emplace_back(word[slash + 1] - '0');
  }
  return *hand::shape_of(*parse_chord(symbol), pitches, fingers);
}

std::string words(const Shape& from, const Shape& to) { return describe_move(from, to).words; }

const Shape kC = shape("C", "C4/1 E4/3 G4/5");
const Shape kLowC = shape("C", "G3/1 C4/3 E4/5");
const Shape kF = shape("F", "F3/1 A3/3 C4/5");
const Shape kG = shape("G", "G3/1 B3/3 D4/5");
const Shape kAm = shape("Am", "A3/1 C4/3 E4/5");

TEST(Words, OneFingerMoves) {
  EXPECT_EQ(words(kLowC, kAm), "Thumb up a whole step, G to A; the others stay on C and E.");
  EXPECT_EQ(words(kLowC, shape("Csus4", "G3/1 C4/3 F4/5")),
            "Little finger up a half step, E to F; the others stay on G and C.");
}

TEST(Words, NoteNamesAreThoseOfTheCountry) {
  const Shape b = shape("B", "B3/1 D#4/3 F#4/5");
  EXPECT_EQ(describe_move(kG, b, music::NoteNames::german).words,
            "Finger 3 up a major third, H to Dis; little finger up a major third, D to Fis; H is "
            "held, but the thumb takes it over from finger 3.");
  EXPECT_EQ(describe_move(kLowC, kAm, music::NoteNames::do_re_mi).words,
            "Thumb up a whole step, Sol to La; the others stay on Do and Mi.");
}

TEST(Words, OneFingerStays) {
  EXPECT_EQ(words(kG, kLowC),
            "Finger 3 up a half step, B to C; little finger up a whole step, D to E; the thumb "
            "stays on G.");
}

TEST(Words, TheHandSlides) {
  EXPECT_EQ(words(kF, kG),
            "The whole hand up a whole step: thumb F to G, finger 3 A to B, little finger C to D.");
  EXPECT_EQ(words(kG, kAm),
            "The hand slides up: thumb up a whole step, G to A; finger 3 up a half step, B to C; "
            "little finger up a "
            "whole step, D to E.");
}

// Common practice, no source: the trap. C-E-G to C-E-A moves one note, but customary fingers change E from 3 to 2.
TEST(Words, AHeldNoteThatChangesItsFingerIsSaid) {
  EXPECT_EQ(words(kC, shape("Am", "C4/1 E4/2 A4/5")),
            "Little finger up a whole step, G to A; E is held, but finger 2 takes it over from "
            "finger 3; the thumb "
            "stays on C.");
}

// Common practice, no source: in V7 after I finger 4 takes F where 3 held E.
TEST(Words, ANewFingerSaysWhereItComesIn) {
  EXPECT_EQ(words(kC, shape("G7", "B3/1 F4/4 G4/5")),
            "Thumb down a half step, C to B; finger 4 plays F, a half step up from E, which finger "
            "3 leaves; the little "
            "finger stays on G.");
}

TEST(Words, FromFourNotesToThree) {
  EXPECT_EQ(words(shape("G7", "G3/1 B3/2 D4/3 F4/5"), shape("G", "G3/1 B3/2 D4/3")),
            "Little finger lifts from F; the others stay on G, B and D.");
}

TEST(Words, SameKeys) {
  EXPECT_EQ(words(shape("Csus2", "C4/1 D4/2 G4/5"), shape("Gsus4", "C4/1 D4/2 G4/5")),
            "Nothing moves: the same keys, the same fingers.");
}

TEST(Words, AHeldKeyWithTwoNamesIsCalledByBoth) {
  EXPECT_EQ(words(shape("Gb", "F#3/1 A#3/3 C#4/5"), shape("B", "F#3/1 B3/3 D#4/5")),
            "Finger 3 up a half step, B♭ to B; little finger up a whole step, D♭ to D♯; the thumb "
            "stays on G♭ (now "
            "called F♯).");
}

TEST(Words, Distances) {
  const auto between = [](const char* a, const char* b) {
    return distance_in_words(*parse_pitch(a), *parse_pitch(b));
  };
  EXPECT_EQ(between("E4", "F4"), "a half step");
  EXPECT_EQ(between("F#4", "G4"), "a half step");
  EXPECT_EQ(between("G4", "F4"), "a whole step");
  EXPECT_EQ(between("C#4", "Eb4"), "a whole step");
  EXPECT_EQ(between("C4", "Eb4"), "a minor third");
  EXPECT_EQ(between("Ab3", "B3"), "three half steps");
  EXPECT_EQ(between("C4", "F4"), "a fourth");
  EXPECT_EQ(between("C4", "F#4"), "six half steps");
  EXPECT_EQ(between("G#3", "C4"), "four half steps");
  EXPECT_EQ(between("C4", "A4"), "a major sixth");
  EXPECT_EQ(between("C5", "C4"), "an octave");
  EXPECT_EQ(between("C3", "E4"), "an octave and a major third");
}

TEST(Words, DisplayUsesRealAccidentals) {
  EXPECT_EQ(words(shape("D", "A3/1 D4/3 F#4/5"), shape("Dsus4", "A3/1 D4/3 G4/5")),
            "Little finger up a half step, F♯ to G; the others stay on A and D.");
}

// Every pair of shapes of common chords: the lists a move carries rebuild the second shape from the first, and the
// sentence names every finger that moves and every note that is held.
TEST(Words, WordsAndPicturesAgreeForEveryPair) {
  std::vector<Shape> all;
  for (const char* symbol : {"C", "Am", "G7", "Fsus4", "Bb", "F#m7b5", "Ebmaj7", "C9"}) {
    const auto some = hand::shapes(*parse_chord(symbol), hand::HandSize::medium(),
                                   hand::kRightHandRegister, hand::RootIn::left_hand);
    for (std::size_t i = 0; i < some.size(); i += 5) all.push_back(some[i]);
  }
  for (const Shape& from : all) {
    for (const Shape& to : all) {
      const Move move = describe_move(from, to);
      std::set<std::pair<int, int>> rebuilt;
      for (const FingerMove& m : move.fingers) {
        rebuilt.emplace(m.finger.number(), m.to.key().number());
        EXPECT_NE(m.from.key(), m.to.key());
        const auto clause = music::display(m.from.name) + " to " + music::display(m.to.name);
        EXPECT_NE(move.words.find(clause), std::string::npos) << move.words;
      }
      for (const auto& [finger, pitch] : move.added) {
        rebuilt.emplace(finger.number(), pitch.key().number());
        EXPECT_NE(move.words.find(music::display(pitch.name)), std::string::npos) << move.words;
      }
      for (const HeldNote& h : move.held) {
        rebuilt.emplace(h.after.number(), h.pitch.key().number());
        EXPECT_TRUE(move.words.find(music::display(h.pitch.name)) != std::string::npos ||
                    move.words.starts_with("Nothing moves"))
            << move.words;
        if (h.before != h.after) {
          EXPECT_NE(move.words.find("takes it over"), std::string::npos) << move.words;
        }
      }
      std::set<std::pair<int, int>> expected;
      for (const hand::ShapeNote& n : to.notes)
        expected.emplace(n.finger.number(), n.key().number());
      EXPECT_EQ(rebuilt, expected) << move.words;
    }
  }
}

}  // namespace
}  // namespace stillhand::teach
