// The plain oracle: thousands of small songs by chance, every way to give their chords shapes tried
// and priced by the checker's own adding up. The search must find the same cost and, among equals,
// the first in the order of the tie rule.
#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "arrange/arrange.h"
#include "arrange/right_hand_check.h"
#include "testing/amount.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

constexpr int kSongs = testing::part_of(2000);
constexpr std::size_t kMostAssignments = 250;  // songs with more are left to other solvers

// The keys and fingers a pin allows, worked out without right_hand.cc.
std::vector<Shape> pinned_shapes(const chart::Pin& pin, const Choices& choices) {
  std::vector<PianoKey> keys;
  for (const Pitch& pitch : pin.pitches) keys.push_back(pitch.key());
  auto all = hand::fingerings(keys, hand::Hand::right, choices.hand);
  if (!pin.fingers.empty()) {
    all.assign(1, {});
    for (int finger : pin.fingers) all[0].push_back(Finger(finger));
  }
  std::vector<Shape> shapes;
  for (const auto& fingers : all)
    shapes.push_back(*hand::shape_of(pin.chord, pin.pitches, fingers));
  const auto triad = hand::triad_inversion(shapes[0], pin.chord);
  if (!triad || !pin.fingers.empty()) return shapes;
  const auto customary = hand::customary_fingers(hand::Hand::right, *triad);
  return {*hand::shape_of(pin.chord, pin.pitches, customary)};
}

// The shapes that one of the song's chords may take, in canonical order.
std::vector<Shape> candidates(const Arrangement& a, std::size_t choice, const Choices& choices) {
  const ShapeChoice& wanted = a.right.shapes[choice];
  for (const chart::Pin& pin : a.song.pins) {
    const std::vector<std::size_t> sections =
        pin.section ? std::vector{*pin.section} : std::vector<std::size_t>{};
    if (pin.chord == wanted.chord && sections == wanted.sections && wanted.is_pinned)
      return pinned_shapes(pin, choices);
  }
  // The left hand has the root only if it never plays another bass under this chord.
  auto root = hand::RootIn::left_hand;
  for (std::size_t i = 0; i < a.chords.size(); ++i) {
    if (a.shape_of_chord[i] == choice && a.chords[i].chord->bass &&
        a.chords[i].chord->bass->pitch_class() != wanted.chord.root.pitch_class()) {
      root = hand::RootIn::right_hand;
    }
  }
  return hand::shapes(wanted.chord, choices.hand, choices.registers.limit, root);
}

using Candidates = std::vector<std::vector<Shape>>;

std::size_t assignments(const Candidates& shapes) {
  std::size_t product = 1;
  for (const auto& list : shapes) product *= list.size();
  return product;
}

// Every assignment in lexicographic order; the first of the cheapest.
Arrangement cheapest(Arrangement trial, const Candidates& shapes, const Choices& choices) {
  const std::size_t n = shapes.size();
  std::vector<std::size_t> at(n, 0);
  Arrangement best = trial;
  bool found = false;
  for (bool more = true; more;) {
    for (std::size_t i = 0; i < n; ++i) trial.right.shapes[i].shape = shapes[i][at[i]];
    trial.right.cost = plain_cost(trial, choices);
    if (!found || trial.right.cost < best.right.cost) best.right = trial.right;
    found = true;
    std::size_t i = n;
    while (i > 0 && ++at[i - 1] == shapes[i - 1].size()) at[--i] = 0;
    more = i > 0;
  }
  return best;
}

TEST(SongOracle, TheSearchFindsTheFirstCheapestShapesOfThousandsOfSongs) {
  std::mt19937 random(20262);
  int compared = 0;
  int pinned = 0;
  for (int drawn = 0; compared < kSongs; ++drawn) {
    ASSERT_LT(drawn, 20 * kSongs);
    Choices choices = testing::random_choices(random);
    Song song = testing::random_song(random);
    if (testing::below(random, 3) == 0)
      song.pins.push_back(testing::random_pin(random, song, choices));
    const Result<Arrangement> a = arrange(song, choices);
    ASSERT_TRUE(a) << render(a.error().front());
    Candidates shapes;
    for (std::size_t i = 0; i < a->right.shapes.size(); ++i)
      shapes.push_back(candidates(*a, i, choices));
    if (assignments(shapes) > kMostAssignments) continue;
    ++compared;
    pinned += song.pins.empty() ? 0 : 1;
    const Arrangement expected = cheapest(*a, shapes, choices);
    ASSERT_EQ(a->right.status, Status::optimal);
    ASSERT_EQ(a->right.cost, expected.right.cost) << "song " << drawn;
    ASSERT_EQ(a->right.lower_bound, expected.right.cost) << "song " << drawn;
    for (std::size_t i = 0; i < shapes.size(); ++i)
      ASSERT_EQ(a->right.shapes[i].shape, expected.right.shapes[i].shape) << "song " << drawn;
  }
  RecordProperty("songs", compared);
  RecordProperty("with_pins", pinned);
  EXPECT_GT(pinned, kSongs / 10);
}

}  // namespace
}  // namespace stillhand::arrange
