#include "arrange/student.h"

#include <gtest/gtest.h>

#include <fstream>
#include <random>
#include <sstream>

#include "arrange/simplify.h"
#include "chart/chart.h"
#include "testing/build.h"
#include "testing/corpus.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

std::string all_of(const Diagnostics& diagnostics) {
  std::string out;
  for (const Diagnostic& d : diagnostics) out += render(d) + "\n";
  return out;
}

Student student_in(const std::string& text) {
  const auto parsed = read_student(text, "mara.student");
  EXPECT_TRUE(parsed) << (parsed ? "" : all_of(parsed.error()));
  return parsed ? parsed->student : Student{};
}

// What read_student() has to say: errors, or else remarks.
std::string said(const std::string& text) {
  const auto parsed = read_student(text, "mara.student");
  if (!parsed) {
    for (const Diagnostic& d : parsed.error()) EXPECT_EQ(d.fault, Fault::usage);
  }
  return all_of(parsed ? parsed->remarks : parsed.error());
}

Level level(int number) { return *Level::make(number); }

// Common practice, no source; the table is data/levels.tsv.
TEST(Levels, GrowFromSingleNotesToEverySkill) {
  EXPECT_EQ(skills_of_level(level(0)), Skills{Skill::roots});
  EXPECT_EQ(skills_of_level(level(1)), (Skills{Skill::roots, Skill::triads}));
  EXPECT_EQ(skills_of_level(level(2)),
            (Skills{Skill::roots, Skill::triads, Skill::inversions, Skill::bass_position}));
  for (int n = 1; n <= kHighestLevel; ++n) {
    const Skills before = skills_of_level(level(n - 1));
    const Skills now = skills_of_level(level(n));
    EXPECT_GT(now.size(), before.size());
    EXPECT_TRUE(std::includes(now.begin(), now.end(), before.begin(), before.end()));
    EXPECT_FALSE(about(level(n)).empty());
  }
  EXPECT_EQ(skills_of_level(level(7)).size(), all_skills().size());
  EXPECT_TRUE(skills_of_level(level(4)).contains(Skill::slash_chord));
  EXPECT_TRUE(skills_of_level(level(5)).contains(Skill::seventh_chord));
  EXPECT_TRUE(skills_of_level(level(6)).contains(Skill::root_fifth_octave));
  EXPECT_FALSE(Level::make(-1));
  EXPECT_FALSE(Level::make(8));
}

TEST(ReadStudent, UnderstandsEveryLine) {
  const Student s = student_in(
      "; Tuesdays\n"
      "name     Mara  Lind\n"
      "Level    3            ; since spring\n"
      "also     suspension, root, fifth, octave, slash chord\n"
      "not yet  pedal\n"
      "knows    C, F, G\n"
      "knows    F C4 F4 A4 1 3 5\n"
      "span     181.5 mm\n"
      "stretch  seventh\n"
      "notes    german\n"
      "paper    letter\n"
      "tempo    60\n");
  EXPECT_EQ(s.name, "Mara Lind");
  EXPECT_EQ(s.level, level(3));
  EXPECT_EQ(s.also, (Skills{Skill::suspension, Skill::root_fifth_octave, Skill::slash_chord}));
  EXPECT_EQ(s.not_yet, Skills{Skill::pedal});
  ASSERT_EQ(s.knows.size(), 4U);
  EXPECT_EQ(text(s.knows[2].chord), "G");
  EXPECT_TRUE(s.knows[2].pitches.empty());
  EXPECT_EQ(s.knows[3].pitches.size(), 3U);
  EXPECT_EQ(s.knows[3].fingers[2], Finger(5));
  EXPECT_EQ(s.span, hand::Millimetre(1815));
  EXPECT_EQ(s.stretch, stretch_named("seventh"));
  EXPECT_EQ(s.note_names, music::NoteNames::german);
  EXPECT_EQ(s.paper, StudentPaper::letter);
  EXPECT_EQ(s.tempo, music::Tempo(60));
  EXPECT_TRUE(s.skills().contains(Skill::suspension));
  EXPECT_FALSE(s.skills().contains(Skill::pedal));
}

