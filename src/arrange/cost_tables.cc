#include "arrange/cost_tables.h"

#include <algorithm>
#include <cmath>

namespace stillhand::arrange {
namespace {

// Weights at which one amount is read off: large enough that rounding at a change does no harm.
constexpr int kProbe = 1000;
constexpr int kHasteProbe = 10'000;  // percent
constexpr double kPercent = 100;

RightHandWeights only(const WeightName& weight, int haste) {
  RightHandWeights w;
  w.haste = haste;
  w.*weight.member = kProbe;
  return w;
}

bool is_haste(const WeightName& weight) { return weight.member == &RightHandWeights::haste; }

bool all_zero(const std::vector<std::vector<float>>& rows) {
  return std::all_of(rows.begin(), rows.end(), [](const auto& row) {
    return std::all_of(row.begin(), row.end(), [](float x) { return x == 0; });
  });
}

std::vector<float> amounts_of(const std::vector<std::int64_t>& costs,
                              const std::vector<std::int64_t>* less, double unit) {
  std::vector<float> row;
  row.reserve(costs.size());
  for (std::size_t i = 0; i < costs.size(); ++i) {
    const std::int64_t cost = costs[i] - (less == nullptr ? 0 : (*less)[i]);
    row.push_back(static_cast<float>(static_cast<double>(cost) / unit));
  }
  return row;
}

}  // namespace

Amounts prices_of(const RightHandWeights& weights) {
  const auto& names = right_hand_weight_names();
  Amounts prices(2 * names.size(), 0);
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (is_haste(names[i])) continue;
    prices[i] = weights.*names[i].member;
    prices[names.size() + i] = prices[i] * weights.haste / kPercent;
  }
  return prices;
}

Result<CostTables> CostTables::of(const Song& song, const Choices& choices) {
  const auto& names = right_hand_weight_names();
  const auto chords = chart::played_chords(song, chart::perform(song));
  CostTables tables;
  Choices probing = choices;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (is_haste(names[i])) continue;
    probing.manner.right = only(names[i], 0);
    Result<RightHandTask> steady = right_hand_task(song, chords, probing, Pins::examples);
    if (!steady) return tl::unexpected(steady.error());
    tables.add(i, steady->network, nullptr, kPercent * kProbe);
    const bool has_changes =
        std::any_of(steady->network.edges.begin(), steady->network.edges.end(), [](const Edge& e) {
          return std::any_of(e.costs.begin(), e.costs.end(), [](auto cost) { return cost != 0; });
        });
    if (has_changes) {
      probing.manner.right = only(names[i], kHasteProbe);
      const auto hurried = right_hand_task(song, chords, probing, Pins::examples);
      tables.add(names.size() + i, hurried->network, &steady->network, 1.0 * kHasteProbe * kProbe);
    }
    if (!tables.variables_.empty()) continue;
    for (const Edge& edge : steady->network.edges) tables.edges_.push_back({edge.u, edge.v, {}});
    tables.variables_ = std::move(steady->variables);
  }
  return tables;
}

void CostTables::add(std::size_t term, const Network& network, const Network* less, double unit) {
  Layer layer;
  layer.term = term;
  for (std::size_t v = 0; v < network.unary.size(); ++v) {
    layer.unary.push_back(
        amounts_of(network.unary[v], less == nullptr ? nullptr : &less->unary[v], unit));
  }
  for (std::size_t e = 0; e < network.edges.size(); ++e) {
    layer.edges.push_back(amounts_of(network.edges[e].costs,
                                     less == nullptr ? nullptr : &less->edges[e].costs, unit));
  }
  if (all_zero(layer.unary)) layer.unary.clear();
  if (all_zero(layer.edges)) layer.edges.clear();
  if (!layer.unary.empty() || !layer.edges.empty()) layers_.push_back(std::move(layer));
}

Network CostTables::network(const Amounts& prices) const {
  // Fine enough that rounding to whole costs decides between ties at most.
  constexpr double kScale = 100;
  Network network;
  std::vector<double> sums;
  const auto summed = [&](std::size_t size, const auto& part_of) {
    sums.assign(size, 0);
    for (const Layer& layer : layers_) {
      const std::vector<float>* part = part_of(layer);
      const double price = prices[layer.term] * kScale;
      if (part == nullptr || price == 0) continue;
      for (std::size_t i = 0; i < size; ++i) sums[i] += price * static_cast<double>((*part)[i]);
    }
    std::vector<std::int64_t> costs;
    costs.reserve(size);
    for (const double sum : sums) costs.push_back(std::llround(sum));
    return costs;
  };
  for (std::size_t v = 0; v < variables_.size(); ++v) {
    network.unary.push_back(summed(variables_[v].shapes.size(), [&](const Layer& layer) {
      return layer.unary.empty() ? nullptr : &layer.unary[v];
    }));
  }
  for (std::size_t e = 0; e < edges_.size(); ++e) {
    const auto [u, v] = std::pair(edges_[e].u, edges_[e].v);
    const std::size_t size = variables_[u].shapes.size() * variables_[v].shapes.size();
    network.edges.push_back({u, v, summed(size, [&](const Layer& layer) {
                               return layer.edges.empty() ? nullptr : &layer.edges[e];
                             })});
  }
  return network;
}

std::vector<std::size_t> CostTables::neighbours(std::size_t variable) const {
  std::vector<std::size_t> out;
  for (const Edge& edge : edges_) {
    if (edge.u == variable) out.push_back(edge.v);
    if (edge.v == variable) out.push_back(edge.u);
  }
  std::sort(out.begin(), out.end());
  return out;
}

void CostTables::pin_all(const std::vector<std::size_t>& values) {
  for (std::size_t v = 0; v < variables_.size(); ++v) {
    variables_[v].is_pinned = true;
    variables_[v].pinned = {values[v]};
  }
}

Amounts CostTables::amounts(const std::vector<std::size_t>& values) const {
  Amounts out(2 * right_hand_weight_names().size(), 0);
  for (const Layer& layer : layers_) {
    double& sum = out[layer.term];
    for (std::size_t v = 0; v < layer.unary.size(); ++v)
      sum += static_cast<double>(layer.unary[v][values[v]]);
    for (std::size_t e = 0; e < layer.edges.size(); ++e) {
      sum += static_cast<double>(
          layer.edges[e][edge_index(e, values[edges_[e].u], values[edges_[e].v])]);
    }
  }
  return out;
}

Amounts CostTables::difference(const std::vector<std::size_t>& values, std::size_t variable,
                               std::size_t value) const {
  Amounts out(2 * right_hand_weight_names().size(), 0);
  for (const Layer& layer : layers_) {
    double& sum = out[layer.term];
    if (!layer.unary.empty()) {
      sum += static_cast<double>(layer.unary[variable][value]) -
             static_cast<double>(layer.unary[variable][values[variable]]);
    }
    for (std::size_t e = 0; e < layer.edges.size(); ++e) {
      const auto [u, v] = std::pair(edges_[e].u, edges_[e].v);
      if (u != variable && v != variable) continue;
      const auto& row = layer.edges[e];
      const std::size_t now = edge_index(e, values[u], values[v]);
      const std::size_t then =
          edge_index(e, u == variable ? value : values[u], v == variable ? value : values[v]);
      sum += static_cast<double>(row[then]) - static_cast<double>(row[now]);
    }
  }
  return out;
}

}  // namespace stillhand::arrange
