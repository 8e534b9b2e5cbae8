#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "arrange/right_hand.h"
#include "hand/shape.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

// A pin as an example leaves its chord every shape, and names the ones that the pin as an order
// would allow.
TEST(RightHandExamples, NameThePinnedShapesAmongAll) {
  std::mt19937 random(7);
  for (int i = 0; i < 60; ++i) {
    Song song = testing::random_song(random);
    const Choices choices = testing::random_choices(random);
    song.pins.push_back(testing::random_pin(random, song, choices));
    const auto chords = chart::played_chords(song, chart::perform(song));
    const auto orders = right_hand_task(song, chords, choices);
    const auto examples = right_hand_task(song, chords, choices, Pins::examples);
    ASSERT_EQ(orders.has_value(), examples.has_value());
    if (!orders) continue;
    ASSERT_EQ(orders->variable_at, examples->variable_at);
    for (std::size_t v = 0; v < orders->variables.size(); ++v) {
      const Variable& order = orders->variables[v];
      const Variable& example = examples->variables[v];
      EXPECT_EQ(example.is_pinned, !example.pinned.empty());
      if (!order.is_pinned) {
        EXPECT_EQ(order.shapes, example.shapes);
        continue;
      }
      EXPECT_GE(example.shapes.size(), order.shapes.size());
      ASSERT_EQ(example.pinned.size(), order.shapes.size());
      for (const std::size_t index : example.pinned) {
        const Shape& shape = example.shapes[index];
        EXPECT_NE(std::find(order.shapes.begin(), order.shapes.end(), shape), order.shapes.end());
      }
    }
  }
}

}  // namespace
}  // namespace stillhand::arrange
