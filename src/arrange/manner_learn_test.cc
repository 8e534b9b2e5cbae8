#include "arrange/manner_learn.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "arrange/cost_tables.h"
#include "arrange/solver.h"
#include "chart/chart.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

using ::testing::HasSubstr;

Song song_of(const std::string& text, const std::string& file = "a.stillhand") {
  return chart::parse(text, file).value().song;
}

const std::string kLoop =
    "title Loop\nkey C\nmeter 4/4\ntempo 80\n\nsection Verse\n| C | F | G | C |\n";

std::vector<Shape> unpinned_shapes(Song song, const Manner& manner) {
  song.pins.clear();
  Choices choices;
  choices.manner = manner;
  const auto task =
      right_hand_task(song, chart::played_chords(song, chart::perform(song)), choices);
  const Solution solution = solve(task->network, choices.state_limit);
  std::vector<Shape> out;
  for (std::size_t v = 0; v < solution.values.size(); ++v)
    out.push_back(task->variables[v].shapes[solution.values[v]]);
  return out;
}

void pin_everything(Song& song, const Manner& manner) {
  song.pins.clear();
  const auto task =
      right_hand_task(song, chart::played_chords(song, chart::perform(song)), Choices{});
  const std::vector<Shape> shapes = unpinned_shapes(song, manner);
  for (std::size_t v = 0; v < shapes.size(); ++v) {
    chart::Pin pin;
    pin.chord = task->variables[v].chord;
    for (const hand::ShapeNote& note : shapes[v].notes) {
      pin.pitches.push_back(note.pitch);
      pin.fingers.push_back(note.finger.number());
    }
    song.pins.push_back(pin);
  }
}

// A song that the medium hand can play.
Song playable_song(std::mt19937& random) {
  while (true) {
    Song song = testing::random_song(random);
    if (right_hand_task(song, chart::played_chords(song, chart::perform(song)), Choices{}))
      return song;
  }
}

TEST(CostTables, AddUpToTheNetwork) {
  std::mt19937 random(3);
  for (int i = 0; i < 12; ++i) {
    const Song song = playable_song(random);
    const auto chords = chart::played_chords(song, chart::perform(song));
    Choices choices;
    for (const WeightName& weight : right_hand_weight_names())
      choices.manner.right.*weight.member = testing::below(random, 300);
    const auto task = right_hand_task(song, chords, choices);
    const auto tables = CostTables::of(song, choices);
    const Amounts prices = prices_of(choices.manner.right);
    // The tables leave out the percent and count in hundredths: both make 100. Every change is
    // rounded down by less than a percent of a point, and by a percent of haste.
    const Network network = tables->network(prices);
    for (std::size_t v = 0; v < network.unary.size(); ++v) {
      for (std::size_t a = 0; a < network.unary[v].size(); ++a) {
        const auto exact = static_cast<double>(task->network.unary[v][a]);
        EXPECT_NEAR(static_cast<double>(network.unary[v][a]), exact, 1 + exact * 1e-5);
      }
    }
    ASSERT_EQ(network.edges.size(), task->network.edges.size());
    for (std::size_t e = 0; e < network.edges.size(); ++e) {
      for (std::size_t k = 0; k < network.edges[e].costs.size(); ++k) {
        const auto exact = static_cast<double>(task->network.edges[e].costs[k]);
        EXPECT_NEAR(static_cast<double>(network.edges[e].costs[k]), exact, 5000 + exact * 0.01);
      }
    }
    // A difference is the same as two whole sums.
    std::vector<std::size_t> values(network.unary.size(), 0);
    const Amounts before = tables->amounts(values);
    const Amounts difference = tables->difference(values, 0, network.unary[0].size() - 1);
    values[0] = network.unary[0].size() - 1;
    const Amounts after = tables->amounts(values);
    for (std::size_t t = 0; t < before.size(); ++t)
      EXPECT_NEAR(after[t] - before[t], difference[t], 1e-6);
  }
}

