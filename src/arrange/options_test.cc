#include "arrange/options.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "arrange/arrange.h"
#include "arrange/right_hand_check.h"
#include "chart/chart.h"
#include "testing/amount.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

constexpr int kSongs = testing::part_of(300);

Song song_with(std::string_view body) {
  const std::string text = "title T\nkey D\nmeter 4/4\ntempo 72\n" + std::string(body);
  auto parsed = chart::parse(text, "song");
  EXPECT_TRUE(parsed) << (parsed ? "" : render(parsed.error().front()));
  return parsed->song;
}

Arrangement arranged(const Song& song, const Choices& choices = {}) {
  auto a = arrange(song, choices);
  EXPECT_TRUE(a) << (a ? "" : render(a.error().front()));
  return *a;
}

std::string told(const Arrangement& a, const OptionPassage& passage) {
  std::string out;
  for (std::size_t i = 0; i < passage.chords.size(); ++i) {
    if (!out.empty()) out += ", ";
    if (!passage.chords[i].chord) {
      out += "N.C.";
      continue;
    }
    out += text(*passage.chords[i].chord) + ":";
    for (const auto& note : a.shape_choice(*passage.shapes[i]).shape.notes)
      out += " " + text(note.pitch);
    out += " over " + text(passage.bass[i]->pitch);
  }
  return out;
}

constexpr const char* kStepping =
    "section A\n| D | G | Em A | D |\n| Bm | G | D - - Em | A |\nor stepping down\n"
    "| Bm D/A | G | D/F# - - Em | A7 |\nsection B\n| G | A | D | D |\n";

TEST(Options, KeepTheShapesTheySharesAndSolveTheOthers) {
  const Arrangement a = arranged(song_with(kStepping));
  ASSERT_EQ(a.options.lines.size(), 1U);
  ASSERT_EQ(a.options.shapes.size(), 1U);
  EXPECT_EQ(text(a.options.shapes[0].chord), "A7");
  EXPECT_EQ(a.options.status, Status::optimal);
  ASSERT_EQ(a.options.lines[0].passages.size(), 1U);
  // From the chord before the line, which the first one joins no more, to the chord after it.
  EXPECT_EQ(told(a, a.options.lines[0].passages[0]),
            "D: A3 D4 F#4 over D2, Bm: B3 D4 F#4 over B2, D/A: A3 D4 F#4 over A2, G: G3 B3 D4 over "
            "G2, D/F#: A3 D4 F#4 over F#2, Em: G3 B3 E4 over E2, A7: G3 A3 C#4 over A2, G: G3 B3 "
            "D4 over G2");
}

TEST(Options, ALineIsPlayedEachTimeItsSectionComes) {
  const Arrangement a = arranged(song_with(std::string(kStepping) + "road map A, B, A twice\n"));
  EXPECT_EQ(a.options.lines[0].passages.size(), 3U);
  const Arrangement never = arranged(song_with(std::string(kStepping) + "road map B\n"));
  ASSERT_EQ(never.options.lines.size(), 1U);
  EXPECT_TRUE(never.options.lines[0].passages.empty());
}

TEST(Options, WhatTheHandCannotPlayIsLeftOutWithAWarning) {
  const Song song = song_with(
      "section A\n| D | G | A | D |\nor too wide\n| D | Dadd9 | A | D |\nor fine\n| D | Em | A | D "
      "|\nshape Dadd9  E3 D4 F#4 A4\n");
  const Arrangement a = arranged(song);
  ASSERT_EQ(a.options.lines.size(), 1U);
  EXPECT_EQ(a.options.lines[0].place, (chart::OptionPlace{0, 0, 1}));
  ASSERT_EQ(a.remarks.size(), 1U);
  EXPECT_EQ(a.remarks[0].severity, Severity::warning);
  EXPECT_EQ(a.remarks[0].message,
            "this `or` line is left out: the pinned shape of Dadd9 cannot be played: its keys are "
            "too far apart for a medium hand");
  const auto taken = take_options(a, {}, {{0, 0, 0}});
  ASSERT_FALSE(taken);
  EXPECT_EQ(taken.error()[0].message,
            "the pinned shape of Dadd9 cannot be played: its keys are too far apart for a medium "
            "hand");
}

TEST(Options, TakenOnesArePlayedInsteadOfTheirLines) {
  const Song song = song_with(kStepping);
  const Arrangement plain = arranged(song);
  const auto taken = take_options(plain, {}, chart::first_options(song));
  ASSERT_TRUE(taken);
  EXPECT_EQ(text(*taken->chords[5].chord), "Bm");
  EXPECT_EQ(text(*taken->chords[6].chord), "D/A");
  for (const ShapeChoice& choice : plain.right.shapes) {
    const auto now = shape_for(taken->right.shapes, choice.chord, 0);
    if (!now) continue;
    EXPECT_EQ(taken->right.shapes[*now].shape, choice.shape);
  }
  EXPECT_TRUE(taken->options.lines.empty());
}

// ---- for every song

