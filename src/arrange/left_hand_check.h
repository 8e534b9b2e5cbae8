// A second opinion on the left hand: reads the answer only (pitches, fingers, positions), knows
// nothing of the search, and works out the rules and the cost of left_hand.h again. Run on every
// answer.
#pragma once

#include <string>
#include <vector>

#include "arrange/left_hand.h"

namespace stillhand::arrange {

// What is wrong with the answer, one sentence each, with the index of the task; empty when nothing
// is.
std::vector<std::string> check_left_hand(const std::vector<BassTask>& tasks, const LeftHand& left,
                                         const hand::HandSize& size, const LeftHandManner& manner);

// The cost of an answer that keeps the rules, from its notes alone.
Cost left_hand_cost(const std::vector<BassTask>& tasks, const LeftHand& left,
                    const LeftHandManner& manner);

}  // namespace stillhand::arrange
