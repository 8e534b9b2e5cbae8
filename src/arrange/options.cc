#include "arrange/options.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <map>

#include "arrange/bass_tasks.h"
#include "arrange/left_hand.h"
#include "arrange/left_hand_check.h"
#include "arrange/right_hand.h"
#include "arrange/right_hand_check.h"
#include "arrange/second_opinion.h"
#include "arrange/solver.h"

namespace stillhand::arrange {
namespace {

using chart::OptionPlace;
using chart::PlayedBar;
using chart::PlayedChord;

// Bars played one after the other, indices into Arrangement::bars.
struct Run {
  std::size_t begin = 0;
  std::size_t end = 0;
};

bool is_in(const PlayedBar& bar, const OptionPlace& place) {
  return bar.section == place.section && bar.line == place.line;
}

// ---- passages

// Finds where an option is played, and how far around it the song must be looked at.
class Passages {
 public:
  explicit Passages(const Arrangement& a) : a_(a) {
    for (std::size_t i = 0; i < a.bars.size(); ++i) {
      auto& runs = runs_[{a.bars[i].section, a.bars[i].line}];
      if (!runs.empty() && runs.back().end == i) {
        runs.back().end = i + 1;
      } else {
        runs.push_back({i, i + 1});
      }
    }
  }

  std::vector<Passage> of(const OptionPlace& place) const {
    std::vector<Passage> out;
    const auto found = runs_.find({place.section, place.line});
    if (found == runs_.end()) return out;
    for (const Run& run : found->second) out.push_back(around(run, place));
    return out;
  }

 private:
  Passage around(const Run& run, const OptionPlace& place) const {
    for (std::size_t margin = 2;; margin *= 2) {
      const Run window{run.begin - std::min(run.begin, margin),
                       std::min(a_.bars.size(), run.end + margin)};
      Passage chords = chords_in(window, place);
      const std::optional<std::size_t> first = first_needed(chords, window, run, place);
      const std::optional<std::size_t> last = last_needed(chords, run, place);
      if (!first && window.begin > 0) continue;
      if (!last && window.end < a_.bars.size()) continue;
      if (last) chords.resize(*last + 1);
      chords.erase(chords.begin(), chords.begin() + static_cast<std::ptrdiff_t>(first.value_or(0)));
      return chords;
    }
  }

  Passage chords_in(const Run& window, const OptionPlace& place) const {
    const std::vector<PlayedBar> bars(a_.bars.begin() + static_cast<std::ptrdiff_t>(window.begin),
                                      a_.bars.begin() + static_cast<std::ptrdiff_t>(window.end));
    Passage chords = chart::played_chords(a_.song, bars, place);
    for (PlayedChord& chord : chords) chord.played_bar += window.begin;
    return chords;
  }

  // A chord outside the option's line under which both hands are where they are in the plain song. A slide leans on the
  // bass note before it.
  bool is_anchor(const PlayedChord& played, const OptionPlace& place) const {
    if (!played.chord || is_in(a_.bars[played.played_bar], place)) return false;
    const auto& bass = a_.left.bass[chart::chord_at(a_.chords, played.start)];
    return bass && bass->reach != Reach::slide;
  }

  std::optional<std::size_t> first_needed(const Passage& chords, const Run& window, const Run& run,
                                          const OptionPlace& place) const {
    const Tick begin = a_.bars[run.begin].start;
    std::optional<std::size_t> found;
    for (std::size_t i = 0; i < chords.size() && chords[i].start < begin; ++i) {
      // The window may begin in the middle of a chord.
      const bool is_whole =
          i > 0 || window.begin == 0 ||
          a_.chords[chart::chord_at(a_.chords, chords[i].start)].start == chords[i].start;
      if (is_whole && is_anchor(chords[i], place)) found = i;
    }
    return found;
  }

  std::optional<std::size_t> last_needed(const Passage& chords, const Run& run,
                                         const OptionPlace& place) const {
    const PlayedBar& last = a_.bars[run.end - 1];
    for (std::size_t i = 0; i < chords.size(); ++i) {
      if (chords[i].start >= last.start + last.length && is_anchor(chords[i], place)) return i;
    }
    return std::nullopt;
  }

