#include "arrange/simplify.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "arrange/student.h"
#include "chart/chart.h"
#include "testing/corpus.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

const Skills kTriads{Skill::roots, Skill::triads};

Skills and_also(std::initializer_list<Skill> more) {
  Skills all = kTriads;
  all.insert(more);
  return all;
}

std::string reduced(const std::string& symbol, const Skills& skills, Third third = Third::major) {
  return text(simplified(*music::parse_chord(symbol), skills, third));
}

Song song_of(const std::string& chart) {
  const auto parsed = chart::parse(chart, "song.stillhand");
  EXPECT_TRUE(parsed) << (parsed ? "" : render(parsed.error().front()));
  return parsed->song;
}

std::string bars_of(const Song& song) {
  std::string out;
  for (const chart::Section& section : song.sections) {
    for (const chart::Line& line : section.lines) {
      for (const chart::Bar& bar : line.bars) {
        for (const chart::ChordEvent& e : bar.chords)
          out += (e.chord ? text(*e.chord) : "N.C.") + " ";
        out += "| ";
      }
      for (const chart::Option& option : line.options) {
        out += "or ";
        for (const chart::Bar& bar : option.bars) {
          for (const chart::ChordEvent& e : bar.chords)
            out += (e.chord ? text(*e.chord) : "N.C.") + " ";
          out += "| ";
        }
      }
    }
  }
  return out;
}

std::string all_of(const Diagnostics& diagnostics) {
  std::string out;
  for (const Diagnostic& d : diagnostics) out += render(d) + "\n";
  return out;
}

// Common practice, no source: the plain triad is the fallback of every larger chord.
TEST(Simplify, WithTriadsAloneEveryLargerChordIsItsTriad) {
  const std::pair<const char*, const char*> cases[] = {
      {"C", "C"},        {"Cm", "Cm"},      {"C7", "C"},      {"Cmaj7", "C"},     {"Cm7", "Cm"},
      {"C6", "C"},       {"Cm6", "Cm"},     {"Cadd9", "C"},   {"Cadd2", "C"},     {"Cmadd9", "Cm"},
      {"C6/9", "C"},     {"C9", "C"},       {"Cm9", "Cm"},    {"Cmaj9", "C"},     {"C11", "C"},
      {"C13", "C"},      {"C7b9", "C"},     {"C7#9", "C"},    {"C7#11", "C"},     {"Csus4", "C"},
      {"Csus2", "C"},    {"C7sus4", "C"},   {"C9sus4", "C"},  {"C/E", "C"},       {"C/D", "C"},
      {"Am7/G", "Am"},   {"Cdim", "Cdim"},  {"Caug", "Caug"}, {"Cdim7", "Cdim"},  {"Cm7b5", "Cdim"},
      {"Caug7", "Caug"}, {"C7b5", "C"},     {"C5", "C5"},     {"Cm(maj7)", "Cm"}, {"Cadd4", "C"},
      {"Cmadd11", "Cm"}, {"Cmaj7#11", "C"}, {"C7b13", "C"},   {"Cmaj7#5", "Caug"}};
  for (const auto& [written, played] : cases)
    EXPECT_EQ(reduced(written, kTriads), played) << written;
}

TEST(Simplify, ASkillKeepsItsOwnChords) {
  const auto sevenths = and_also({Skill::seventh_chord});
  EXPECT_EQ(reduced("C7", sevenths), "C7");
  EXPECT_EQ(reduced("C9", sevenths), "C7");
  EXPECT_EQ(reduced("C13", sevenths), "C7");
  EXPECT_EQ(reduced("C7#9", sevenths), "C7");
  EXPECT_EQ(reduced("C7b5", sevenths), "C7");
  EXPECT_EQ(reduced("Cmaj9", sevenths), "Cmaj7");
  EXPECT_EQ(reduced("C6", sevenths), "C");
  EXPECT_EQ(reduced("C7sus4", sevenths), "C7");
  EXPECT_EQ(reduced("Cm7b5", sevenths), "Cdim");
  const auto added = and_also({Skill::added_note});
  EXPECT_EQ(reduced("C6/9", added), "C6");
  EXPECT_EQ(reduced("Cadd9", added), "Cadd9");
  EXPECT_EQ(reduced("C9", added), "C");
  const auto suspensions = and_also({Skill::suspension});
  EXPECT_EQ(reduced("Csus4", suspensions), "Csus4");
  EXPECT_EQ(reduced("C7sus4", suspensions), "Csus4");
  EXPECT_EQ(reduced("C9sus4", and_also({Skill::suspension, Skill::seventh_chord})), "C7sus4");
  EXPECT_EQ(reduced("C/E", and_also({Skill::slash_chord})), "C/E");
  EXPECT_EQ(reduced("C7/E", and_also({Skill::slash_chord})), "C/E");
  EXPECT_EQ(reduced("Csus4", kTriads, Third::minor), "Cm");
}

