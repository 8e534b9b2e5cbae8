// The rungs above the five-finger position: figures, walks, and which section stands on which rung.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <random>

#include "arrange/figure.h"
#include "arrange/ladder.h"
#include "arrange/left_hand.h"
#include "arrange/left_hand_check.h"
#include "hand/line_fingering.h"

namespace stillhand::arrange {
namespace {

using hand::HandSize;
using music::NoteName;
using music::Semitones;
using music::Tonality;
using ::testing::IsEmpty;

constexpr Tick kBar = music::kQuarter * 4;

Chord chord(std::string_view text) { return *music::parse_chord(text); }
Pitch pitch(std::string_view text) { return *music::parse_pitch(text); }
Tonality tonality(std::string_view text) { return *music::parse_tonality(text); }

std::string text_of(const std::optional<NoteName>& note) { return note ? text(*note) : "-"; }

// ---- figures

// Common practice, no source: the fifth as the chord has it; over a slash bass a chord note at about a fifth.
TEST(Figure, Tones) {
  struct Case {
    const char *chord, *third, *fifth;
  };
  const Case cases[] = {
      {"C", "E", "G"},      {"Cm", "Eb", "G"},   {"C7", "E", "G"},   {"Bdim", "D", "F"},
      {"F#m7b5", "A", "C"}, {"Caug", "E", "G#"}, {"C5", "-", "G"},   {"Csus4", "-", "G"},
      {"C7b5", "E", "Gb"},  {"Cno5", "E", "-"},  {"D/F#", "-", "D"}, {"C/E", "-", "C"},
      {"C/G", "-", "C"},    {"Am/G", "-", "E"},  {"G/B", "-", "G"},  {"C/D", "-", "G"},
      {"F/G", "-", "C"},    {"C/Bb", "-", "G"},  {"G7/F", "-", "D"}, {"C/C", "E", "G"}};
  for (const Case& c : cases) {
    const FigureTones tones = figure_tones(chord(c.chord));
    EXPECT_EQ(text_of(tones.third), c.third) << c.chord;
    EXPECT_EQ(text_of(tones.fifth), c.fifth) << c.chord;
  }
}

// ---- walks

std::string walked(std::string_view chord_text, std::string_view from, std::string_view to,
                   std::string_view key, std::size_t most) {
  std::string out;
  for (const Pitch& note : walk(chord(chord_text), pitch(from), pitch(to), tonality(key), most))
    out += (out.empty() ? "" : " ") + text(note);
  return out;
}

// Common practice, no source.
TEST(Walk, GoesByStepIntoTheNextBass) {
  EXPECT_EQ(walked("C", "C3", "F3", "C", 1), "E3");
  EXPECT_EQ(walked("C", "C3", "F3", "C", 2), "D3 E3");
  EXPECT_EQ(walked("C", "C3", "F3", "C", 3), "D3 E3");
  EXPECT_EQ(walked("C", "C3", "G2", "C", 2), "B2 A2");
  EXPECT_EQ(walked("C", "C3", "A2", "C", 2), "B2");
  EXPECT_EQ(walked("G", "G2", "C3", "C", 3), "A2 B2");
  EXPECT_EQ(walked("G", "G2", "E2", "G", 3), "F#2");
  EXPECT_EQ(walked("C", "C2", "G2", "C", 3), "D2 E2 F2");
}

TEST(Walk, ComesByHalfStepWhereNoStepOfTheKeyLiesBetween) {
  EXPECT_EQ(walked("C", "C3", "D3", "C", 2), "C#3");
  EXPECT_EQ(walked("Dm", "D3", "C3", "C", 2), "Db3");
  EXPECT_EQ(walked("C", "C3", "B2", "C", 2), "");
  EXPECT_EQ(walked("F", "F2", "F2", "C", 2), "");
}

TEST(Walk, TakesTheChordsOwnNotesBeforeTheKeys) {
  EXPECT_EQ(walked("D7", "D3", "G3", "C", 2), "E3 F#3");  // not F
  EXPECT_EQ(walked("E7", "E2", "A2", "Am", 2),
            "F#2 G#2");  // the sixth goes with the raised seventh
  EXPECT_EQ(walked("Em", "E2", "A2", "Am", 2), "F2 G2");
}

TEST(Walk, NeverLeapsFarAndHasTime) {
  EXPECT_EQ(walked("C", "C2", "B2", "C", 1), "");
  EXPECT_EQ(walk_notes(music::kQuarter * 1, music::kQuarter), 0U);
  EXPECT_EQ(walk_notes(music::kQuarter * 2, music::kQuarter), 1U);
  EXPECT_EQ(walk_notes(music::kQuarter * 3, music::kQuarter), 1U);
  EXPECT_EQ(walk_notes(music::kQuarter * 4, music::kQuarter), 2U);
  EXPECT_EQ(walk_notes(music::kQuarter * 16, music::kQuarter), 3U);
  EXPECT_EQ(walk_notes(Tick(2880), Tick(1440)), 1U);  // a bar of 6/8
}

// Any chord, any two keys of the register, any tonality: steps only, strictly between, within the asked number.
TEST(Walk, AlwaysByStep) {
  for (const char* key : {"C", "Am", "Eb", "F#m", "B", "Bbm"}) {
    const Tonality in = tonality(key);
    for (const char* suffix : {"", "m", "7", "dim", "aug", "7b9", "m7b5"}) {
      for (int from = 36; from <= 59; ++from) {
        const Pitch low = music::pitch_at(PianoKey(from), in.spell(PianoKey(from).pitch_class()));
        const Chord c{low.name, *music::parse_quality(suffix), std::nullopt};
        for (int to = 36; to <= 59; ++to) {
          const Pitch goal = music::pitch_at(PianoKey(to), in.spell(PianoKey(to).pitch_class()));
          const int way = to > from ? 1 : -1;
          const auto notes = walk(c, low, goal, in, 3);
          EXPECT_LE(notes.size(), 3U);
          int before = from;
          for (std::size_t i = 0; i < notes.size(); ++i) {
            const int step = (notes[i].key().number() - before) * way;
            EXPECT_GE(step, 1);
            EXPECT_LE(step, i == 0 ? 5 : 2);
            before = notes[i].key().number();
          }
          if (notes.empty()) continue;
          EXPECT_GE((to - before) * way, 1);
          EXPECT_LE((to - before) * way, 2);
        }
      }
    }
  }
}

// ---- the left hand on its rungs

std::vector<BassTask> song(std::string_view key, const std::string& chords, Rung rung,
                           PianoKey below = PianoKey(57)) {
  std::vector<BassTask> tasks;
  std::istringstream words(chords);
  for (std::string word; words >> word;) {
    BassTask task{std::nullopt, below, kBar, 0, tonality(key), rung};
    if (word != "N.C.") {
      task.chord = chord(word);
      task.note = task.chord->bass_note();
    }
    tasks.push_back(task);
  }
  return tasks;
}

LeftHand checked(const std::vector<BassTask>& tasks, const HandSize& size = HandSize::medium()) {
  const LeftHandManner manner = LeftHandManner::sliding();
  LeftHand left = left_hand(tasks, size, manner);
  EXPECT_THAT(check_left_hand(tasks, left, size, manner), IsEmpty());
  return left;
}

// "C3/5 G3/1 | D3/4 …": bass and figure, then what is walked after a dash.
std::string told(const LeftHand& left) {
  std::string out;
  for (const auto& bass : left.bass) {
    if (!out.empty()) out += " | ";
    if (!bass) continue;
    const auto add = [&](const Pitch& note, Finger finger) {
      out += text(note) + "/" + std::to_string(finger.number()) + " ";
    };
    add(bass->pitch, bass->finger);
    for (const FigureNote& part : bass->figure) add(part.pitch, part.finger);
    if (!bass->walk.empty()) out += "- ";
    for (const WalkNote& note : bass->walk) add(note.pitch, note.finger);
    out.pop_back();
  }
  return out;
}

TEST(Ladder, OneRootAndPositionAreTheSameNotes) {
  const LeftHand root = checked(song("D", "D A/C# Bm A G D/F# Em A", Rung::one_root));
  const LeftHand position = checked(song("D", "D A/C# Bm A G D/F# Em A", Rung::position));
  EXPECT_EQ(told(root), told(position));
  EXPECT_EQ(root.bass[0]->rung, Rung::one_root);
  EXPECT_EQ(position.bass[0]->rung, Rung::position);
}

TEST(Ladder, RootAndFifth) {
  EXPECT_EQ(told(checked(song("C", "C Dm C", Rung::root_and_fifth, PianoKey(62)))),
            "C3/5 E3/3 G3/1 | D3/5 F3/3 A3/1 | C3/5 E3/3 G3/1");
}

TEST(Ladder, OctavesGoWithTheOpenHand) {
  const LeftHand left = checked(song("C", "C F G C", Rung::octave));
  EXPECT_EQ(told(left), "C2/5 C3/1 | F2/5 F3/1 | G2/5 G3/1 | C2/5 C3/1");
  ASSERT_EQ(left.positions.size(), 1U);
  EXPECT_TRUE(left.positions[0].is_open());
  for (const auto& bass : left.bass) EXPECT_FALSE(bass->shifts);
}

// Common practice, no source: 5-2-1.
TEST(Ladder, RootFifthOctave) {
  EXPECT_EQ(told(checked(song("C", "C F G/B Am", Rung::root_fifth_octave))),
            "C2/5 G2/2 C3/1 | F2/5 C3/2 F3/1 | B1/5 G2/2 B2/1 | A1/5 E2/2 A2/1");
}

// Under a right hand on E3 there is no room for E2 B2 E3: the octave goes down alone.
TEST(Ladder, NoFifthInTheMud) {
  EXPECT_EQ(told(checked(song("G", "G C G Em", Rung::root_fifth_octave, PianoKey(52)))),
            "G1/5 G2/1 | C2/5 G2/2 C3/1 | G1/5 G2/1 | E1/5 E2/1");
}

TEST(Ladder, WalkingBass) {
  const LeftHand left = checked(song("C", "C Am F G C", Rung::walking_bass));
  EXPECT_EQ(told(left), "C3/1 - B2/2 | A2/3 - G2/4 | F2/5 - F#2/4 | G2/3 - A2/2 B2/1 | C3/2");
}

TEST(Ladder, AHandThatCannotSpreadAnOctavePlaysTheRoot) {
  const LeftHand left =
      checked(song("C", "C F", Rung::octave), *HandSize::from_span(hand::Millimetre(1300)));
  for (const auto& bass : left.bass) {
    EXPECT_THAT(bass->figure, IsEmpty());
    EXPECT_EQ(bass->rung, Rung::one_root);
  }
}

// Every chord the program knows, on every root, over every rung, for every hand: the checker is silent.
TEST(Ladder, EveryChordOnEveryRungForEveryHand) {
  for (const char* key : {"C", "F#m"}) {
    const Tonality in = tonality(key);
    std::vector<BassTask> tasks;
    for (const auto& quality : music::known_qualities()) {
      for (int root = 0; root < 12; ++root) {
        BassTask task{in.spell(music::PitchClass(root)), PianoKey(55), kBar, 0, in};
        task.chord = Chord{*task.note, quality, std::nullopt};
        tasks.push_back(task);
      }
    }
    for (const Rung rung : {Rung::one_root, Rung::position, Rung::root_and_fifth, Rung::octave,
                            Rung::root_fifth_octave, Rung::walking_bass}) {
      for (BassTask& task : tasks) task.rung = rung;
      for (const HandSize& size : {HandSize::small(), HandSize::large()}) checked(tasks, size);
    }
  }
}

TEST(Ladder, EverySlashBass) {
  std::vector<BassTask> tasks;
  const Tonality in = tonality("C");
  for (const char* suffix : {"", "m", "7", "dim"}) {
    for (int root = 0; root < 12; ++root) {
      for (int bass = 0; bass < 12; ++bass) {
        BassTask task{in.spell(music::PitchClass(bass)), PianoKey(55), kBar, 0, in};
        task.chord =
            Chord{in.spell(music::PitchClass(root)), *music::parse_quality(suffix), task.note};
        tasks.push_back(task);
      }
    }
  }
  for (const Rung rung :
       {Rung::root_and_fifth, Rung::octave, Rung::root_fifth_octave, Rung::walking_bass}) {
    for (BassTask& task : tasks) task.rung = rung;
    for (const HandSize& size : {HandSize::small(), HandSize::large()}) checked(tasks, size);
  }
}

// ---- which section stands on which rung

std::vector<Rung> chosen(Choices choices, int tempo, const std::vector<Fullness>& fullness) {
  Song song;
  song.tempo = music::Tempo(tempo);
  std::vector<PlayedSection> sections;
  for (const Fullness f : fullness) sections.push_back({sections.size(), 0, f});
  return rungs(song, sections, choices);
}

const std::vector<Fullness> kAll{Fullness::sparse, Fullness::light, Fullness::middling,
                                 Fullness::full, Fullness::fullest};
using ::testing::Each;
using ::testing::ElementsAre;

TEST(Rungs, ThePositionUnlessSomethingIsAskedFor) {
  EXPECT_THAT(chosen({}, 80, kAll), Each(Rung::position));
}

TEST(Rungs, ARungAskedForStandsEverywhere) {
  Choices choices;
  choices.hand = HandSize::small();
  choices.rung = Rung::octave;
  EXPECT_THAT(chosen(choices, 200, kAll), Each(Rung::octave));
}

TEST(Rungs, ASectionMayHaveItsOwn) {
  Choices choices;
  choices.section_rungs = {{0, Rung::octave}};
  EXPECT_THAT(chosen(choices, 80, kAll), Each(Rung::octave));
  choices.section_rungs = {{1, Rung::octave}};
  EXPECT_THAT(chosen(choices, 80, kAll), Each(Rung::position));
}

TEST(Rungs, FollowFullnessSkillsHandAndTempo) {
  Choices choices;
  choices.hand = HandSize::large();
  choices.skills = Skills(all_skills().begin(), all_skills().end());
  EXPECT_THAT(chosen(choices, 80, kAll),
              ElementsAre(Rung::one_root, Rung::position, Rung::root_and_fifth, Rung::octave,
                          Rung::walking_bass));
  EXPECT_THAT(chosen(choices, 120, kAll),
              ElementsAre(Rung::one_root, Rung::position, Rung::root_and_fifth, Rung::octave,
                          Rung::octave));
  choices.rung = Rung::root_fifth_octave;
  EXPECT_THAT(chosen(choices, 80, kAll),
              ElementsAre(Rung::one_root, Rung::position, Rung::root_and_fifth, Rung::octave,
                          Rung::root_fifth_octave));
  choices.hand = HandSize::small();
  EXPECT_THAT(chosen(choices, 80, kAll),
              ElementsAre(Rung::one_root, Rung::position, Rung::root_and_fifth,
                          Rung::root_and_fifth, Rung::root_and_fifth));
  choices.skills = Skills{Skill::bass_position};
  EXPECT_THAT(chosen(choices, 80, kAll), ElementsAre(Rung::one_root, Rung::position, Rung::position,
                                                     Rung::position, Rung::position));
  choices.skills = Skills{};
  EXPECT_THAT(chosen(choices, 80, kAll), Each(Rung::one_root));
}

TEST(Rungs, NoOctaveInASmallHandUnlessAskedForOutright) {
  for (int known = 0; known < 32; ++known) {
    Choices choices;
    choices.skills = Skills{};
    constexpr std::array kSkills{Skill::bass_position, Skill::root_and_fifth, Skill::octave,
                                 Skill::root_fifth_octave, Skill::walking_bass};
    for (std::size_t i = 0; i < kSkills.size(); ++i) {
      if ((known >> i) % 2 == 1) choices.skills->insert(kSkills[i]);
    }
    for (const HandSize& size : {HandSize::small(), *HandSize::from_span(hand::Millimetre(1800))}) {
      choices.hand = size;
      for (const Rung cap : {Rung::octave, Rung::root_fifth_octave, Rung::walking_bass}) {
        choices.rung = cap;
        for (const Rung rung : chosen(choices, 80, kAll)) EXPECT_FALSE(has_octave(rung));
      }
    }
  }
}

}  // namespace
}  // namespace stillhand::arrange