  const Arrangement& a_;
  std::map<std::pair<std::size_t, std::size_t>, std::vector<Run>> runs_;  // by section and line
};

// ---- left hand

// The bass of chords that are played instead of the plain ones: what does not lie in a line taken stays as it is.
template <class IsTaken>
std::vector<BassTask> bass_tasks(const Arrangement& plain, const BassTasks& all,
                                 const std::vector<PlayedChord>& chords,
                                 const std::vector<const Shape*>& shapes, IsTaken is_taken) {
  std::vector<BassTask> tasks;
  std::optional<std::size_t> kept_before;  // the plain chord whose bass note the last task keeps
  for (std::size_t i = 0; i < chords.size(); ++i) {
    const PlayedChord& played = chords[i];
    BassTask task = all.of(played, shapes[i]);
    const std::optional<std::size_t> before = std::exchange(kept_before, std::nullopt);
    if (played.chord) {
      const std::size_t at = chart::chord_at(plain.chords, played.start);
      const BassTask as_before = all.of(plain.chords[at], plain.shape_at(at));
      const auto& bass = plain.left.bass[at];
      const bool stays = bass && !is_taken(plain.bars[played.played_bar]) &&
                         *shapes[i] == *plain.shape_at(at) && task.tonality == as_before.tonality &&
                         task.rung == as_before.rung &&
                         (bass->reach != Reach::slide || (before && *before + 1 == at));
      if (stays) {
        task.kept = KeptBass{bass->pitch.key(), bass->finger, bass->reach,
                             plain.left.positions[bass->position]};
        kept_before = at;
      }
    }
    tasks.push_back(std::move(task));
  }
  return tasks;
}

// ---- options

class OptionArranger {
 public:
  OptionArranger(Arrangement& a, const Choices& choices, const std::vector<ShapeChoice>& known)
      : a_(a), choices_(choices), passages_(a), bass_tasks_(a, choices) {
    known_.shapes = a.right.shapes;
    known_.learned = known_.shapes.size();
    known_.shapes.insert(known_.shapes.end(), known.begin(), known.end());
  }

  // What the checkers complain of.
  std::vector<std::string> arrange() {
    find_playable();
    if (a_.options.lines.empty()) return {};
    const Result<RightHandTask> task = right_hand_task(a_.song, all_passages_, known_, choices_);
    assert(task);
    const Solution solution = solve(task->network, choices_.state_limit);
    a_.options.status = solution.status;
    a_.options.cost = solution.cost;
    a_.options.lower_bound = solution.lower_bound;
    a_.options.states_expanded = solution.states;
    give_shapes(*task, solution);
    for (ArrangedOption& option : a_.options.lines) {
      for (OptionPassage& passage : option.passages) give_bass(passage, option.place);
    }
    const auto more = check_options(a_, choices_);
    complaints_.insert(complaints_.end(), more.begin(), more.end());
    return std::move(complaints_);
  }

 private:
  void find_playable() {
    const std::vector<OptionPlace> places = chart::all_options(a_.song);
    for (const OptionPlace& place : places) add(place, passages_.of(place));
    if (right_hand_task(a_.song, all_passages_, known_, choices_)) return;
    a_.options.lines.clear();
    all_passages_.clear();
    for (const OptionPlace& place : places) {
      std::vector<Passage> passages = passages_.of(place);
      const auto task = right_hand_task(a_.song, passages, known_, choices_);
      if (task) {
        add(place, std::move(passages));
      } else {
        remark(task.error());
      }
    }
  }

  void add(const OptionPlace& place, std::vector<Passage> passages) {
    ArrangedOption option{place, {}};
    for (Passage& passage : passages) {
      option.passages.push_back({passage, {}, {}});
      all_passages_.push_back(std::move(passage));
    }
    a_.options.lines.push_back(std::move(option));
  }

  void remark(Diagnostics errors) {
    for (Diagnostic& error : errors) {
      error.severity = Severity::warning;
      error.message = fmt::format("this `or` line is left out: {}", error.message);
      a_.remarks.push_back(std::move(error));
    }
  }

  void give_shapes(const RightHandTask& task, const Solution& solution) {
    std::vector<std::size_t> index_of;
    for (std::size_t v = 0; v < task.variables.size(); ++v) {
      const Variable& variable = task.variables[v];
      if (variable.known && *variable.known < known_.learned) {
        index_of.push_back(*variable.known);
        continue;
      }
      index_of.push_back(known_.learned + a_.options.shapes.size());
      a_.options.shapes.push_back(variable.known ? known_.shapes[*variable.known]
                                                 : choice_of(variable, solution.values[v]));
    }
    auto at = task.variable_at.begin();
    for (ArrangedOption& option : a_.options.lines) {
      for (OptionPassage& passage : option.passages) {
        for (std::size_t i = 0; i < passage.chords.size(); ++i, ++at)
          passage.shapes.push_back(*at ? std::optional(index_of[**at]) : std::nullopt);
      }
    }
  }

