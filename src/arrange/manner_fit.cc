#include "arrange/manner_fit.h"

#include <algorithm>
#include <cmath>

#include "arrange/solver.h"

namespace stillhand::arrange {
namespace {

// Tried on hidden manners (perf/manner_curve.cc); docs/manners.md has the results.
constexpr double kFirstSharpness = 8;  // of the loss: its steepness at margin 0
constexpr double kSharpness = 15;
constexpr double kSpread = 1.2;    // of the logarithm of a weight, around the start
constexpr double kSmallest = 2;    // a weight of 0 at the start begins here
constexpr double kNoDoubt = 1e-4;  // the chance that a pin is a slip, while the weights are rough
constexpr double kDoubt = 0.01;    // and when they are not
constexpr double kSuspectMargin = -0.1;
constexpr std::size_t kSetAsideAtMost = 5;  // one pin in so many
constexpr int kRounds = 8;
constexpr int kRepairs = 8;
constexpr int kSteps = 120;
constexpr std::int64_t kStates = 200'000;  // a search that takes longer brings no rival
constexpr double kTiny = 1e-9;

using Values = std::vector<std::size_t>;

bool is_among(const std::vector<std::size_t>& all, std::size_t one) {
  return std::find(all.begin(), all.end(), one) != all.end();
}

struct Margin {
  double net = 0;
  double gross = kTiny;
  double value() const { return net / gross; }
};

Margin margin(const Amounts& difference, const Amounts& prices) {
  Margin m;
  for (std::size_t i = 0; i < difference.size(); ++i) {
    m.net += prices[i] * difference[i];
    m.gross += prices[i] * std::abs(difference[i]);
  }
  return m;
}

// Ways to play instead, none of which should be cheaper than hers: another shape of one chord, or
// one whole arrangement.
using Rivals = std::vector<Amounts>;

// Dearer in nothing that counts, whatever the weights: nothing to learn.
bool never_cheaper(const Amounts& difference) {
  return std::all_of(difference.begin(), difference.end(), [](double x) { return x >= 0; });
}

struct Example {
  const CostTables* tables;
  std::vector<bool> set_aside;  // by variable
  Values hers = {};
  std::vector<Values> wholes = {};  // arrangements found cheaper at one time
  std::vector<Rivals> rivals = {};

  bool counts(std::size_t v) const { return tables->variables()[v].is_pinned && !set_aside[v]; }

  void set_hers(Values values) {
    hers = std::move(values);
    wholes.clear();
    rivals.clear();
    for (std::size_t v = 0; v < hers.size(); ++v) {
      if (!counts(v)) continue;
      const Variable& variable = tables->variables()[v];
      Rivals others;
      for (std::size_t a = 0; a < variable.shapes.size(); ++a) {
        if (is_among(variable.pinned, a)) continue;
        Amounts difference = tables->difference(hers, v, a);
        if (!never_cheaper(difference)) others.push_back(std::move(difference));
      }
      if (!others.empty()) rivals.push_back(std::move(others));
    }
  }

  bool goes_against_a_pin(const Values& values) const {
    for (std::size_t v = 0; v < values.size(); ++v) {
      if (counts(v) && !is_among(tables->variables()[v].pinned, values[v])) return true;
    }
    return false;
  }
};

// The network with only some values of each variable.
Network restricted(const Network& network, const std::vector<Values>& kept) {
  Network out;
  for (std::size_t v = 0; v < kept.size(); ++v) {
    auto& row = out.unary.emplace_back();
    for (const std::size_t a : kept[v]) row.push_back(network.unary[v][a]);
  }
  for (const Edge& edge : network.edges) {
    const std::size_t width = network.unary[edge.v].size();
    Edge small{edge.u, edge.v, {}};
    for (const std::size_t a : kept[edge.u]) {
      for (const std::size_t b : kept[edge.v]) small.costs.push_back(edge.costs[a * width + b]);
    }
    out.edges.push_back(std::move(small));
  }
  return out;
}

class Fitter {
 public:
  Fitter(const std::vector<CostTables>& songs, const RightHandWeights& start)
      : names_(right_hand_weight_names()), count_(names_.size()) {
    for (const CostTables& tables : songs)
      examples_.push_back({&tables, std::vector<bool>(tables.variables().size(), false)});
    for (const WeightName& name : names_) {
      if (name.member == &RightHandWeights::haste) haste_ = start_.size();
      start_.push_back(std::log(std::max<double>(start.*name.member, kSmallest)));
    }
    logs_ = start_;
  }

