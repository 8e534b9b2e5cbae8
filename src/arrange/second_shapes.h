// Second shapes: a chord that is played differently in some sections, where that pays for its price.
//
//   Solution one = solve(task.network, limit);                     // one shape for each chord
//   RightHandPlan plan = with_second_shapes(song, chords, choices, task, one);
//
// The rule is always "everywhere C as in the verse, but in the chorus so": a chord has its shape, and at most one second
// shape, for sections that are named. Each second shape costs the weight `second_shape` of the manner and what learning it
// costs. Pinned chords have no second shape.
//
// As a network (arrange/solver.h): for each free chord that two sections play, a variable whose values are sets of one or
// two of its shapes and whose cost is their price; for each section that plays it a variable whose values are its shapes.
// A shape outside the set costs more than the best arrangement with one shape for each chord, so that no cheapest answer
// takes it. The search starts from that arrangement and never ends above it; Choices::second_shapes_state_limit is its
// limit.
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "arrange/arrange.h"
#include "arrange/right_hand.h"
#include "arrange/solver.h"

namespace stillhand::arrange {

struct RightHandPlan {
  RightHand right;
  std::vector<std::optional<std::size_t>> shape_of_chord;  // as in Arrangement
};

// One shape for each chord.
RightHandPlan plain_plan(const RightHandTask& task, const Solution& solution);

RightHandPlan with_second_shapes(const Song& song, const Passage& chords, const Choices& choices,
                                 const RightHandTask& task, const Solution& one);

// What is solved.
struct SecondShapesTask {
  // A free chord in two sections or more. A set of one shape names it twice.
  struct Split {
    std::size_t chord = 0;                                  // index into RightHandTask::variables
    std::vector<std::pair<std::size_t, std::size_t>> sets;  // first those of one shape
  };
  RightHandTask parts;                             // right_hand_task_by_section
  std::vector<std::vector<std::size_t>> parts_of;  // of each of RightHandTask::variables
  std::vector<Split> splits;
  Network network;  // a variable for each split, then one for each variable of `parts`
  std::vector<std::size_t> start;  // the arrangement with one shape for each chord
};

SecondShapesTask second_shapes_task(const Song& song, const Passage& chords, const Choices& choices,
                                    const RightHandTask& task, const Solution& one);

}  // namespace stillhand::arrange