  void give_bass(OptionPassage& passage, const OptionPlace& place) {
    std::vector<const Shape*> shapes;
    for (const auto& index : passage.shapes)
      shapes.push_back(index ? &a_.shape_choice(*index).shape : nullptr);
    const auto tasks = bass_tasks(a_, bass_tasks_, passage.chords, shapes,
                                  [&](const PlayedBar& bar) { return is_in(bar, place); });
    LeftHand left = left_hand(tasks, choices_.hand, left_hand_manner(choices_));
    for (std::string& complaint :
         check_left_hand(tasks, left, choices_.hand, left_hand_manner(choices_))) {
      complaints_.push_back(std::move(complaint));
    }
    for (auto& bass : left.bass) {
      if (bass) bass->position = position_index(left.positions[bass->position]);
    }
    passage.bass = std::move(left.bass);
  }

  std::size_t position_index(const Position& position) {
    const std::size_t plain = a_.left.positions.size();
    for (std::size_t i = 0; i < plain + a_.options.positions.size(); ++i) {
      if (a_.position(i) == position) return i;
    }
    a_.options.positions.push_back(position);
    return plain + a_.options.positions.size() - 1;
  }

  Arrangement& a_;
  const Choices& choices_;
  KnownShapes known_;
  Passages passages_;
  BassTasks bass_tasks_;
  std::vector<Passage> all_passages_;
  std::vector<std::string> complaints_;
};

Status worse(Status a, Status b) { return a == Status::optimal ? b : a; }

// The right hand of the song as played with options taken.
Result<void> take_right_hand(const Arrangement& plain, const Choices& choices, Arrangement& out) {
  KnownShapes known{plain.right.shapes, plain.right.shapes.size()};
  known.shapes.insert(known.shapes.end(), plain.options.shapes.begin(), plain.options.shapes.end());
  const Result<RightHandTask> task =
      right_hand_task(out.song, std::vector<Passage>{out.chords}, known, choices);
  if (!task) return tl::unexpected(task.error());
  const Solution solution = solve(task->network, choices.state_limit);
  for (std::size_t v = 0; v < task->variables.size(); ++v) {
    const Variable& variable = task->variables[v];
    out.right.shapes.push_back(variable.known ? known.shapes[*variable.known]
                                              : choice_of(variable, solution.values[v]));
  }
  out.shape_of_chord = task->variable_at;
  out.right.status = worse(plain.right.status, plain.options.status);
  out.right.states_expanded = plain.right.states_expanded + plain.options.states_expanded;
  out.right.cost = plain_cost(out, choices);
  out.right.lower_bound = out.right.status == Status::optimal ? out.right.cost : Cost(0);
  return second_opinion(out.song, check_right_hand(out, choices));
}

Result<void> take_left_hand(const Arrangement& plain, const Choices& choices,
                            const std::vector<OptionPlace>& taken, Arrangement& out) {
  std::vector<const Shape*> shapes;
  for (std::size_t i = 0; i < out.chords.size(); ++i) shapes.push_back(out.shape_at(i));
  const auto tasks =
      bass_tasks(plain, BassTasks(plain, choices), out.chords, shapes, [&](const PlayedBar& bar) {
        return std::any_of(taken.begin(), taken.end(),
                           [&](const OptionPlace& place) { return is_in(bar, place); });
      });
  out.left = left_hand(tasks, choices.hand, left_hand_manner(choices));
  return second_opinion(out.song,
                        check_left_hand(tasks, out.left, choices.hand, left_hand_manner(choices)));
}

}  // namespace

Result<void> arrange_options(Arrangement& arrangement, const Choices& choices) {
  arrangement.options = {};
  if (chart::first_options(arrangement.song).empty()) return {};
  return second_opinion(arrangement.song, OptionArranger(arrangement, choices, {}).arrange());
}

Result<Arrangement> take_options(const Arrangement& plain, const Choices& choices,
                                 const std::vector<OptionPlace>& taken) {
  if (taken.empty()) return plain;
  Arrangement out;
  out.song = chart::with_options(plain.song, taken);
  out.manner = plain.manner;
  out.hand_size = plain.hand_size;
  out.bars = plain.bars;
  out.chords = chart::played_chords(out.song, out.bars);
  if (auto done = take_right_hand(plain, choices, out); !done) return tl::unexpected(done.error());
  if (auto done = take_left_hand(plain, choices, taken, out); !done)
    return tl::unexpected(done.error());
  OptionArranger rest(out, choices, plain.options.shapes);
  if (auto checked = second_opinion(out.song, rest.arrange()); !checked)
    return tl::unexpected(checked.error());
  return out;
}

}  // namespace stillhand::arrange