TEST(ReadStudent, ASetOfSkillsMayStandInPlaceOfALevel) {
  const Student s = student_in("skills roots, triads\nskills inversions\n");
  EXPECT_FALSE(s.level);
  EXPECT_EQ(s.skills(), (Skills{Skill::roots, Skill::triads, Skill::inversions}));
  EXPECT_EQ(s.hand().name(), "medium");
}

TEST(ReadStudent, SaysEverythingThatIsWrongAtOnce) {
  EXPECT_EQ(said("level  12\n"
                 "nmae   Mara\n"
                 "also   seventh cord, flying\n"
                 "hand   tiny\n"
                 "stretch 5 mm\n"
                 "notes  Germn\n"
                 "paper  a5\n"
                 "tempo  fast\n"
                 "knows  Amm, C/E\n"
                 "tempo  60\n"
                 "name\n"),
            "mara.student:1:8: error: there is no level `12`\n"
            "  level  12\n"
            "         ^^\n"
            "  levels go from 0 (single notes) to 7\n"
            "mara.student:2:1: error: a student file has no line `nmae`\n"
            "  nmae   Mara\n"
            "  ^^^^\n"
            "  did you mean `name`?\n"
            "mara.student:3:8: error: `seventh cord` is no skill\n"
            "  also   seventh cord, flying\n"
            "         ^^^^^^^^^^^^\n"
            "  did you mean `seventh chord`?\n"
            "mara.student:3:22: error: `flying` is no skill\n"
            "  also   seventh cord, flying\n"
            "                       ^^^^^^\n"
            "  the list of skills stands in docs/student.md\n"
            "mara.student:4:8: error: there is no hand size `tiny`\n"
            "  hand   tiny\n"
            "         ^^^^\n"
            "  it is small, medium or large; or measure it and write `span 201 mm`\n"
            "mara.student:5:9: error: `5 mm` is no largest stretch\n"
            "  stretch 5 mm\n"
            "          ^^^^\n"
            "  name an interval from fifth to tenth, or 94 to 280 mm from key to key; a triad "
            "needs a fifth\n"
            "mara.student:6:8: error: no note names are called `Germn`\n"
            "  notes  Germn\n"
            "         ^^^^^\n"
            "  did you mean `german`?\n"
            "mara.student:7:8: error: there is no paper `a5`\n"
            "  paper  a5\n"
            "         ^^\n"
            "  it is a4 or letter\n"
            "mara.student:8:8: error: `fast` is no tempo\n"
            "  tempo  fast\n"
            "         ^^^^\n"
            "  write counts per minute, 10 to 400\n"
            "mara.student:9:8: error: unknown chord `Amm`\n"
            "  knows  Amm, C/E\n"
            "         ^^^\n"
            "  did you mean `Am`?\n"
            "mara.student:9:13: error: `C/E` names a bass, which the left hand plays\n"
            "  knows  Amm, C/E\n"
            "              ^^^\n"
            "  write `C`\n"
            "mara.student:10:1: error: `tempo` stands twice, first in line 8\n"
            "  tempo  60\n"
            "  ^^^^^\n"
            "  keep one of the two\n"
            "mara.student:11:1: error: `name` says nothing\n"
            "  name\n"
            "  ^^^^\n"
            "  write its value behind it\n");
}

TEST(ReadStudent, RefusesImpossibleHands) {
  EXPECT_EQ(said("level 2\nspan 5 mm\n"),
            "mara.student:2:6: error: no hand spans `5 mm`\n"
            "  span 5 mm\n"
            "       ^^^^\n"
            "  give 120 to 280 mm: thumb tip to little finger tip, the hand flat and stretched "
            "without pain\n");
  EXPECT_EQ(said("level 2\nhand small\nspan 181 mm\n"),
            "mara.student:3:1: error: `hand` and `span` both say how large the hand is\n"
            "  span 181 mm\n"
            "  ^^^^\n"
            "  keep the one you measured\n");
  EXPECT_EQ(said("level 2\nspan 181 mm\nstretch 200 mm\n"),
            "mara.student:3:1: error: the largest stretch is wider than the hand's span\n"
            "  stretch 200 mm\n"
            "  ^^^^^^^\n"
            "  the span goes from tip to tip of the flat hand; keys are taken within it\n");
}