  Fit run() {
    doubt_ = kNoDoubt;
    sharpness_ = kFirstSharpness;
    for (int round = 0; round < kRounds; ++round) {
      bool changed = complete();
      if (round > 0) changed = find_rivals() || changed;
      if (round > 1 && !changed) break;
      descend();
      sharpness_ = kSharpness;
    }
    doubt_ = kDoubt;
    for (int round = 0; round < kRepairs && set_suspects_aside(); ++round) {
      complete();
      find_rivals();
      descend();
    }
    Fit fit{weights(), loss(nullptr), {}};
    for (const Example& example : examples_) fit.set_aside.push_back(example.set_aside);
    return fit;
  }

 private:
  Amounts prices() const {
    Amounts p(2 * count_, 0);
    const double haste = std::exp(logs_[haste_]) / 100;
    for (std::size_t i = 0; i < count_; ++i) {
      if (i == haste_) continue;
      p[i] = std::exp(logs_[i]);
      p[count_ + i] = p[i] * haste;
    }
    return p;
  }

  // Her arrangements, under the present weights where she left a chord free. Whether any changed.
  bool complete() {
    bool changed = false;
    const Amounts p = prices();
    for (Example& example : examples_) {
      const auto& variables = example.tables->variables();
      std::vector<Values> kept;
      for (std::size_t v = 0; v < variables.size(); ++v) {
        Values all(variables[v].shapes.size());
        for (std::size_t a = 0; a < all.size(); ++a) all[a] = a;
        kept.push_back(example.counts(v) ? variables[v].pinned : all);
      }
      const Solution solution = solve(restricted(example.tables->network(p), kept), kStates);
      Values hers;
      for (std::size_t v = 0; v < kept.size(); ++v) hers.push_back(kept[v][solution.values[v]]);
      if (hers == example.hers) continue;
      example.set_hers(std::move(hers));
      changed = true;
    }
    return changed;
  }

  // Arrangements that the present weights prefer to hers. Whether there is a new one.
  bool find_rivals() {
    bool found = false;
    const Amounts p = prices();
    for (Example& example : examples_) {
      const Solution solution = solve(example.tables->network(p), kStates);
      if (!example.goes_against_a_pin(solution.values)) continue;
      auto& wholes = example.wholes;
      if (std::find(wholes.begin(), wholes.end(), solution.values) != wholes.end()) continue;
      wholes.push_back(solution.values);
      Amounts difference = example.tables->amounts(solution.values);
      const Amounts hers = example.tables->amounts(example.hers);
      for (std::size_t i = 0; i < difference.size(); ++i) difference[i] -= hers[i];
      example.rivals.push_back({std::move(difference)});
      found = true;
    }
    return found;
  }

  // The loss of one group of rivals; its slope in the prices is added to `slope`.
  double loss_of(const Rivals& rivals, const Amounts& p, Amounts* slope) const {
    std::vector<Margin> margins;
    double sum = 1;
    for (const Amounts& difference : rivals) {
      margins.push_back(margin(difference, p));
      sum += std::exp(-sharpness_ * margins.back().value());
    }
    const double chance = (1 - doubt_) / sum + doubt_;
    if (slope != nullptr) {
      const double by_sum = (1 - doubt_) / (sum * sum * chance);
      for (std::size_t r = 0; r < rivals.size(); ++r) {
        const double at = margins[r].value();
        const double by_margin = -sharpness_ * std::exp(-sharpness_ * at) * by_sum;
        if (std::abs(by_margin) < kTiny) continue;
        for (std::size_t i = 0; i < p.size(); ++i) {
          const double d = rivals[r][i];
          if (d != 0) (*slope)[i] += by_margin * (d - at * std::abs(d)) / margins[r].gross;
        }
      }
    }
    return -std::log(chance);
  }

  // The whole loss; its slope in the logarithms replaces `slope`.
  double loss(std::vector<double>* slope) const {
    const Amounts p = prices();
    Amounts by_price(2 * count_, 0);
    double sum = 0;
    for (const Example& example : examples_) {
      for (const Rivals& rivals : example.rivals)
        sum += loss_of(rivals, p, slope == nullptr ? nullptr : &by_price);
    }
    if (slope != nullptr) slope->assign(count_, 0);
    for (std::size_t i = 0; i < count_; ++i) {
      const double away = (logs_[i] - start_[i]) / kSpread;
      sum += away * away / 2;
      if (slope == nullptr) continue;
      (*slope)[i] += away / kSpread;
      if (i == haste_) continue;
      const double hurried = by_price[count_ + i] * p[count_ + i];
      (*slope)[i] += by_price[i] * p[i] + hurried;
      (*slope)[haste_] += hurried;
    }
    return sum;
  }

