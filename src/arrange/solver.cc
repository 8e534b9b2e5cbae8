#include "arrange/solver.h"

#include <algorithm>
#include <cassert>
#include <limits>

namespace stillhand::arrange {
namespace {

using Value = std::int64_t;

constexpr int kMostRounds = 60;  // of message passing; it stops earlier when the bound stands still
constexpr int kPatience = 4;     // rounds without a better bound
constexpr Value kInfinity = std::numeric_limits<Value>::max() / 4;

// The network with its costs shifted: same cost for every full assignment, but `bound` has moved
// out of the tables.
class Shifted {
 public:
  explicit Shifted(const Network& network) : net_(network), theta_(network.unary) {
    const std::size_t n = theta_.size();
    at_.resize(n);
    domain_.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t a = 0; a < theta_[i].size(); ++a) domain_[i].push_back(static_cast<int>(a));
    }
    for (std::size_t e = 0; e < net_.edges.size(); ++e) {
      const Edge& edge = net_.edges[e];
      assert(edge.u < edge.v);
      at_[edge.u].push_back({e, edge.v});
      at_[edge.v].push_back({e, edge.u});
      to_u_.emplace_back(theta_[edge.u].size(), 0);
      to_v_.emplace_back(theta_[edge.v].size(), 0);
    }
  }

  struct Neighbour {
    std::size_t edge;
    std::size_t other;
  };

  std::size_t size() const { return theta_.size(); }
  const std::vector<Neighbour>& neighbours(std::size_t i) const { return at_[i]; }
  const std::vector<int>& domain(std::size_t i) const { return domain_[i]; }

  // Unary cost after all messages into i.
  Value unary(std::size_t i, int a) const { return theta_[i][static_cast<std::size_t>(a)]; }

  Value pair(std::size_t e, std::size_t i, int a, int b) const {
    const Edge& edge = net_.edges[e];
    if (i == edge.v) std::swap(a, b);
    const auto ua = static_cast<std::size_t>(a);
    const auto vb = static_cast<std::size_t>(b);
    return edge.costs[ua * theta_[edge.v].size() + vb] - to_u_[e][ua] - to_v_[e][vb];
  }

  // One sweep over the variables, forwards or backwards.
  void sweep(bool forwards) {
    for (std::size_t k = 0; k < size(); ++k) {
      const std::size_t i = forwards ? k : size() - 1 - k;
      Value before = 0;
      Value after = 0;
      for (const Neighbour& n : at_[i]) (n.other < i ? before : after) += 1;
      const Value share = std::max<Value>(1, std::max(before, after));
      std::vector<Value> portion(theta_[i].size(), 0);
      for (int a : domain_[i]) {
        const auto at = static_cast<std::size_t>(a);
        portion[at] = theta_[i][at] / share - (theta_[i][at] % share < 0 ? 1 : 0);  // floor
      }
      for (const Neighbour& n : at_[i]) {
        if ((n.other > i) == forwards) send(i, n, portion);
      }
    }
  }

  Value bound() const {
    Value sum = 0;
    for (std::size_t i = 0; i < size(); ++i) sum += least_unary(i);
    for (std::size_t e = 0; e < net_.edges.size(); ++e) sum += least_pair(e);
    return sum;
  }

  Value least_unary(std::size_t i) const {
    Value least = kInfinity;
    for (int a : domain_[i]) least = std::min(least, unary(i, a));
    return least;
  }

  Value least_pair(std::size_t e) const { return minima(e).least; }

  // The least shifted costs of one edge: with each value of either end, and of all.
  struct Minima {
    std::vector<Value> of_u, of_v;
    Value least = kInfinity;
  };

  Minima minima(std::size_t e) const {
    const Edge& edge = net_.edges[e];
    Minima m{std::vector<Value>(theta_[edge.u].size(), kInfinity),
             std::vector<Value>(theta_[edge.v].size(), kInfinity), kInfinity};
    for (int a : domain_[edge.u]) {
      Value& row = m.of_u[static_cast<std::size_t>(a)];
      for (int b : domain_[edge.v]) {
        const Value cost = pair(e, edge.u, a, b);
        Value& column = m.of_v[static_cast<std::size_t>(b)];
        column = std::min(column, cost);
        row = std::min(row, cost);
      }
      m.least = std::min(m.least, row);
    }
    return m;
  }

