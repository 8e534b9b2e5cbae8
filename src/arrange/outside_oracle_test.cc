// Third opinions on real songs: two general-purpose solvers find the same optimum in the same
// network (encoding: docs/exactness.md). toulbar2: weighted constraint networks (S. de Givry et
// al., INRAE). cbc: mixed integer programmes (COIN-OR).
#include <gtest/gtest.h>

#include <algorithm>
#include <iostream>
#include <vector>

#include "arrange/right_hand.h"
#include "testing/amount.h"
#include "testing/corpus.h"
#include "testing/network_files.h"

namespace stillhand::arrange {
namespace {

constexpr int kSeconds = 60;  // for each song

struct RealNetwork {
  std::string song;
  Network network;
};

std::size_t numbers_in(const Network& net) {
  std::size_t sum = 0;
  for (const auto& row : net.unary) sum += row.size();
  for (const Edge& e : net.edges) sum += e.costs.size();
  return sum;
}

std::vector<RealNetwork> real_networks(const Choices& choices) {
  std::vector<RealNetwork> all;
  for (const Song& song : testing::read_whole_corpus()) {
    const auto chords = chart::played_chords(song, chart::perform(song));
    all.push_back({song.title, right_hand_task(song, chords, choices).value().network});
  }
  return all;
}

// The 40 songs of the most distinct chords, and every fortieth of the others; under the sanitizers the first tenth of them.
std::vector<RealNetwork> hard_and_spread(std::vector<RealNetwork> all) {
  std::stable_sort(all.begin(), all.end(), [](const auto& a, const auto& b) {
    return a.network.unary.size() > b.network.unary.size();
  });
  std::vector<RealNetwork> chosen;
  for (std::size_t i = 0; i < all.size() / testing::kOneIn; ++i) {
    if (i < static_cast<std::size_t>(testing::part_of(40)) || i % 40 == 0)
      chosen.push_back(std::move(all[i]));
  }
  return chosen;
}

// The smallest networks of songs with at least so many distinct chords.
std::vector<const RealNetwork*> smallest(const std::vector<RealNetwork>& all, std::size_t count,
                                         std::size_t chords) {
  std::vector<const RealNetwork*> chosen;
  for (const RealNetwork& real : all) {
    if (real.network.unary.size() >= chords) chosen.push_back(&real);
  }
  std::stable_sort(chosen.begin(), chosen.end(), [](const auto* a, const auto* b) {
    return numbers_in(a->network) < numbers_in(b->network);
  });
  chosen.resize(std::min(count, chosen.size()));
  return chosen;
}

constexpr std::int64_t kPlenty = 20'000'000;

TEST(OutsideOracle, Toulbar2FindsTheSameOptimumInRealSongs) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  if (!testing::is_installed("toulbar2")) GTEST_SKIP() << "toulbar2 is not installed";
  int compared = 0;
  for (const Manner& manner : {Manner::home(), Manner::closest()}) {
    Choices choices;
    choices.manner = manner;
    for (const RealNetwork& real : hard_and_spread(real_networks(choices))) {
      const Solution ours = solve(real.network, kPlenty);
      const testing::TemporaryFile file(testing::wcsp_text(real.network, "song"), ".wcsp");
      const auto theirs = testing::run_toulbar2(file.path(), kSeconds);
      ASSERT_TRUE(theirs) << real.song;
      EXPECT_EQ(ours.status, Status::optimal) << real.song;
      EXPECT_EQ(ours.cost.value(), theirs->cost) << real.song << ", " << manner.name;
      ++compared;
    }
  }
  std::cout << "toulbar2: " << compared << " networks, the same optimum\n";
  EXPECT_GE(compared, testing::part_of(120));
}

TEST(OutsideOracle, CbcFindsTheSameOptimumInTheSmallestRealSongs) {
  if (!testing::data_folder()) GTEST_SKIP() << testing::kNoData;
  if (!testing::is_installed("cbc")) GTEST_SKIP() << "cbc (coinor-cbc) is not installed";
  const std::vector<RealNetwork> all = real_networks({});
  // The smallest of all have two or three chords, so larger ones follow.
  for (const std::size_t chords : {2U, 6U, 10U}) {
    double seconds = 0;
    for (const RealNetwork* real : smallest(all, 12, chords)) {
      const Solution ours = solve(real->network, kPlenty);
      const testing::TemporaryFile file(testing::lp_text(real->network), ".lp");
      const auto theirs = testing::run_cbc(file.path(), kSeconds);
      ASSERT_TRUE(theirs) << real->song;
      EXPECT_EQ(ours.cost.value(), theirs->cost) << real->song;
      seconds += theirs->seconds;
    }
    std::cout << "cbc: 12 songs of " << chords << " chords or more, the same optimum, " << seconds
              << " s in all\n";
  }
}

}  // namespace
}  // namespace stillhand::arrange
