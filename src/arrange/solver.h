// The exact search: a weighted constraint network with costs on single variables and on pairs,
// minimised with proof.
//
//   Network net; net.unary = {{0, 3}, {1, 0}}; net.edges = {{0, 1, {5, 0, 0, 5}}};
//   Solution s = solve(net, 1'000'000);      // s.values == {0, 1}, s.cost == 0, Status::optimal
//
// Method: sequential tree-reweighted message passing (Kolmogorov, IEEE PAMI 28(10), 2006) in
// integers gives a lower bound and a good first assignment; values whose reduced cost exceeds the
// gap are removed; what is left is searched depth first with forward checking on the shifted costs.
// Every bound is an exact integer reparametrisation, so the proof does not rest on rounding.
//
// Ties: among all optimal assignments the lexicographically smallest vector of values is returned
// (variable 0 first). Time is exponential in the worst case; `state_limit` caps it, and then the
// status is limit_reached.
#pragma once

#include <cstdint>
#include <vector>

#include "arrange/arrangement.h"

namespace stillhand::arrange {

struct Edge {
  std::size_t u = 0;
  std::size_t v = 0;                // u < v; at most one edge for each pair
  std::vector<std::int64_t> costs;  // row-major: [value of u][value of v], all >= 0
};

struct Network {
  std::vector<std::vector<std::int64_t>>
      unary;  // one row of values for each variable, none empty, all >= 0
  std::vector<Edge> edges;
};

struct Solution {
  Status status = Status::optimal;
  std::vector<std::size_t> values;
  Cost cost;
  Cost lower_bound;
  std::int64_t states = 0;  // assignments of one value tried by the search
};

// Sum of all costs stays below 2^62: the caller's weights guarantee it.
Solution solve(const Network& network, std::int64_t state_limit);

// The same, starting from a full assignment that is known to be good: the answer never costs more.
Solution solve(const Network& network, std::int64_t state_limit,
               const std::vector<std::size_t>& start);

Cost cost_of(const Network& network, const std::vector<std::size_t>& values);

}  // namespace stillhand::arrange
