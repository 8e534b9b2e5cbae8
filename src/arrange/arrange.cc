#include "arrange/arrange.h"

#include <fmt/format.h>

#include <algorithm>

#include "arrange/bass_tasks.h"
#include "arrange/left_hand.h"
#include "arrange/left_hand_check.h"
#include "arrange/options.h"
#include "arrange/right_hand.h"
#include "arrange/right_hand_check.h"
#include "arrange/second_opinion.h"
#include "arrange/second_shapes.h"
#include "arrange/solver.h"

namespace stillhand::arrange {
namespace {

std::vector<BassTask> bass_tasks(const Arrangement& a, const Choices& choices) {
  const BassTasks tasks(a, choices);
  std::vector<BassTask> out;
  for (std::size_t i = 0; i < a.chords.size(); ++i)
    out.push_back(tasks.of(a.chords[i], a.shape_at(i)));
  return out;
}

}  // namespace

Result<Arrangement> arrange(const Song& song, const Choices& choices) {
  Arrangement a;
  a.song = song;
  a.manner = choices.manner.name;
  a.hand_size = choices.hand.name();
  a.bars = chart::perform(song);
  a.chords = chart::played_chords(song, a.bars);
  const Result<RightHandTask> task = right_hand_task(song, a.chords, choices);
  if (!task) return tl::unexpected(task.error());
  const Solution one = solve(task->network, choices.state_limit);
  RightHandPlan plan = choices.second_shapes == SecondShapes::allow
                           ? with_second_shapes(song, a.chords, choices, *task, one)
                           : plain_plan(*task, one);
  a.right = std::move(plan.right);
  a.shape_of_chord = std::move(plan.shape_of_chord);
  if (auto checked = second_opinion(song, check_right_hand(a, choices)); !checked) {
    return tl::unexpected(checked.error());
  }
  const std::vector<BassTask> bass = bass_tasks(a, choices);
  const LeftHandManner left_manner = left_hand_manner(choices);
  a.left = left_hand(bass, choices.hand, left_manner);
  if (auto checked = second_opinion(song, check_left_hand(bass, a.left, choices.hand, left_manner));
      !checked) {
    return tl::unexpected(checked.error());
  }
  if (auto arranged = arrange_options(a, choices); !arranged)
    return tl::unexpected(arranged.error());
  return a;
}

Result<std::vector<Price>> prices(const Song& song, const Choices& choices, const Chord& chord) {
  const auto bars = chart::perform(song);
  const Result<RightHandTask> task =
      right_hand_task(song, chart::played_chords(song, bars), choices);
  if (!task) return tl::unexpected(task.error());
  const auto& variables = task->variables;
  const auto found = std::find_if(variables.begin(), variables.end(), [&](const Variable& v) {
    return v.chord == chord.without_bass();
  });
  if (found == variables.end()) {
    return failure(Fault::usage, song.file,
                   fmt::format("{} is not played in this song", text(chord)),
                   "name a chord as it stands in the chart");
  }
  const auto v = static_cast<std::size_t>(found - variables.begin());
  const Solution best = solve(task->network, choices.state_limit);
  std::vector<Price> list;
  for (std::size_t value = 0; value < found->shapes.size(); ++value) {
    Network forced = task->network;
    forced.unary[v] = {task->network.unary[v][value]};
    for (Edge& edge : forced.edges) {
      if (edge.u != v && edge.v != v) continue;
      std::vector<std::int64_t> kept;
      const std::size_t width = task->network.unary[edge.v].size();
      if (edge.u == v) {
        kept.assign(edge.costs.begin() + static_cast<std::ptrdiff_t>(value * width),
                    edge.costs.begin() + static_cast<std::ptrdiff_t>((value + 1) * width));
      } else {
        for (std::size_t a = 0; a < task->network.unary[edge.u].size(); ++a)
          kept.push_back(edge.costs[a * width + value]);
      }
      edge.costs = std::move(kept);
    }
    const Solution s = solve(forced, choices.state_limit);
    list.push_back({found->shapes[value], s.status, s.cost, s.cost - best.cost});
  }
  std::stable_sort(list.begin(), list.end(),
                   [](const Price& a, const Price& b) { return a.cost < b.cost; });
  return list;
}

}  // namespace stillhand::arrange