Skills random_skills(std::mt19937& random) {
  Skills skills = kTriads;
  for (Skill skill : {Skill::slash_chord, Skill::suspension, Skill::seventh_chord,
                      Skill::added_note, Skill::larger_chord}) {
    if (testing::below(random, 2) == 1) skills.insert(skill);
  }
  return skills;
}

// Every set of the five skills that count for chords.
std::vector<Skills> all_skill_sets() {
  const Skill five[] = {Skill::slash_chord, Skill::suspension, Skill::seventh_chord,
                        Skill::added_note, Skill::larger_chord};
  std::vector<Skills> sets;
  for (unsigned mask = 0; mask < 32; ++mask) {
    Skills skills = kTriads;
    for (unsigned i = 0; i < 5; ++i) {
      if ((mask >> i & 1U) != 0) skills.insert(five[i]);
    }
    sets.push_back(std::move(skills));
  }
  return sets;
}

// A diminished or augmented triad stays with everybody.
bool is_kept(const Chord& chord) {
  const auto& d = chord.quality.degrees;
  return d.size() == 3 && d[1].number == 3 && d[2].number == 5 && d[2].alteration != 0;
}

bool meets(const Skills& skills, const Chord& chord) {
  Skills needed = skills_of(chord);
  if (is_kept(chord)) needed.erase(Skill::larger_chord);
  return std::includes(skills.begin(), skills.end(), needed.begin(), needed.end());
}