Song with_random_options(std::mt19937& random, Song song) {
  // Bars of another song by chance, in the meter and key of this one.
  for (chart::Section& section : song.sections) {
    for (chart::Line& line : section.lines) {
      if (testing::below(random, 3) == 0) continue;
      chart::Option option{"by chance", line.bars};
      for (chart::Bar& bar : option.bars) {
        for (chart::ChordEvent& event : bar.chords) {
          const int what = testing::below(random, 4);
          if (what == 0) continue;
          event.chord = music::Chord{bar.tonality.degree(1 + testing::below(random, 7)),
                                     *music::parse_quality(what == 1   ? ""
                                                           : what == 2 ? "m7"
                                                                       : "9"),
                                     std::nullopt};
          if (testing::below(random, 4) == 0)
            event.chord->bass = bar.tonality.degree(1 + testing::below(random, 7));
        }
      }
      line.options.push_back(std::move(option));
    }
  }
  return song;
}

bool same_bass(const BassNote& a, const BassNote& b) {
  return a.pitch == b.pitch && a.finger == b.finger && a.reach == b.reach &&
         a.position == b.position && a.shifts == b.shifts;
}

TEST(Options, NeverChangeThePlainSong) {
  std::mt19937 random(5);
  for (int trial = 0; trial < kSongs; ++trial) {
    const Choices choices = testing::random_choices(random);
    const Song plain = testing::random_song(random);
    const Arrangement without = arranged(plain, choices);
    const Arrangement with = arranged(with_random_options(random, plain), choices);
    ASSERT_EQ(with.right.cost, without.right.cost);
    ASSERT_EQ(with.shape_of_chord, without.shape_of_chord);
    for (std::size_t i = 0; i < without.right.shapes.size(); ++i)
      ASSERT_EQ(with.right.shapes[i].shape, without.right.shapes[i].shape);
    ASSERT_EQ(with.left.cost, without.left.cost);
    ASSERT_EQ(with.left.positions, without.left.positions);
    for (std::size_t i = 0; i < without.left.bass.size(); ++i) {
      ASSERT_EQ(with.left.bass[i].has_value(), without.left.bass[i].has_value());
      if (!with.left.bass[i]) continue;
      ASSERT_TRUE(same_bass(*with.left.bass[i], *without.left.bass[i]));
    }
  }
}

// Both hands: arrange() and take_options() fail on what their checkers find.
TEST(Options, AnyCanBePlayedAndOutsideThemEverythingStays) {
  std::mt19937 random(6);
  int options = 0;
  for (int trial = 0; trial < kSongs; ++trial) {
    const Choices choices = testing::random_choices(random);
    const Song song = with_random_options(random, testing::random_song(random));
    const Arrangement plain = arranged(song, choices);
    ASSERT_EQ(plain.options.status, Status::optimal);
    std::vector<chart::OptionPlace> playable;
    for (const ArrangedOption& option : plain.options.lines) playable.push_back(option.place);
    options += static_cast<int>(playable.size());
    const auto taken = take_options(plain, choices, playable);
    ASSERT_TRUE(taken) << render(taken.error().front());
    ASSERT_EQ(taken->bars.size(), plain.bars.size());
    for (std::size_t i = 0; i < taken->chords.size(); ++i) {
      if (!taken->chords[i].chord) continue;
      EXPECT_TRUE(taken->left.bass[i]);
      EXPECT_LT(taken->left.bass[i]->pitch.key(), taken->shape_at(i)->lowest());
    }
  }
  EXPECT_GT(options, kSongs / 2);
}

// No other shapes of the chords that only options have cost less: all are tried.
TEST(Options, AreSolvedExactly) {
  std::mt19937 random(7);
  int compared = 0;
  for (int trial = 0; trial < kSongs; ++trial) {
    const Choices choices = testing::random_choices(random);
    Arrangement a = arranged(with_random_options(random, testing::random_song(random)), choices);
    std::vector<std::vector<Shape>> shapes;
    std::size_t product = 1;
    for (std::size_t s = 0; s < a.options.shapes.size(); ++s) {
      auto root = hand::RootIn::left_hand;
      for (const ArrangedOption& option : a.options.lines) {
        for (const OptionPassage& passage : option.passages) {
          for (std::size_t i = 0; i < passage.chords.size(); ++i) {
            const auto& played = passage.chords[i].chord;
            if (passage.shapes[i] == a.right.shapes.size() + s &&
                played->bass_note().pitch_class() != played->root.pitch_class())
              root = hand::RootIn::right_hand;
          }
        }
      }
      shapes.push_back(
          hand::shapes(a.options.shapes[s].chord, choices.hand, choices.registers.limit, root));
      product *= shapes.back().size();
    }
    if (product > 400 || product == 1) continue;
    ++compared;
    const Cost found = a.options.cost;
    std::optional<Cost> least;
    for (std::size_t code = 0; code < product; ++code) {
      std::size_t rest = code;
      for (std::size_t s = 0; s < shapes.size(); ++s) {
        a.options.shapes[s].shape = shapes[s][rest % shapes[s].size()];
        rest /= shapes[s].size();
      }
      const Cost cost = options_cost(a, choices);
      if (!least || cost < *least) least = cost;
    }
    EXPECT_EQ(found, *least);
  }
  EXPECT_GE(compared, testing::at_least(26));
}

}  // namespace
}  // namespace stillhand::arrange