TEST(ReadStudent, RefusesShapesNobodyCanPlay) {
  EXPECT_EQ(said("level 2\nhand small\nknows C C4 E4 G4 C5, C C4 E4 G5\n"),
            "mara.student:3:22: error: no right hand can play this shape of C\n"
            "  knows C C4 E4 G4 C5, C C4 E4 G5\n"
            "                       ^^^^^^^^^^\n"
            "  choose keys that lie closer together\n");
  EXPECT_EQ(said("level 2\nknows C C4 E4 A4\n"),
            "mara.student:2:7: error: a key is not a note of C\n"
            "  knows C C4 E4 A4\n"
            "        ^^^^^^^^^^\n"
            "  write only notes of the chord\n");
  EXPECT_EQ(said("level 2\nknows C E4 C4 G4, C C4 E4 G4 5 3 1\n"),
            "mara.student:2:7: error: the keys of C do not rise\n"
            "  knows C E4 C4 G4, C C4 E4 G4 5 3 1\n"
            "        ^^^^^^^^^^\n"
            "  write them from low to high\n"
            "mara.student:2:19: error: no right hand can play this shape of C\n"
            "  knows C E4 C4 G4, C C4 E4 G4 5 3 1\n"
            "                    ^^^^^^^^^^^^^^^^\n"
            "  choose other fingers, or leave them out\n");
  EXPECT_EQ(said("level 2\nknows C C4 E4 G4 1 3, C 1 3 5, C C4 x\n"),
            "mara.student:2:7: error: 3 keys of C, but 2 fingers\n"
            "  knows C C4 E4 G4 1 3, C 1 3 5, C C4 x\n"
            "        ^^^^^^^^^^^^^^\n"
            "  write one finger for each key, or none\n"
            "mara.student:2:23: error: C has fingers but no keys\n"
            "  knows C C4 E4 G4 1 3, C 1 3 5, C C4 x\n"
            "                        ^^^^^^^\n"
            "  write the keys before the fingers: F C4 F4 A4 1 3 5\n"
            "mara.student:2:37: error: `x` is neither a key nor a finger\n"
            "  knows C C4 E4 G4 1 3, C 1 3 5, C C4 x\n"
            "                                      ^\n"
            "  write keys low to high, then one finger for each: F C4 F4 A4 1 3 5\n");
}

TEST(ReadStudent, RefusesContradictoryLines) {
  EXPECT_EQ(said("level 2\nskills triads\n"),
            "mara.student:2:1: error: `level` in line 1 says the skills already\n"
            "  skills triads\n"
            "  ^^^^^^\n"
            "  write `also` for skills beyond the level, or take the level out\n");
  EXPECT_EQ(said("name Mara\n"),
            "mara.student: error: the student has neither a level nor skills\n"
            "  add a line like `level 2`, or `skills triads, inversions`\n");
  EXPECT_EQ(said("level 4\nalso octave\nnot yet octave\n"),
            "mara.student:3:9: error: `octave` is both known and not yet known\n"
            "  not yet octave\n"
            "          ^^^^^^\n"
            "  see line 2; keep one of the two\n");
  EXPECT_EQ(said("skills triads\nnot yet triads\n"),
            "mara.student:2:1: error: `not yet` takes skills from a level, and there is none\n"
            "  not yet triads\n"
            "  ^^^^^^^\n"
            "  take them out of `skills`\n");
  EXPECT_EQ(said("level 4\nlevel 5\n"),
            "mara.student:2:1: error: `level` stands twice, first in line 1\n"
            "  level 5\n"
            "  ^^^^^\n"
            "  keep one of the two\n");
  EXPECT_EQ(said(std::string("level 4\0", 8)),
            "mara.student:1:8: error: a control character (U+0000) stands here\n"
            "  a student file is plain text in UTF-8; is this the right file?\n");
}