  // Assigns the variables in order, each the best given those before it and the messages from those
  // after it.
  std::vector<std::size_t> greedy() const {
    std::vector<std::size_t> values(size());
    for (std::size_t i = 0; i < size(); ++i) {
      Value best = kInfinity;
      for (int a : domain_[i]) {
        Value cost = unary(i, a);
        for (const Neighbour& n : at_[i]) {
          if (n.other < i) cost += pair(n.edge, i, a, static_cast<int>(values[n.other]));
        }
        if (cost < best) {
          best = cost;
          values[i] = static_cast<std::size_t>(a);
        }
      }
    }
    return values;
  }

  // Changes one variable at a time while that helps.
  void descend(std::vector<std::size_t>& values) const {
    for (bool better = true; better;) {
      better = false;
      for (std::size_t i = 0; i < size(); ++i) {
        const Value now = local(values, i, static_cast<int>(values[i]));
        Value best = now;
        for (int a : domain_[i]) {
          const Value cost = local(values, i, a);
          if (cost < best) {
            best = cost;
            values[i] = static_cast<std::size_t>(a);
            better = true;
          }
        }
      }
    }
  }

  // Removes every value that no assignment of cost <= best can use. Returns the lower bound.
  Value filter(Value best) {
    std::vector<Minima> edges;
    edges.reserve(net_.edges.size());
    Value total = 0;
    for (std::size_t e = 0; e < net_.edges.size(); ++e) {
      edges.push_back(minima(e));
      total += edges.back().least;
    }
    for (std::size_t i = 0; i < size(); ++i) total += least_unary(i);
    // Removing values can only raise the minima, so the old ones stay valid bounds meanwhile.
    for (std::size_t i = 0; i < size(); ++i) {
      Value base = total - least_unary(i);
      for (const Neighbour& n : at_[i]) base -= edges[n.edge].least;
      std::vector<int> kept;
      for (int a : domain_[i]) {
        const auto at = static_cast<std::size_t>(a);
        Value cost = base + unary(i, a);
        for (const Neighbour& n : at_[i])
          cost += (net_.edges[n.edge].u == i ? edges[n.edge].of_u : edges[n.edge].of_v)[at];
        if (cost <= best) kept.push_back(a);
      }
      if (!kept.empty()) domain_[i] = std::move(kept);
    }
    return total;
  }

 private:
  Value local(const std::vector<std::size_t>& values, std::size_t i, int a) const {
    Value cost = unary(i, a);
    for (const Neighbour& n : at_[i]) cost += pair(n.edge, i, a, static_cast<int>(values[n.other]));
    return cost;
  }

  // Moves a portion of i's unary cost into the edge and from there, as far as it goes, on to the
  // other end.
  void send(std::size_t i, const Neighbour& n, const std::vector<Value>& portion) {
    const Edge& edge = net_.edges[n.edge];
    const bool from_u = edge.u == i;
    const std::size_t j = n.other;
    std::vector<Value>& to_i = from_u ? to_u_[n.edge] : to_v_[n.edge];
    std::vector<Value>& to_j = from_u ? to_v_[n.edge] : to_u_[n.edge];
    std::vector<Value>& mine = theta_[i];
    std::vector<Value>& theirs = theta_[j];
    for (int a : domain_[i]) {
      const auto at = static_cast<std::size_t>(a);
      to_i[at] -= portion[at];
      mine[at] -= portion[at];
    }
    const std::size_t stride_a = from_u ? theirs.size() : 1;
    const std::size_t stride_b = from_u ? 1 : mine.size();
    for (int b : domain_[j]) {
      const auto bt = static_cast<std::size_t>(b);
      Value least = kInfinity;
      for (int a : domain_[i]) {
        const auto at = static_cast<std::size_t>(a);
        least = std::min(least, edge.costs[at * stride_a + bt * stride_b] - to_i[at]);
      }
      const Value more = least - to_j[bt];
      to_j[bt] += more;
      theirs[bt] += more;
    }
  }

