// What must hold for every song, whatever the weights: tried on songs by chance.
#include <gtest/gtest.h>

#include <random>

#include "arrange/arrange.h"
#include "arrange/right_hand.h"
#include "testing/amount.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

constexpr int kSongs = testing::part_of(300);
constexpr music::Semitones kOctave{12};

struct Solved {
  RightHandTask task;
  Solution solution;
  const Shape& shape(std::size_t variable) const {
    return task.variables[variable].shapes[solution.values[variable]];
  }
};

// The right hand alone.
Solved right_hand_of(const Song& song, const Choices& choices) {
  const auto chords = chart::played_chords(song, chart::perform(song));
  RightHandTask task = right_hand_task(song, chords, choices).value();
  Solution solution = solve(task.network, choices.state_limit);
  EXPECT_EQ(solution.status, Status::optimal);
  return {std::move(task), std::move(solution)};
}

hand::Register an_octave_up(hand::Register r) { return {r.lowest + kOctave, r.highest + kOctave}; }

TEST(ArrangeProperties, AnOctaveHigherEverythingIsTheSameAnOctaveHigher) {
  std::mt19937 random(1);
  for (int trial = 0; trial < kSongs; ++trial) {
    const Song song = testing::random_song(random);
    const Choices here = testing::random_choices(random);
    Choices there = here;
    there.registers = {an_octave_up(here.registers.limit), an_octave_up(here.registers.preferred)};
    const Solved low = right_hand_of(song, here);
    const Solved high = right_hand_of(song, there);
    ASSERT_EQ(low.solution.cost, high.solution.cost);
    for (std::size_t v = 0; v < low.task.variables.size(); ++v) {
      const auto& a = low.shape(v).notes;
      const auto& b = high.shape(v).notes;
      ASSERT_EQ(a.size(), b.size());
      for (std::size_t i = 0; i < a.size(); ++i) {
        EXPECT_EQ(b[i].key(), a[i].key() + kOctave);
        EXPECT_EQ(b[i].finger, a[i].finger);
        EXPECT_EQ(b[i].degree, a[i].degree);
      }
    }
  }
}

TEST(ArrangeProperties, ALowerWeightNeverRaisesTheCost) {
  std::mt19937 random(2);
  for (int trial = 0; trial < kSongs / 10; ++trial) {
    const Song song = testing::random_song(random);
    const Choices before = testing::random_choices(random);
    const Cost cost = right_hand_of(song, before).solution.cost;
    for (const WeightName& weight : right_hand_weight_names()) {
      Choices after = before;
      after.manner.right.*weight.member /= 2;
      EXPECT_LE(right_hand_of(song, after).solution.cost, cost) << weight.name;
    }
  }
}

// Any shape that the search may take, with its fingers or without. (A pin may also ask for a shape
// that is never offered, such as one without its root over another bass: that may well be cheaper.)
TEST(ArrangeProperties, APinNeverLowersTheCost) {
  std::mt19937 random(3);
  for (int trial = 0; trial < kSongs; ++trial) {
    const Choices choices = testing::random_choices(random);
    Song song = testing::random_song(random);
    const Solved free = right_hand_of(song, choices);
    const Variable& variable = free.task.variables.front();
    const auto& shapes = variable.shapes;
    const Shape& shape =
        shapes[static_cast<std::size_t>(testing::below(random, static_cast<int>(shapes.size())))];
    chart::Pin pin;
    pin.chord = variable.chord;
    const bool with_fingers = testing::below(random, 2) == 0;
    for (const hand::ShapeNote& note : shape.notes) {
      pin.pitches.push_back(note.pitch);
      if (with_fingers) pin.fingers.push_back(note.finger.number());
    }
    song.pins.push_back(pin);
    EXPECT_GE(right_hand_of(song, choices).solution.cost, free.solution.cost);
  }
}

TEST(ArrangeProperties, TheCheapestPriceIsThatOfTheShapeTaken) {
  std::mt19937 random(4);
  for (int trial = 0; trial < kSongs / 5; ++trial) {
    const Choices choices = testing::random_choices(random);
    const Song song = testing::random_song(random);
    const Solved best = right_hand_of(song, choices);
    const std::size_t last = best.task.variables.size() - 1;
    const auto list = prices(song, choices, best.task.variables[last].chord).value();
    ASSERT_EQ(list.size(), best.task.variables[last].shapes.size());
    EXPECT_EQ(list.front().more, Cost(0));
    EXPECT_EQ(list.front().cost, best.solution.cost);
    bool taken_is_free = false;
    for (const Price& price : list) {
      EXPECT_EQ(price.status, Status::optimal);
      EXPECT_EQ(price.cost, best.solution.cost + price.more);
      EXPECT_GE(price.more, Cost(0));
      taken_is_free = taken_is_free || (price.shape == best.shape(last) && price.more == Cost(0));
    }
    EXPECT_TRUE(taken_is_free);
  }
}

}  // namespace
}  // namespace stillhand::arrange