// Songs by chance, pinned by the manner closest: what is learned from ten agrees with it on others.
TEST(MannerLearn, FindsAHiddenMannerFromPinnedSongs) {
  std::mt19937 random(11);
  std::vector<Song> pinned;
  for (int i = 0; i < 10; ++i) {
    pinned.push_back(playable_song(random));
    pin_everything(pinned.back(), Manner::closest());
  }
  const auto learned = learn_manner(pinned, Choices{});
  ASSERT_TRUE(learned);
  EXPECT_GE(learned->by_learned * 100, learned->pins * 95);
  double own = 0;
  double home = 0;
  double all = 0;
  for (int i = 0; i < 20; ++i) {
    const Song unseen = playable_song(random);
    const auto wanted = unpinned_shapes(unseen, Manner::closest());
    const auto by_own = unpinned_shapes(unseen, learned->manner);
    const auto by_home = unpinned_shapes(unseen, Manner::home());
    for (std::size_t v = 0; v < wanted.size(); ++v) {
      ++all;
      own += by_own[v] == wanted[v] ? 1 : 0;
      home += by_home[v] == wanted[v] ? 1 : 0;
    }
  }
  EXPECT_LE(all - own, (all - home) / 2) << own << " and " << home << " of " << all;
}

TEST(MannerLearn, GivesTheSameFileAgainAndItCanBeRead) {
  std::mt19937 random(2);
  std::vector<Song> pinned{playable_song(random), playable_song(random)};
  for (Song& song : pinned) pin_everything(song, Manner::closest());
  const auto once = learn_manner(pinned, Choices{});
  const auto again = learn_manner(pinned, Choices{});
  ASSERT_TRUE(once && again);
  const std::string text = manner_file(once->manner, *once);
  EXPECT_EQ(text, manner_file(again->manner, *again));
  const auto read = Manner::read(text, "mine.json");
  ASSERT_TRUE(read) << render(read.error().front());
  EXPECT_EQ(read->right, once->manner.right);
  EXPECT_EQ(read->name, "learned");
  EXPECT_THAT(text, HasSubstr("Fitted to the pins in: By chance, By chance."));
}

TEST(MannerLearn, WhatTheDefaultPlaysAnywayIsKept) {
  Song song = song_of(kLoop);
  pin_everything(song, Manner::home());
  const auto learned = learn_manner({song}, Choices{});
  ASSERT_TRUE(learned);
  EXPECT_EQ(learned->pins, 3U);
  EXPECT_EQ(learned->by_home, 3U);
  EXPECT_EQ(learned->by_learned, 3U);
  EXPECT_EQ(learned->started_from, "home");
  EXPECT_TRUE(learned->remarks.empty());
}

TEST(MannerLearn, ChordsLeftFreeAreNoExamples) {
  const auto learned = learn_manner({song_of(kLoop + "\nshape C  C4 E4 G4\n")}, Choices{});
  ASSERT_TRUE(learned);
  EXPECT_EQ(learned->pins, 1U);
  EXPECT_EQ(learned->by_learned, 1U);
}

TEST(MannerLearn, NoPinsIsAnError) {
  const auto learned = learn_manner({song_of(kLoop)}, Choices{});
  ASSERT_FALSE(learned);
  EXPECT_EQ(render(learned.error().front()),
            "a.stillhand: error: there is nothing to learn from: no chord that is played has a "
            "pinned shape\n  pin the shapes that you teach, for example `shape G  G3 B3 D4`");
  EXPECT_FALSE(learn_manner({}, Choices{}));
}

TEST(MannerLearn, APinThatCannotBePlayedIsLocated) {
  const auto learned = learn_manner({song_of(kLoop + "\nshape C  G3 E4 C5\n"),
                                     song_of(kLoop + "\nshape G  G3 G4 D5\n", "b.stillhand")},
                                    Choices{});
  ASSERT_FALSE(learned);
  ASSERT_EQ(learned.error().size(), 2U);
  EXPECT_EQ(learned.error()[0].place.line, 9);
  EXPECT_EQ(learned.error()[1].file, "b.stillhand");
}

// The same song twice, with different shapes of one chord and everything else alike.
TEST(MannerLearn, SaysWhichPinsContradictEachOther) {
  const std::string others = "\nshape F  F3 A3 C4\nshape G  G3 B3 D4\n";
  const auto learned =
      learn_manner({song_of(kLoop + others + "shape C  E3 G3 C4\n"),
                    song_of(kLoop + others + "shape C  G3 C4 E4\n", "b.stillhand")},
                   Choices{});
  ASSERT_TRUE(learned);
  ASSERT_FALSE(learned->remarks.empty());
  const auto& remarks = learned->remarks;
  const auto found = std::find_if(remarks.begin(), remarks.end(), [](const Diagnostic& d) {
    return d.severity == Severity::warning;
  });
  ASSERT_NE(found, remarks.end());
  EXPECT_EQ(found->place.line, 11);
  EXPECT_THAT(found->message, HasSubstr("C as"));
}

}  // namespace
}  // namespace stillhand::arrange