// All 46 kinds of chord, with and without a bass, × all skills: what is played asks only for what is known, a second
// time changes nothing, and who knows more is never reduced further.
TEST(Simplify, EveryKindOfChordAsksOnlyForTheSkillsThatAreThere) {
  const auto sets = all_skill_sets();
  int checked = 0;
  for (const music::ChordQuality& quality : music::known_qualities()) {
    for (const char* bass : {"", "/E", "/D", "/Bb"}) {
      const auto chord = music::parse_chord("C" + quality.suffix + bass);
      if (!chord) continue;
      for (const Third third : {Third::major, Third::minor}) {
        for (const Skills& skills : sets) {
          const Chord played = simplified(*chord, skills, third);
          ++checked;
          EXPECT_TRUE(meets(skills, played)) << text(*chord) << " → " << text(played);
          EXPECT_EQ(simplified(played, skills, third), played) << text(*chord);
          const auto reparsed = music::parse_chord(text(played));
          ASSERT_TRUE(reparsed) << text(played);
          EXPECT_EQ(*reparsed, played);
          for (const Skills& more : sets) {
            if (!std::includes(more.begin(), more.end(), skills.begin(), skills.end())) continue;
            const Chord less_reduced = simplified(*chord, more, third);
            EXPECT_EQ(text(simplified(less_reduced, skills, third)), text(played))
                << text(*chord) << " by way of " << text(less_reduced);
          }
        }
      }
    }
  }
  EXPECT_GT(checked, 10'000);
}

TEST(Simplify, ASuspensionTakesTheThirdOfTheChordItLeadsTo) {
  EXPECT_EQ(
      bars_of(simplified(song_of("key G\nsection A\n| Asus4 Am | Asus4 A | Dsus4 | G |"), kTriads)
                  .song),
      "Am | A | D | G | ");
  // No other chord on that root: the key's own triad, major on the fifth degree of a minor key.
  EXPECT_EQ(
      bars_of(simplified(song_of("key C\nsection A\n| C | Dsus4 | Gsus4 | C |"), kTriads).song),
      "C | Dm | G | C | ");
  EXPECT_EQ(
      bars_of(simplified(song_of("key Am\nsection A\n| Am | Dsus2 | Esus4 | Am |"), kTriads).song),
      "Am | Dm | E | Am | ");
  // The chord before, when none follows.
  EXPECT_EQ(bars_of(simplified(song_of("key C\nsection A\n| C | D | Dsus4 | C |"), kTriads).song),
            "C | D | D | C | ");
}

TEST(Simplify, EqualNeighboursOfABarAreJoined) {
  const Simplified s =
      simplified(song_of("key C\nsection A\n| C C7 | Fsus2 - F F | C N.C. |"), kTriads);
  EXPECT_EQ(bars_of(s.song), "C | F F | C N.C. | ");
  EXPECT_EQ(s.song.sections[0].lines[0].bars[0].chords[0].duration,
            s.song.sections[0].lines[0].bars[0].length);
}

TEST(Simplify, AnOrLineThatSaysTheSameIsDroppedAndIdlePinsToo) {
  const Simplified s = simplified(
      song_of("key C\nsection A\n| C | Am | F | G |\nor stepping down\n| C | Am/C | F | G |\n"
              "or other\n| C | Em7 | F | G7 |\nshape G7 F4 G4 B4\nshape C C4 E4 G4\n"),
      kTriads);
  EXPECT_EQ(bars_of(s.song), "C | Am | F | G | or C | Em | F | G | ");
  ASSERT_EQ(s.song.pins.size(), 1U);
  EXPECT_EQ(text(s.song.pins[0].chord), "C");
}

TEST(Simplify, RemarksSayWhatWasReducedAndWhereTheStepwiseBassIsLost) {
  const Simplified s = simplified(
      song_of("key G\nsection A\n| G | D/F# | Em7 | Bdim |\n| C/E | D7/F# | G | Em7 |"), kTriads);
  EXPECT_EQ(bars_of(s.song), "G | D | Em | Bdim | C | D | G | Em | ");
  EXPECT_EQ(all_of(s.remarks),
            R"(song.stillhand:3:7: note: D/F# is played as D (not learned yet: slash chord)
song.stillhand:3:14: note: Em7 is played as Em (not learned yet: seventh chord)
song.stillhand:3:20: note: Bdim stays: no plainer chord stands for it (not learned yet: larger chord)
song.stillhand:4:3: note: C/E is played as C (not learned yet: slash chord)
song.stillhand:4:9: note: D7/F# is played as D (not learned yet: slash chord, seventh chord)
song.stillhand:3:7: warning: bass G F# E: the line by step is lost
song.stillhand:4:9: warning: bass E F# G: the line by step is lost
)");
}

TEST(Simplify, WhatASongAsksBeyondItsChordsIsKnownToo) {
  EXPECT_EQ(skills_of(song_of("key C\nmeter 6/8\nsection A\n| C | F |")),
            (Skills{Skill::triads, Skill::compound_meter}));
  EXPECT_EQ(
      skills_of(song_of("key E\nsection A\n| E | B7/D# |")),
      (Skills{Skill::triads, Skill::slash_chord, Skill::seventh_chord, Skill::many_accidentals}));
  EXPECT_EQ(skills_of(song_of("key C\nsection A\n| C | G |\nkey D\n| D | A |")),
            (Skills{Skill::triads, Skill::key_change}));
}

// The song's chords stay in step with the music: every bar keeps its length.
void check_song(const Song& song, const Skills& skills) {
  const Simplified s = simplified(song, skills);
  const Simplified again = simplified(s.song, skills);
  EXPECT_EQ(again.song, s.song) << song.title;
  const auto bars = chart::perform(s.song);
  for (const chart::PlayedChord& played : chart::played_chords(s.song, bars)) {
    if (played.chord) {
      EXPECT_TRUE(meets(skills, *played.chord)) << text(*played.chord);
    }
  }
  for (const chart::PlayedBar& played : bars) {
    const chart::Bar& bar = chart::bar_of(s.song, played);
    music::Tick sum;
    for (const chart::ChordEvent& event : bar.chords) sum = sum + event.duration;
    EXPECT_EQ(sum, bar.length);
  }
}

TEST(Simplify, RandomSongsAreReducedOnceAndForAll) {
  std::mt19937 random(7);
  for (int i = 0; i < 300; ++i) {
    const Song song = testing::random_song(random);
    const Skills fewer = random_skills(random);
    Skills more = random_skills(random);
    more.insert(fewer.begin(), fewer.end());
    check_song(song, fewer);
    EXPECT_EQ(simplified(simplified(song, more).song, fewer).song, simplified(song, fewer).song);
  }
}

TEST(Simplify, RealSongsAreReducedOnceAndForAll) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  for (const Song& song : testing::read_corpus_sample()) {
    for (int level = 1; level <= kHighestLevel; level += 2)
      check_song(song, skills_of_level(*Level::make(level)));
    EXPECT_EQ(simplified(simplified(song, skills_of_level(*Level::make(4))).song,
                         skills_of_level(*Level::make(2)))
                  .song,
              simplified(song, skills_of_level(*Level::make(2))).song)
        << song.title;
  }
}

}  // namespace
}  // namespace stillhand::arrange