TEST(ReadStudent, RemarksOnWhatSaysNothingNew) {
  EXPECT_EQ(said("level 3\nalso pedal\nnot yet octave\n"),
            "mara.student:2:6: warning: level 3 holds `pedal` already\n"
            "  also pedal\n"
            "       ^^^^^\n"
            "  take it out\n"
            "mara.student:3:9: warning: level 3 does not hold `octave` anyway\n"
            "  not yet octave\n"
            "          ^^^^^^\n"
            "  take it out\n");
}

// ---- docs/student.md

struct Example {
  std::string kind;  // "student", "wrong", "says"
  std::string text;
};

std::string manual() {
  std::ifstream file(std::string(STILLHAND_SOURCE_DIR) + "/docs/student.md");
  return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<Example> examples() {
  std::istringstream file(manual());
  std::vector<Example> all;
  bool is_open = false;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("```")) {
      is_open = !is_open;
      if (is_open) all.push_back({line.substr(3), ""});
    } else if (is_open) {
      all.back().text += line + "\n";
    }
  }
  return all;
}

TEST(StudentDocs, ExamplesAreReadAndMessagesAreExact) {
  const auto all = examples();
  ASSERT_EQ(all.size(), 7U);
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (all[i].kind == "student") {
      EXPECT_EQ(said(all[i].text), "");
    } else if (all[i].kind == "wrong") {
      EXPECT_EQ(said(all[i].text), all.at(i + 1).text);
    } else {
      EXPECT_EQ(all[i].kind, "says");
    }
  }
}

TEST(StudentDocs, TheTableOfLevelsIsTheData) {
  const std::string text = manual();
  for (int n = 0; n <= kHighestLevel; ++n) {
    std::string added;
    for (Skill skill : skills_of_level(level(n))) {
      if (n > 0 && skills_of_level(level(n - 1)).contains(skill)) continue;
      added += (added.empty() ? "" : "; ") + std::string(name(skill));
    }
    const std::string row =
        "| " + std::to_string(n) + " | " + std::string(about(level(n))) + " | " + added + " |";
    EXPECT_NE(text.find(row), std::string::npos) << row;
  }
}

// The table of reductions: each chord it names, with all skills but the row's.
TEST(StudentDocs, ChordsAreReducedAsTheTableSays) {
  const std::pair<const char*, const char*> rows[] = {
      {"C13", "C7"},  {"C9", "C7"},   {"C7b9", "C7"},    {"C7#5", "Caug"},
      {"C6/9", "C6"}, {"C7", "C"},    {"Cmaj7", "C"},    {"Cm7", "Cm"},
      {"C6", "C"},    {"Cadd9", "C"}, {"Cadd4", "C"},    {"Csus4", "C"},
      {"Csus2", "C"}, {"G/B", "G"},   {"Bm7b5", "Bdim"}, {"Bdim7", "Bdim"}};
  const Skill skills[] = {Skill::larger_chord, Skill::seventh_chord, Skill::added_note,
                          Skill::suspension, Skill::slash_chord};
  for (const auto& [written, played] : rows) {
    const Chord chord = *music::parse_chord(written);
    for (Skill skill : skills) {
      if (!skills_of(chord).contains(skill)) continue;
      Skills all = skills_of_level(level(7));
      all.erase(skill);
      EXPECT_EQ(text(simplified(chord, all, Third::major)), played) << written;
      break;
    }
  }
}

