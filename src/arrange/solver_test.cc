#include "arrange/solver.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <random>

namespace stillhand::arrange {
namespace {

constexpr std::int64_t kPlenty = 50'000'000;

Network random_network(std::mt19937& random, std::size_t variables, std::size_t values, int most,
                       int edge_percent) {
  const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  Network net;
  for (std::size_t i = 0; i < variables; ++i) {
    auto& row = net.unary.emplace_back();
    const std::size_t width = 1 + random() % values;
    for (std::size_t a = 0; a < width; ++a) row.push_back(below(most));
  }
  for (std::size_t u = 0; u < variables; ++u) {
    for (std::size_t v = u + 1; v < variables; ++v) {
      if (below(100) >= edge_percent) continue;
      Edge edge{u, v, {}};
      for (std::size_t i = 0; i < net.unary[u].size() * net.unary[v].size(); ++i)
        edge.costs.push_back(below(most));
      net.edges.push_back(std::move(edge));
    }
  }
  return net;
}

// The plain oracle: every assignment in lexicographic order; the first of the cheapest.
std::vector<std::size_t> oracle(const Network& net) {
  std::vector<std::size_t> values(net.unary.size(), 0);
  std::vector<std::size_t> best = values;
  Cost least = cost_of(net, values);
  for (;;) {
    std::size_t i = values.size();
    while (i > 0 && ++values[i - 1] == net.unary[i - 1].size()) values[--i] = 0;
    if (i == 0) return best;
    const Cost cost = cost_of(net, values);
    if (cost < least) {
      least = cost;
      best = values;
    }
  }
}

TEST(Solver, EmptyAndSingle) {
  EXPECT_EQ(solve({}, kPlenty).status, Status::optimal);
  Network one;
  one.unary = {{5, 3, 3}};
  const Solution s = solve(one, kPlenty);
  EXPECT_EQ(s.values, std::vector<std::size_t>{1});
  EXPECT_EQ(s.cost, Cost(3));
  EXPECT_EQ(s.lower_bound, Cost(3));
}

// Few different costs make many ties, so the tie rule is tested as hard as the optimum.
TEST(Solver, AgreesWithThePlainOracleOnThousandsOfNetworks) {
  std::mt19937 random(20261);
  for (int trial = 0; trial < 4000; ++trial) {
    const std::size_t variables = 1 + random() % 6;
    const int most = std::vector<int>{2, 4, 20, 1000}[random() % 4];
    const int density = std::vector<int>{30, 60, 100}[random() % 3];
    const Network net = random_network(random, variables, 5, most, density);
    const Solution s = solve(net, kPlenty);
    const auto expected = oracle(net);
    ASSERT_EQ(s.status, Status::optimal);
    ASSERT_EQ(s.values, expected) << "trial " << trial;
    ASSERT_EQ(s.cost, cost_of(net, expected));
    ASSERT_EQ(s.lower_bound, s.cost);
  }
}

TEST(Solver, AReachedLimitIsNeverCalledBest) {
  std::mt19937 random(7);
  int limited = 0;
  for (int trial = 0; trial < 50; ++trial) {
    const Network net = random_network(random, 10, 8, 1000, 100);
    const Solution s = solve(net, 5);
    EXPECT_LE(s.states, 5);
    EXPECT_LE(s.lower_bound, s.cost);
    EXPECT_EQ(s.cost, cost_of(net, s.values));
    const Solution full = solve(net, kPlenty);
    EXPECT_LE(s.lower_bound, full.cost);
    EXPECT_GE(s.cost, full.cost);
    if (s.status == Status::optimal) {
      EXPECT_EQ(s.values, full.values);
    } else {
      ++limited;
    }
  }
  EXPECT_GT(limited, 0);
}

TEST(Solver, SameInputSameAnswerAndSameNumberOfStates) {
  std::mt19937 random(99);
  const Network net = random_network(random, 9, 6, 50, 100);
  const Solution a = solve(net, kPlenty);
  const Solution b = solve(net, kPlenty);
  EXPECT_EQ(a.values, b.values);
  EXPECT_EQ(a.states, b.states);
}

}  // namespace
}  // namespace stillhand::arrange
