#include "teach/calls.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <utility>

#include "music/chord.h"

namespace stillhand::teach {
namespace {

using music::NoteNames;
using music::Tick;
using perform::Performance;
using ::testing::ElementsAre;

TEST(SpokenChord, IsWhatATeacherCallsOut) {
  // Common practice, no source.
  const std::pair<const char*, const char*> table[] = {
      {"G", "G"},
      {"G/B", "G over B"},
      {"Em7", "E minor seven"},
      {"F#m", "F sharp minor"},
      {"Bb", "B flat"},
      {"Bbmaj7/D", "B flat major seven over D"},
      {"F#m7b5/E", "F sharp minor seven flat five over E"},
      {"Asus4", "A sus four"},
      {"A7sus4", "A seven sus four"},
      {"Cadd9", "C add nine"},
      {"Dmadd9", "D minor add nine"},
      {"C6/9", "C six nine"},
      {"Cm(maj7)", "C minor major seven"},
      {"Bdim7", "B diminished seven"},
      {"Eb13", "E flat thirteen"},
      {"E7#9", "E seven sharp nine"},
      {"C5", "C five"},
      {"N.C.", "no chord"},
      {"what", ""},
  };
  for (const auto& [symbol, words] : table)
    EXPECT_EQ(spoken_chord(symbol, NoteNames::english), words) << symbol;
}

TEST(SpokenChord, HasTheStudentsNamesOfNotes) {
  EXPECT_EQ(spoken_chord("B7/F#", NoteNames::german), "H seven over Fis");
  EXPECT_EQ(spoken_chord("Bb", NoteNames::german), "B");
  EXPECT_EQ(spoken_chord("F#m", NoteNames::do_re_mi), "Fa sharp minor");
}

TEST(SpokenChord, EveryKnownChordHasWordsOfItsOwn) {
  std::set<std::string> seen;
  for (const music::ChordQuality& quality : music::known_qualities()) {
    const std::string words = spoken_chord("C" + quality.suffix, NoteNames::english);
    EXPECT_TRUE(seen.insert(words).second) << quality.suffix << ": " << words;
    EXPECT_EQ(words.find_first_not_of("C abcdefghijklmnopqrstuvwxyz"), std::string::npos) << words;
  }
}

Performance four_bars() {
  Performance p;
  p.tempo = music::Tempo(60);
  p.meters = {{Tick(0), *music::Meter::make(3, 4)}};
  p.count_in = Tick(2880);
  p.end = Tick(2880 * 5);
  for (int i = 0; i < 15; ++i) p.clicks.push_back({Tick(960 * i), i % 3 == 0});
  p.chords = {{Tick(2880), "G"}, {Tick(5760), "G"}, {Tick(8640), "D/F#"}, {Tick(11520), "N.C."}};
  return p;
}

TEST(Calls, CountInTheCountInAndCallEachChangeACountAhead) {
  EXPECT_THAT(calls(four_bars(), NoteNames::english),
              ElementsAre(Call{Tick(0), Tick(0), "one", CallKind::count},
                          Call{Tick(960), Tick(960), "two", CallKind::count},
                          Call{Tick(1920), Tick(1920), "three", CallKind::count},
                          Call{Tick(1920), Tick(2880), "G", CallKind::chord},
                          Call{Tick(7680), Tick(8640), "D over F sharp", CallKind::chord},
                          Call{Tick(10560), Tick(11520), "no chord", CallKind::chord}));
}

TEST(Calls, CallTheSameChordAgainAfterACountIn) {
  Performance p = four_bars();
  p.later_count_ins = {{Tick(5760), Tick(8640)}};
  p.chords = {{Tick(2880), "G"}, {Tick(8640), "G"}};
  const auto all = calls(p, NoteNames::english);
  EXPECT_EQ(std::count_if(all.begin(), all.end(), [](const Call& c) { return c.says == "G"; }), 2);
  EXPECT_EQ(std::count_if(all.begin(), all.end(), [](const Call& c) { return c.says == "three"; }),
            2);
}

TEST(Calls, AheadIsACountOfTheMeterBefore) {
  Performance p = four_bars();
  p.meters.push_back({Tick(8640), *music::Meter::make(6, 8)});  // its count is longer
  EXPECT_EQ(calls(p, NoteNames::english)[4].at, Tick(7680));
}

TEST(Calls, WithoutACountInTheFirstChordIsCalledAtTheBeginning) {
  Performance p = four_bars();
  p.count_in = Tick(0);
  p.chords = {{Tick(0), "G"}};
  EXPECT_THAT(calls(p, NoteNames::english),
              ElementsAre(Call{Tick(0), Tick(0), "G", CallKind::chord}));
}

}  // namespace
}  // namespace stillhand::teach