Student random_student(std::mt19937& random) {
  Student s;
  if (testing::below(random, 2) == 0) s.name = "Mara Lind";
  if (testing::below(random, 3) > 0) s.level = level(testing::below(random, 8));
  for (Skill skill : all_skills()) {
    const bool base = s.level && skills_of_level(*s.level).contains(skill);
    if (testing::below(random, 5) > 0) continue;
    (base ? s.not_yet : s.also).insert(skill);
  }
  if (!s.level) s.also.insert(Skill::triads);
  if (testing::below(random, 2) == 0)
    s.span = hand::Millimetre(1200 + testing::below(random, 1601));
  else
    s.hand_size = std::vector<std::string>{
        "small", "medium", "large"}[static_cast<std::size_t>(testing::below(random, 3))];
  if (!s.span && testing::below(random, 2) == 0)
    s.stretch = hand::Millimetre(1100 + testing::below(random, 900));
  s.note_names = music::all_note_names()[static_cast<std::size_t>(testing::below(random, 3))];
  if (testing::below(random, 2) == 0) s.paper = StudentPaper::letter;
  if (testing::below(random, 2) == 0) s.tempo = music::Tempo(40 + testing::below(random, 100));
  s.knows.push_back({*music::parse_chord("F#m"), {}, {}});
  s.knows.push_back(
      {*music::parse_chord("G"),
       {*music::parse_pitch("B3"), *music::parse_pitch("D4"), *music::parse_pitch("G4")},
       {Finger(1), Finger(2), Finger(5)}});
  return s;
}

TEST(WriteStudent, IsReadAsTheSameStudent) {
  std::mt19937 random(3);
  for (int i = 0; i < 300; ++i) {
    const Student s = random_student(random);
    const std::string text = write_student(s);
    SCOPED_TRACE(text);
    const auto parsed = read_student(text, "x.student");
    // A narrow span may not hold the shapes; then it says so.
    if (!parsed) {
      EXPECT_NE(all_of(parsed.error()).find("hand"), std::string::npos) << all_of(parsed.error());
      continue;
    }
    EXPECT_EQ(parsed->student, s);
    EXPECT_EQ(write_student(parsed->student), text);
  }
}

TEST(Stretch, AnIntervalIsTheWidestPairOfKeysOfThatInterval) {
  EXPECT_EQ(stretch_named("sixth"), hand::Millimetre(1290));  // A flat to F
  EXPECT_EQ(stretch_named("octave"), hand::Millimetre(1640));
  EXPECT_FALSE(stretch_named("third"));
}

// ---- arranging for a student

TEST(ForStudent, TheLargestStretchIsAHardLimit) {
  Student s = student_of(level(7));
  s.stretch = stretch_named("sixth");
  std::mt19937 random(5);
  int arranged = 0;
  for (int i = 0; i < 60; ++i) {
    const Song song = testing::random_song(random);
    const auto a = arrange(song, choices_for(s, Manner::home()));
    if (!a) continue;
    ++arranged;
    for (const ShapeChoice& choice : a->right.shapes)
      EXPECT_LE(hand::distance(choice.shape.lowest(), choice.shape.highest()), *s.stretch);
  }
  EXPECT_GT(arranged, 40);
}

TEST(ForStudent, WithoutInversionsEveryShapeIsInRootPosition) {
  const Song song = testing::song_of("I V vi IV", *music::parse_tonality("D"));
  const auto a = arrange(song, choices_for(student_of(level(1)), Manner::closest()));
  ASSERT_TRUE(a);
  for (const ShapeChoice& choice : a->right.shapes)
    EXPECT_EQ(choice.shape.inversion, hand::Inversion::root_position);
  const auto b = arrange(song, choices_for(student_of(level(2)), Manner::closest()));
  ASSERT_TRUE(b);
  EXPECT_LT(b->right.cost, a->right.cost);
}