  // Gradient descent with moments (D. P. Kingma & J. Ba, "Adam", ICLR 2015), the steps shrinking.
  void descend() {
    constexpr double kStep = 0.15;
    constexpr double kKeep = 0.9;
    constexpr double kKeepSquares = 0.99;
    std::vector<double> slope;
    std::vector<double> mean(count_, 0);
    std::vector<double> squares(count_, 0);
    double kept = 1;
    double kept_squares = 1;
    for (int step = 0; step < kSteps; ++step) {
      loss(&slope);
      kept *= kKeep;
      kept_squares *= kKeepSquares;
      const double length = kStep * (1 - 0.9 * step / kSteps);
      for (std::size_t i = 0; i < count_; ++i) {
        mean[i] = kKeep * mean[i] + (1 - kKeep) * slope[i];
        squares[i] = kKeepSquares * squares[i] + (1 - kKeepSquares) * slope[i] * slope[i];
        logs_[i] -=
            length * (mean[i] / (1 - kept)) / (std::sqrt(squares[i] / (1 - kept_squares)) + 1e-8);
      }
    }
  }

  // The smallest margin of a pinned chord's own shape, its neighbours as they are.
  double worst_margin(const Example& example, std::size_t v, const Amounts& p) const {
    const Variable& variable = example.tables->variables()[v];
    Values values = example.hers;
    if (!is_among(variable.pinned, values[v])) values[v] = variable.pinned.front();
    double worst = 1;
    for (std::size_t a = 0; a < variable.shapes.size(); ++a) {
      if (is_among(variable.pinned, a)) continue;
      worst = std::min(worst, margin(example.tables->difference(values, v, a), p).value());
    }
    return worst;
  }

  // Whether anything changed.
  bool set_suspects_aside() {
    struct Suspect {
      double margin;
      std::size_t example;
      std::size_t variable;
    };
    std::vector<Suspect> suspects;
    std::size_t pins = 0;
    const Amounts p = prices();
    for (std::size_t e = 0; e < examples_.size(); ++e) {
      for (std::size_t v = 0; v < examples_[e].hers.size(); ++v) {
        if (!examples_[e].tables->variables()[v].is_pinned) continue;
        ++pins;
        const double worst = worst_margin(examples_[e], v, p);
        if (worst < kSuspectMargin) suspects.push_back({worst, e, v});
      }
    }
    std::stable_sort(suspects.begin(), suspects.end(),
                     [](const Suspect& a, const Suspect& b) { return a.margin < b.margin; });
    if (suspects.size() > pins / kSetAsideAtMost) suspects.resize(pins / kSetAsideAtMost);
    std::vector<std::vector<bool>> aside;
    for (const Example& example : examples_) aside.emplace_back(example.hers.size(), false);
    for (const Suspect& suspect : suspects) aside[suspect.example][suspect.variable] = true;
    bool changed = false;
    for (std::size_t e = 0; e < examples_.size(); ++e) {
      if (aside[e] == examples_[e].set_aside) continue;
      examples_[e].set_aside = aside[e];
      examples_[e].hers.clear();
      changed = true;
    }
    return changed;
  }

  RightHandWeights weights() const {
    double largest = 0;
    for (std::size_t i = 0; i < count_; ++i) {
      if (i != haste_) largest = std::max(largest, std::exp(logs_[i]));
    }
    RightHandWeights out;
    for (std::size_t i = 0; i < count_; ++i) {
      const double scale = i == haste_ ? 1 : kLargestWeight / largest;
      out.*names_[i].member = static_cast<int>(
          std::lround(std::min<double>(kLargestWeight, std::exp(logs_[i]) * scale)));
    }
    return out;
  }

  const std::vector<WeightName>& names_;
  std::size_t count_;
  std::size_t haste_ = 0;
  std::vector<Example> examples_;
  std::vector<double> start_;  // logarithms of the weights
  std::vector<double> logs_;
  double doubt_ = kNoDoubt;
  double sharpness_ = kFirstSharpness;
};

}  // namespace

Fit fit_weights(const std::vector<CostTables>& songs, const RightHandWeights& start) {
  return Fitter(songs, start).run();
}

}  // namespace stillhand::arrange