  const Network& net_;
  std::vector<std::vector<Value>> theta_;
  std::vector<std::vector<Neighbour>> at_;
  std::vector<std::vector<int>> domain_;
  std::vector<std::vector<Value>> to_u_;  // messages: what an edge has given to its ends
  std::vector<std::vector<Value>> to_v_;
};

// Depth-first search over the shifted costs. `order_is_fixed` gives the lexicographically first
// assignment of cost
// <= limit; otherwise the variable with the fewest live values is taken next and the best
// assignment is found.
class Search {
 public:
  enum class Aim { best, first_in_order };

  Search(const Shifted& shifted, Aim aim, Value limit, std::int64_t states_left)
      : net_(shifted),
        aim_(aim),
        limit_(limit),
        states_left_(states_left),
        values_(shifted.size()),
        done_(shifted.size(), false) {
    extra_.resize(net_.size());
    edge_floor_ = 0;
    std::vector<char> seen;
    for (std::size_t i = 0; i < net_.size(); ++i) {
      extra_[i].resize(net_.domain(i).size());
      for (std::size_t k = 0; k < extra_[i].size(); ++k)
        extra_[i][k] = net_.unary(i, net_.domain(i)[k]);
      for (const auto& n : net_.neighbours(i)) {
        if (seen.size() <= n.edge) {
          seen.resize(n.edge + 1, 0);
          floor_.resize(n.edge + 1, 0);
        }
        if (seen[n.edge] != 0) continue;
        seen[n.edge] = 1;
        floor_[n.edge] = net_.least_pair(n.edge);
        edge_floor_ += floor_[n.edge];
      }
    }
  }

  // Cost of the assignments allowed: < limit when looking for the best, <= limit for the first.
  bool run() { return descend(0, 0); }
  bool found() const { return found_; }
  bool out_of_states() const { return states_left_ < 0; }
  Value limit() const { return limit_; }
  std::int64_t states_left() const { return states_left_; }
  const std::vector<std::size_t>& values() const { return best_; }

 private:
  bool allowed(Value cost) const { return aim_ == Aim::best ? cost < limit_ : cost <= limit_; }

  std::size_t choose() const {
    std::size_t chosen = net_.size();
    std::size_t fewest = std::numeric_limits<std::size_t>::max();
    for (std::size_t i = 0; i < net_.size(); ++i) {
      if (done_[i]) continue;
      if (aim_ == Aim::first_in_order) return i;
      // Few values and many neighbours first.
      const std::size_t weight = extra_[i].size() * 64 / (1 + net_.neighbours(i).size());
      if (weight < fewest) {
        fewest = weight;
        chosen = i;
      }
    }
    return chosen;
  }

  // `fixed`: cost of the variables done and the edges among them. True = stop.
  bool descend(std::size_t depth, Value fixed) {
    if (depth == net_.size()) {
      best_ = values_;
      limit_ = fixed;
      found_ = true;
      return aim_ == Aim::first_in_order;
    }
    Value rest = edge_floor_;
    std::vector<Value> least(net_.size(), 0);
    for (std::size_t i = 0; i < net_.size(); ++i) {
      if (done_[i]) continue;
      least[i] = *std::min_element(extra_[i].begin(), extra_[i].end());
      rest += least[i];
    }
    if (!allowed(fixed + rest)) return false;
    const std::size_t i = choose();
    std::vector<std::size_t> candidates(net_.domain(i).size());
    for (std::size_t k = 0; k < candidates.size(); ++k) candidates[k] = k;
    if (aim_ == Aim::best) {
      std::stable_sort(candidates.begin(), candidates.end(),
                       [&](std::size_t x, std::size_t y) { return extra_[i][x] < extra_[i][y]; });
    }
    done_[i] = true;
    for (std::size_t k : candidates) {
      const Value own = extra_[i][k];
      if (!allowed(fixed + rest - least[i] + own)) continue;
      if (--states_left_ < 0) {
        done_[i] = false;
        return true;
      }
      const int a = net_.domain(i)[k];
      values_[i] = static_cast<std::size_t>(a);
      Value floor_gone = 0;
      for (const auto& n : net_.neighbours(i)) {
        if (done_[n.other]) continue;
        floor_gone += floor_[n.edge];
        for (std::size_t m = 0; m < extra_[n.other].size(); ++m) {
          extra_[n.other][m] += net_.pair(n.edge, i, a, net_.domain(n.other)[m]);
        }
      }
      edge_floor_ -= floor_gone;
      const bool stop = descend(depth + 1, fixed + own);
      edge_floor_ += floor_gone;
      for (const auto& n : net_.neighbours(i)) {
        if (done_[n.other]) continue;
        for (std::size_t m = 0; m < extra_[n.other].size(); ++m) {
          extra_[n.other][m] -= net_.pair(n.edge, i, a, net_.domain(n.other)[m]);
        }
      }
      if (stop) {
        done_[i] = false;
        return true;
      }
    }
    done_[i] = false;
    return false;
  }