TEST(ForStudent, AKnownShapeCostsNothingToLearn) {
  const Song song = testing::song_of("I IV V I", *music::parse_tonality("C"));
  Student s = student_of(level(7));
  const auto before = arrange(song, choices_for(s, Manner::home()));
  ASSERT_TRUE(before);
  for (const ShapeChoice& choice : before->right.shapes) {
    KnownShape known{choice.chord, {}, {}};
    for (const hand::ShapeNote& note : choice.shape.notes) {
      known.pitches.push_back({note.pitch.name, note.pitch.octave + 1});  // an octave up
      known.fingers.push_back(note.finger);
    }
    s.knows.push_back(known);
  }
  const auto after = arrange(song, choices_for(s, Manner::home()));
  ASSERT_TRUE(after);
  std::int64_t learned = 0;
  const RightHandWeights w = Manner::home().right;
  for (const ShapeChoice& choice : before->right.shapes) {
    learned +=
        100 * (choice.shape.inversion == hand::Inversion::root_position ? w.learn_root_position
                                                                        : w.learn_inversion);
  }
  EXPECT_GT(learned, 0);
  EXPECT_EQ(after->right.cost, before->right.cost - Cost(learned));
  EXPECT_TRUE(new_for(s, *after).shapes.empty());
}

TEST(ForStudent, AKnownInversionIsTakenWhereTheOddsAreEven) {
  // Any manner: make learning dear, and the known inversion wins over the root position.
  Manner manner = Manner::home();
  manner.right.learn_root_position = manner.right.learn_inversion = kLargestWeight;
  const Song song = testing::song_of("I I", *music::parse_tonality("C"));
  Student s = student_of(level(7));
  const auto plain = arrange(song, choices_for(s, manner));
  EXPECT_EQ(plain->right.shapes[0].shape.inversion, hand::Inversion::root_position);
  s.knows = {{*music::parse_chord("C"),
              {*music::parse_pitch("G3"), *music::parse_pitch("C4"), *music::parse_pitch("E4")},
              {}}};
  const auto known = arrange(song, choices_for(s, manner));
  EXPECT_EQ(known->right.shapes[0].shape.inversion, hand::Inversion::second);
}

TEST(ForStudent, KnowingMoreNeverCostsMore) {
  std::mt19937 random(11);
  for (int i = 0; i < 40; ++i) {
    const Song song = testing::random_song(random);
    Choices choices = testing::random_choices(random);
    const auto a = arrange(song, choices);
    if (!a) continue;
    choices.known.push_back({a->right.shapes.front().chord, {}, {}});
    const auto b = arrange(song, choices);
    ASSERT_TRUE(b);
    EXPECT_LE(b->right.cost, a->right.cost);
  }
}

TEST(ForStudent, TheNewThingsAreSaidInOneLine) {
  Student s = student_of(level(2));
  s.name = "Mara";
  s.knows = {{*music::parse_chord("C"), {}, {}}};
  const auto parsed = chart::parse("key C\nmeter 6/8\nsection A\n| C | F |\n", "x");
  const auto a = arrange(parsed->song, choices_for(s, Manner::home()));
  ASSERT_TRUE(a);
  EXPECT_EQ(in_words(new_for(s, *a), s, *a),
            "New for Mara: 1 shape (F second inversion); one skill: compound meter.");
  s.knows.push_back({*music::parse_chord("F"), {}, {}});
  s.also = {Skill::compound_meter};
  EXPECT_EQ(in_words(new_for(s, *a), s, *a), "New for Mara: 1 shape (F second inversion).");
}

// 917 real songs (McGill Billboard 2.0, OpenEWLD) for every level and hand: each can be played.
TEST(ForStudent, EveryRealSongIsPlayableAtEveryLevel) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  const auto songs = testing::read_whole_corpus();
  for (int n = 1; n <= kHighestLevel; ++n) {
    for (const char* size : {"small", "medium", "large"}) {
      Student s = student_of(level(n));
      s.hand_size = size;
      const Choices choices = choices_for(s, Manner::home());
      int arranged = 0;
      for (std::size_t i = static_cast<std::size_t>(n); i < songs.size(); i += 40) {
        const Simplified plain = simplified(songs[i], s.skills());
        const auto a = arrange(plain.song, choices);
        EXPECT_TRUE(a) << songs[i].title << ", level " << n << ", " << size << ": "
                       << (a ? "" : all_of(a.error()));
        arranged += a ? 1 : 0;
      }
      EXPECT_GT(arranged, 20);
    }
  }
}

}  // namespace
}  // namespace stillhand::arrange
