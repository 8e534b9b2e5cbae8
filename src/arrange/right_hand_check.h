// A second opinion on every right hand: rules and cost worked out again from the song as performed,
// chord by chord, without the network of the search. An empty answer means that all is well.
#pragma once

#include <string>
#include <vector>

#include "arrange/arrange.h"

namespace stillhand::arrange {

// Complaints about: a chord without a shape or with two, keys that are not of the chord, fingers
// that cross or do not reach, the register, a pin not honoured, a customary fingering not kept, and
// a stated cost that is not the real one.
std::vector<std::string> check_right_hand(const Arrangement& arrangement, const Choices& choices);

// The whole cost, added up chord by chord. Every chord must have its shape.
Cost plain_cost(const Arrangement& arrangement, const Choices& choices);

}  // namespace stillhand::arrange
