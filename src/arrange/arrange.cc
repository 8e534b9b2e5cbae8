#include "arrange/arrange.h"

#include <fmt/format.h>

#include <algorithm>

#include "arrange/build_up.h"
#include "arrange/ladder.h"
#include "arrange/left_hand.h"
#include "arrange/left_hand_check.h"
#include "arrange/right_hand.h"
#include "arrange/right_hand_check.h"
#include "arrange/solver.h"

namespace stillhand::arrange {
namespace {

RightHand right_hand(const RightHandTask& task, const Solution& solution) {
  RightHand right;
  right.status = solution.status;
  right.cost = solution.cost;
  right.lower_bound = solution.lower_bound;
  right.states_expanded = solution.states;
  for (std::size_t v = 0; v < task.variables.size(); ++v) {
    const Variable& variable = task.variables[v];
    right.shapes.push_back({variable.chord, variable.shapes[solution.values[v]], variable.is_pinned,
                            variable.section});
  }
  return right;
}

// The rung of each chord: that of the section it begins in, each time the section is played.
class RungOfChord {
 public:
  RungOfChord(const Arrangement& a, const Choices& choices)
      : sections_(build_up(a.song, a.bars)), rungs_(rungs(a.song, sections_, choices)) {}

  Rung at(const chart::PlayedChord& chord) const {
    const auto after =
        std::upper_bound(sections_.begin(), sections_.end(), chord.played_bar,
                         [](std::size_t bar, const PlayedSection& s) { return bar < s.first_bar; });
    if (after == sections_.begin()) return Rung::position;
    return rungs_[static_cast<std::size_t>(after - sections_.begin()) - 1];
  }

 private:
  std::vector<PlayedSection> sections_;
  std::vector<Rung> rungs_;
};

// The bar in which a chord ends.
const chart::Bar& last_bar(const Arrangement& a, const chart::PlayedChord& played) {
  const Tick end = played.start + played.duration;
  std::size_t bar = played.played_bar;
  while (bar + 1 < a.bars.size() && a.bars[bar + 1].start < end) ++bar;
  return chart::bar_of(a.song, a.bars[bar]);
}

std::vector<BassTask> bass_tasks(const Arrangement& a, const Choices& choices) {
  const RungOfChord rung(a, choices);
  std::vector<BassTask> tasks;
  for (std::size_t i = 0; i < a.chords.size(); ++i) {
    const chart::PlayedChord& played = a.chords[i];
    BassTask task;
    task.duration = played.duration;
    task.section = played.section;
    task.tonality = chart::bar_of(a.song, a.bars[played.played_bar]).tonality;
    task.rung = rung.at(played);
    const chart::PlayedBar& bar = a.bars[played.played_bar];
    task.begins_section = bar.section_begins && bar.start == played.start;
    task.count = last_bar(a, played).meter.count_length();
    if (a.song.tempo > kFastAbove) task.most_walk_notes = 1;
    if (played.chord) {
      task.chord = played.chord;
      task.note = played.chord->bass_note();
      task.below = a.shape_at(i)->lowest();
    }
    tasks.push_back(task);
  }
  return tasks;
}

// A complaint of a checker is a fault of the program, never of the chart; nothing wrong must reach
// a student.
Result<void> second_opinion(const Song& song, const std::vector<std::string>& complaints) {
  if (complaints.empty()) return {};
  Diagnostics all;
  for (const std::string& complaint : complaints) {
    all.push_back({Severity::error,
                   Fault::chart,
                   song.file,
                   {},
                   fmt::format("the arrangement failed its own check: {}", complaint),
                   "this is a fault of Stillhand; please report it with the chart",
                   {}});
  }
  return tl::unexpected(std::move(all));
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
  a.right = right_hand(*task, solve(task->network, choices.state_limit));
  a.shape_of_chord = task->variable_at;
  if (auto checked = second_opinion(song, check_right_hand(a, choices)); !checked) {
    return tl::unexpected(checked.error());
  }
  const std::vector<BassTask> bass = bass_tasks(a, choices);
  const LeftHandManner left_manner =
      choices.manner.descending_bass == DescendingBass::slide_little_finger
          ? LeftHandManner::sliding()
          : LeftHandManner::shifting();
  a.left = left_hand(bass, choices.hand, left_manner);
  if (auto checked = second_opinion(song, check_left_hand(bass, a.left, choices.hand, left_manner));
      !checked) {
    return tl::unexpected(checked.error());
  }
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
