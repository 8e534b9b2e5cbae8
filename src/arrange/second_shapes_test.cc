#include "arrange/second_shapes.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <set>

#include "arrange/options.h"
#include "arrange/right_hand_check.h"
#include "chart/chart.h"
#include "testing/amount.h"
#include "testing/corpus.h"
#include "testing/network_files.h"
#include "testing/random_songs.h"

namespace stillhand::arrange {
namespace {

using ::testing::ElementsAre;

// Moves weigh more than postures, so that second shapes are worth having; a third of the time as they come.
Choices random_choices(std::mt19937& random) {
  Choices choices = testing::random_choices(random);
  RightHandWeights& w = choices.manner.right;
  if (testing::below(random, 3) == 0) return choices;
  for (int RightHandWeights::*weight :
       {&RightHandWeights::inversion, &RightHandWeights::tonic_inversion,
        &RightHandWeights::register_pull, &RightHandWeights::outside_register,
        &RightHandWeights::learn_root_position, &RightHandWeights::learn_inversion})
    w.*weight /= 10;
  w.semitones = w.finger = 20;
  return choices;
}

Choices allowing(Choices choices, int price) {
  choices.second_shapes = SecondShapes::allow;
  choices.manner.right.second_shape = price;
  return choices;
}

// Three sections; the third has the bars of the second the other way round.
Song song_in_sections(std::mt19937& random) {
  Song song = testing::random_song(random);
  while (song.sections.size() < 2) song = testing::random_song(random);
  chart::Section third = song.sections[1];
  third.name = "C";
  auto& bars = third.lines[0].bars;
  std::reverse(bars.begin(), bars.end());
  bars.front().chords.front().chord = bars.back().chords.front().chord;  // no N.C.
  song.sections.push_back(third);
  song.road_map.push_back({2, 1});
  return song;
}

Arrangement arranged(const Song& song, const Choices& choices) {
  Result<Arrangement> a = arrange(song, choices);
  EXPECT_TRUE(a) << render(a.error().front());
  return std::move(*a);
}

std::size_t second_shapes(const Arrangement& a) {
  return static_cast<std::size_t>(std::count_if(
      a.right.shapes.begin(), a.right.shapes.end(),
      [](const ShapeChoice& choice) { return !choice.is_pinned && !choice.sections.empty(); }));
}

// ---- every way tried

// One chord that is played the same wherever it has one shape: all its sections.
struct Playing {
  std::size_t choice;  // in Arrangement::right.shapes
  std::size_t section;
};

std::vector<Playing> playings(const Arrangement& one) {
  std::vector<Playing> out;
  std::set<std::pair<std::size_t, std::size_t>> seen;
  for (std::size_t i = 0; i < one.chords.size(); ++i) {
    if (!one.shape_of_chord[i] || one.right.shapes[*one.shape_of_chord[i]].is_pinned) continue;
    if (seen.emplace(*one.shape_of_chord[i], one.chords[i].section).second)
      out.push_back({*one.shape_of_chord[i], one.chords[i].section});
  }
  return out;
}

std::vector<Shape> candidates(const Arrangement& one, std::size_t choice, const Choices& choices) {
  const Chord& chord = one.right.shapes[choice].chord;
  auto root = hand::RootIn::left_hand;
  for (std::size_t i = 0; i < one.chords.size(); ++i) {
    if (one.shape_of_chord[i] == choice &&
        one.chords[i].chord->bass_note().pitch_class() != chord.root.pitch_class())
      root = hand::RootIn::right_hand;
  }
  return hand::shapes(chord, choices.hand, choices.registers.limit, root);
}

// The arrangement in which each playing has its shape; nullopt where a chord would have three.
std::optional<Arrangement> played_so(const Arrangement& one, const std::vector<Playing>& all,
                                     const std::vector<const Shape*>& shapes) {
  Arrangement out = one;
  out.right.shapes.clear();
  std::map<std::pair<std::size_t, std::size_t>, std::size_t> index;
  std::vector<std::size_t> moved_to;
  for (std::size_t c = 0; c < one.right.shapes.size(); ++c) {
    moved_to.push_back(out.right.shapes.size());
    ShapeChoice first = one.right.shapes[c];
    std::optional<ShapeChoice> second;
    bool is_seen = false;
    for (std::size_t p = 0; p < all.size(); ++p) {
      if (all[p].choice != c) continue;
      if (!is_seen) first.shape = *shapes[p];
      is_seen = true;
      index[{c, all[p].section}] = moved_to.back();
      if (first.shape == *shapes[p]) continue;
      if (!second) second = ShapeChoice{first.chord, *shapes[p], false, {}};
      if (!(second->shape == *shapes[p])) return std::nullopt;
      second->sections.push_back(all[p].section);
      index[{c, all[p].section}] = moved_to.back() + 1;
    }
    out.right.shapes.push_back(first);
    if (second) out.right.shapes.push_back(*second);
  }
  for (std::size_t i = 0; i < one.chords.size(); ++i) {
    const auto& before = one.shape_of_chord[i];
    if (!before) continue;
    const auto found = index.find({*before, one.chords[i].section});
    out.shape_of_chord[i] = found == index.end() ? moved_to[*before] : found->second;
  }
  return out;
}

Cost cheapest_of_all(const Arrangement& one, const std::vector<Playing>& all,
                     const std::vector<std::vector<Shape>>& shapes, const Choices& choices) {
  Cost best = one.right.cost;
  std::vector<std::size_t> at(all.size(), 0);
  for (bool more = true; more;) {
    std::vector<const Shape*> taken;
    for (std::size_t p = 0; p < all.size(); ++p) taken.push_back(&shapes[p][at[p]]);
    if (const auto trial = played_so(one, all, taken))
      best = std::min(best, plain_cost(*trial, choices));
    std::size_t p = all.size();
    while (p > 0 && ++at[p - 1] == shapes[p - 1].size()) at[--p] = 0;
    more = p > 0;
  }
  return best;
}

TEST(SecondShapes, AreTheCheapestOfAllWaysToPlayTheSong) {
  constexpr int kSongs = testing::part_of(100);
  constexpr std::size_t kMostWays = 5000;
  std::mt19937 random(31);
  int compared = 0;
  int with_second = 0;
  for (int drawn = 0; compared < kSongs; ++drawn) {
    ASSERT_LT(drawn, 100 * kSongs);
    Choices choices = allowing(random_choices(random), testing::below(random, 3));
    // Few shapes for each chord, so that all can be tried.
    choices.registers.limit.highest = choices.registers.limit.lowest + music::Semitones(14);
    Song song = song_in_sections(random);
    if (testing::below(random, 2) == 0) {
      song.sections.pop_back();
      song.road_map.pop_back();
    }
    Choices off = choices;
    off.second_shapes = SecondShapes::leave_out;
    Result<Arrangement> one = arrange(song, off);
    if (!one) continue;
    if (testing::below(random, 4) == 0) {
      song.pins.push_back(testing::random_pin(random, song, choices));
      one = arrange(song, off);
      ASSERT_TRUE(one) << render(one.error().front());
    }
    const std::vector<Playing> all = playings(*one);
    std::vector<std::vector<Shape>> shapes;
    std::size_t product = 1;
    for (const Playing& playing : all) {
      shapes.push_back(candidates(*one, playing.choice, choices));
      product *= shapes.back().size();
      if (product > kMostWays) break;
    }
    if (product > kMostWays || product == 1) continue;
    ++compared;
    const Arrangement a = arranged(song, choices);
    ASSERT_EQ(a.right.status, Status::optimal);
    ASSERT_EQ(a.right.cost, cheapest_of_all(*one, all, shapes, choices)) << "song " << drawn;
    with_second += second_shapes(a) > 0 ? 1 : 0;
  }
  RecordProperty("with_second_shapes", with_second);
  EXPECT_GE(with_second, testing::at_least(3));
}

// ---- properties

TEST(SecondShapes, NeverCostMoreThanOneShapeForEachChordAndLessWhereTheyAreCheaper) {
  std::mt19937 random(32);
  int gained = 0;
  for (int trial = 0; trial < testing::part_of(100); ++trial) {
    const Choices choices = random_choices(random);
    const Song song = song_in_sections(random);
    const Cost one = arranged(song, choices).right.cost;
    Cost before = one;
    for (const int price : {1000, 60, 10, 0}) {
      const Arrangement a = arranged(song, allowing(choices, price));
      EXPECT_LE(a.right.cost, before) << price;
      EXPECT_LE(a.right.lower_bound, a.right.cost);
      before = a.right.cost;
      gained += second_shapes(a) > 0 ? 1 : 0;
    }
  }
  EXPECT_GE(gained, testing::at_least(31));
}

TEST(SecondShapes, AreLeftOutUnlessAllowed) {
  std::mt19937 random(33);
  for (int trial = 0; trial < testing::part_of(100); ++trial) {
    Choices choices = random_choices(random);
    const Song song = song_in_sections(random);
    choices.manner.right.second_shape = 0;
    const Arrangement a = arranged(song, choices);
    choices.manner.right.second_shape = 500;
    const Arrangement b = arranged(song, choices);
    EXPECT_EQ(second_shapes(a), 0U);
    EXPECT_EQ(a.right.cost, b.right.cost);
    for (std::size_t i = 0; i < a.right.shapes.size(); ++i)
      EXPECT_EQ(a.right.shapes[i].shape, b.right.shapes[i].shape);
  }
}

TEST(SecondShapes, ASearchCutShortSaysSoAndIsNoWorseThanOneShape) {
  std::mt19937 random(34);
  int cut_short = 0;
  for (int trial = 0; trial < testing::part_of(100); ++trial) {
    Choices choices = random_choices(random);
    const Song song = song_in_sections(random);
    const Cost one = arranged(song, choices).right.cost;
    const Cost best = arranged(song, allowing(choices, 5)).right.cost;
    choices.second_shapes_state_limit = 3;
    const Arrangement a = arranged(song, allowing(choices, 5));
    EXPECT_LE(a.right.cost, one);
    EXPECT_LE(a.right.lower_bound, best);
    cut_short += a.right.status == Status::limit_reached ? 1 : 0;
  }
  EXPECT_GE(cut_short, testing::at_least(51));
}

// arrange() and take_options() fail on what their checkers find.
TEST(SecondShapes, StayWhatTheyAreWhereOptionsArePlayed) {
  std::mt19937 random(35);
  int with_second = 0;
  for (int trial = 0; trial < testing::part_of(100); ++trial) {
    const Choices choices = allowing(random_choices(random), 0);
    Song song = song_in_sections(random);
    chart::Line& line = song.sections[2].lines[0];
    line.options.push_back({"as in B", song.sections[1].lines[0].bars});
    const Arrangement plain = arranged(song, choices);
    const auto taken = take_options(plain, choices, chart::first_options(song));
    ASSERT_TRUE(taken) << render(taken.error().front());
    with_second += second_shapes(*taken) > 0 ? 1 : 0;
  }
  EXPECT_GE(with_second, testing::at_least(16));
}

// ---- a song

Song two_loops() {
  std::string text = "title Two Loops\nkey C\n\nsection Verse\n";
  for (int i = 0; i < 8; ++i) text += "| C | Am |\n";
  text += "\nsection Chorus\n";
  for (int i = 0; i < 4; ++i) text += "| Am | F | C | G |\n";
  return chart::parse(text, "loops.stillhand")->song;
}

// In the chorus C lies in second inversion among its neighbours; in the verse, beside Am alone, it stays at home.
TEST(SecondShapes, AreForTheSectionsThatAreNamed) {
  Choices choices;
  const Arrangement one = arranged(two_loops(), choices);
  const Arrangement dear = arranged(two_loops(), allowing(choices, kLargestWeight));
  EXPECT_EQ(one.right.shapes.size(), 4U);
  EXPECT_EQ(dear.right.shapes.size(), 4U);
  EXPECT_EQ(dear.right.cost, one.right.cost);
  const Arrangement two =
      arranged(two_loops(), allowing(choices, choices.manner.right.second_shape));
  ASSERT_LT(two.right.cost, one.right.cost);
  ASSERT_EQ(second_shapes(two), 1U);
  EXPECT_EQ(two.right.shapes[0].chord, two.right.shapes[1].chord);
  EXPECT_EQ(two.right.shapes[0].shape.inversion, hand::Inversion::root_position);
  EXPECT_THAT(two.right.shapes[0].sections, ElementsAre());
  EXPECT_EQ(two.right.shapes[1].shape.inversion, hand::Inversion::second);
  EXPECT_THAT(two.right.shapes[1].sections, ElementsAre(1U));
}

// ---- the checker

TEST(SecondShapesCheck, FindsWhatIsWrong) {
  std::mt19937 random(36);
  Arrangement a;
  Choices choices;
  do {
    choices = allowing(random_choices(random), 3);
    a = arranged(song_in_sections(random), choices);
  } while (second_shapes(a) == 0);
  ASSERT_THAT(check_right_hand(a, choices), ElementsAre());
  const auto second =
      std::find_if(a.right.shapes.begin(), a.right.shapes.end(),
                   [](const ShapeChoice& choice) { return !choice.sections.empty(); }) -
      a.right.shapes.begin();
  const std::string name = text(a.right.shapes[static_cast<std::size_t>(second)].chord);

  Choices other = choices;
  other.manner.right.second_shape = 4;
  EXPECT_THAT(check_right_hand(a, other), ElementsAre(::testing::HasSubstr("the cost is")));

  other = choices;
  other.second_shapes = SecondShapes::leave_out;
  EXPECT_THAT(check_right_hand(a, other), ::testing::Contains(name + ": a second shape"));

  Arrangement wrong = a;
  wrong.right.shapes.push_back(wrong.right.shapes[static_cast<std::size_t>(second)]);
  EXPECT_THAT(check_right_hand(wrong, choices), ::testing::Contains(name + ": a third shape"));

  wrong = a;
  wrong.right.shapes[static_cast<std::size_t>(second)].sections = {7};
  EXPECT_THAT(check_right_hand(wrong, choices),
              ::testing::Contains(name + ": the shape of another section"));
}

// ---- real songs

TEST(SecondShapesCorpus, AreProvenInRealSongs) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  const auto songs = testing::read_corpus_in_sections();
  ASSERT_EQ(songs.size(), 739U);
  int with_second = 0;
  for (std::size_t i = 0; i < songs.size(); i += 10 * testing::kOneIn) {
    const Cost one = arranged(songs[i], {}).right.cost;
    const Arrangement a = arranged(songs[i], allowing({}, Manner::home().right.second_shape));
    EXPECT_EQ(a.right.status, Status::optimal) << songs[i].title;
    EXPECT_LE(a.right.cost, one) << songs[i].title;
    with_second += second_shapes(a) > 0 ? 1 : 0;
  }
  EXPECT_GE(with_second, testing::at_least(4));
}

// Source of the method compared with: toulbar2 (S. de Givry et al., INRAE).
TEST(SecondShapesCorpus, Toulbar2FindsTheSameOptimum) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  if (!testing::is_installed("toulbar2")) GTEST_SKIP() << "toulbar2 is not installed";
  constexpr std::size_t kMostEntries = 400'000;  // its file has a line for each
  const auto songs = testing::read_corpus_in_sections();
  int compared = 0;
  int proven = 0;
  int with_second = 0;
  for (std::size_t i = 0; i < songs.size() && compared < testing::part_of(60); i += 7) {
    const Choices choices = allowing({}, 100);
    const auto chords = chart::played_chords(songs[i], chart::perform(songs[i]));
    const auto task = right_hand_task(songs[i], chords, choices);
    ASSERT_TRUE(task);
    const Solution one = solve(task->network, choices.state_limit);
    const SecondShapesTask split = second_shapes_task(songs[i], chords, choices, *task, one);
    std::size_t entries = 0;
    for (const Edge& edge : split.network.edges) entries += edge.costs.size();
    if (split.splits.empty() || entries > kMostEntries) continue;
    const Solution solution = solve(split.network, choices.second_shapes_state_limit, split.start);
    const testing::TemporaryFile file(testing::wcsp_text(split.network, "song"), ".wcsp");
    const auto outside = testing::run_toulbar2(file.path(), 30);
    ASSERT_TRUE(outside) << songs[i].title;
    ++compared;
    EXPECT_GE(solution.cost, Cost(outside->cost)) << songs[i].title;
    EXPECT_LE(solution.lower_bound, Cost(outside->cost)) << songs[i].title;
    if (solution.status != Status::optimal) continue;
    ++proven;
    EXPECT_EQ(solution.cost, Cost(outside->cost)) << songs[i].title;
    with_second += solution.cost < one.cost ? 1 : 0;
  }
  EXPECT_GE(compared, testing::part_of(60));
  EXPECT_GE(proven, testing::at_least(57));
  EXPECT_GE(with_second, testing::at_least(11));
}

}  // namespace
}  // namespace stillhand::arrange
