// Names abroad. Common practice, no source.
#include "music/note_names.h"

#include <gtest/gtest.h>

#include <set>

namespace stillhand::music {
namespace {

std::string shown(std::string_view note, NoteNames names) {
  return display(*parse_note(note), names);
}

struct Row {
  const char* note;
  const char* german;
  const char* do_re_mi;
};
constexpr Row kRows[] = {
    {"C", "C", "Do"},         {"C#", "Cis", "Do♯"},    {"Db", "Des", "Re♭"},
    {"D", "D", "Re"},         {"D#", "Dis", "Re♯"},    {"Eb", "Es", "Mi♭"},
    {"E", "E", "Mi"},         {"E#", "Eis", "Mi♯"},    {"Fb", "Fes", "Fa♭"},
    {"F", "F", "Fa"},         {"F#", "Fis", "Fa♯"},    {"Gb", "Ges", "Sol♭"},
    {"G", "G", "Sol"},        {"G#", "Gis", "Sol♯"},   {"Ab", "As", "La♭"},
    {"A", "A", "La"},         {"A#", "Ais", "La♯"},    {"Bb", "B", "Si♭"},
    {"B", "H", "Si"},         {"B#", "His", "Si♯"},    {"Cb", "Ces", "Do♭"},
    {"F##", "Fisis", "Fa♯♯"}, {"Ebb", "Eses", "Mi♭♭"}, {"Abb", "Asas", "La♭♭"},
    {"Bbb", "Heses", "Si♭♭"},
};

TEST(NoteNames, AreThoseOfTheCountry) {
  for (const Row& row : kRows) {
    EXPECT_EQ(shown(row.note, NoteNames::german), row.german);
    EXPECT_EQ(shown(row.note, NoteNames::do_re_mi), row.do_re_mi);
    EXPECT_EQ(shown(row.note, NoteNames::english), display(*parse_note(row.note)));
  }
}

TEST(NoteNames, NoTwoNotesShareAName) {
  for (const NoteNames names : all_note_names()) {
    std::set<std::string> seen;
    for (int fifths = -15; fifths <= 19; ++fifths) {
      const std::string name = display(NoteName::at_fifths(fifths), names);
      EXPECT_TRUE(seen.insert(name).second) << name;
    }
  }
}

struct Symbol {
  const char* chord;
  const char* english;
  const char* german;
  const char* do_re_mi;
};
constexpr Symbol kSymbols[] = {
    {"B", "B", "H", "Si"},
    {"Bb", "B♭", "B", "Si♭"},
    {"Bm7", "Bm7", "Hm7", "Sim7"},
    {"Bbmaj7/D", "B♭maj7/D", "Bmaj7/D", "Si♭maj7/Re"},
    {"G/B", "G/B", "G/H", "Sol/Si"},
    {"F#m7b5", "F♯m7♭5", "F♯m7♭5", "Fa♯m7♭5"},
    {"Eb/Bb", "E♭/B♭", "E♭/B", "Mi♭/Si♭"},
    {"C7b9", "C7♭9", "C7♭9", "Do7♭9"},
    {"Asus4", "Asus4", "Asus4", "Lasus4"},
    {"N.C.", "N.C.", "N.C.", "N.C."},
};

TEST(NoteNames, InChordSymbols) {
  for (const Symbol& row : kSymbols) {
    EXPECT_EQ(display_symbol(row.chord, NoteNames::english), row.english);
    EXPECT_EQ(display_symbol(row.chord, NoteNames::german), row.german);
    EXPECT_EQ(display_symbol(row.chord, NoteNames::do_re_mi), row.do_re_mi);
  }
}

TEST(NoteNames, EveryNameLeadsBack) {
  for (const NoteNames names : all_note_names()) EXPECT_EQ(note_names_named(name(names)), names);
  EXPECT_EQ(note_names_named("dutch"), std::nullopt);
}

TEST(NoteNames, TextKeepsToTheKeyboardInEnglish) {
  const Chord chord = *parse_chord("F#m7b5/B");
  EXPECT_EQ(text(chord, NoteNames::english), "F#m7b5/B");
  EXPECT_EQ(text(chord, NoteNames::german), "F♯m7♭5/H");
  EXPECT_EQ(text(*parse_pitch("Bb3"), NoteNames::english), "Bb3");
  EXPECT_EQ(text(*parse_pitch("Bb3"), NoteNames::german), "B3");
  EXPECT_EQ(text(*parse_tonality("F#m"), NoteNames::english), "F#m");
  EXPECT_EQ(text(*parse_tonality("F#m"), NoteNames::german), "F♯m");
  EXPECT_EQ(long_text(*parse_tonality("Bb"), NoteNames::german), "B major");
  EXPECT_EQ(long_text(*parse_tonality("Bm"), NoteNames::do_re_mi), "Si minor");
  EXPECT_EQ(text_of_symbol("N.C.", NoteNames::german), "N.C.");
  EXPECT_EQ(text_of_symbol("Bb", NoteNames::english), "Bb");
}

}  // namespace
}  // namespace stillhand::music
