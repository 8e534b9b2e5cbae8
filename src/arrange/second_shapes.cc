#include "arrange/second_shapes.h"

#include <algorithm>
#include <cassert>

namespace stillhand::arrange {
namespace {

using Split = SecondShapesTask::Split;

constexpr std::int64_t kWholePercent = 100;

bool is_free(const Variable& variable) { return !variable.is_pinned; }

// Which sections of a chord make up one variable of the task: all that are free, or those of one pin.
bool is_part_of(const Variable& part, const Variable& whole) {
  return part.chord == whole.chord && is_free(part) == is_free(whole) &&
         (is_free(part) || part.section == whole.section);
}

std::vector<std::pair<std::size_t, std::size_t>> sets_of(std::size_t shapes) {
  std::vector<std::pair<std::size_t, std::size_t>> sets;
  for (std::size_t a = 0; a < shapes; ++a) sets.emplace_back(a, a);
  for (std::size_t a = 0; a < shapes; ++a) {
    for (std::size_t b = a + 1; b < shapes; ++b) sets.emplace_back(a, b);
  }
  return sets;
}

std::vector<std::int64_t> prices_of(const Split& split, const Variable& variable,
                                    const Choices& choices) {
  std::vector<std::int64_t> learning;
  for (const Shape& shape : variable.shapes)
    learning.push_back(learning_price(variable.chord, shape, choices));
  const std::int64_t price = kWholePercent * choices.manner.right.second_shape;
  std::vector<std::int64_t> out;
  for (const auto& [a, b] : split.sets)
    out.push_back(learning[a] + (a == b ? 0 : learning[b] + price));
  return out;
}

// 0 for a shape of the set, `outside` for any other.
Edge edge_to_part(std::size_t u, std::size_t v, const Split& split, std::size_t shapes,
                  std::int64_t outside) {
  Edge edge{u, v, std::vector<std::int64_t>(split.sets.size() * shapes, outside)};
  for (std::size_t s = 0; s < split.sets.size(); ++s) {
    edge.costs[s * shapes + split.sets[s].first] = 0;
    edge.costs[s * shapes + split.sets[s].second] = 0;
  }
  return edge;
}

// What the parts of a chord play.
struct Taken {
  std::size_t first = 0;              // where most parts play it; else the one played first
  std::optional<std::size_t> second;  // of the other parts
};

Taken taken_by(const std::vector<std::size_t>& parts, const std::size_t* part_values) {
  Taken taken{part_values[parts.front()], {}};
  std::size_t others = 0;
  for (const std::size_t part : parts) {
    if (part_values[part] == taken.first) continue;
    assert(!taken.second || *taken.second == part_values[part]);
    taken.second = part_values[part];
    ++others;
  }
  if (2 * others > parts.size()) std::swap(taken.first, *taken.second);
  return taken;
}

// A search that was cut short may have left a shape in a set that no part plays.
void drop_unused(const SecondShapesTask& task, std::vector<std::size_t>& values) {
  const std::size_t* part_values = values.data() + task.splits.size();
  for (std::size_t i = 0; i < task.splits.size(); ++i) {
    const Split& split = task.splits[i];
    const Taken taken = taken_by(task.parts_of[split.chord], part_values);
    const std::pair<std::size_t, std::size_t> set =
        std::minmax(taken.first, taken.second.value_or(taken.first));
    values[i] = static_cast<std::size_t>(std::find(split.sets.begin(), split.sets.end(), set) -
                                         split.sets.begin());
  }
}

// The shapes of `task`'s chords, and which of them each chord of the song plays.
void give_shapes(const RightHandTask& task, const SecondShapesTask& split,
                 const std::size_t* part_values, RightHandPlan& plan) {
  plan.right.shapes.clear();
  std::vector<std::size_t> index_of_part(split.parts.variables.size());
  for (std::size_t v = 0; v < task.variables.size(); ++v) {
    const Variable& variable = task.variables[v];
    const Taken taken = taken_by(split.parts_of[v], part_values);
    const std::size_t first = plan.right.shapes.size();
    plan.right.shapes.push_back(choice_of(variable, taken.first));
    if (taken.second) plan.right.shapes.push_back(choice_of(variable, *taken.second));
    for (const std::size_t part : split.parts_of[v]) {
      const bool is_second = part_values[part] != taken.first;
      index_of_part[part] = first + (is_second ? 1 : 0);
      if (is_second)
        plan.right.shapes.back().sections.push_back(*split.parts.variables[part].section);
    }
    auto& sections = plan.right.shapes.back().sections;
    std::sort(sections.begin(), sections.end());
  }
  for (std::size_t i = 0; i < plan.shape_of_chord.size(); ++i) {
    const auto& part = split.parts.variable_at[i];
    if (part) plan.shape_of_chord[i] = index_of_part[*part];
  }
}

}  // namespace

RightHandPlan plain_plan(const RightHandTask& task, const Solution& solution) {
  RightHandPlan plan;
  plan.right.status = solution.status;
  plan.right.cost = solution.cost;
  plan.right.lower_bound = solution.lower_bound;
  plan.right.states_expanded = solution.states;
  for (std::size_t v = 0; v < task.variables.size(); ++v)
    plan.right.shapes.push_back(choice_of(task.variables[v], solution.values[v]));
  plan.shape_of_chord = task.variable_at;
  return plan;
}

SecondShapesTask second_shapes_task(const Song& song, const Passage& chords, const Choices& choices,
                                    const RightHandTask& task, const Solution& one) {
  SecondShapesTask out;
  Result<RightHandTask> parts = right_hand_task_by_section(song, chords, choices);
  assert(parts);
  out.parts = std::move(*parts);
  out.parts_of.resize(task.variables.size());
  std::vector<std::size_t> part_start(out.parts.variables.size());
  for (std::size_t v = 0; v < task.variables.size(); ++v) {
    const Variable& whole = task.variables[v];
    for (std::size_t p = 0; p < out.parts.variables.size(); ++p) {
      if (!is_part_of(out.parts.variables[p], whole)) continue;
      assert(out.parts.variables[p].shapes == whole.shapes);
      out.parts_of[v].push_back(p);
      part_start[p] = one.values[v];
    }
    if (!is_free(whole)) continue;
    if (out.parts_of[v].size() > 1) {
      out.splits.push_back({v, sets_of(whole.shapes.size())});
      continue;
    }
    auto& row = out.parts.network.unary[out.parts_of[v].front()];
    for (std::size_t a = 0; a < row.size(); ++a)
      row[a] += learning_price(whole.chord, whole.shapes[a], choices);
  }
  const std::size_t n = out.splits.size();
  Network& network = out.network;
  for (std::size_t i = 0; i < n; ++i) {
    const Split& split = out.splits[i];
    const Variable& whole = task.variables[split.chord];
    network.unary.push_back(prices_of(split, whole, choices));
    out.start.push_back(one.values[split.chord]);
    for (const std::size_t part : out.parts_of[split.chord]) {
      network.edges.push_back(
          edge_to_part(i, n + part, split, whole.shapes.size(), one.cost.value() + 1));
    }
  }
  const Network& playing = out.parts.network;
  network.unary.insert(network.unary.end(), playing.unary.begin(), playing.unary.end());
  for (const Edge& edge : playing.edges)
    network.edges.push_back({n + edge.u, n + edge.v, edge.costs});
  out.start.insert(out.start.end(), part_start.begin(), part_start.end());
  return out;
}

RightHandPlan with_second_shapes(const Song& song, const Passage& chords, const Choices& choices,
                                 const RightHandTask& task, const Solution& one) {
  const SecondShapesTask split = second_shapes_task(song, chords, choices, task, one);
  RightHandPlan plan = plain_plan(task, one);
  if (split.splits.empty()) return plan;
  Solution solution = solve(split.network, choices.second_shapes_state_limit, split.start);
  drop_unused(split, solution.values);
  plan.right.status = solution.status;
  plan.right.cost = cost_of(split.network, solution.values);
  plan.right.lower_bound = solution.lower_bound;
  plan.right.states_expanded += solution.states;
  give_shapes(task, split, solution.values.data() + split.splits.size(), plan);
  return plan;
}

}  // namespace stillhand::arrange