  const Shifted& net_;
  Aim aim_;
  Value limit_;
  std::int64_t states_left_;
  std::vector<std::size_t> values_;
  std::vector<std::size_t> best_;
  std::vector<char> done_;
  std::vector<std::vector<Value>>
      extra_;                 // unary cost plus the edges to variables done, for each live value
  std::vector<Value> floor_;  // least pair cost of each edge
  Value edge_floor_ = 0;      // sum of floor_ over edges with an end not done
  bool found_ = false;
};

}  // namespace

Cost cost_of(const Network& network, const std::vector<std::size_t>& values) {
  std::int64_t sum = 0;
  for (std::size_t i = 0; i < values.size(); ++i) sum += network.unary[i][values[i]];
  for (const Edge& e : network.edges)
    sum += e.costs[values[e.u] * network.unary[e.v].size() + values[e.v]];
  return Cost(sum);
}

namespace {

Solution solve_from(const Network& network, Shifted& shifted, std::int64_t state_limit,
                    std::vector<std::size_t> best) {
  Solution solution;
  shifted.descend(best);
  Value best_cost = cost_of(network, best).value();
  Value bound = shifted.bound();
  int still = 0;
  for (int round = 0; round < kMostRounds && still < kPatience && bound < best_cost; ++round) {
    shifted.sweep(true);
    shifted.sweep(false);
    std::vector<std::size_t> trial = shifted.greedy();
    shifted.descend(trial);
    if (const Value cost = cost_of(network, trial).value(); cost < best_cost) {
      best_cost = cost;
      best = std::move(trial);
    }
    const Value now = shifted.filter(best_cost);
    still = now > bound ? 0 : still + 1;
    bound = std::max(bound, now);
  }
  solution.lower_bound = Cost(std::min(bound, best_cost));

  std::int64_t left = state_limit;
  if (bound < best_cost) {
    Search search(shifted, Search::Aim::best, best_cost, left);
    search.run();
    left = search.states_left();
    if (search.found()) {
      best = search.values();
      best_cost = search.limit();
    }
    if (search.out_of_states()) {
      solution.status = Status::limit_reached;
      solution.states = state_limit;
      solution.values = std::move(best);
      solution.cost = Cost(best_cost);
      return solution;
    }
    shifted.filter(best_cost);
  }
  solution.lower_bound = Cost(best_cost);
  solution.cost = Cost(best_cost);
  Search first(shifted, Search::Aim::first_in_order, best_cost, left);
  first.run();
  // The tie rule is part of the answer: without the states to apply it the answer is not the one
  // promised.
  if (first.out_of_states()) {
    solution.status = Status::limit_reached;
    solution.values = std::move(best);
  } else {
    assert(first.found());
    solution.values = first.values();
  }
  solution.states = state_limit - std::max<std::int64_t>(0, first.states_left());
  return solution;
}

}  // namespace

Solution solve(const Network& network, std::int64_t state_limit) {
  if (network.unary.empty()) return {};
  Shifted shifted(network);
  std::vector<std::size_t> start = shifted.greedy();
  return solve_from(network, shifted, state_limit, std::move(start));
}

Solution solve(const Network& network, std::int64_t state_limit,
               const std::vector<std::size_t>& start) {
  if (network.unary.empty()) return {};
  Shifted shifted(network);
  return solve_from(network, shifted, state_limit, start);
}

}  // namespace stillhand::arrange
